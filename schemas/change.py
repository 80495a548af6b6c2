"""The change on trial: one variable, a baseline, and one or more new values of it."""

from typing import Literal, Self

from pydantic import Field, model_validator

from schemas.base import Line, Word

Variable = Literal[
    "pitch",
    "water",
    "texture",
    "mat",
    "riffle",
    "screen",
    "feed rate",
    "wetting aid",
    "rpm",
    "stroke",
    "length",
    "other",
]
Reversible = Literal["minutes", "with work", "no"]


class Change(Word):
    """What is changed, from what to what, and whether it can be undone."""

    variable: Variable = Field(description="the one thing that is changed")
    baseline: Line = Field(description="how it was: the unchanged set-up")
    changed: tuple[Line, ...] = Field(
        min_length=1, max_length=12, description="how it is now; several in scale order make a graded trial"
    )
    reversible: Reversible | None = Field(None, description="how the change is undone between runs")
    twin: Line | None = Field(None, description="the second, like piece of gear where a change can't be undone")

    @model_validator(mode="after")
    def _values_differ(self) -> Self:
        texts = [self.baseline, *self.changed]
        if len(set(texts)) < len(texts):
            raise ValueError("baseline and changed must all differ; leave [change] out for a nothing-changed check")
        return self

    @model_validator(mode="after")
    def _no_level_is_called_baseline(self) -> Self:
        if len(self.changed) > 1 and "baseline" in self.changed:
            raise ValueError("a level can't be called baseline, which is the unchanged arm; give it another name")
        return self

    @model_validator(mode="after")
    def _undone_or_twin(self) -> Self:
        if self.reversible == "no" and self.twin is None:
            raise ValueError(
                "a change that can't be undone can't alternate on one piece of gear; "
                'make two alike, change one, and name it: twin = "second insert, made together"'
            )
        return self
