"""Which way of measuring could answer, and which of them is the cheapest? The same change, seen by each measure."""

import dataclasses
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

from schemas import MeasureName
from trials.fairness.thresholds import ZERO_RUNS_STOP_PERCENT
from trials.measures.catalogue import MEASURES, measure_named
from trials.planning.budget import Budget, noise_budget
from trials.planning.effect import true_difference
from trials.planning.need import FEWEST_PLANNED, MOST_PLANNED, pairs_for, pairs_without_limit
from trials.planning.situation import Situation
from trials.simulation.gear import Change
from trials.simulation.tracers import Tracers
from trials.wording.lists import count_of
from trials.wording.numbers import figures

CHARGES = (0.5, 1.0, 2.0, 4.0, 8.0)
"""Multiples of the charge that are looked at."""
TRACERS_A_RUN = (25, 50, 100, 200, 400)
TRACER_CHARGES = (0.25, 0.5, 1.0)
"""Tracers need dirt only to load the bed, so less of the charge may do."""
TRACER_CLASSES = (3, 4, 5, 6, 7, 8)
TRACER_LABELS = ("10/14", "14/20", "20/30", "30/40", "40/50", "50/70", "70/100", "100/140", "140/200", "200/270")
"""The ten size classes of the noise model by the ASTM E11 sieves that bound them."""
MOST_COUNTED = 1_000.0
SECONDS_A_GRAIN = 3.0
DIVISIONS_STOP, DIVISIONS_WEAKEN = 10.0, 50.0
"""Load on a scale, divisions: 50 or more is usual (NIST Handbook 44, G-UR.1.1, recalled); the 10 is our default."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What a person has in hand, and what they want to know.

    Attributes
    ----------
    situation
        What one run of the charge is fed, with which habits, on which gear.
    change
        The change that would be just worth having.
    lot_g
        Dirt there is.
    run_minutes, cleanup_minutes
        Of one run of the charge.
    time_minutes
        For the whole trial; None: as long as it takes.
    tails_kept
        The tails of every run can be caught and gone over again.
    tracers
        Tracer grains in hand, told apart from the dirt's own; 0: none; None: they could be had.
    is_split
        Each pair is two halves of one lot; without it only what closes on itself can be compared.
    """

    situation: Situation
    change: Change
    lot_g: float
    run_minutes: float
    cleanup_minutes: float
    time_minutes: float | None = None
    tails_kept: bool = True
    tracers: int | None = None
    is_split: bool = True


@dataclass(frozen=True)
class Way:
    """One way to run the trial.

    Attributes
    ----------
    measure
        What is weighed or counted.
    charge_g
        Dirt fed to one run.
    situation
        As asked, with this charge and these tracers.
    difference
        What the change truly does on the measure's scale.
    budget
        Where its noise is from.
    minutes_a_run
        Running, cleaning up, going over the tails and counting.
    lot_g, time_minutes
        Dirt and time there are.
    tracers_in_hand
        None: they could be had.
    """

    measure: MeasureName
    charge_g: float
    situation: Situation
    difference: float
    budget: Budget
    minutes_a_run: float
    lot_g: float
    time_minutes: float | None
    tracers_in_hand: int | None = None

    @cached_property
    def pairs(self) -> int | None:
        """Pairs that find it 4 times in 5, 3 or more; None where 60 are too few."""
        return pairs_for(self.difference, self.budget.sd_pair) if self.difference else None

    @cached_property
    def pairs_unlimited(self) -> int | None:
        """The same with no end to a plan; None over a million."""
        return pairs_without_limit(self.difference, self.budget.sd_pair) if self.difference else None

    @property
    def dirt_g(self) -> float | None:
        """Dirt for all runs."""
        return None if self.pairs is None else 2.0 * self.pairs * self.charge_g

    @property
    def minutes(self) -> float | None:
        """Time for all runs."""
        return None if self.pairs is None else 2.0 * self.pairs * self.minutes_a_run

    @property
    def tracers_a_run(self) -> int:
        """Counted grains seeded into one run; 0 for other measures."""
        return self.situation.tracers.fed_in_all if self.measure == "tracers" else 0

    @property
    def tracer_size(self) -> str:
        """Their size class by ASTM sieves; blank for other measures."""
        return TRACER_LABELS[self.situation.tracers.size_classes[0]] if self.measure == "tracers" else ""

    @property
    def divisions(self) -> float | None:
        """Scale divisions that the least mass of the measure covers; None for what is counted."""
        division_mg = 1000.0 * self.situation.noise.scale_division_g
        return self.weighed_mg / division_mg if self.weighed_mg and division_mg else None

    @property
    def weighed_mg(self) -> float | None:
        """Gold on the scale: all of a run's gold for recovery, what was kept or lost for the other two."""
        if self.measure == "recovery":
            return self.situation.dirt.gold_mg
        return self.budget.expected if self.measure in ("gold_mass", "tails_gold") else None

    @cached_property
    def hindrances(self) -> tuple[str, ...]:
        """Why it can't answer, each in a few words; none where it can."""
        return tuple(says for rule in HINDRANCES if (says := rule(self)) is not None)

    @property
    def answers(self) -> bool:
        """Whether it can answer with what is in hand."""
        return not self.hindrances

    @property
    def shortfall(self) -> float:
        """How far it is from answering: the worst ratio of need to have, 1 or less where it can; large where none."""
        pairs = self.pairs_unlimited
        if pairs is None:
            return float("inf")
        ratios = [pairs / MOST_PLANNED, 2.0 * pairs * self.charge_g / self.lot_g]
        if self.time_minutes is not None:
            ratios.append(2.0 * pairs * self.minutes_a_run / self.time_minutes)
        if self.divisions is not None:
            ratios.append(DIVISIONS_STOP / self.divisions)
        if self.tracers_in_hand is not None and self.measure == "tracers":
            ratios.append(self.tracers_a_run / max(self.tracers_in_hand, 1e-9))
        if self.measure == "grain_counts":
            ratios.append(self.budget.expected / MOST_COUNTED)
        ratios.append(100.0 * self.budget.zero_share / ZERO_RUNS_STOP_PERCENT)
        return max(ratios)


def _too_many_pairs(way: Way) -> str | None:
    if way.pairs is not None:
        return None
    needed = way.pairs_unlimited
    return f"{'over a million' if needed is None else f'{needed:,}'} pairs, and a plan holds {MOST_PLANNED}"


def _too_little_dirt(way: Way) -> str | None:
    if way.dirt_g is None or way.dirt_g <= way.lot_g * (1 + 1e-9):
        return None
    return f"{figures(way.dirt_g / 1000)} kg of dirt, and there are {figures(way.lot_g / 1000)}"


def _too_little_time(way: Way) -> str | None:
    if way.minutes is None or way.time_minutes is None or way.minutes <= way.time_minutes:
        return None
    return f"{figures(way.minutes / 60)} h, and there are {figures(way.time_minutes / 60)}"


def _too_coarse_a_scale(way: Way) -> str | None:
    if way.divisions is None or way.divisions >= DIVISIONS_STOP:
        return None
    return f"{figures(way.divisions, 2)} steps of the scale a run, and {figures(DIVISIONS_STOP)} are the least"


def _too_many_zeros(way: Way) -> str | None:
    share = 100.0 * way.budget.zero_share
    return f"{share:.0f} % of the runs would find none" if share > ZERO_RUNS_STOP_PERCENT else None


def _too_many_grains(way: Way) -> str | None:
    if way.measure != "grain_counts" or way.budget.expected <= MOST_COUNTED:
        return None
    return f"{figures(way.budget.expected, 2)} grains a run, too many to count"


def _too_few_tracers(way: Way) -> str | None:
    if way.measure != "tracers" or way.tracers_in_hand is None or way.tracers_a_run <= way.tracers_in_hand:
        return None
    return f"{way.tracers_a_run} tracer grains a run, and there are {way.tracers_in_hand}"


HINDRANCES: tuple[Callable[[Way], str | None], ...] = (
    _too_many_pairs,
    _too_little_dirt,
    _too_little_time,
    _too_coarse_a_scale,
    _too_many_zeros,
    _too_many_grains,
    _too_few_tracers,
)


@dataclass(frozen=True, slots=True)
class Comparison:
    """Every way looked at, and the best of each sort.

    Attributes
    ----------
    ways
        All of them.
    best
        The best of each measure, and of tracers the best of each size that can answer; the quickest first, those that
        can't answer last.
    cheapest
        The one that can answer in the least time, then with the least dirt; None where none can.
    """

    ways: tuple[Way, ...]
    best: tuple[Way, ...]
    cheapest: Way | None


def compare_ways(asked: Asked) -> Comparison:
    """Which ways of measuring could answer, and which is the cheapest?

    Parameters
    ----------
    asked
        What is in hand and what is to be found.

    Returns
    -------
    Comparison
        Over measures, charges of 1/2 to 8 times the usual one, and for tracers 25 to 400 grains of six sizes. Each way
        is reckoned for the same true change, so that a point of recovery and a percent of grains are fairly compared.

    Notes
    -----
    Pairs needed: 4 chances in 5, two-sided 5 % (`pairs_for`). Going over the tails is taken to last as long as the run,
    and counting 3 s a grain: our defaults, no source.

    Examples
    --------
    >>> from trials.planning.situation import Situation
    >>> from trials.simulation.dirt import Dirt
    >>> asked = Asked(Situation(dirt=Dirt(gold_mg=900, size_set="fine")), Change(shift_logit=0.9), lot_g=400_000,
    ...               run_minutes=20, cleanup_minutes=10)
    >>> compare_ways(asked).cheapest is not None
    True
    """
    ways = tuple(_all_ways(asked))
    answering = [way for way in ways if way.answers]
    cheapest = min(answering, key=_price, default=None)
    return Comparison(ways=ways, best=tuple(_best_of_each(ways)), cheapest=cheapest)


def _price(way: Way) -> tuple[float, float, int]:
    return (way.minutes or float("inf"), way.dirt_g or float("inf"), way.tracers_a_run)


def _all_ways(asked: Asked) -> Iterator[Way]:
    has_gold = asked.situation.dirt.gold_mg > 0
    for measure in MEASURES:
        if measure.name == "tracers":
            yield from _tracer_ways(asked)
        elif has_gold and _can_be_run(measure.name, asked):
            for times in CHARGES:
                if 2 * FEWEST_PLANNED * times * asked.situation.dirt.fed_g <= asked.lot_g or times == CHARGES[0]:
                    yield way_of(asked, measure.name, charges=times)


def _can_be_run(measure: MeasureName, asked: Asked) -> bool:
    needs_tails = measure in ("recovery", "tails_gold")
    return asked.tails_kept if needs_tails else asked.is_split


def _tracer_ways(asked: Asked) -> Iterator[Way]:
    if asked.tracers == 0:
        return
    own = asked.situation.tracers
    sizes = own.size_classes if own.fed else TRACER_CLASSES
    for count in sorted({*TRACERS_A_RUN, own.fed} - {0}):
        for size in sizes:
            for times in TRACER_CHARGES:
                yield way_of(asked, "tracers", charges=times, tracers=Tracers(fed=count, size_classes=(size,)))


def way_of(asked: Asked, measure: MeasureName, *, charges: float = 1.0, tracers: Tracers | None = None) -> Way:
    """Reckon one way: so many times the charge in each run, and such tracers."""
    dirt = asked.situation.dirt
    fed = dataclasses.replace(dirt, gold_mg=dirt.gold_mg * charges, fed_g=dirt.fed_g * charges)
    situation = dataclasses.replace(asked.situation, dirt=fed, tracers=tracers or asked.situation.tracers)
    budget = noise_budget(measure, situation)
    counted = {"grain_counts": budget.expected, "tracers": float(situation.tracers.fed_in_all)}.get(measure, 0.0)
    tails = asked.run_minutes * charges if measure in ("recovery", "tails_gold") else 0.0
    minutes = asked.run_minutes * charges + asked.cleanup_minutes + tails + counted * SECONDS_A_GRAIN / 60.0
    return Way(
        measure=measure,
        charge_g=fed.fed_g,
        situation=situation,
        difference=true_difference(measure, situation, asked.change),
        budget=budget,
        minutes_a_run=minutes,
        lot_g=asked.lot_g,
        time_minutes=asked.time_minutes,
        tracers_in_hand=asked.tracers,
    )


def _best_of_each(ways: tuple[Way, ...]) -> list[Way]:
    """The best of each measure; of tracers the best of every size that answers, else the best of all."""
    sorts: dict[tuple[str, str], list[Way]] = {}
    for way in ways:
        sorts.setdefault((way.measure, way.tracer_size), []).append(way)
    best = [min(group, key=_rank) for group in sorts.values()]
    tracers = sorted((way for way in best if way.measure == "tracers"), key=_rank)
    shown = [way for way in tracers if way.answers][:MOST_TRACER_SIZES] or tracers[:1]
    return sorted([*(way for way in best if way.measure != "tracers"), *shown], key=_rank)


MOST_TRACER_SIZES = 2


def _rank(way: Way) -> tuple[bool, float, float]:
    """Those that answer first, the cheapest of them first; then those that come nearest to it."""
    return (not way.answers, way.minutes or 0.0 if way.answers else way.shortfall, way.charge_g)


def words_of(way: Way) -> str:
    """Say a way in a few words.

    >>> from trials.planning.situation import Situation
    >>> asked = Asked(Situation(), Change(shift_logit=0.9), lot_g=1e6, run_minutes=20, cleanup_minutes=10)
    >>> words_of(way_of(asked, "tracers", tracers=Tracers(fed=100, size_classes=(7,))))
    '100 tracer grains of 100/140 mesh a run, counted'
    """
    match way.measure:
        case "tracers":
            return f"{count_of(way.tracers_a_run, 'tracer grain')} of {way.tracer_size} mesh a run, counted"
        case "recovery":
            return "gold kept and gold in the tails, both weighed"
        case "gold_mass":
            return "gold kept, weighed"
        case "tails_gold":
            return "gold in the tails, weighed"
        case _:
            return "gold grains kept, counted"


def name_of(way: Way) -> str:
    """Name a way as a table does: the measure, its charge, its tracers."""
    charge = f"{figures(way.charge_g / 1000)} kg a run"
    grains = f", {way.tracers_a_run} grains of {way.tracer_size}" if way.measure == "tracers" else ""
    return f"{measure_named(way.measure).name}, {charge}{grains}"
