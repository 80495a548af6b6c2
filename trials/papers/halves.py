"""How the dirt of a pair is made into two like halves and marked, so that the coin deals them, and not a hand."""

from collections.abc import Mapping
from types import MappingProxyType

from schemas import Trial
from trials.fairness.thresholds import HALVES_DIFFER_WEAKENS_PERCENT
from trials.papers.names import of_a_block
from trials.wording.lists import and_list, capital

MIXED: Mapping[str, str] = MappingProxyType(
    {
        "tarp": "roll all of it on a tarp",
        "coned": "heap all of it into a cone, three times",
        "drum": "turn it in a drum",
    }
)
HALVED: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "riffle splitter": ("pour it through the riffle splitter", "left pan first, right pan second"),
        "spinning": ("split it on the spinning divider", "odd pots first, even pots second"),
        "cone and quarter": ("cone and quarter it", "one pair of opposite quarters first, the other second"),
        "level scoops": ("deal it out in level scoops, by turns", "the bucket begun with first, the other second"),
        "shovel": ("deal it out by the shovel, by turns", "the bucket begun with first, the other second"),
    }
)
BY_HAND = ("part it in two as evenly as you can", "the left one first, the right one second")


def halves_lines(trial: Trial) -> tuple[str, ...]:
    """Tell how the shares of each pair or block are made and marked; nothing for an audit, which has none.

    How dirt is mixed and split is common practice, no source.

    >>> from schemas import Change, Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, gear=Gear(kind="sluice"),
    ...     lots=(Lot(kind="natural", mixing="tarp", splitting="riffle splitter"),),
    ...     change=Change(variable="mat", baseline="ribbed", changed=("looped",)))
    >>> for line in halves_lines(trial): print(line)
    Mix the lot: roll all of it on a tarp. For each pair take out two charges.
    Pour it through the riffle splitter: left pan first, right pan second.
    Write pair and first or second on each bucket at once, before you read which run it is for.
    Weigh both: over 5 % apart, put them together and split again. Then tie on the tag of the run.
    """
    if trial.kind == "audit":
        return ()
    block, count = of_a_block(trial), len(trial.arms)
    mixings = dict.fromkeys(MIXED[how] for lot in trial.lots if (how := lot.mixing or "") in MIXED)
    mix = f"Mix the lot: {and_list(list(mixings))}." if mixings else "Mix the lot well."
    apart = f"over {HALVES_DIFFER_WEAKENS_PERCENT:g} % apart"
    if count > len(BY_HAND):
        return (
            f"{mix} For each {block} take out {count} charges.",
            f"Split it into {count} like shares.",
            f"Write {block} and a number, 1 to {count}, on each bucket at once, before you read which run it is for.",
            f"Weigh them: {apart}, put them together and split again. Then tie on the tag of the run.",
        )
    ways = dict.fromkeys(HALVED.get(lot.splitting or "", BY_HAND) for lot in trial.lots)
    return (
        f"{mix} For each {block} take out two charges.",
        *(f"{capital(how)}: {which}." for how, which in ways),
        f"Write {block} and first or second on each bucket at once, before you read which run it is for.",
        f"Weigh both: {apart}, put them together and split again. Then tie on the tag of the run.",
    )
