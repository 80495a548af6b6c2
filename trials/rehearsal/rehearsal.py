"""What would a plan bring, time after time? Thousands of simulated trials through the very engine of the verdict."""

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields
from typing import Any, Final, TypeVar

import numpy as np

from schemas import MeasureName
from trials.measures.catalogue import measure_named
from trials.noise.situation import Situation
from trials.plans.look import FEWEST_PAIRS_AT_LOOK
from trials.rehearsal.judged import ENDINGS, Codes, Ending, Flags, Judged, judge_trials
from trials.rehearsal.simulated_trials import BlockReadings, Readings, division_mg, simulate_readings
from trials.simulation.gear import TrueEffect
from trials.statistics.arrays import Numbers

# So many pairs are drawn at once, which keeps memory at some 30 MB a thread. A part of what a seed means: trials are
# dealt to parts by it, and each part has a seed of its own.
PAIRS_AT_ONCE: Final = 20_000
THREADS: Final = 4
Done = TypeVar("Done")


def part_size(pairs: int) -> int:
    """How many trials of so many pairs are drawn at once."""
    return max(1, PAIRS_AT_ONCE // pairs)


def part_sizes(times: int, pairs: int) -> list[int]:
    """How many trials each part holds; the last may be smaller.

    >>> part_sizes(6_000, pairs=8)
    [2500, 2500, 1000]
    """
    size = part_size(pairs)
    return [min(size, times - begun) for begun in range(0, times, size)]


def in_parts(
    work: Callable[[int, int], Done], times: int, pairs: int, on_progress: Callable[[int, int], None] | None
) -> Iterator[Done]:
    """Do the work of every part, given its number from 0 and its size, in threads; the answers come in order.

    numpy lets go of the interpreter while it draws. `on_progress` is called with (trials done, `times`) after each.
    """
    sizes = part_sizes(times, pairs)
    done = 0
    with ThreadPoolExecutor(max_workers=min(THREADS, len(sizes))) as pool:
        over = pool.map if len(sizes) > 1 else map  # one part alone needs no thread
        for size, answer in zip(sizes, over(work, range(len(sizes)), sizes), strict=True):
            done += size
            if on_progress is not None:
                on_progress(done, times)
            yield answer


MOST_PAIRS: Final = 200
MOST_TIMES: Final = 10_000_000


@dataclass(frozen=True, slots=True)
class Scenario:
    """What is rehearsed.

    pairs: 1 to 200.
    line: The worth-having line on the measure's scale, over 0; None where none was set.
    look_after: Pairs after which one early look is taken, 4 or more and under `pairs`; None without one.
    times: How many trials, 1 to 10,000,000.
    seed: 0 or more.
    """

    measure: MeasureName
    pairs: int
    situation: Situation
    line: float | None = None
    change: TrueEffect = TrueEffect()  # noqa: RUF009 - frozen, so one shared default is safe
    look_after: int | None = None
    times: int = 20_000
    seed: int = 1

    def __post_init__(self) -> None:
        _require(f"pairs is {self.pairs}", f"from 1 to {MOST_PAIRS}", holds=1 <= self.pairs <= MOST_PAIRS)
        _require(f"times is {self.times}", f"from 1 to {MOST_TIMES}", holds=1 <= self.times <= MOST_TIMES)
        _require(f"seed is {self.seed}", "0 or more", holds=self.seed >= 0)
        _require(f"line is {self.line}", "over 0, or None", holds=self.line is None or self.line > 0)
        fits = self.look_after is None or FEWEST_PAIRS_AT_LOOK <= self.look_after < self.pairs
        allowed = f"from {FEWEST_PAIRS_AT_LOOK} and under the {self.pairs} pairs, or None"
        _require(f"look_after is {self.look_after}", allowed, holds=fits)

    @property
    def arms(self) -> int:
        """Set-ups, the baseline among them."""
        return 2

    @property
    def drawn_as_pairs(self) -> int:
        """As many pairs as a trial has runs for: by them trials are dealt to parts, so that none needs much memory."""
        return -(-self.pairs * self.arms // 2)

    def readings_of_part(self, part: int) -> Readings:
        """Draw the trials of one part, the first being 0."""
        return simulate_readings(
            np.random.SeedSequence(self.seed, spawn_key=(part,)),
            measure=measure_named(self.measure),
            trials=part_sizes(self.times, self.drawn_as_pairs)[part],
            pairs=self.pairs,
            situation=self.situation,
            change=self.change,
        )

    def blocks_of_part(self, part: int) -> BlockReadings:
        """The same trials, their pairs as blocks of two arms."""
        return self.readings_of_part(part).in_blocks()

    def judge_part(self, part: int, _size: int) -> Judged:
        """Draw the trials of one part and judge them."""
        measure = measure_named(self.measure)
        return judge_trials(
            measure,
            self.readings_of_part(part),
            division=division_mg(measure, self.situation.noise),
            line=self.line,
            look_after=self.look_after,
        )


@dataclass(frozen=True, slots=True, eq=False)
class Rehearsal:
    """How the trials of one plan ended.

    codes: Index into `ENDINGS` for each trial, shape (times,).
    means: Mean difference of each trial when it ended, on the measure's scale, more gold positive; NaN for too_few and
        blocked.
    at_look: Whether each trial stopped at the early look.
    """

    scenario: Scenario
    codes: Codes
    means: Numbers
    at_look: Flags

    @property
    def times(self) -> int:
        """How many trials were rehearsed."""
        return self.scenario.times

    @property
    def pairs(self) -> int:
        """Pairs of the plan."""
        return self.scenario.pairs

    @property
    def seed(self) -> int:
        """The seed of the rehearsal."""
        return self.scenario.seed

    @property
    def counts(self) -> Mapping[Ending, int]:
        """How many trials ended each way, in the order of `ENDINGS`."""
        return dict(zip(ENDINGS, np.bincount(self.codes, minlength=len(ENDINGS)).tolist(), strict=True))

    def share(self, ending: Ending) -> float:
        """Share of the trials that ended so, 0 to 1."""
        return self.counts[ending] / self.times

    @property
    def found(self) -> float:
        """Share of the trials, 0 to 1, that call what was changed better."""
        return self.share("better")

    @property
    def stopped_at_look(self) -> float:
        """Share of the trials that stopped at the early look, 0 to 1; 0 without one."""
        return float(np.mean(self.at_look))

    @property
    def mean_pairs(self) -> float:
        """Pairs run, on average over the trials."""
        saved = 0 if self.scenario.look_after is None else self.pairs - self.scenario.look_after
        return self.pairs - saved * self.stopped_at_look

    def standard_error(self, share: float) -> float:
        """How far luck of the rehearsal itself takes a share: one SD, sqrt(p(1 - p)/times).

        0 for a share of 0 or 1, where the true one lies within 3/times of it 19 times in 20 (the rule of three).
        """
        return float(np.sqrt(share * (1.0 - share) / self.times))


def rehearse(  # noqa: PLR0913 - all that makes a plan, each named by the caller
    measure: MeasureName,
    *,
    pairs: int,
    situation: Situation,
    line: float | None,
    change: TrueEffect = TrueEffect(),  # noqa: B008 - frozen, so one shared default is safe
    look_after: int | None = None,
    times: int = 20_000,
    seed: int,
    on_progress: Callable[[int, int], None] | None = None,
) -> Rehearsal:
    """How often would this plan say what, on such dirt and with such habits?

    All but `on_progress` as in `Scenario`; `on_progress` is called with (trials done, `times`) after each part of some
    thousand. Spares and void runs are not rehearsed. The division of the scale is that of the situation's noise; 0 is a
    scale that does not round, and so has no floor. The same seed gives the same rehearsal on any number of processors;
    measures compared at one seed and number of pairs are run on the same dirt. ValueError: a number out of its range.

    Each trial has a balanced draw of its own, and goes through the differences, floors, gates, limits and rule of the
    verdict (`trials.rehearsal.judged`). What cannot be simulated is left out: the noise is assumed, not measured (no
    source), and nobody spills a bucket. With no tracers seeded, or no gold fed, every trial ends as too_few or blocked.
    Native grains are counted however many they are; a run on record holds 100,000.

    The feeder is drawn anew for each trial, and a change is worth less in a good hand that loses little: where a line
    lies just at its mean worth, no_difference is rightly said in more than 2.5 % of the trials.

    >>> from trials.simulation.tracers import SeededTracers
    >>> seeded = Situation(tracers=SeededTracers(fed=100))
    >>> nothing_changed = rehearse("tracers", pairs=6, situation=seeded, line=None, times=4000, seed=41)
    >>> 0.03 < nothing_changed.share("better") + nothing_changed.share("worse") < 0.07
    True
    """
    return rehearse_scenario(Scenario(measure, pairs, situation, line, change, look_after, times, seed), on_progress)


def rehearse_scenario(scenario: Scenario, on_progress: Callable[[int, int], None] | None = None) -> Rehearsal:
    """How do the trials of this scenario end? As `rehearse`, for those who have one."""
    return Rehearsal(scenario, **judged_of_all(scenario, on_progress))


def judged_of_all(scenario: Scenario, on_progress: Callable[[int, int], None] | None) -> dict[str, Any]:
    """Judge all parts of a scenario and put them in a row, each array by its name."""
    parts = tuple(in_parts(scenario.judge_part, scenario.times, scenario.drawn_as_pairs, on_progress))
    return {one.name: np.concatenate([getattr(part, one.name) for part in parts]) for one in fields(parts[0])}


def _require(what: str, allowed: str, *, holds: bool) -> None:
    if not holds:
        raise ValueError(f"rehearsal: {what}; it must be {allowed}. Give a value in that range.")
