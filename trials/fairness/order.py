"""Checks on the order of the halves: first-turn, drawn-order."""

from collections.abc import Sequence

from schemas import Finding, Trial
from trials.fairness.evidence import Check, Evidence, not_recorded
from trials.fairness.telling import finding
from trials.fairness.thresholds import ONE_ARM_FIRST_WEAKENS_SHARE, ORDER_NEEDS_PAIRS
from trials.statistics.balanced_draw import draw_places
from trials.wording.lists import in_pairs


def first_turn(evidence: Evidence) -> Sequence[Finding]:
    """How often did each arm go first, over the passed pairs with known turns? Silent under 3 pairs."""
    known = [pair for pair in evidence.whole if pair.first is not None]
    if not known:
        return not_recorded(FIRST_TURN.name, "The turn of each run was not recorded")
    if len(known) < ORDER_NEEDS_PAIRS:
        return []
    changed_first = sum(pair.first == "changed" for pair in known)
    rarer = min(changed_first, len(known) - changed_first)
    if rarer >= ONE_ARM_FIRST_WEAKENS_SHARE * len(known):
        return []
    often, place = (len(known) - changed_first, "second") if changed_first == rarer else (changed_first, "first")
    return [
        Finding(
            check=FIRST_TURN.name,
            severity="STOP" if rarer == 0 else "WEAKENS",
            message=f"{evidence.changed_words()} ran {place} in {often} of {len(known)} pairs. Order and change "
            "cannot be told apart; draw the order again.",
            pairs=tuple(pair.number for pair in known),
        )
    ]


def drawn_order(evidence: Evidence) -> Sequence[Finding]:
    """Which passed pairs were run in another order than the seed draws?

    A plan whose pairs were amended was drawn with the number it had at first, and only those pairs are compared.
    """
    seed, known = evidence.trial.seed, [pair for pair in evidence.whole if pair.first is not None]
    if seed is None:
        return not_recorded(DRAWN_ORDER.name, "The seed of the draw was not recorded")
    if not known:
        return not_recorded(DRAWN_ORDER.name, "The turn of each run was not recorded")
    drawn = _drawn_first(evidence.trial, seed)
    other = [pair.number for pair in known if drawn.get(pair.number, pair.first) != pair.first]
    if not other:
        return []
    return finding(
        DRAWN_ORDER.name,
        "NOTE",
        f"{in_pairs(other).capitalize()} {'was' if len(other) == 1 else 'were'} run in another order than drawn. Run "
        "them as the sheet says; a chosen order can favour an arm.",
        other,
    )


def _drawn_first(trial: Trial, seed: int) -> dict[int, str]:
    """Which half the draw puts first, by pair."""
    was = [int(a.was) for a in trial.amended if a.what == "pairs" and a.was.isdigit()]
    pairs, spares = (was[0], 0) if was and was[0] > 0 else (trial.pairs, trial.spares)
    places = draw_places(pairs, 2, seed, spares)
    return {number: ("baseline", "changed")[int(first)] for number, first in enumerate(places[:, 0], start=1)}


FIRST_TURN = Check(
    "first-turn",
    "which half of each pair was run first",
    "Fisher, The Design of Experiments, 1935, ch. II, on drawing the order",
    first_turn,
)
DRAWN_ORDER = Check(
    "drawn-order",
    "which half was run first, against the draw from the seed",
    "Fisher, The Design of Experiments, 1935, ch. II, on drawing the order",
    drawn_order,
)
