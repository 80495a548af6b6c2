"""What the checks say of a trial that may still be running: nothing from which one learns which set-up a run had."""

from collections.abc import Sequence

from schemas import Finding, Run, Trial
from trials.fairness.checklist import CHECKS, WORST_FIRST, judge_all, worst_first
from trials.fairness.evidence import Check, Evidence, gather
from trials.fairness.remark import Remark, remark
from trials.wording.lists import capital


def findings_so_far(trial: Trial, runs: Sequence[Run]) -> tuple[Finding, ...]:
    """Ask every check of a trial that may still be running.

    Once the planned end is reached they are those of `judge_all`. Before it, the same as for a trial with its arms
    swapped: arms are left out, and what only one of the two would be told waits.

    >>> from schemas import Change, Gear, Lot
    >>> trial = Trial(name="t", measure="grain_counts", pairs=4, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"),
    ...     change=Change(variable="mat", baseline="ribbed", changed=("looped",)))
    >>> runs = [Run(pair=p, arm=a, turn=2 * p - (a == "baseline"), grains=20) for p in (1, 2, 3) for a in trial.arms]
    >>> first = [f for f in findings_so_far(trial, runs) if f.check == "first-turn"][0]
    >>> first.severity, first.message
    ('STOP', 'One set-up ran first in 3 of 3 pairs. Order and change cannot be told apart; draw the order again.')
    """
    evidence = gather(trial, runs)
    if evidence.ended:
        return judge_all(evidence)
    mirrored = gather(trial, swapped(trial, runs))
    return worst_first(one.in_words(check.name) for check in CHECKS for one in told_alike(check, evidence, mirrored))


def swapped(trial: Trial, runs: Sequence[Run]) -> list[Run]:
    """The runs with the two arms of every pair exchanged.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="t", measure="grain_counts", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="pan"))
    >>> swapped(trial, [Run(pair=1, arm="baseline", grains=9)])[0].arm
    'repeat'
    """
    one, other = trial.arms
    return [run.model_copy(update={"arm": other if run.arm == one else one}) for run in runs]


def told_alike(check: Check, evidence: Evidence, mirrored: Evidence) -> list[Remark]:
    """What may be said of one check: what it says with the arms swapped too, else that the arms are not alike."""
    seen, mirror = ([one.without_arms() for one in check.answers(of)] for of in (evidence, mirrored))
    if seen == mirror:
        return seen
    milder = max((min(both, key=_rank) for both in (seen, mirror)), key=_rank)
    if milder.severity in ("ok", "not recorded"):
        return [milder]
    return remark(
        milder.severity,
        (),
        str,
        f"{capital(check.looks_at)}: not alike in the two set-ups. More is told at the planned end.",
    )


def _rank(one: Remark) -> int:
    return WORST_FIRST.index(one.severity)
