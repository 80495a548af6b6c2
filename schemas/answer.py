"""The answers a trial can have. A new kind is a class here and a line in `Answer`."""

from typing import Annotated, Literal

from pydantic import Field

from schemas.base import Told
from schemas.cost import Cost

Alike = Literal["differ", "alike", "not shown"]
LevelCode = Literal["better", "worse", "no_difference", "not_settled", "too_few"]


class Interval(Told):
    """Limits within which a value lies, and how sure that is."""

    low: float
    high: float
    level: float = Field(gt=0, lt=1, description="0.95 for 95 %")

    @property
    def leaves_zero_out(self) -> bool:
        """Zero is not within; a limit of zero is.

        >>> [Interval(low=low, high=high, level=0.95).leaves_zero_out for low, high in ((0.1, 2), (-2, -0.1), (0, 2))]
        [True, True, False]
        """
        return self.low > 0 or self.high < 0


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


class ClassResult(Told):
    """What the two set-ups differ by in one size class. All but `shown` is on the measure's scale."""

    label: str = Field(description='the class, as "+20", "20/30" or "-100"')
    a_run: float = Field(description="grains (of tracers those seeded) or mg of gold a run, both set-ups")
    pairs: int = Field(description="pairs it could be compared in")
    tested: bool = Field(description="enough of it, in pairs enough")
    why_not: str = Field("", description="why it is not tested")
    estimate: float | None = Field(None, description="mean difference, more gold positive")
    interval: Interval | None = Field(None, description="its limits, which hold for all tested classes at once")
    p: float | None = Field(None, description="two-sided, of this class alone")
    p_of_all: float | None = Field(None, description="adjusted for all tested classes, by Holm's steps")
    passes: Literal["gains", "loses"] | None = Field(None, description="beyond luck among all tested classes")
    shown: Shown | None = None


class OneSizeMix(Told):
    """The total as it would be if both set-ups had been fed one mix of sizes."""

    estimate: float
    interval: Interval | None
    p: float | None
    shown: Shown
    shares: tuple[float, ...] = Field(description="of the classes in the mix, coarse to fine")
    labels: tuple[str, ...] = Field(description="the classes in the mix")


class LevelResult(Told):
    """One set-up of a graded trial. The baseline, which all are compared with, has no difference of its own."""

    level: str = Field(description="its text in the plan")
    runs: int = Field(description="its runs in the sum")
    mean: float | None = Field(description="over all blocks, as if no run were missing; none where it is not judged")
    code: LevelCode | None = Field(description="none for the baseline")
    estimate: float | None = Field(description="mean difference from the baseline, more gold positive")
    interval: Interval | None = Field(description="its limits, which hold for all levels at once")
    floored: Interval | None = Field(description="the same with the larger of scatter and floor")
    p: float | None = Field(description="two-sided, adjusted for all levels")
    shown: Shown | None
    differences: tuple[float | None, ...] = Field(description="from the baseline in each block that counts")
    net: float | None = Field(
        None, description="estimate less what minutes and black sand weigh by the plan's [price]; none without one"
    )
    could_be_best: bool | None = Field(description="no other set-up is beyond it by more than luck")
    short_of_best: float | None = Field(description="it lies short of the best by at most so much, on the scale")
    costs: tuple[Cost, ...] = ()


class SizeKept(Told):
    """What an audit found of the grains of one size that were counted in."""

    label: str = Field(description='the class, as "50/100"; blank where sizes were not told apart')
    seeded: int
    kept: int
    in_tails: int | None = Field(description="none where the tails were not searched in every run")
    missing: int | None = Field(description="neither kept nor found in the tails; counted as not kept")
    share: float = Field(ge=0, le=1, description="of the seeded ones, kept")
    interval: Interval = Field(description="limits of that share, with the luck from run to run")
    design: float = Field(description="by what factor that luck thins the grains out")
    state: Literal["loses", "holds", "not settled", "not judged"] = Field(description="against the loss line")


class AuditAnswer(Told):
    """Where do losses start? One set-up and grains counted in; nothing was compared, so nothing is estimated."""

    kind: Literal["audit"] = "audit"
    estimate: None = None
    interval: None = None
    p: float | None = Field(description="two-sided, of the straight trend over sizes")
    loss_line: float = Field(description="points lost from which a size counts as losing")
    loss_line_is_ours: bool = Field(description="our default, not the plan's line")
    runs: int = Field(description="in the sum")
    sizes: tuple[SizeKept, ...] = Field(description="coarse to fine")
    losses_start: str | None = Field(description="the coarsest of the sizes that lose, unbroken from the finest")
    holds_down_to: str | None = Field(description="the finest of the sizes that hold, unbroken from the coarsest")
    run_variance: float | None = Field(description="of the luck from run to run, logit scale; none of a single run")
    trend_z: float | None = Field(description="straight trend over sizes; below 0 the finer are kept less often")


class Trend(Told):
    """The straight line through set-ups in scale order."""

    slope: float = Field(description="rise from one set-up to the next, more gold positive")
    interval: Interval | None
    t: float | None
    p: float | None
    shown: Shown


class LevelsAnswer(Told):
    """Which level catches more gold than the baseline, and from where on does more stop paying?

    `estimate`, `interval` and `p` are those of the level that the sentence names. All is on the measure's scale.
    """

    kind: Literal["levels"] = "levels"
    named: str = Field(description="the level the sentence names: the one to use, else the one that leads")
    pick: str | None = Field(description="the level to use, among those that are better; none: keep the baseline")
    estimate: float
    interval: Interval | None
    p: float | None
    worth_having: float | None = Field(description="the smallest gain worth having; none where none was set")
    levels: tuple[LevelResult, ...] = Field(description="every set-up in scale order, the baseline first")
    sd: float = Field(description="of a run about its block and level")
    df: int = Field(description="degrees of freedom of that")
    reach: float = Field(description="Dunnett's value: standard errors from the mean to a joint limit")
    floor: float | None = Field(description="SD of a difference in a block by counting and weighing luck alone")
    trend: Trend | None = Field(description="none where the change has no scale")
    first_could_be_best: str | None = Field(
        description="the first that no other is shown to be beyond; none without a line"
    )
    first_enough: str | None = Field(description="the first that no other is a line beyond; none where none is shown")
    blocks_for_new_trial: int | None = Field(description="blocks a new trial would need at 4 chances in 5")


Answer = Annotated[Gate | PairsAnswer | ScatterAnswer | LevelsAnswer | AuditAnswer, Field(discriminator="kind")]
