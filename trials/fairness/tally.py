"""Checks that nothing went missing on one side: grains-home, voids-even."""

from collections.abc import Sequence

from schemas import Run
from schemas.verdict import Severity
from trials.fairness.evidence import Check, Evidence
from trials.fairness.remark import ByArm, Remark, not_recorded, remark
from trials.fairness.thresholds import MISSING_GRAINS_PERCENT, VOIDS_KNOWN_STOP, VOIDS_UNEVEN_NOTE, past
from trials.wording.lists import count_of


def grains_home(evidence: Evidence) -> Sequence[Remark]:
    """How many tracers were neither kept nor found in the tails, of the whole trial, and at its end of either arm?

    Runs whose tails were not searched are left out. Grains missing from one arm alone are a difference by themselves;
    which arm they are of is told at the end only, for it tells who leads.
    """
    if not evidence.pairing.measure.is_seeded or not evidence.measured:
        return []
    runs = [run for pair in evidence.measured for run in pair.halves if run.in_tails is not None]
    if not runs:
        return not_recorded("Tracers in the tails were not counted")
    if of_all := unaccounted(runs):
        return of_all
    one, other = (_missing_of_seeded([run for run in runs if run.arm == arm]) for arm in evidence.trial.arms)
    if not evidence.ended or not (_too_many(one) or _too_many(other)):
        return []
    of_arms = ByArm(one, other, evidence.trial.arms)
    return remark("WEAKENS", (), _missing_of_one_arm, of_arms, but=_missing_on_one_side)


def unaccounted(runs: Sequence[Run]) -> list[Remark]:
    """Tell of too many grains that are neither kept nor in the tails, of all these runs together."""
    missing, seeded = _missing_of_seeded(runs)
    if not _too_many((missing, seeded)):
        return []
    told = f"{missing:,} of {count_of(seeded, 'grain')}"
    return remark("WEAKENS", (), str, f"{told} {UNACCOUNTED}", but=f"{told} are unaccounted for")


def _missing_of_seeded(runs: Sequence[Run]) -> tuple[int, int]:
    """Grains that are neither kept nor in the tails, and grains seeded, of these runs."""
    seeded = sum(run.seeded or 0 for run in runs)
    return seeded - sum((run.kept or 0) + (run.in_tails or 0) for run in runs), seeded


def _too_many(grains: tuple[int, int]) -> bool:
    """Whether so many of so many seeded are over the limit of missing ones."""
    missing, seeded = grains
    return seeded > 0 and bool(past(100.0 * missing / seeded, MISSING_GRAINS_PERCENT))


def _missing_on_one_side(grains: ByArm[tuple[int, int]]) -> str:
    whose = grains.arms[_too_many(grains.other)] if grains.arms else "one set-up's"
    return f"too many of the {whose} grains are unaccounted for"


def _missing_of_one_arm(grains: ByArm[tuple[int, int]]) -> str:
    other_is_worse = _too_many(grains.other)  # were both over the limit, so were all together
    worse, better = (grains.other, grains.one) if other_is_worse else (grains.one, grains.other)
    whose = f"{grains.arms[other_is_worse]} " if grains.arms else ""
    of_one = f"{worse[0]} of {worse[1]:,} {whose}grains"
    return f"{of_one} and {better[0]} of {better[1]:,} of the other arm {UNACCOUNTED}"


def voids_even(evidence: Evidence) -> Sequence[Remark]:
    """Were runs struck whose gold was known by then, and of one arm more than of the other?

    Two or more of one arm, and fewer in the other, can make a difference by themselves, and stop. Two or more pairs
    struck whole weaken: the worst of them left out are a gain too. One run struck before its gold was looked at is what
    voids are for. Where nothing says whether the gold was known it is taken for known.
    """
    void = [run for pair in evidence.pairing.void for run in pair.halves if run.is_void]
    known = [run for run in void if run.void_gold_known is not False]
    if known:
        return _struck_after_weighing(evidence, known)
    struck = _by_arm(evidence, void)
    if struck.most - struck.least >= VOIDS_UNEVEN_NOTE:
        remedy = "Mend what stops them before the next trial."
        return remark("NOTE", [run.pair for run in void], _voided, struck, "voided", remedy)
    return []


def _struck_after_weighing(evidence: Evidence, known: Sequence[Run]) -> list[Remark]:
    struck, pairs = _by_arm(evidence, known), {run.pair for run in known}
    unsaid = any(run.void_gold_known is None for run in known)
    how = f"voided after weighing{', or without a word of whether the gold was known' if unsaid else ''}"
    if struck.most >= VOIDS_KNOWN_STOP and struck.most > struck.least:
        return remark("STOP", pairs, _voided, struck, how, "Retest.")
    severity: Severity = "WEAKENS" if len(pairs) >= VOIDS_KNOWN_STOP else "NOTE"
    remedy = "Strike a run before its gold is seen, and write down that it was not known."
    return remark(severity, pairs, _voided, struck, how, remedy, but=_were_voided)


def _were_voided(struck: ByArm[int], *_: str) -> str:
    return f"{count_of(struck.one + struck.other, 'run')} may have been voided after weighing"


def _by_arm(evidence: Evidence, runs: Sequence[Run]) -> ByArm[int]:
    one, other = (sum(run.arm == arm for run in runs) for arm in evidence.trial.arms)
    return ByArm(one, other, evidence.trial.arms)


def _voided(struck: ByArm[int], how: str, remedy: str) -> str:
    fewer = struck.least or "none"
    if struck.whose is None:
        return f"{count_of(struck.most, 'run')} of one set-up {how}, {fewer} of the other. {remedy}"
    return f"{count_of(struck.most, f'{struck.whose} run')} {how}, {fewer} in the other arm. {remedy}"


UNACCOUNTED = (
    f"unaccounted (over {MISSING_GRAINS_PERCENT:g} %, our default). Pan hoses and mat; shown as missing, not lost."
)
GRAINS_HOME = Check("grains-home", "tracers neither kept nor found in the tails", grains_home)
VOIDS_EVEN = Check("voids-even", "runs struck, by arm, and what was known then", voids_even)
