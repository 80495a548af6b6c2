"""All numbers of one trial's verdict, before any word is said of them."""

from dataclasses import dataclass

from schemas import DrawCheck, Interval
from trials.fairness.diagnostics import effect_of_order
from trials.fairness.evidence import Evidence
from trials.fairness.thresholds import DRAW_DISAGREES_NEEDS_PAIRS
from trials.measures.measure import root_mean_square
from trials.statistics.arrays import Numbers
from trials.statistics.paired_t import paired_t
from trials.statistics.sign_flip import sign_flip
from trials.verdicts.outcome import OUTCOMES, JudgedByLimits, Outcome, bounds, interval_of, outcome

LEVEL = 0.95
LOOK_LEVEL = 0.99
LEVEL_AFTER_LOOK = 0.96


@dataclass(frozen=True, slots=True)
class Analysis(JudgedByLimits):
    """The engine's answer for one trial.

    differences: one per informative pair, on the scale, more gold positive.
    level: coverage of the intervals: 0.95; 0.99 at an early look, 0.96 at the end of a plan with one.
    interval, floored: limits of the mean difference; None where nothing is known of the scatter.
    line: the worth-having line on the scale, or None.
    draw: the check by the draw.
    order_adjusted: the interval with the effect of going first taken out; None where it can't be told.
    """

    differences: tuple[float, ...]
    level: float
    mean: float
    sd: float
    t: float | None
    p: float | None
    floor: float | None
    interval: Interval | None
    floored: Interval | None
    line: float | None
    code: Outcome
    draw: DrawCheck
    order_adjusted: Interval | None

    @property
    def scatter(self) -> float | None:
        """The larger of scatter and floor: what a new trial must reckon with; None where neither is known."""
        larger = max(self.sd, self.floor or 0.0)
        return larger or None

    @property
    def draw_disagrees(self) -> bool:
        """The t interval leaves zero out and the flips do not, with pairs enough for them to."""
        zero_inside = self.draw.low is not None and self.draw.high is not None and self.draw.low <= 0 <= self.draw.high
        return self.is_beyond_luck and zero_inside and len(self.differences) >= DRAW_DISAGREES_NEEDS_PAIRS


def analyse(evidence: Evidence, *, level: float = LEVEL) -> Analysis:
    """Run the engine over the informative pairs of a trial, 2 or more; `t` and `p` are None where all are equal."""
    pairing, trial = evidence.pairing, evidence.trial
    differences = pairing.differences
    floor = root_mean_square_floor(evidence)
    limits = bounds(differences, floor, level=level)
    fit = paired_t(differences, level=level)
    line = None if trial.worth_having is None else pairing.measure.line(trial.worth_having)
    code = outcome(limits.low, limits.high, limits.floored_low, limits.floored_high, line)
    has_scatter = float(limits.sd) > 0
    return Analysis(
        differences=tuple(float(d) for d in differences),
        level=level,
        mean=float(limits.mean),
        sd=float(limits.sd),
        t=float(fit.t) if has_scatter else None,
        p=float(fit.p) if has_scatter else None,
        floor=floor,
        interval=interval_of(limits.low, limits.high, level),
        floored=interval_of(limits.floored_low, limits.floored_high, level),
        line=line,
        code=OUTCOMES[int(code)],
        draw=_draw(differences, level),
        order_adjusted=_order_adjusted(evidence, level),
    )


def root_mean_square_floor(evidence: Evidence) -> float | None:
    """SD of a pair difference by counting and weighing luck alone, root mean square over the pairs.

    None where the scale division is not known.
    """
    pairing = evidence.pairing
    baseline, changed = pairing.readings(pairing.informative)
    floors = pairing.measure.floor(baseline, changed, pairing.division_mg)
    return None if floors is None else float(root_mean_square(floors))


def _draw(differences: Numbers, level: float) -> DrawCheck:
    check = sign_flip(differences, level=level)
    return DrawCheck(
        p=float(check.p),
        low=None if check.low is None else float(check.low),
        high=None if check.high is None else float(check.high),
        flips=int(check.flips),
        exact=bool(check.exact),
        smallest_p=float(check.smallest_p),
    )


def _order_adjusted(evidence: Evidence, level: float) -> Interval | None:
    effect = effect_of_order(evidence, level)
    return None if effect is None else interval_of(effect.adjusted_low, effect.adjusted_high, level)
