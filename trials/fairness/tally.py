"""Checks that nothing went missing on one side: grains-home, voids-even."""

from collections.abc import Sequence

from schemas import Finding, Run
from trials.fairness.evidence import Check, Evidence, not_recorded
from trials.fairness.telling import finding, past
from trials.fairness.thresholds import MISSING_GRAINS_PERCENT, VOIDS_KNOWN_STOP, VOIDS_UNEVEN_NOTE
from trials.wording.lists import count_of


def grains_home(evidence: Evidence) -> Sequence[Finding]:
    """How many tracers were neither kept nor found in the tails, of the whole trial, and at its end of either arm?

    Runs whose tails were not searched are left out. Grains missing from one arm alone are a difference by themselves;
    which arm they are of is told at the end only, for it tells who leads.
    """
    if not evidence.pairing.measure.is_seeded or not evidence.measured:
        return []
    runs = [run for pair in evidence.measured for run in pair.halves if run.in_tails is not None]
    if not runs:
        return not_recorded(GRAINS_HOME.name, "Tracers in the tails were not counted")
    if _too_many_missing(runs):
        return _missing(f"{_missing_of(runs)} of {count_of(_seeded(runs), 'grain')}")
    arms = [[run for run in runs if run.arm == arm] for arm in evidence.trial.arms] if evidence.ended else []
    worse = [arm for arm in arms if _too_many_missing(arm)]
    if not worse:
        return []
    (one,) = worse  # were both over the limit, so were all together
    other = next(arm for arm in arms if arm is not one)
    of_one = f"{_missing_of(one)} of {_seeded(one):,} {one[0].arm} grains"
    return _missing(f"{of_one} and {_missing_of(other)} of {_seeded(other):,} of the other arm")


def _seeded(runs: Sequence[Run]) -> int:
    return sum(run.seeded or 0 for run in runs)


def _missing_of(runs: Sequence[Run]) -> int:
    return _seeded(runs) - sum((run.kept or 0) + (run.in_tails or 0) for run in runs)


def _too_many_missing(runs: Sequence[Run]) -> bool:
    seeded = _seeded(runs)
    return seeded > 0 and past(100.0 * _missing_of(runs) / seeded, MISSING_GRAINS_PERCENT)


def _missing(which: str) -> list[Finding]:
    said = f"{which} unaccounted (over {MISSING_GRAINS_PERCENT:g} %, our default)."
    return finding(GRAINS_HOME.name, "WEAKENS", f"{said} Pan hoses and mat; shown as missing, not lost.")


def voids_even(evidence: Evidence) -> Sequence[Finding]:
    """Were runs of one arm struck more than of the other, and was their gold known by then?

    Two or more struck with their gold known, and fewer in the other arm, can make a difference by themselves. One run
    struck before its gold was looked at is what voids are for.
    """
    void = [run for pair in evidence.pairing.void for run in pair.halves if run.is_void]
    known = [run for run in void if run.void_gold_known]
    if known:
        more, fewer = _more_and_fewer(evidence, known)
        stops = len(more) >= VOIDS_KNOWN_STOP and len(more) > len(fewer)
        remedy = "Retest." if stops else "Strike a run before its gold is seen."
        said = f"{_voided(more, fewer, 'voided after weighing')} {remedy}"
        return finding(VOIDS_EVEN.name, "STOP" if stops else "NOTE", said, [run.pair for run in known])
    more, fewer = _more_and_fewer(evidence, void)
    if len(more) - len(fewer) >= VOIDS_UNEVEN_NOTE:
        said = f"{_voided(more, fewer, 'voided')} Mend what stops them before the next trial."
        return finding(VOIDS_EVEN.name, "NOTE", said, [run.pair for run in void])
    if any(run.void_gold_known is None for run in void):
        return not_recorded(VOIDS_EVEN.name, "Whether their gold was known when runs were struck was not recorded")
    return []


def _more_and_fewer(evidence: Evidence, runs: Sequence[Run]) -> tuple[list[Run], list[Run]]:
    """The runs of the arm that has more of them, and of the other."""
    one, other = ([run for run in runs if run.arm == arm] for arm in evidence.trial.arms)
    return (one, other) if len(one) > len(other) else (other, one)


def _voided(more: Sequence[Run], fewer: Sequence[Run], how: str) -> str:
    return f"{count_of(len(more), f'{more[0].arm} run')} {how}, {len(fewer) or 'none'} in the other arm."


GRAINS_HOME = Check(
    "grains-home", "tracers neither kept nor found in the tails", "common practice, no source", grains_home
)
VOIDS_EVEN = Check(
    "voids-even", "runs struck, by arm, and what was known then", "common practice, no source", voids_even
)
