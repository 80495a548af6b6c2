"""What is said of a trial in the end, with all that is needed to check it by hand."""

from typing import Literal

from pydantic import Field

from schemas.base import MeasureName, Scale, Word
from schemas.trial import Amendment, Correction, TrialKind

Code = Literal[
    "blocked",
    "incomplete",
    "too_few",
    "scatter",
    "better",
    "worse",
    "no_difference",
    "not_settled",
]
Severity = Literal["STOP", "WEAKENS", "NOTE", "ok", "not recorded"]
CostStatus = Literal["within", "over", "not shown", "not recorded"]
PairStatus = Literal["counted", "empty", "void", "open"]
LastWord = Literal["keep", "your call", "revert", "retest"]


class Interval(Word):
    """Limits within which a value lies, and how sure that is."""

    low: float
    high: float
    level: float = Field(gt=0, lt=1, description="0.95 for 95 %")


class DrawCheck(Word):
    """The exact check by the draw: could the order drawn alone have done this?"""

    p: float = Field(ge=0, le=1, description="share of all sign flips as extreme as this one, itself counted")
    low: float | None = Field(None, description="lower limit from the flips; none with too few pairs")
    high: float | None = Field(None, description="upper limit from the flips; none with too few pairs")
    flips: int = Field(description="how many flips were counted")
    exact: bool = Field(description="all flips, or a seeded sample of them")
    smallest_p: float = Field(description="the smallest p this many pairs can give")


class Finding(Word):
    """What one fair-run check found."""

    check: str
    severity: Severity
    message: str = ""
    pairs: tuple[int, ...] = ()


class Cost(Word):
    """What the change costs in one thing, against the limit set for it."""

    name: str = Field(description="black sand, minutes, ...")
    unit: str
    limit: float | None = Field(description="the most that changed over baseline may be; none: not limited")
    limit_is_ours: bool = Field(description="the limit is our default, not the plan's")
    status: CostStatus
    ratio: float | None = Field(None, description="ratio of geometric means, changed over baseline")
    low: float | None = Field(None, description="lower one-sided 95 % limit of the ratio")
    high: float | None = Field(None, description="upper one-sided 95 % limit of the ratio")
    baseline_mean: float | None = Field(None, description="geometric mean of the unchanged arm")
    changed_mean: float | None = Field(None, description="geometric mean of the other arm")
    pairs: int = Field(0, description="pairs with both halves recorded")


class PairResult(Word):
    """One pair as it stands in the verdict."""

    pair: int
    status: PairStatus
    baseline: float | None = Field(None, description="the unchanged run, in the unit of the measure")
    changed: float | None = Field(None, description="the other run, in the unit of the measure")
    difference: float | None = Field(None, description="on the scale of the measure, more gold positive")
    first: Literal["baseline", "changed"] | None = Field(None, description="which half was run first")
    session: str | None = None
    note: str = Field("", description="why it does not count, or what is special about it")


class PairTally(Word):
    """How many pairs there are of each sort."""

    planned: int
    complete: int
    void: int
    empty: int = 0
    beyond: int = Field(0, description="complete pairs past the planned end")


class Shown(Word):
    """The numbers as the sentence prints them."""

    estimate: str
    low: str
    high: str
    line: str | None = None


class Scatter(Word):
    """How much pairs differ by luck, from a nothing-changed check."""

    sd: float
    low: float
    high: float
    level: float
    alike: Literal["differ", "alike", "not shown"] = Field(description="are the two halves alike?")


class Verdict(Word):
    """The answer to one trial."""

    trial: str
    question: str
    kind: TrialKind
    code: Code
    leaning: bool
    sentence: str
    more: tuple[str, ...] = Field((), description="further sentences, each whole")
    last_word: LastWord | None
    last_word_why: str = ""
    measure: MeasureName
    measure_words: str = Field(description="what the measure counts, with its unit")
    scale: Scale
    arms: tuple[str, ...]
    estimate: float | None
    interval: Interval | None
    floored: Interval | None = Field(description="the same interval with the larger of SD and floor")
    shown: Shown | None
    worth_having: float | None = Field(description="the line, on the scale")
    pairs: PairTally
    pair_results: tuple[PairResult, ...]
    differences: tuple[float, ...] = Field(description="one per counted pair, on the scale, more gold positive")
    sd: float | None
    df: int | None
    t: float | None
    p: float | None
    floor: float | None = Field(description="SD of a pair difference by counting and weighing luck alone")
    method: str
    check_by_draw: DrawCheck | None
    order_adjusted: Interval | None = Field(description="the interval with the effect of going first taken out")
    pairs_for_new_trial: int | None = Field(description="pairs a new trial would need at 4 chances in 5")
    scatter: Scatter | None
    costs: tuple[Cost, ...]
    checks: tuple[Finding, ...]
    amendments: tuple[Amendment, ...]
    corrections: tuple[Correction, ...]
    voids: tuple[str, ...]
    stand_in: str | None = Field(description="what the tracer grains are made of, where that is not gold")
    lots: str
    dates: str
    seed: int | None
    versions: dict[str, str]
