"""What a check may look at, and the shape of a check."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from statistics import fmean

from schemas import Run, Trial, is_made
from trials.fairness.remark import NOTHING_TO_REMARK, ByArm, Remark
from trials.fairness.thresholds import ARM_MEANS_NEED_RUNS
from trials.measures.pairing import Pair, Pairing, pair_up


@dataclass(frozen=True)
class Evidence:
    """A trial with its runs sorted into pairs.

    runs: the runs that were made and not struck.
    ended: the planned end is reached: nothing said now can tip a hand.
    """

    trial: Trial
    pairing: Pairing
    runs: tuple[Run, ...]
    ended: bool

    @cached_property
    def passed(self) -> tuple[Pair, ...]:
        """Pairs done with, void ones left out."""
        return self.pairing.passed

    @cached_property
    def whole(self) -> tuple[Pair, ...]:
        """Passed pairs with both halves made."""
        return tuple(pair for pair in self.passed if len([r for r in pair.halves if is_made(r)]) == 2)

    @cached_property
    def measured(self) -> tuple[Pair, ...]:
        """Pairs with both halves measured; what a check says of gold it takes from these, both halves alike."""
        return tuple(pair for pair in self.pairing.pairs if pair.state == "complete")

    @cached_property
    def unstruck(self) -> tuple[Run, ...]:
        """The runs made of pairs that were not struck: those in the sum, and those that may come to be."""
        return tuple(r for pair in self.pairing.pairs if pair.state != "void" for r in pair.halves if is_made(r))

    @cached_property
    def by_arm(self) -> tuple[tuple[Run, ...], tuple[Run, ...]]:
        """The runs of the unchanged arm, and of the other."""
        one, other = (tuple(run for run in self.runs if run.arm == arm) for arm in self.trial.arms)
        return one, other


@dataclass(frozen=True, slots=True)
class Check:
    """One question of fairness.

    name: its name in findings.
    looks_at: what of the record it reads, in plain words.
    judge: the pure function that answers it; no remark means all is well.
    source: where the question comes from.
    """

    name: str
    looks_at: str
    judge: Callable[[Evidence], Sequence[Remark]]
    source: str = "common practice, no source"

    def answers(self, evidence: Evidence) -> Sequence[Remark]:
        """What it says of a trial: ok, without a word, where it has nothing to remark."""
        return self.judge(evidence) or NOTHING_TO_REMARK


def gather(trial: Trial, runs: Sequence[Run]) -> Evidence:
    """Sort a trial's runs into what the checks look at.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="t", measure="grain_counts", pairs=3,
    ...               lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"))
    >>> gather(trial, [Run(pair=1, arm="baseline", grains=4)]).ended
    False
    """
    pairing = pair_up(trial, runs)
    standing_runs = tuple(run for run in runs if is_made(run) and not run.is_void)
    return Evidence(trial, pairing, standing_runs, ended=not pairing.waiting)


def unticked(runs: Sequence[Run], tick: str) -> list[Run] | None:
    """Which runs lack a tick that others have? None where the tick was not used in any run.

    A box that stands empty beside ticked ones says no: that is how a sheet with boxes is filled in. Empty in every
    run, it was not kept, and says nothing.
    """
    if all(getattr(run, tick) is None for run in runs):
        return None
    return [run for run in runs if getattr(run, tick) is not True]


def arm_means(evidence: Evidence, reading: Callable[[Run], float | None]) -> ByArm[float] | None:
    """Average a reading over the runs of each arm; None where an arm has under 3 of it, or a baseline of 0."""
    means = []
    for arm in evidence.trial.arms:
        values = [value for run in evidence.unstruck if run.arm == arm and (value := reading(run)) is not None]
        if len(values) < ARM_MEANS_NEED_RUNS:
            return None
        means.append(fmean(values))
    return ByArm(means[0], means[1], evidence.trial.arms) if means[0] > 0 else None
