"""Which way of measuring could answer, and which of them is the cheapest? The same change, seen by each measure."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from schemas import MeasureName
from trials.measures.catalogue import MEASURES
from trials.measures.measure import Measure
from trials.noise.situation import Situation
from trials.plans.brief import DesignBrief
from trials.plans.design import Design
from trials.plans.power import FEWEST_PLANNED
from trials.simulation.tracers import SeededTracers

CHARGES = (0.5, 1.0, 2.0, 4.0, 8.0)
"""Multiples of the charge that are looked at."""
TRACERS_A_RUN = (25, 50, 100, 200, 400)
TRACER_CHARGE = 0.5
"""Tracers need dirt only to load the bed: half of the usual charge is taken to do; our default."""
TRACER_CLASSES = (3, 4, 5, 6, 7, 8)
TRACER_SIZES = 4
KEPT_OF_TRACERS = 0.65
"""Grains that the gear keeps to 50 to 80 % tell most (simulated on the assumed noise model, no source)."""
MOST_TRACER_SIZES = 2


@dataclass(frozen=True, slots=True)
class Comparison:
    """Every design looked at, and the best of each sort.

    best: The best of each measure, and of tracers the best of the two cheapest sizes that can answer; among them
        always the best that keeps the charge that was typed; the quickest first, those that can't answer last.
    cheapest: The one that can answer in the least time, then with the least dirt; None where none can.
    """

    designs: tuple[Design, ...]
    best: tuple[Design, ...]
    cheapest: Design | None


def compare_designs(brief: DesignBrief) -> Comparison:
    """Which ways of measuring could answer, and which is the cheapest?

    Over measures, charges of 1/2 to 8 times the usual one, and for tracers 25 to 400 grains of four sizes, in half of
    it, or in all of it where it was typed. Each is reckoned for the same true change, so that a point of recovery and a
    percent of grains are fairly compared.

    Pairs needed: 4 chances in 5, two-sided 5 % (`pairs_to_find`); of a graded plan blocks, by limits joint for its
    levels, one of which makes the change (`blocks_to_find`). Going over the tails is taken to last as long as the
    run, and counting 3 s a grain: our defaults, no source.

    >>> from trials.simulation.dirt import Dirt
    >>> from trials.simulation.gear import TrueEffect
    >>> brief = DesignBrief(Situation(dirt=Dirt(gold_mg=900, size_set="fine")), TrueEffect(shift_logit=0.9),
    ...                     lot_g=400_000, run_minutes=20, cleanup_minutes=10)
    >>> compare_designs(brief).cheapest is not None
    True
    """
    designs = tuple(all_designs(brief))
    return Comparison(designs=designs, best=tuple(_best_of_each(designs)), cheapest=_cheapest_of(designs))


def cheapest_design(brief: DesignBrief) -> Design | None:
    """The cheapest of `compare_designs` alone: what takes longer with the fewest pairs is not reckoned further."""
    return _cheapest_of(all_designs(brief))


def some_answer(brief: DesignBrief, first: Design | None = None) -> Design | None:
    """Some design that can answer, None where none can; the search ends at the first, and begins with one like this."""
    designs = sorted(all_designs(brief), key=lambda one: first is None or _sort_of(one) != _sort_of(first))
    return next((design for design in designs if design.answers), None)


def _sort_of(design: Design) -> tuple[MeasureName, float, SeededTracers | None]:
    return design.measure, design.charges, design.tracers


def _cheapest_of(designs: Iterable[Design]) -> Design | None:
    cheapest: Design | None = None
    for design in sorted(designs, key=lambda one: one.least_minutes):
        if cheapest is not None and design.least_minutes > (cheapest.minutes or math.inf):
            break
        if design.answers and (cheapest is None or _price(design) < _price(cheapest)):
            cheapest = design
    return cheapest


def _price(design: Design) -> tuple[float, float, int]:
    return (design.minutes or float("inf"), design.dirt_g or float("inf"), design.tracers_a_run)


def all_designs(brief: DesignBrief) -> Iterator[Design]:
    """Go through all designs that could be run with what is in hand."""
    has_gold = brief.situation.dirt.gold_mg > 0
    for measure in MEASURES:
        if measure.is_seeded:
            yield from _tracer_designs(measure.name, brief)
        elif has_gold and measure.is_simulated and _can_be_run(measure, brief):
            for times in CHARGES:
                if (
                    brief.arms * FEWEST_PLANNED * times * brief.situation.dirt.fed_g <= brief.lot_g
                    or times == CHARGES[0]
                ):
                    yield Design(brief, measure.name, times)


def _can_be_run(measure: Measure, brief: DesignBrief) -> bool:
    return brief.tails_kept if measure.needs_tails else brief.is_split


def _tracer_designs(measure: MeasureName, brief: DesignBrief) -> Iterator[Design]:
    if brief.tracers == 0 or not brief.tails_kept:
        return  # tracers stay in a closed tub, or are not seeded
    own = brief.situation.tracers
    sizes = own.size_classes if own.fed else telling_sizes(brief.situation)
    for count in sorted({*TRACERS_A_RUN, own.fed, brief.tracers or 0} - {0}):
        for size in sizes:
            for times in (TRACER_CHARGE, 1.0) if brief.has_own_charge else (TRACER_CHARGE,):
                yield Design(brief, measure, times, SeededTracers(fed=count, size_classes=(size,)))


def telling_sizes(situation: Situation) -> list[int]:
    """Size classes of tracers that are looked at: the four of which the gear keeps nearest to 65 %.

    >>> telling_sizes(Situation())
    [8, 7, 6, 5]
    """
    kept = situation.gear.recovery
    return sorted(TRACER_CLASSES, key=lambda size: abs(kept[size] - KEPT_OF_TRACERS))[:TRACER_SIZES]


def _best_of_each(ways: tuple[Design, ...]) -> list[Design]:
    """The best of each measure; of tracers the best of the cheapest sizes that answer, else the best of all."""
    sorts: dict[tuple[str, str], list[Design]] = {}
    for way in ways:
        sorts.setdefault((way.measure, way.tracer_size), []).append(way)
    best = [min(group, key=_rank) for group in sorts.values()]
    tracers = sorted((way for way in best if way.tracers_a_run), key=_rank)
    shown = [way for way in tracers if way.answers][:MOST_TRACER_SIZES] or tracers[:1]
    best = [*(way for way in best if not way.tracers_a_run), *shown]
    own = min((way for way in ways if way.has_own_charge), key=_rank, default=None)
    if own is not None and not any(way.has_own_charge for way in best):
        best.append(own)
    return sorted(best, key=_rank)


def _rank(design: Design) -> tuple[bool, float, float, float]:
    """Those that answer first, the cheapest of them first; then those that come nearest to it."""
    return (False, *_price(design)) if design.answers else (True, design.shortfall, design.charge_g, 0.0)
