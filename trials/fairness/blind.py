"""Before the planned end: every check, told so that nobody learns from it which set-up a run belongs to."""

import re
from collections.abc import Callable, Mapping, Sequence

from schemas import Finding, Run, Trial
from trials.fairness.checklist import CHECKS, WORST_FIRST, judge_all
from trials.fairness.evidence import gather

Neutral = tuple[re.Pattern[str], str | Callable[[re.Match[str]], str]]
SILENT = ("ok", "not recorded")
BY_PAIRS = ("drawn-order",)
_NUMBER = r"[+-]?[0-9][0-9.,]*"
_CALLED = r"(?:Changed gear|Repeat half)"


def findings_so_far(trial: Trial, runs: Sequence[Run]) -> tuple[Finding, ...]:
    """Ask every check of a trial that may still be running.

    Parameters
    ----------
    trial, runs
        A trial of two arms, and its runs.

    Returns
    -------
    tuple of Finding
        As `judge_all` finds them once the planned end is reached. Before it, the same as for a trial with its arms
        swapped: what would tell them apart is said of "one set-up", and what only one of the two would be told waits.

    Examples
    --------
    >>> from schemas import Change, Gear, Lot
    >>> trial = Trial(name="t", measure="grain_counts", pairs=4, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"),
    ...     change=Change(variable="mat", baseline="ribbed", changed=("looped",)))
    >>> runs = [Run(pair=p, arm=a, turn=2 * p - (a == "baseline"), grains=20) for p in (1, 2, 3) for a in trial.arms]
    >>> first = [f for f in findings_so_far(trial, runs) if f.check == "first-turn"][0]
    >>> first.severity, first.message
    ('STOP', 'One set-up ran first in 3 of 3 pairs. Order and change cannot be told apart; draw the order again.')
    """
    evidence = gather(trial, runs)
    findings = judge_all(evidence)
    if evidence.ended:
        return findings
    mirrored = judge_all(gather(trial, swapped(trial, runs)))
    told = [one for check in CHECKS for one in _told_alike(check.looks_at, *_of(check.name, findings, mirrored))]
    return tuple(sorted(told, key=_rank))


def swapped(trial: Trial, runs: Sequence[Run]) -> list[Run]:
    """The runs with the two arms of every pair exchanged.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="t", measure="grain_counts", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="pan"))
    >>> swapped(trial, [Run(pair=1, arm="baseline", grains=9)])[0].arm
    'repeat'
    """
    one, other = trial.arms
    return [run.model_copy(update={"arm": other if run.arm == one else one}) for run in runs]


def _of(name: str, *found: Sequence[Finding]) -> tuple[list[Finding], ...]:
    return tuple([finding for finding in one if finding.check == name] for one in found)


def _told_alike(looks_at: str, found: list[Finding], mirrored: list[Finding]) -> list[Finding]:
    """What may be said of one check: what was found, where it is found with the arms swapped too."""
    if found == mirrored:
        return found
    plain, other = ([_plain(finding) for finding in one] for one in (found, mirrored))
    if sorted(map(_key, plain)) == sorted(map(_key, other)):
        return sorted(plain, key=_key)
    worst, mirror = (min(one, key=_rank) for one in (plain, other))
    milder = max(worst, mirror, key=_rank)
    if milder.severity in SILENT:
        return [milder]
    if milder.check in BY_PAIRS:  # the order that was kept is that of most pairs
        return [min(worst, mirror, key=lambda finding: (len(finding.pairs), finding.pairs))]
    says = f"{looks_at[0].upper()}{looks_at[1:]}: not alike in the two set-ups. More is told at the planned end."
    return [Finding(check=milder.check, severity=milder.severity, message=says)]


def _rank(finding: Finding) -> int:
    return WORST_FIRST.index(finding.severity)


def _key(finding: Finding) -> tuple[str, str, tuple[int, ...]]:
    return (finding.severity, finding.message, finding.pairs)


def _plain(finding: Finding) -> Finding:
    """A finding that names no arm: "one set-up" for it, and of two numbers the smaller first."""
    message = finding.message
    for pattern, words in NEUTRAL.get(finding.check, ()):
        message = pattern.sub(words, message)
    for pattern, words in EVERYWHERE:
        message = pattern.sub(words, message)
    return finding.model_copy(update={"message": message})


def _smaller_first(found: re.Match[str]) -> str:
    low, high = sorted((found["one"], found["other"]), key=_number)
    return f"{low} against {high}"


def _in_alphabet(found: re.Match[str]) -> str:
    return " and ".join(sorted((found["one"], found["other"])))


def _number(text: str) -> tuple[float, str]:
    try:
        return float(text.replace(",", "")), text
    except ValueError:
        return 0.0, text


EVERYWHERE: tuple[Neutral, ...] = (
    (re.compile(r"the (?:baseline|changed|repeat) half of pair"), "a half of pair"),
    (re.compile(r"(?P<one>[^\s,;:]+) against (?P<other>[^\s,;:]+?(?=[\s,;:]|\.?$|\.\s))"), _smaller_first),
)
NEUTRAL: Mapping[str, tuple[Neutral, ...]] = {
    "same-lot": ((re.compile(r"(?<=came from )(?P<one>\S+) and (?P<other>\S+?)(?=\. )"), _in_alphabet),),
    "first-turn": ((re.compile(rf"^{_CALLED} ran (?:first|second) in"), "One set-up ran first in"),),
    "feed-rhythm": ((re.compile(rf"^{_CALLED} was fed {_NUMBER} % (?:faster|slower),"), "One set-up was fed slower,"),),
    "steady-water": ((re.compile(rf"^{_CALLED} had {_NUMBER} % (?:more|less) water,"), "One set-up had less water,"),),
    "soap-and-cloud": (
        (re.compile(r"in the \S+ arm only"), "in one set-up only"),
        (re.compile(r"between the arms"), "between the set-ups"),
    ),
    "voids-even": (
        (
            re.compile(r"(\d+) (?:baseline|changed|repeat) (runs?) (voided[^,]*), (\S+) in the other arm"),
            r"\1 \2 of one set-up \3, \4 of the other",
        ),
    ),
}
"""What each check says of an arm, and what is said instead before the planned end."""
