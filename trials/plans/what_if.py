"""When no way can answer: what would have to change, one thing at a time?"""

import dataclasses
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from trials.noise.situation import HABITS
from trials.plans.asked import TypedLine, change_reaching
from trials.plans.design import Way, mass_words, words_of
from trials.plans.designs import Asked, Comparison, compare_ways, something_answers
from trials.simulation.noise_model import Noise
from trials.wording.lists import and_list, count_of
from trials.wording.numbers import figures

RICHEST = 64.0
LARGEST_LINE = 16.0
FINER_DIVISIONS_G = (0.001, 0.0001)
TRACERS_TO_GET = (50, 100, 200)
STEPS = 6
OF_THE_SCALE = ("scale_division_g", "scale_sd_g", "tails_found")
"""What of the noise is no habit: it stays as it is when habits change."""


@dataclass(frozen=True, slots=True)
class Lever:
    """One thing that, changed alone, would let the trial answer.

    Attributes
    ----------
    name
        The thing: tracers, tails kept, finer scale, better split, steadier runs, richer dirt, more dirt and time,
        larger line.
    says
        What it would have to be, and what the way would then be; one sentence.
    asked
        What is then in hand: as asked, but for that one thing.
    way
        The cheapest way then.
    """

    name: str
    says: str
    asked: Asked
    way: Way


def levers_of(asked: Asked, comparison: Comparison, line: TypedLine) -> tuple[Lever, ...]:
    """What would have to change for a trial to answer?

    Parameters
    ----------
    asked, comparison
        What was in hand, and the ways looked at.
    line
        The smallest gain worth having, as typed; a larger one is looked for too.

    Returns
    -------
    tuple of Lever
        Each alone is enough; the least time first. Empty where something answers already.
    """
    if comparison.cheapest is not None:
        return ()
    found = [lever for rule in LEVERS for lever in rule(asked, line)]
    return tuple(sorted(found, key=lambda lever: lever.way.minutes or 0.0))


def _lever(name: str, does: str, asked: Asked) -> Iterator[Lever]:
    """The lever, if with it something answers."""
    way = compare_ways(asked).cheapest
    if way is None or way.pairs is None or way.minutes is None:
        return
    then = f"{words_of(way)}, {count_of(way.pairs, 'pair')} of {mass_words(way.charge_g)} a run"
    yield Lever(name, f"{does}: {then}, {figures(way.minutes / 60.0, 2)} h.", asked, way)


def _tracers(asked: Asked, _: TypedLine) -> Iterator[Lever]:
    """Grains of a size that the gear half-loses, if too few or none are in hand: as few as will do."""
    for count in TRACERS_TO_GET:
        if asked.tracers is None or count <= asked.tracers or not asked.tails_kept:
            continue
        more = dataclasses.replace(asked, tracers=count)
        if something_answers(more):
            way = compare_ways(more).cheapest
            size_class = way.situation.tracers.size_classes[0] if way else 0
            kept = 100.0 * asked.situation.gear.recovery[size_class]
            yield from _lever("tracers", f"Seed tracer grains of a size the gear keeps to {kept:.0f} %", more)
            return


def _tails(asked: Asked, _: TypedLine) -> Iterator[Lever]:
    if not asked.tails_kept:
        does = "Tub the tails of every run and go over them again"
        yield from _lever("tails kept", does, dataclasses.replace(asked, tails_kept=True))


def _finer_scale(asked: Asked, _: TypedLine) -> Iterator[Lever]:
    noise = asked.situation.noise
    for division in FINER_DIVISIONS_G:
        if division < noise.scale_division_g:
            finer = _with_noise(asked, dataclasses.replace(noise, scale_division_g=division, scale_sd_g=division))
            if something_answers(finer):
                yield from _lever("finer scale", f"Weigh on a scale of {division:g} g steps", finer)
                return


def _better_split(asked: Asked, _: TypedLine) -> Iterator[Lever]:
    dirt = asked.situation.dirt
    if asked.is_split and dirt.split_vmr <= 1.0:
        return
    even = dataclasses.replace(asked.situation, dirt=dataclasses.replace(dirt, split_vmr=1.0))
    does = "Split with a riffle splitter" if asked.is_split else "Halve each lot with a riffle splitter"
    yield from _lever("better split", does, dataclasses.replace(asked, situation=even, is_split=True))


def _steadier_runs(asked: Asked, _: TypedLine) -> Iterator[Lever]:
    """The habits of a careful bench, on the same scale."""
    noise = asked.situation.noise
    kept = {name: getattr(noise, name) for name in OF_THE_SCALE}
    careful = dataclasses.replace(HABITS["careful"], **kept)
    if careful != noise:
        does = "Run more alike (timed feed, level scoops, water timed every run)"
        yield from _lever("steadier runs", does, _with_noise(asked, careful))


def _richer(asked: Asked, _: TypedLine) -> Iterator[Lever]:
    """Richer dirt of the same sizes, by weighing or counting its own gold."""
    dirt = asked.situation.dirt
    if dirt.gold_mg <= 0:
        return

    def richer(times: float) -> Asked:
        rich = dataclasses.replace(dirt, gold_mg=dirt.gold_mg * times)
        return dataclasses.replace(asked, tracers=0, situation=dataclasses.replace(asked.situation, dirt=rich))

    times = _least(lambda factor: something_answers(richer(factor)), RICHEST)
    if times is not None:
        yield from _lever("richer dirt", f"Feed dirt {figures(times, 2)} times as rich", richer(times))


def _more(asked: Asked, _: TypedLine) -> Iterator[Lever]:
    """More dirt and time, as far as a plan of 60 pairs goes."""
    free = dataclasses.replace(asked, lot_g=1e9, time_minutes=None)
    way = compare_ways(free).cheapest
    if way is None or way.dirt_g is None or way.minutes is None:
        return
    lacks_dirt = way.dirt_g > asked.lot_g
    lacks_time = asked.time_minutes is not None and way.minutes > asked.time_minutes
    needs = [f"{mass_words(way.dirt_g)} of dirt"] if lacks_dirt else []
    needs += [f"{figures(way.minutes / 60, 2)} h"] if lacks_time else []
    name = and_list([*(["dirt"] if lacks_dirt else []), *(["time"] if lacks_time else [])])
    yield from _lever(f"more {name}", f"Bring {and_list(needs)}", free)


def _larger_line(asked: Asked, line: TypedLine) -> Iterator[Lever]:
    """The least gain that the same means can find, on the measure it was typed for."""

    def larger(times: float) -> tuple[TypedLine, Asked] | None:
        longer = dataclasses.replace(line, typed=rounded_up(line.typed * times))
        change = change_reaching(longer, asked.situation)
        return None if change is None else (longer, dataclasses.replace(asked, change=change))

    def answers(times: float) -> bool:
        found = larger(times)
        return found is not None and something_answers(found[1])

    most = next((factor for factor in (LARGEST_LINE, 4.0, 2.0) if answers(factor)), None)
    times = None if most is None else _least(answers, most)
    found = None if times is None else larger(times)
    if found is not None:
        yield from _lever("larger line", f"Take {found[0].words} as the smallest gain worth having", found[1])


LEVERS: tuple[Callable[[Asked, TypedLine], Iterator[Lever]], ...] = (
    _tracers,
    _tails,
    _finer_scale,
    _better_split,
    _steadier_runs,
    _richer,
    _more,
    _larger_line,
)


def _with_noise(asked: Asked, noise: Noise) -> Asked:
    return dataclasses.replace(asked, situation=dataclasses.replace(asked.situation, noise=noise))


def rounded_up(value: float, count: int = 2) -> float:
    """Round up to so many figures, so that what is printed is enough.

    >>> rounded_up(2.41), rounded_up(2.4), rounded_up(113.0), rounded_up(0.0101)
    (2.5, 2.4, 120.0, 0.011)
    """
    places = count - 1 - math.floor(math.log10(value))
    # The last digit of a float must not make 2.4 into 2.5.
    return round(math.ceil(round(value * 10.0**places, 6)) / 10.0**places, max(places, 0))


def _least(answers: Callable[[float], bool], most: float) -> float | None:
    """The least factor over 1 that answers, to 2 figures; None where the largest does not."""
    if not answers(most):
        return None
    low, high = 1.0, most
    for _ in range(STEPS):
        middle = rounded_up((low * high) ** 0.5)
        if not low < middle < high:
            break
        low, high = (low, middle) if answers(middle) else (middle, high)
    return high
