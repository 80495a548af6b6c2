"""Notes on the pairs themselves: order-effect, odd-pair, one-pair-carries.

Each is small print: with so few pairs they miss much and cry wolf at times, and none decides anything. They speak
only when the planned end is reached.
"""

from collections.abc import Sequence

import numpy as np

from trials.fairness import thresholds
from trials.fairness.evidence import Check, Evidence
from trials.fairness.remark import Remark, remark
from trials.measures.pairing import Pair
from trials.statistics.arrays import Numbers
from trials.statistics.leave_one_out import leave_one_out
from trials.statistics.odd_pair import odd_pair
from trials.statistics.order_effect import OrderEffect, order_effect
from trials.statistics.paired_t import paired_t
from trials.wording.lists import count_of, in_pairs
from trials.wording.numbers import one_in


def _varied(evidence: Evidence, at_least: int) -> tuple[tuple[Pair, ...], Numbers] | None:
    """The informative pairs and their differences, if the end is reached and there are enough that differ."""
    if not evidence.ended or not evidence.pairing.counted:
        return None
    pairs = evidence.pairing.informative
    differences = evidence.pairing.differences
    enough = len(pairs) >= at_least and bool(np.isfinite(differences).all())
    return (pairs, differences) if enough and np.ptp(differences) > 0 else None


def effect_of_order(evidence: Evidence, level: float) -> OrderEffect | None:
    """The effect of going first, and the mean with it taken out; None where it can't be told.

    Needs turns for all pairs, both orders, and 4 pairs.
    """
    found = _varied(evidence, thresholds.ORDER_EFFECT_NEEDS_PAIRS)
    if found is None or any(pair.first is None for pair in found[0]):
        return None
    changed_first = np.array([pair.first == "changed" for pair in found[0]])
    if changed_first.all() or not changed_first.any():
        return None
    return order_effect(found[1], changed_first, level=level)


def order_seen(evidence: Evidence) -> Sequence[Remark]:
    """Did the pairs run one way round differ from those run the other way?"""
    effect = effect_of_order(evidence, 1.0 - thresholds.NOTE_LEVEL)
    if effect is None:
        return remark("not recorded", (), str, "Too little to tell.")
    p, pairs = float(effect.p), int(effect.df) + 2
    if p >= thresholds.NOTE_LEVEL or not np.isfinite(p):
        said = f"No effect of going first was seen; with {count_of(pairs, 'pair')} one is easily missed."
        return remark("ok", (), str, said)
    weak = "" if pairs >= thresholds.ORDER_ADJUSTED_NEEDS_PAIRS else " Read it with care under 8 pairs."
    said = f"Going first seems to matter: luck alone does as much {one_in(p)}. See the limits without it.{weak}"
    return remark("NOTE", (), str, said)


def odd_one(evidence: Evidence) -> Sequence[Remark]:
    """Does one pair lie far from the rest? A prompt to read its notes, never a reason to drop it."""
    found = _varied(evidence, thresholds.ODD_PAIR_NEEDS_PAIRS)
    if found is None:
        return []
    pairs, differences = found
    odd = odd_pair(differences, alpha=thresholds.NOTE_LEVEL)
    if not odd.is_odd:
        return []
    number = pairs[int(odd.index)].number
    said = f"Pair {number} lies far from the others. Read its notes; it stays in the sum."
    return remark("NOTE", [number], str, said)


def rests_on_one(evidence: Evidence) -> Sequence[Remark]:
    """Would a difference beyond luck not be so if one pair were left out? Told from 8 pairs.

    Where most pairs would do it, none of them carries the answer: zero is just outside. A difference that is not
    beyond luck rests on nothing, and that a pair less would make it so is no reason to drop it.
    """
    found = _varied(evidence, thresholds.ONE_PAIR_CARRIES_NEEDS_PAIRS)
    if found is None:
        return []
    pairs, differences = found
    whole = paired_t(differences, level=thresholds.ONE_PAIR_CARRIES_LEVEL)
    if whole.low <= 0 <= whole.high:
        return []
    without = leave_one_out(differences, level=thresholds.ONE_PAIR_CARRIES_LEVEL)
    carrying = [pair.number for pair, changes in zip(pairs, without.changes, strict=True) if changes]
    return resting_on(carrying, len(pairs))


def resting_on(carrying: Sequence[int], of: int, what: str = "pair", level: str = "") -> list[Remark]:
    """Tell that zero would be inside without any one of these pairs, or blocks with a level; nothing of none."""
    if not carrying:
        return []
    of_level = f" with {level}" if level else ""
    if 2 * len(carrying) > of:
        most = f"most {what}s ({len(carrying)} of {of})"
        said = f"Zero is just outside{of_level}: without any one of {most} it would be inside."
        return remark("NOTE", (), str, said)
    which = f"{'' if len(carrying) == 1 else 'any one of '}{in_pairs(carrying, what)}"
    return remark("NOTE", carrying, str, f"Without {which} zero would be inside{of_level}.")


ORDER_EFFECT = Check("order-effect", "differences by which half went first", order_seen, "two-sample t test")
ODD_PAIR = Check("odd-pair", "the pair furthest from the mean", odd_one, "Grubbs, Ann. Math. Stat. 21, 1950")
ONE_PAIR_CARRIES = Check("one-pair-carries", "the interval with each pair left out", rests_on_one)
