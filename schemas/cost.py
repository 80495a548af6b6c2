"""What a change costs in black sand, minutes and the like."""

from typing import Literal

from pydantic import Field

from schemas.base import Word

CostStatus = Literal["within", "over", "not shown", "not recorded"]


class Part(Word):
    """One part of a cost by itself, as clean-up time of all minutes; it has no limit of its own."""

    name: str
    ratio: float | None = Field(description="ratio of geometric means, changed over baseline; none: not to be told")
    low: float | None = Field(description="lower one-sided 95 % limit of the ratio")
    high: float | None = Field(description="upper one-sided 95 % limit of the ratio")
    baseline_mean: float = Field(description="mean of the unchanged arm")
    changed_mean: float = Field(description="mean of the other arm")


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
    saves: bool = Field(default=False, description="lower beyond luck, and by the smallest saving that counts or more")
    parts: tuple[Part, ...] = Field((), description="what it is the sum of, each by itself, where that was recorded")
