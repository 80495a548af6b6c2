"""When no design can answer: what would have to change, one thing at a time?"""

import dataclasses
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from trials.noise.counting import assumed_count_cvs
from trials.noise.situation import HABITS
from trials.plans.brief import DesignBrief, TypedLine, change_reaching
from trials.plans.design import Design, design_words
from trials.plans.designs import CHARGES, Comparison, cheapest_design, some_answer
from trials.simulation.dirt import MOST_GOLD_MG
from trials.simulation.noise_model import Noise
from trials.wording.lists import and_list, count_of
from trials.wording.numbers import figures, mass_words

RICHEST = 64.0
LARGEST_LINE = 16.0
FINER_DIVISIONS_G = (0.001, 0.0001)
TRACERS_TO_GET = (50, 100, 200)
STEPS = 6
NO_HABITS = ("scale_division_g", "scale_sd_g", "tails_found", "operator_sd_points")
"""What of the noise is no habit: it stays as it is when habits change."""


@dataclass(frozen=True, slots=True)
class WhatIf:
    """One thing that, changed alone, would let the trial answer.

    name: The thing: tracers, tails kept, finer scale, better split, steadier runs, richer dirt, more dirt and time,
        larger line.
    says: What it would have to be, and what the design would then be; one sentence.
    brief: What is then in hand: as it was, but for that one thing.
    """

    name: str
    says: str
    brief: DesignBrief
    design: Design


def what_ifs(brief: DesignBrief, comparison: Comparison, line: TypedLine) -> tuple[WhatIf, ...]:
    """What would have to change for a trial to answer?

    Each alone is enough; the least time first. Empty where something answers already. A larger line is looked for too.
    """
    if comparison.cheapest is not None:
        return ()
    found = [one for rule in WHAT_IFS for one in rule(brief, line)]
    return tuple(sorted(found, key=lambda one: one.design.minutes or 0.0))


def _answering(name: str, does: str, brief: DesignBrief, found: Design | None = None) -> Iterator[WhatIf]:
    """What is changed, if with it something answers: the cheapest design, which may be `found` already."""
    design = found or cheapest_design(brief)
    if design is None or design.pairs is None or design.minutes is None:
        return
    then = f"{design_words(design)}, {count_of(design.pairs, design.brief.what)} of {mass_words(design.charge_g)} a run"
    yield WhatIf(name, f"{does}: {then}, {figures(design.minutes / 60.0, 2)} h.", brief, design)


def _tracers(brief: DesignBrief, _: TypedLine) -> Iterator[WhatIf]:
    """Grains of a size that the gear half-loses, if too few or none are in hand: as few as will do."""
    for count in TRACERS_TO_GET:
        if brief.tracers is None or count <= brief.tracers or not brief.tails_kept:
            continue
        more = dataclasses.replace(brief, tracers=count)
        if (design := cheapest_design(more)) is not None:
            kept = 100.0 * brief.situation.gear.recovery[design.situation.tracers.size_classes[0]]
            does = f"Seed tracer grains of a size the gear keeps to {kept:.0f} %"
            yield from _answering("tracers", does, more, design)
            return


def _tails(brief: DesignBrief, _: TypedLine) -> Iterator[WhatIf]:
    if not brief.tails_kept:
        does = "Tub the tails of every run and go over them again"
        yield from _answering("tails kept", does, dataclasses.replace(brief, tails_kept=True))


def _finer_scale(brief: DesignBrief, _: TypedLine) -> Iterator[WhatIf]:
    noise = brief.situation.noise
    for division in FINER_DIVISIONS_G:
        if division < noise.scale_division_g:
            finer = _with_noise(brief, dataclasses.replace(noise, scale_division_g=division, scale_sd_g=division))
            if (design := cheapest_design(finer)) is not None:
                yield from _answering("finer scale", f"Weigh on a scale of {division:g} g steps", finer, design)
                return


def _better_split(brief: DesignBrief, _: TypedLine) -> Iterator[WhatIf]:
    dirt = brief.situation.dirt
    if brief.is_split and dirt.split_vmr <= 1.0:
        return
    even = dataclasses.replace(brief.situation, dirt=dataclasses.replace(dirt, split_vmr=1.0))
    does = "Split with a riffle splitter" if brief.is_split else "Halve each lot with a riffle splitter"
    yield from _answering("better split", does, dataclasses.replace(brief, situation=even, is_split=True))


def _steadier_runs(brief: DesignBrief, _: TypedLine) -> Iterator[WhatIf]:
    """The habits of a careful bench, on the same scale."""
    noise = brief.situation.noise
    kept = {name: getattr(noise, name) for name in NO_HABITS}
    counting = tuple(map(min, noise.counting_cv, assumed_count_cvs("careful")))
    careful = dataclasses.replace(HABITS["careful"], **kept, counting_cv=counting)
    if careful != noise:
        does = "Run and count more alike (timed feed, level scoops, water timed every run, every vial counted twice)"
        yield from _answering("steadier runs", does, _with_noise(brief, careful))


def _richer(brief: DesignBrief, _: TypedLine) -> Iterator[WhatIf]:
    """Richer dirt of the same sizes, by weighing or counting its own gold."""
    dirt = brief.situation.dirt
    if dirt.gold_mg <= 0:
        return

    def richer(times: float) -> DesignBrief:
        rich = dataclasses.replace(dirt, gold_mg=dirt.gold_mg * times)
        return dataclasses.replace(brief, tracers=0, situation=dataclasses.replace(brief.situation, dirt=rich))

    # The charge of a design is up to 8 times the usual one, and a run holds 100 g of gold at the most.
    most = min(RICHEST, MOST_GOLD_MG / (dirt.gold_mg * max(CHARGES)))
    times = _least(_Answers(richer), most) if most > 1.0 else None
    if times is not None:
        yield from _answering("richer dirt", f"Feed dirt {figures(times, 2)} times as rich", richer(times))


def _more(brief: DesignBrief, _: TypedLine) -> Iterator[WhatIf]:
    """More dirt and time, as far as a plan of 60 pairs goes."""
    free = dataclasses.replace(brief, lot_g=1e9, time_minutes=None)
    design = cheapest_design(free)
    if design is None or design.dirt_g is None or design.minutes is None:
        return
    lacks_dirt = design.dirt_g > brief.lot_g
    lacks_time = brief.time_minutes is not None and design.minutes > brief.time_minutes
    needs = [f"{mass_words(design.dirt_g)} of dirt"] if lacks_dirt else []
    needs += [f"{figures(design.minutes / 60, 2)} h"] if lacks_time else []
    name = and_list([*(["dirt"] if lacks_dirt else []), *(["time"] if lacks_time else [])])
    yield from _answering(f"more {name}", f"Bring {and_list(needs)}", free, design)


def _larger_line(brief: DesignBrief, line: TypedLine) -> Iterator[WhatIf]:
    """The least gain that the same means can find, on the measure it was typed for."""

    def longer(times: float) -> TypedLine:
        return dataclasses.replace(line, typed=rounded_up(line.typed * times))

    def larger(times: float) -> DesignBrief | None:
        change = change_reaching(longer(times), brief.situation)
        return None if change is None else dataclasses.replace(brief, change=change)

    answers = _Answers(larger)
    most = next((factor for factor in (LARGEST_LINE, 4.0, 2.0) if answers(factor)), None)
    times = None if most is None else _least_of_answering(answers, most)
    found = None if times is None else larger(times)
    if times is not None and found is not None:
        yield from _answering("larger line", f"Take {longer(times).words} as the smallest gain worth having", found)


WHAT_IFS: tuple[Callable[[DesignBrief, TypedLine], Iterator[WhatIf]], ...] = (
    _tracers,
    _tails,
    _finer_scale,
    _better_split,
    _steadier_runs,
    _richer,
    _more,
    _larger_line,
)


def _with_noise(brief: DesignBrief, noise: Noise) -> DesignBrief:
    return dataclasses.replace(brief, situation=dataclasses.replace(brief.situation, noise=noise))


def rounded_up(value: float, count: int = 2) -> float:
    """Round up to so many figures, so that what is printed is enough.

    >>> rounded_up(2.41), rounded_up(2.4), rounded_up(113.0), rounded_up(0.0101)
    (2.5, 2.4, 120.0, 0.011)
    """
    places = count - 1 - math.floor(math.log10(value))
    # The last digit of a float must not make 2.4 into 2.5.
    return round(math.ceil(round(value * 10.0**places, 6)) / 10.0**places, max(places, 0))


class _Answers:
    """Whether something answers with so many times of a thing; what did so last is asked first."""

    def __init__(self, with_times: Callable[[float], DesignBrief | None]) -> None:
        self._with_times = with_times
        self._last: Design | None = None

    def __call__(self, times: float) -> bool:
        brief = self._with_times(times)
        found = None if brief is None else some_answer(brief, self._last)
        self._last = found or self._last
        return found is not None


def _least(answers: Callable[[float], bool], most: float) -> float | None:
    """The least factor over 1 that answers, to 2 figures; None where the largest does not."""
    return _least_of_answering(answers, most) if answers(most) else None


def _least_of_answering(answers: Callable[[float], bool], most: float) -> float:
    """The same where the largest is known to answer."""
    low, high = 1.0, most
    for _ in range(STEPS):
        middle = rounded_up((low * high) ** 0.5)
        if not low < middle < high:
            break
        low, high = (low, middle) if answers(middle) else (middle, high)
    return high
