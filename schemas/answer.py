"""The answers a trial can have. A new kind is a class here and a line in `Answer`."""

from typing import Annotated, Literal

from pydantic import Field

from schemas.base import Told

Alike = Literal["differ", "alike", "not shown"]


class Interval(Told):
    """Limits within which a value lies, and how sure that is."""

    low: float
    high: float
    level: float = Field(gt=0, lt=1, description="0.95 for 95 %")


class DrawCheck(Told):
    """The exact check by the draw: could the order drawn alone have done this?"""

    p: float = Field(ge=0, le=1, description="share of all sign flips as extreme as this one, itself counted")
    low: float | None = Field(None, description="lower limit from the flips; none with too few pairs")
    high: float | None = Field(None, description="upper limit from the flips; none with too few pairs")
    flips: int = Field(description="how many flips were counted")
    exact: bool = Field(description="all flips, or a seeded sample of them")
    smallest_p: float = Field(description="the smallest p this many pairs can give")


class Shown(Told):
    """Estimate and limits in the unit a person reads, more gold positive (for gold in tails, less of it lost)."""

    unit: Literal["points", "%"]
    estimate: float
    low: float | None = Field(description="lower end of the interval; none where there is no interval")
    high: float | None = Field(description="upper end of the interval; none where there is no interval")
    words: str = Field(description='the estimate as the sentence prints it, as "39 % more grains"')


class Gate(Told):
    """No answer, or none yet; `code` and `sentence` say why. Its numbers are there, and null."""

    kind: Literal["gate"] = "gate"
    estimate: None = None
    interval: None = None
    p: None = None


class Compared(Told):
    """What two set-ups differ by over the counted pairs. All but `shown` is on the measure's scale."""

    estimate: float = Field(description="mean difference, more gold positive")
    interval: Interval | None = Field(description="limits of the mean; none where nothing is known of the scatter")
    floored: Interval | None = Field(description="the same interval with the larger of SD and floor")
    worth_having: float | None = Field(description="the smallest gain worth having; none where none was set")
    shown: Shown
    differences: tuple[float, ...] = Field(description="one per counted pair, more gold positive")
    sd: float = Field(description="of the differences")
    df: int = Field(description="degrees of freedom, pairs less one")
    t: float | None = Field(description="none where all differences are equal")
    p: float | None = Field(description="two-sided; none where all differences are equal")
    floor: float | None = Field(description="SD of a pair difference by counting and weighing luck alone")
    check_by_draw: DrawCheck
    order_adjusted: Interval | None = Field(description="the interval with the effect of going first taken out")


class PairsAnswer(Compared):
    """Did the change catch more gold?"""

    kind: Literal["pairs"] = "pairs"
    pairs_for_new_trial: int | None = Field(description="pairs a new trial would need at 4 chances in 5")


class ScatterAnswer(Compared):
    """With nothing changed: how much do pairs differ by luck, and are the two halves alike?"""

    kind: Literal["scatter"] = "scatter"
    sd_limits: Interval = Field(description="limits of the SD")
    alike: Alike = Field(description="are the two halves alike?")


Answer = Annotated[Gate | PairsAnswer | ScatterAnswer, Field(discriminator="kind")]
