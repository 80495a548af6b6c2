"""What is the noise of a pair made of? Each kind of luck by itself, foretold from the assumed noise model."""

import math
from dataclasses import dataclass

from schemas import MeasureName
from trials.measures.catalogue import measure_named
from trials.noise.by_measure import parts_of
from trials.noise.grains import USUAL_PAIRS, require_feed
from trials.noise.situation import Situation


@dataclass(frozen=True, slots=True)
class Source:
    """One kind of luck.

    name: What it is, in words of the trade; all of them stand in `trials.noise.kinds`.
    variance: What it adds to the variance of one run, on the square of the measure's scale: points^2, or ln^2.
    """

    name: str
    variance: float


@dataclass(frozen=True, slots=True)
class Budget:
    """Where the noise of a measure is from.

    sources: Those that act, the largest first; none where nothing that is read can differ.
    expected: What one run of the unchanged gear should show, in the unit of the measure's axis.
    zero_share: Chance, 0 to 1, that a run finds none of what a ratio is made of; 0 for points.
    pull: How far luck of grains and scale takes the mean of the measure off what the gear does, on its scale.
    shared: Of a ratio: variance of what the halves of a pair have in common, over the pairs of many trials.
    middle: Of a ratio: the log of the mg or grains that the middle of many runs holds; minus infinity for points, and
        where half of the runs hold none.
    """

    measure: MeasureName
    sources: tuple[Source, ...]
    expected: float
    zero_share: float
    pull: float = 0.0
    shared: float = 0.0
    middle: float = -math.inf

    @property
    def variance(self) -> float:
        """Variance of one run, beside what both halves of a pair share."""
        return math.fsum(source.variance for source in self.sources)

    @property
    def sd_pair(self) -> float:
        """SD of one pair difference, on the measure's scale."""
        return math.sqrt(2.0 * self.variance)

    @property
    def shares(self) -> dict[str, float]:
        """Share of each source in the variance, by name, the largest first; they add up to 1."""
        return {source.name: source.variance / self.variance for source in self.sources}

    def share(self, name: str) -> float:
        """Share of one source in the variance, 0 to 1; 0 where it does not act."""
        return self.shares.get(name, 0.0)


def noise_budget(measure: MeasureName, situation: Situation, *, pairs: int = USUAL_PAIRS) -> Budget:
    """How far would two halves run alike differ, and by which luck?

    Under the usual order: pair after pair, balanced, each pair in a session of its own, one feeder. Pairs, 1 or more,
    matter a little where there is drift, which ends with the twelfth run, and for zeros, since one 0 moves every log of
    its trial.

    Raises ValueError where no gold is fed, or for tracers none seeded; pairs under 1.

    - Session, feeder and richness of the lot cancel in a pair. What is left of them, that an easy day has less to
      lose, is averaged over.
    - Nothing found of any tails: recovery shows 100 % and gold in tails none, always; there are no sources.
    - Where runs often find none, or masses of a few scale steps, differences follow no bell curve, and an SD says less
      of them: mind `zero_share`.

    Derived from the assumed noise model: the luck of the grains and of the run without first-order steps, how it is
    shared out among its kinds to first order. Held against simulation by its tests.

    >>> from trials.simulation.dirt import Dirt
    >>> budget = noise_budget("recovery", Situation(dirt=Dirt(900, "fine")))
    >>> round(budget.expected, 1), round(budget.sd_pair, 1), budget.sources[0].name
    (81.1, 5.7, 'run to run')
    """
    require_feed(measure, situation, pairs)
    parts = parts_of(measure, situation, pairs)
    unit = 100.0 if measure_named(measure).scale == "points" else 1.0
    acting = [Source(name, variance * unit**2) for name, variance in parts.variances.items() if variance > 0.0]
    acting.sort(key=lambda source: -source.variance)
    return Budget(
        measure,
        tuple(acting),
        parts.expected * unit,
        parts.zero_share,
        pull=parts.pull * unit,
        shared=parts.shared,
        middle=parts.middle,
    )
