"""When no way can answer: what would have to change, one thing at a time?"""

import dataclasses
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from trials.planning.ways import TRACER_CLASSES, Asked, Comparison, Way, compare_ways, way_of, words_of
from trials.simulation.gear import Change
from trials.simulation.noise import Noise
from trials.simulation.tracers import Tracers
from trials.wording.lists import count_of
from trials.wording.numbers import figures

RICHEST = 64.0
FINER_DIVISIONS_G = (0.001, 0.0001)
STEPS = 7
HALF_LOST = (0.5, 0.8)
"""Grains that baseline gear keeps to 50 to 80 % tell most (simulated on the assumed noise model, no source)."""


@dataclass(frozen=True, slots=True)
class Lever:
    """One thing that, changed alone, would let the trial answer.

    Attributes
    ----------
    name
        The thing: richer dirt, tails kept, tracers, finer scale, larger line, more dirt and time, better split.
    says
        What it would have to be, and what the way would then be; one sentence.
    way
        That way.
    """

    name: str
    says: str
    way: Way


LineWords = Callable[[Change], str | None]


def levers_of(asked: Asked, comparison: Comparison, line_words: LineWords) -> tuple[Lever, ...]:
    """What would have to change for a trial to answer?

    Parameters
    ----------
    asked, comparison
        What was in hand, and the ways looked at.
    line_words
        Says how large a change is on the measure the line was typed for; None where it can't be reached.

    Returns
    -------
    tuple of Lever
        Each alone is enough; the least time first. Empty where something answers already.
    """
    if comparison.cheapest is not None:
        return ()
    found = [lever for rule in LEVERS for lever in rule(asked, line_words)]
    return tuple(sorted(found, key=lambda lever: lever.way.minutes or 0.0))


def _cheapest(asked: Asked) -> Way | None:
    return compare_ways(asked).cheapest


def _then(way: Way) -> str:
    """Say what the trial would then be."""
    assert way.pairs is not None  # noqa: S101 - a way that answers has a number of pairs
    hours = figures((way.minutes or 0.0) / 60.0, 2)
    return f"{words_of(way)}, {count_of(way.pairs, 'pair')} of {figures(way.charge_g / 1000)} kg a run, {hours} h"


def _tracers(asked: Asked, _: LineWords) -> Iterator[Lever]:
    """Grains of a size that the gear half-loses, if too few or none are in hand."""
    ways = [
        way_of(asked, "tracers", tracers=Tracers(fed=count, size_classes=(size,)))
        for count in (50, 100, 200)
        for size in TRACER_CLASSES
    ]
    free = [dataclasses.replace(way, tracers_in_hand=None) for way in ways]
    fit = [way for way in free if way.answers]
    if not fit or (asked.tracers is None):
        return
    way = min(fit, key=lambda one: (one.minutes or 0.0, one.tracers_a_run))
    kept = way.situation.gear.recovery[way.situation.tracers.size_classes[0]]
    yield Lever("tracers", f"Seed tracer grains of a size the gear keeps to {100 * kept:.0f} %: {_then(way)}.", way)


def _tails(asked: Asked, _: LineWords) -> Iterator[Lever]:
    if asked.tails_kept:
        return
    way = _cheapest(dataclasses.replace(asked, tails_kept=True))
    if way is not None:
        yield Lever("tails kept", f"Tub the tails of every run and go over them again: {_then(way)}.", way)


def _finer_scale(asked: Asked, _: LineWords) -> Iterator[Lever]:
    noise = asked.situation.noise
    for division in FINER_DIVISIONS_G:
        if division >= noise.scale_division_g:
            continue
        way = _cheapest(_with_noise(asked, dataclasses.replace(noise, scale_division_g=division, scale_sd_g=division)))
        if way is not None:
            yield Lever("finer scale", f"Weigh on a scale of {division:g} g steps: {_then(way)}.", way)
            return


def _better_split(asked: Asked, _: LineWords) -> Iterator[Lever]:
    dirt = asked.situation.dirt
    if dirt.split_vmr <= 1.0:
        return
    even = dataclasses.replace(asked.situation, dirt=dataclasses.replace(dirt, split_vmr=1.0))
    way = _cheapest(dataclasses.replace(asked, situation=even))
    if way is not None:
        yield Lever("better split", f"Split with a riffle splitter: {_then(way)}.", way)


def _richer(asked: Asked, _: LineWords) -> Iterator[Lever]:
    """Richer dirt of the same sizes, by weighing or counting its own gold."""
    if asked.situation.dirt.gold_mg <= 0:
        return
    native = dataclasses.replace(asked, tracers=0)

    def richer(times: float) -> Asked:
        dirt = native.situation.dirt
        rich = dataclasses.replace(dirt, gold_mg=dirt.gold_mg * times)
        return dataclasses.replace(native, situation=dataclasses.replace(native.situation, dirt=rich))

    times = _least(lambda factor: _cheapest(richer(factor)), 1.0, RICHEST)
    if times is None:
        return
    way = _cheapest(richer(times))
    if way is not None:
        yield Lever("richer dirt", f"Feed dirt {figures(times, 2)} times as rich: {_then(way)}.", way)


def _more(asked: Asked, _: LineWords) -> Iterator[Lever]:
    """More dirt and time, as far as a plan of 60 pairs goes."""
    way = _cheapest(dataclasses.replace(asked, lot_g=1e9, time_minutes=None))
    if way is None:
        return
    needs = [f"{figures(way.dirt_g / 1000)} kg of dirt"] if (way.dirt_g or 0.0) > asked.lot_g and way.dirt_g else []
    if asked.time_minutes is not None and way.minutes is not None and way.minutes > asked.time_minutes:
        needs.append(f"{figures(way.minutes / 60)} h")
    yield Lever("more dirt and time", f"Bring {' and '.join(needs)}: {_then(way)}.", way)


def _larger_line(asked: Asked, line_words: LineWords) -> Iterator[Lever]:
    """The least change, in multiples of the one asked for, that the same means can find."""

    def larger(times: float) -> Way | None:
        return _cheapest(dataclasses.replace(asked, change=_times(asked.change, times)))

    times = _least(larger, 1.0, 8.0)
    if times is None:
        return
    way, words = larger(times), line_words(_times(asked.change, times))
    if way is not None and words is not None:
        yield Lever("larger line", f"Take {words} as the smallest gain worth having: {_then(way)}.", way)


LEVERS: tuple[Callable[[Asked, LineWords], Iterator[Lever]], ...] = (
    _tracers,
    _tails,
    _finer_scale,
    _better_split,
    _richer,
    _more,
    _larger_line,
)


def _with_noise(asked: Asked, noise: Noise) -> Asked:
    return dataclasses.replace(asked, situation=dataclasses.replace(asked.situation, noise=noise))


def _times(change: Change, factor: float) -> Change:
    assert isinstance(change.shift_logit, float)  # noqa: S101 - the line is one shift for all classes
    return dataclasses.replace(change, shift_logit=max(-10.0, min(10.0, change.shift_logit * factor)))


def _least(answers: Callable[[float], Way | None], low: float, high: float) -> float | None:
    """The least factor that answers, to within some 5 % above; None where the largest does not."""
    if answers(high) is None:
        return None
    for _ in range(STEPS):
        middle = (low * high) ** 0.5
        low, high = (low, middle) if answers(middle) is not None else (middle, high)
    return high
