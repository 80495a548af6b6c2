"""Checks on the people: feed-rhythm, who-knew."""

from collections.abc import Sequence

from trials.fairness.evidence import Check, Evidence, arm_means
from trials.fairness.lean import Reading, lean_of, leaning
from trials.fairness.remark import ByArm, Remark, against, more_or_less, not_recorded, percent_more, remark
from trials.fairness.thresholds import FEED_BETWEEN_ARMS_PERCENT, past
from trials.wording.lists import and_list, capital

EVEN_FEED = "Use the timer and level scoops; slow feed alone can gain."


RATES: tuple[Reading, ...] = (
    lambda run: None if run.fed_g is None or run.minutes is None else run.fed_g / 1000.0 / (run.minutes / 60.0),
    lambda run: run.feed_kg_h,
)
"""The rate in kg/h, reckoned and as read."""


def feed_rhythm(evidence: Evidence) -> Sequence[Remark]:
    """Was one arm fed faster than the other? Silent where the feed rate is the change itself.

    Mass fed over minutes and the rate as read are held to one rule, from 3 runs in each arm; the wider apart is told.
    """
    change = evidence.trial.change
    if not evidence.unstruck or (change is not None and change.variable == "feed rate"):
        return []
    if all(rate(run) is None for run in evidence.unstruck for rate in RATES):
        return not_recorded("Mass fed and minutes were not recorded together in any run")
    means = [found for rate in RATES if (found := arm_means(evidence, rate)) is not None]
    apart = [one for one in means if past(abs(percent_more(one)), FEED_BETWEEN_ARMS_PERCENT)]
    if apart:
        widest = max(apart, key=lambda one: abs(percent_more(one)))
        return remark("WEAKENS", (), _fed_apart, widest, but=_fed_faster)
    seen = (lean_of(evidence, rate, FEED_BETWEEN_ARMS_PERCENT, in_percent=True) for rate in RATES)
    lean = max((one for one in seen if one is not None), key=lambda one: abs(one.percent), default=None)
    return leaning(evidence, lean, ("Feed rate", "kg/h", EVEN_FEED), lean.percent) if lean else []


def _fed_faster(means: ByArm[float]) -> str:
    return more_or_less(means, "was fed", "slower", "faster")


def _fed_apart(means: ByArm[float]) -> str:
    fed = f"{capital(_fed_faster(means))}, {against(means)} kg/h"
    return f"{fed} (over {FEED_BETWEEN_ARMS_PERCENT:g} %, our default). {EVEN_FEED}"


def who_knew(evidence: Evidence) -> Sequence[Remark]:
    """Did the panner know the set-up? It weakens a count by eye, and is small print for a scale.

    That the feeder knew is no fault: someone has to fit the set-up. But one person who did both knew.
    """
    knew = evidence.trial.knew
    if knew is None:
        return not_recorded("Who knew the set-up was not recorded")
    same = sorted({run.feeder for run in evidence.unstruck if run.feeder and run.feeder == run.panner})
    if knew in ("panner", "both"):
        who, how = ("the panner" if knew == "panner" else "feeder and panner"), ""
    elif knew == "feeder" and same:
        who, how = "the panner", f": {and_list(same)} fed and panned the same runs"
    else:
        return []
    by_eye = not evidence.pairing.measure.weighs
    said = f"{who} knew the set-up"
    message = f"{capital(said)}{how}. Hand over tagged jars only."
    return remark("WEAKENS" if by_eye else "NOTE", (), str, message, but=said)


FEED_RHYTHM = Check("feed-rhythm", "kg fed an hour, by arm", feed_rhythm)
WHO_KNEW = Check("who-knew", "who knew the set-up, and who fed and panned", who_knew)
