"""What the checks share in looking and telling: thresholds without float dust, ticks, arm means, runs by their tags."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import fmean

from schemas import Finding, Run
from schemas.verdict import Severity
from trials.fairness.evidence import Evidence
from trials.fairness.thresholds import ARM_MEANS_NEED_RUNS
from trials.wording.lists import and_list

DUST = 1e-9


def past(value: float, limit: float) -> bool:
    """Whether a value is over its limit; on it is not over, whatever the last bits of a float say.

    >>> past(9.2 - 6.2, 3.0), past(8.3 - 5.3, 3.0), past(3.01, 3.0)
    (False, False, True)
    """
    return value > limit + DUST * max(1.0, abs(limit))


def short_of(value: float, limit: float) -> bool:
    """Whether a value is under its limit; on it is not under.

    >>> short_of(50.0, 50.0), short_of(49.9, 50.0)
    (False, True)
    """
    return value < limit - DUST * max(1.0, abs(limit))


def finding(check: str, severity: Severity, message: str, pairs: Sequence[int] = ()) -> list[Finding]:
    """Say one thing of a check; the pairs it is about are named once each, in order."""
    return [Finding(check=check, severity=severity, message=message, pairs=tuple(sorted(set(pairs))))]


def run_words(run: Run) -> str:
    """Name a run by its tag, else by its place in the plan.

    >>> run_words(Run(pair=3, arm="changed", tag="HTK")), run_words(Run(pair=3, arm="changed"))
    ('run HTK', 'the changed half of pair 3')
    """
    return f"the {run.arm} half of pair {run.pair}" if run.tag is None else f"run {run.tag}"


def runs_words(runs: Sequence[Run]) -> str:
    """Name several runs.

    >>> runs_words([Run(pair=1, arm="baseline", tag="HTK"), Run(pair=3, arm="changed", tag="NDF")])
    'runs HTK and NDF'
    """
    if len(runs) > 1 and all(run.tag is not None for run in runs):
        return f"runs {and_list([run.tag for run in runs])}"
    return and_list([run_words(run) for run in runs])


def unticked(runs: Sequence[Run], tick: str) -> list[Run] | None:
    """Which runs lack a tick that others have? None where the tick was not used in any run.

    A box that stands empty beside ticked ones says no: that is how a sheet with boxes is filled in. Empty in every
    run, it was not kept, and says nothing.
    """
    if all(getattr(run, tick) is None for run in runs):
        return None
    return [run for run in runs if getattr(run, tick) is not True]


@dataclass(frozen=True, slots=True)
class ArmMeans:
    """The mean of a reading over the runs of each arm."""

    baseline: float
    other: float

    @property
    def percent_more(self) -> float:
        """How much more the other arm has, in % of the baseline; negative for less."""
        return 100.0 * (self.other / self.baseline - 1.0)


def arm_means(
    evidence: Evidence, reading: Callable[[Run], float | None], *, need: int = ARM_MEANS_NEED_RUNS
) -> ArmMeans | None:
    """Average a reading over the runs of each arm; None where an arm has too few of it, or a baseline of 0."""
    of_arm = []
    for arm in evidence.trial.arms:
        values = [value for run in evidence.unstruck if run.arm == arm and (value := reading(run)) is not None]
        if len(values) < need:
            return None
        of_arm.append(fmean(values))
    return ArmMeans(of_arm[0], of_arm[1]) if of_arm[0] > 0 else None
