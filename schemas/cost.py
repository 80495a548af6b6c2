"""What a change costs in black sand, minutes and the like."""

from typing import Literal

from pydantic import Field

from schemas.base import Word

CostStatus = Literal["within", "over", "not shown", "not recorded"]


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
