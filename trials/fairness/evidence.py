"""What a check may look at, and the shape of a check."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from schemas import Finding, Run, Trial, is_made
from trials.measures.pairing import Pair, Pairing, pair_up


@dataclass(frozen=True, slots=True)
class Evidence:
    """A trial with its runs sorted into pairs.

    Attributes
    ----------
    trial, pairing
        The plan, and the pairs made of its runs.
    runs
        The runs that were made and not struck.
    ended
        The planned end is reached: nothing said now can tip a hand.
    """

    trial: Trial
    pairing: Pairing
    runs: tuple[Run, ...]
    ended: bool

    @property
    def passed(self) -> tuple[Pair, ...]:
        """Pairs done with, void ones left out."""
        return self.pairing.passed

    @property
    def whole(self) -> tuple[Pair, ...]:
        """Passed pairs with both halves made."""
        return tuple(pair for pair in self.passed if len([r for r in pair.halves if is_made(r)]) == 2)

    @property
    def measured(self) -> tuple[Pair, ...]:
        """Pairs with both halves measured; what a check says of gold it takes from these, both halves alike."""
        return tuple(pair for pair in self.pairing.pairs if pair.state == "complete")

    @property
    def unstruck(self) -> tuple[Run, ...]:
        """The runs made of pairs that were not struck: those in the sum, and those that may come to be."""
        return tuple(r for pair in self.pairing.pairs if pair.state != "void" for r in pair.halves if is_made(r))

    def arm(self, name: str) -> tuple[Run, ...]:
        """The runs of one arm."""
        return tuple(run for run in self.runs if run.arm == name)

    def changed_words(self) -> str:
        """What the second arm is called in a sentence."""
        return "Repeat half" if self.trial.change is None else "Changed gear"


Judge = Callable[[Evidence], Sequence[Finding]]


@dataclass(frozen=True, slots=True)
class Check:
    """One question of fairness.

    Attributes
    ----------
    name
        Its name in findings.
    looks_at
        What of the record it reads, in plain words.
    source
        Where the question comes from.
    judge
        The pure function that answers it: no finding means all is well.
    """

    name: str
    looks_at: str
    source: str
    judge: Judge


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


def not_recorded(check: str, what: str) -> list[Finding]:
    """Say that a check had nothing to look at; this never stops or weakens by itself."""
    return [Finding(check=check, severity="not recorded", message=f"{what}.")]
