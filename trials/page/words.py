"""What was written for whoever types commands, in the words of a page: the button in place of the command."""

import re

FLAG_WORDS = {
    "--trial NAME": "the field Trial",
    '--why "the reason"': "a reason",
    "--why": "a reason",
    "a --note": "a note",
    'tell what it came to: --set "guess.recount=97 101 92"': "tell what it came to under Hands, scale and tails",
    "rehearse it without --habit": "rehearse the plan itself",
    "--tracers 0 leaves": "0 in the field Tracer grains leaves",
    "--tracers 50 has": "50 has",
    '--worth-having "20 %" sets one': "type it under Amend it or Change it",
    "load with --as-typed": 'tick "It stands as typed"',
}
"""How a flag reads where nobody types one."""
COMMAND_WORDS = tuple(
    (re.compile(command), words)
    for command, words in (
        (r'orrect (it|that first): samedirt enter \S+ TAG --again(?: --why "the reason")?', r"orrect \1 under Runs"),
        (
            r'orrect (it|that first): samedirt enter \S+ (\S+) --again(?: --why "the reason")?',
            r"orrect \1 under Runs, beside \2",
        ),
        (r"wrong first: samedirt void \S+ TAG", "wrong first, under Runs"),
        (r"samedirt void strikes a run that went wrong", "a run that went wrong is struck under Runs"),
        (r"samedirt enter [\w-]+(?: [\w-]+)?(?=[.;,]?$)", "type it in under Runs"),
        (r"Every command names it: .*", "It stands in the logbook and at the head of every paper."),
        (r"samedirt verdict \S+ says", "its verdict says"),
        (r"samedirt decide \S+ records", "Decide, at its page, records"),
        (r"samedirt load FOLDER fills it", "Load, above, fills it"),
        (r"begin with samedirt plan, load .* samedirt demo", "begin with New plan or with Load, above"),
        (r"(way .*may.*): samedirt plan \S+ --ways", r"\1: compare the ways under Plan"),
        (r"samedirt sheet \S+ prints them", "Papers prints them"),
        (r"samedirt plan \S+ tells", "Plan tells"),
        (r"samedirt export NAME --as json writes", "Files, at the page of a trial, has"),
    )
)
"""How a command reads where there is a button for it; what is done at the terminal alone is told as it is."""


def at_page(line: str) -> str:
    """Write a line as a page says it.

    >>> print(at_page('Correct it: samedirt enter mat HRT --again --why "the reason"'))
    Correct it under Runs, beside HRT
    >>> print(at_page("Next: samedirt enter mat"), at_page("load it with --why"), sep="; ")
    Next: type it in under Runs; load it with a reason
    """
    for command, words in COMMAND_WORDS if "samedirt" in line or "Every command" in line else ():
        line = command.sub(words, line)
    for flag, words in FLAG_WORDS.items() if "samedirt " not in line else ():
        line = line.replace(flag, words)
    return line
