"""What is said of a trial in the end, with all that is needed to check it by hand."""

from collections.abc import Callable
from typing import Literal

from pydantic import Field

from schemas.answer import Answer, ClassResult, OneSizeMix
from schemas.base import MeasureName, Name, Scale, Word
from schemas.cost import Cost
from schemas.frozen import Texts
from schemas.lot import LotKind
from schemas.trial import Amendment, Correction, TrialKind

Code = Literal[
    "blocked",
    "incomplete",
    "too_few",
    "scatter",
    "audit",
    "better",
    "worse",
    "no_difference",
    "not_settled",
]
Severity = Literal["STOP", "WEAKENS", "NOTE", "ok", "not recorded"]
PairStatus = Literal["counted", "empty", "void", "open"]
LastWord = Literal["keep", "your call", "revert", "retest"]


class Finding(Word):
    """What one fair-run check found."""

    check: str
    severity: Severity
    message: str = ""
    in_headline: str = Field("", description='what a verdict says of it after "but", where it may cost the keep')
    pairs: tuple[int, ...] = ()


class PairResult(Word):
    """One pair, or one block of a graded trial, as it stands in the verdict."""

    pair: int
    status: PairStatus
    baseline: float | None = Field(None, description="the unchanged run, in the unit of the measure")
    changed: float | None = Field(None, description="the other run, in the unit of the measure")
    difference: float | None = Field(None, description="on the scale of the measure, more gold positive")
    first: Literal["baseline", "changed"] | None = Field(None, description="which half was run first")
    session: str | None = None
    values: tuple[float | None, ...] = Field(
        (), description="of a block, the runs of all set-ups in the order of `arms`, in the unit of the measure"
    )
    note: str = Field("", description="why it does not count, or what is special about it")


class PairTally(Word):
    """How many pairs, or blocks of a graded trial, there are of each sort."""

    planned: int
    complete: int
    void: int
    empty: int = 0
    beyond: int = Field(0, description="complete pairs past the planned end")


class FedLot(Word):
    """A lot of the trial, by name and kind; where it was dug is not told on."""

    name: Name
    kind: LotKind


class VoidRun(Word):
    """A run that was struck."""

    pair: int
    arm: str | None = Field(None, description="none: not told before the planned end")
    why: str
    gold_known: bool | None = Field(None, description="was its gold known when it was struck? none: not recorded")


class Verdict(Word):
    """What is said of one trial: a head that all trials share, and one `answer` told by its `kind`."""

    format: Literal[1] = Field(1, description="the number of this form; another where a key changes its meaning")
    trial: str
    question: str
    trial_kind: TrialKind
    code: Code
    leaning: bool = Field(description="three or more different things weaken it")
    sentence: str
    more: tuple[str, ...] = Field((), description="further sentences, each whole")
    last_word: LastWord | None
    last_word_why: str = ""
    measure: MeasureName
    measure_words: str = Field(description="what the measure counts, with its unit")
    scale: Scale = Field(description="that of the answer's numbers")
    method: str
    arms: tuple[str, ...]
    line_typed: float | None = Field(description="the smallest gain worth having, as typed: points, or %")
    answer: Answer
    pairs: PairTally
    pair_results: tuple[PairResult, ...]
    size_class: str | None = Field(None, description="the size class the answer is of; none: all sizes together")
    classes: tuple[ClassResult, ...] = Field((), description="each size class that was told apart, coarse to fine")
    one_size_mix: OneSizeMix | None = Field(None, description="none where the sizes fed are not known")
    costs: tuple[Cost, ...]
    checks: tuple[Finding, ...]
    amendments: tuple[Amendment, ...]
    corrections: tuple[Correction, ...]
    voids: tuple[VoidRun, ...]
    stand_in: str | None = Field(description="what the tracer grains are made of, where that is not gold")
    grain_sizes: str | None = Field(None, description="size classes of the tracer grains, where they are known")
    lots: tuple[FedLot, ...]
    dates: tuple[str, ...] = Field(description="the sessions of the runs that count, in order, as they were written")
    seed: int | None
    versions: Texts

    def __str__(self) -> str:
        """The sentence."""
        return self.sentence

    def _repr_mimebundle_(self, **_: object) -> dict[str, str]:
        """What a notebook shows: the sentence, and whatever `SHOWN_BY` makes of it."""
        return {"text/plain": self.sentence} | {kind: show(self) for kind, show in SHOWN_BY.items()}


# How else a verdict is shown in a notebook, by kind of content; whoever can draw one puts itself in.
SHOWN_BY: dict[str, Callable[[Verdict], str]] = {}
