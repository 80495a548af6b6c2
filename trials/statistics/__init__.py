"""Arrays in, small frozen results out: the paired t and what stands beside it, one idea a file.

Nothing here knows of gold, trials or files. Pairs lie on the last axis and everything broadcasts over the axes
before it, so that one trial and 20,000 invented ones go through the same lines. One trial (a flat list) comes
back as plain numbers, several come back as arrays. Differences are finite; a `level` is a coverage between 0 and 1.
What does not fit (too few pairs, NaN, a level of 95) is refused with ``ValueError``: value, rule, next step. Nothing is
rounded. Take each name from its own file:

>>> from trials.statistics.paired_t import paired_t
"""
