"""A lot: the dirt that is split between the set-ups."""

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from schemas.base import Name, Text, Typed, Word
from schemas.coordinates import holds_coordinates

LotKind = Literal["natural", "table tailings", "sluice tailings", "concentrate", "made up"]
Mixing = Literal["tarp", "coned", "drum", "none"]
Splitting = Literal["riffle splitter", "spinning", "cone and quarter", "level scoops", "shovel", "none"]


def _no_coordinates(label: str) -> str:
    if holds_coordinates(label):
        raise ValueError("looks like coordinates, which are never kept; give the place a name only you know, or none")
    return label


Place = Annotated[Text, AfterValidator(_no_coordinates)]


class Lot(Word):
    """One lot of dirt, mixed and split into like halves."""

    name: Name = Field("lot", description="how runs refer to this lot where there are several")
    kind: LotKind = Field(description="where the dirt comes from")
    mass_g: Annotated[float | None, Typed("mass", "feed mass")] = Field(
        None, ge=50, le=5_000_000, description="mass of the whole lot"
    )
    size: str | None = Field(None, description='size range of the dirt, as "-30" or "30/100"')
    mixing: Mixing | None = Field(None, description="how the lot was mixed before it was split")
    splitting: Splitting | None = Field(None, description="what split the lot into halves")
    pickers_over_mm: Annotated[float | None, Typed("pickers_over", "length")] = Field(
        None, ge=0.038, le=50, description="pieces larger than this were pulled and booked apart"
    )
    place_label: Place | None = Field(None, description="a label for where it was dug, if any; never coordinates")
