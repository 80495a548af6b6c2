"""Readings that lean to one set-up, a little in each pair: one rule for dirt, water, warmth, feed, settings, hands."""

from collections.abc import Callable
from dataclasses import dataclass
from statistics import fmean

import numpy as np

from schemas import Run
from schemas.verdict import Severity
from trials.fairness import thresholds
from trials.fairness.evidence import Evidence
from trials.fairness.remark import ByArm, Remark, remark
from trials.statistics.paired_t import paired_t
from trials.statistics.sign_test import sign_test
from trials.wording.numbers import figures, one_in

Reading = Callable[[Run], float | None]
COULD_MAKE = "That could make a third or more of the difference seen"
A_SETTING = "the setting"


@dataclass(frozen=True, slots=True)
class Lean:
    """A reading that lies to one side in nearly all pairs.

    means: of each arm, over the pairs that have it of both halves.
    ways: in how many pairs the reading of each arm was the larger.
    """

    means: ByArm[float]
    ways: ByArm[int]

    @property
    def gap(self) -> float:
        """By how much the other arm has more, in the reading's unit."""
        return self.means.other - self.means.one

    @property
    def percent(self) -> float:
        """The same in % of the mean of both; without end where that is 0."""
        middle = abs(self.means.one + self.means.other) / 2.0
        return 100.0 * self.gap / middle if middle > 0 else float(np.copysign(np.inf, self.gap))


def lean_of(evidence: Evidence, reading: Reading, limit: float, *, in_percent: bool = False) -> Lean | None:
    """Does a reading lie to one side in nearly all pairs, by more than half its limit on the mean; None if not.

    The limit is in the reading's unit, or in % of its mean. Nearly all is what luck alone does 1 time in 16 or less,
    by the exact sign test. It puts all of 3 or 4 pairs on one side oftener than that: of so few the whole limit has to
    be passed.
    """
    both = [[reading(run) for run in pair.halves] for pair in evidence.whole]
    found = [(one, other) for one, other in both if one is not None and other is not None]
    more = sum(other > one for one, other in found)
    ways = ByArm(sum(other < one for one, other in found), more, evidence.trial.arms)
    pairs = ways.one + ways.other
    if not goes_one_way(ways):
        return None
    lean = Lean(ByArm(fmean(one for one, _ in found), fmean(other for _, other in found), evidence.trial.arms), ways)
    size = lean.percent if in_percent else lean.gap
    share = thresholds.LEAN_SHARE if pairs >= thresholds.LEAN_SURE_PAIRS else 1.0
    agrees = (lean.gap > 0) == (ways.other > ways.one)
    return lean if agrees and thresholds.past(abs(size), share * limit) else None


def goes_one_way(ways: ByArm[int]) -> bool:
    """Do so many pairs lie to one side that luck alone seldom does it? Of 3 or 4 all have to."""
    pairs = ways.one + ways.other
    if pairs < thresholds.LEAN_SURE_PAIRS:
        return pairs >= thresholds.LEAN_NEEDS_PAIRS and ways.least == 0
    return sign_test(ways.one, ways.other) <= thresholds.LEAN_LEVEL


def weight_of(evidence: Evidence, moves_percent: float | None) -> Severity:
    """How much does a lean weigh that moves the odds of keeping a grain by up to so many %, None: nobody knows?

    It weakens a difference beyond luck of which it could make a third or more; else, and until the end, it is a note.
    Of a ratio the odds move the gold by as many % at the most; of a share kept, R, by 100 R (1 - R) points.
    """
    pairing = evidence.pairing
    if not evidence.ended or not pairing.counted or len(pairing.informative) < thresholds.LEAN_NEEDS_PAIRS:
        return "NOTE"
    differences = pairing.differences
    if not np.isfinite(differences).all():
        return "NOTE"
    fit = paired_t(differences)
    if fit.low <= 0 <= fit.high:
        return "NOTE"
    if moves_percent is None:
        return "WEAKENS"
    moved = abs(moves_percent) / 100.0
    if not pairing.measure.is_ratio:
        kept = float(np.mean([pairing.measure.value(half) for half in pairing.readings(pairing.informative)])) / 100.0
        moved *= 100.0 * kept * (1.0 - kept)
    return "WEAKENS" if moved >= thresholds.LEAN_GAIN_SHARE * abs(float(fit.mean)) else "NOTE"


def leaning(
    evidence: Evidence, lean: Lean, what: tuple[str, str, str], percent: float | None, of: str = A_SETTING
) -> list[Remark]:
    """Tell of a lean: what leans, its unit and remedy; by how many percent of what it may move the gold, if known."""
    word, unit, remedy = what
    severity = weight_of(evidence, percent)
    if severity == "WEAKENS":
        taken = "nobody knows how much" if percent is None else f"1 % of {of} taken for 1 % of gold, our default"
        remedy = f"{COULD_MAKE} ({taken}). {remedy}"
    return remark(severity, (), _leans_one_way, word, unit, lean.means, lean.ways, remedy, but=_leaned)


def _leaned(word: str, _: str, means: ByArm[float], ways: ByArm[int], __: str) -> str:
    higher = "lower" if means.arms is None or means.other < means.one else "higher"
    pairs = f"in {ways.most} of {ways.one + ways.other} pairs"
    return f"{word[0].lower()}{word[1:]} was {higher} with {means.who} {pairs}"


def how_often(ways: ByArm[int]) -> str:
    """In how many pairs it was so, and how seldom luck alone does that; of few pairs it is not seldom, nor said."""
    pairs = ways.one + ways.other
    seldom = (
        f", which luck alone does {one_in(sign_test(ways.one, ways.other))}"
        if pairs >= thresholds.LEAN_SURE_PAIRS
        else ""
    )
    return f"in {ways.most} of {pairs} pairs{seldom}"


def _leans_one_way(word: str, unit: str, means: ByArm[float], ways: ByArm[int], remedy: str) -> str:
    one, other = figures(means.one), figures(means.other)
    unit = f" {unit}" if unit else ""
    read = (
        f"{one} against {other}{unit}"
        if means.arms is None
        else f"{other}{unit} in the {means.arms[1]} runs, {one} in the {means.arms[0]} ones"
    )
    return f"{word} leans one way: {read}, and so {how_often(ways)}. {remedy}"
