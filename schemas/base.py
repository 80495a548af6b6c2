"""What every word here shares: strict types, no silent extras, no change after it is made."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Final, Literal, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, GetCoreSchemaHandler, StringConstraints
from pydantic_core import CoreSchema, core_schema

from schemas.as_stored import as_stored
from schemas.frozen import frozen


class Told(BaseModel):
    """What is told: strict, frozen to the bottom, finite numbers only, unknown fields refused."""

    model_config = ConfigDict(
        strict=True,
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        json_schema_serialization_defaults_required=True,
    )

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """Copy with some fields replaced, unchecked; what they hold is frozen too."""
        return super().model_copy(update={k: frozen(v) for k, v in (update or {}).items()}, deep=deep)


class Word(Told):
    """A thing of the trade as data: as strict, but for what can't be mistaken.

    A whole float and a number out of an array count as what they are, and a list serves where a tuple is stored.
    """

    @classmethod
    def __get_pydantic_core_schema__(cls, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:  # noqa: ANN401 - as pydantic calls it
        checked = handler(source)
        taken = core_schema.no_info_before_validator_function(as_stored(cls), checked)
        return core_schema.json_or_python_schema(json_schema=checked, python_schema=taken)


@dataclass(frozen=True, slots=True)
class Typed:
    """How a person writes a field in `trial.toml`: under which key, and as what kind of quantity.

    key: The key in the file, without a unit ("mass" for the field `mass_g`).
    kind: The kind of quantity, one of `trials.units.quantity.Kind`, which knows the units accepted.
    """

    key: str
    kind: str


Name = Annotated[
    str,
    StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_-]{0,63}$"),
    Field(description="letters, digits, - and _; 1 to 64 of them, the first a letter or digit"),
]
TURNING = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
"""Marks that turn the text after them round, so that it is not read as it is written."""
_CODES = {ord(mark): f"\\u{ord(mark):04x}" for mark in TURNING}


def _in_codes(text: object) -> object:
    """A text with such marks written as their codes, wherever it comes from."""
    return text.translate(_CODES) if isinstance(text, str) and not text.isascii() else text


# No white space at the ends, which a table can't keep, and no control character but tab and line feed.
Line = Annotated[
    str,
    StringConstraints(
        strip_whitespace=True, min_length=1, max_length=2000, pattern=r"^[^\x00-\x08\x0b-\x1f\x7f-\x9f]*$"
    ),
    BeforeValidator(_in_codes),
]
Text = Annotated[
    str,
    StringConstraints(strip_whitespace=True, max_length=2000, pattern=r"^[^\x00-\x08\x0b-\x1f\x7f-\x9f]*$"),
    BeforeValidator(_in_codes),
]


@dataclass(frozen=True, slots=True)
class MeasureWord:
    """What a plan must fit by its measure alone; all else a measure answers for itself.

    unit: What a line is typed in: "points" of a share, or "%" of a ratio.
    needs_tails: Its number is made of all tails of every run.
    gain_under: No gain can be so large, in that unit; None where there is no end.
    """

    unit: Literal["points", "%"]
    needs_tails: bool = False
    gain_under: float | None = None


MEASURE_WORDS: Final[Mapping[str, MeasureWord]] = {
    "recovery": MeasureWord("points", needs_tails=True, gain_under=100.0),
    "gold_mass": MeasureWord("%"),
    "tracers": MeasureWord("points", gain_under=100.0),
    "grain_counts": MeasureWord("%"),
    "tails_gold": MeasureWord("%", needs_tails=True, gain_under=100.0),
}
"""Every main measure: the one list of their names. Each is worked with in the file of its name in `trials/measures`."""

if TYPE_CHECKING:
    MeasureName = str  # a type checker can't read names out of a table
else:
    MeasureName = Literal[*MEASURE_WORDS]
Scale = Literal["points", "ln ratio"]
