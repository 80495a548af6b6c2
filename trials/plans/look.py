"""When may a trial be looked at before its end?

The rule, locked with the plan: one early look at two-sided 1 % (a 99 % interval, better or worse only, and there the
trial may stop), and the end at 4 % (a 96 % interval), looked or not. By the union bound the two together raise at most
5 false alarms in 100 with any test that keeps its own level; the paired t raises 4.4 to 4.8 (by integration, 5 to 40
pairs). With 1 % spent at the look the end could be judged at 4.25, 4.29 and 4.35 % for 4 of 8, 5 of 10 and 6 of 12
pairs; one round level for all costs little. A look costs about 4 points in 100 of the chance to find a gain of one SD
of the pair differences in 8 pairs.

What it keeps off: a look at 5 % after every pair from 3 to 12 raises 18 false alarms in 100 (Armitage, McPherson and
Rowe, J. R. Stat. Soc. A 132, 1969, p. 235-244, for known scatter: 5, 8, 11, 13, 14 in 100 at 1 to 5 looks), and pairs
added after an unplanned look 8 to 9. The usual bounds for several looks (Pocock, Biometrika 64, 1977; O'Brien and
Fleming, Biometrics 35, 1979) are made for known scatter; with so few pairs their t keeps 5.1 to 5.8 % instead of 5.
The levels are `LOOK_LEVEL` and `LEVEL_AFTER_LOOK` of `trials.verdicts.analysis`.
"""

from typing import Final

FEWEST_PAIRS_AT_LOOK: Final = 4
