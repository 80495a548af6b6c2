"""Checks on the order of the halves: first-turn, drawn-order."""

from collections.abc import Sequence

import numpy as np

from schemas import Trial
from schemas.verdict import Severity
from trials.fairness.evidence import Check, Evidence
from trials.fairness.remark import ByArm, Remark, not_recorded, remark
from trials.fairness.stops import has_one_order
from trials.fairness.thresholds import ONE_ARM_FIRST_WEAKENS_SHARE, ORDER_NEEDS_PAIRS
from trials.statistics.balanced_draw import Whole, draw_places
from trials.wording.lists import capital, in_pairs


def first_turn(evidence: Evidence) -> Sequence[Remark]:
    """How often did each arm go first, over the passed pairs with known turns? Silent under 3 pairs."""
    known = [pair for pair in evidence.whole if pair.first is not None]
    if not known:
        return not_recorded("The turn of each run was not recorded")
    if len(known) < ORDER_NEEDS_PAIRS:
        return []
    changed_first = np.array([pair.first == "changed" for pair in known])
    often = int(changed_first.sum())
    went_first = ByArm(len(known) - often, often, evidence.trial.arms)
    if went_first.least >= ONE_ARM_FIRST_WEAKENS_SHARE * len(known):
        return []
    severity: Severity = "STOP" if has_one_order(changed_first) else "WEAKENS"
    return remark(severity, [pair.number for pair in known], _one_arm_first, went_first, but=_mostly_first)


def _mostly_first(went_first: ByArm[int]) -> str:
    place = "first" if went_first.other > went_first.one else "second"
    return f"{went_first.who} ran {place} in {went_first.most} of {went_first.one + went_first.other} pairs"


def _one_arm_first(went_first: ByArm[int]) -> str:
    said = capital(_mostly_first(went_first))
    return f"{said}. Order and change cannot be told apart; draw the order again."


def drawn_order(evidence: Evidence) -> Sequence[Remark]:
    """Which passed pairs were run in another order than the seed draws?

    A plan whose pairs were amended was drawn with the number it had at first, and only those pairs are compared. Until
    the planned end the order of most pairs is taken for the one that was kept, so that nothing tells the arms.
    """
    seed, known = evidence.trial.seed, [pair for pair in evidence.whole if pair.first is not None]
    if seed is None:
        return not_recorded("The seed of the draw was not recorded")
    if not known:
        return not_recorded("The turn of each run was not recorded")
    drawn = _drawn_first(evidence.trial, seed)
    of_draw = [pair for pair in known if pair.number in drawn]
    other, as_drawn = ([p.number for p in of_draw if (drawn[p.number] == p.first) == kept] for kept in (False, True))
    if not evidence.ended:
        other = min(other, as_drawn, key=lambda numbers: (len(numbers), numbers))
    return not_as_drawn(other, in_pairs(other), "an arm")


def not_as_drawn(numbers: Sequence[int], named: str, favoured: str) -> list[Remark]:
    """Tell of pairs, or blocks, that were run in another order than drawn, and what that can favour."""
    if not numbers:
        return []
    said = f"{named.capitalize()} {'was' if len(numbers) == 1 else 'were'} run in another order than drawn."
    return remark("NOTE", numbers, str, f"{said} Run them as the sheet says; a chosen order can favour {favoured}.")


def draw_of_plan(trial: Trial, seed: int) -> Whole:
    """The order in which the plan was drawn, by the number of pairs (blocks) that it had at first."""
    was = [int(a.was) for a in trial.amended if a.what == "pairs" and a.was.isdigit()]
    pairs, spares = (was[0], 0) if was and was[0] > 0 else (trial.pairs, trial.spares)
    return draw_places(pairs, len(trial.arms), seed, spares)


def _drawn_first(trial: Trial, seed: int) -> dict[int, str]:
    """Which half the draw puts first, by pair."""
    places = draw_of_plan(trial, seed)
    return {number: ("baseline", "changed")[int(first)] for number, first in enumerate(places[:, 0], start=1)}


FIRST_TURN = Check(
    "first-turn",
    "which half of each pair was run first",
    first_turn,
    "Fisher, The Design of Experiments, 1935, ch. II, on drawing the order",
)
DRAWN_ORDER = Check(
    "drawn-order",
    "which half was run first, against the draw from the seed",
    drawn_order,
    "Fisher, The Design of Experiments, 1935, ch. II, on drawing the order",
)
