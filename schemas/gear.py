"""The gear, and the settings it is run at."""

from typing import Annotated, Literal

from pydantic import Field

from schemas.base import Typed, Word

GearKind = Literal[
    "finishing table",
    "sluice",
    "cleanup sluice",
    "shaking table",
    "pan",
    "spinning bowl",
    "vortex bowl",
    "wheel",
    "jig",
    "rocker",
    "other",
]
STEEP_GEAR: frozenset[GearKind] = frozenset({"wheel", "spinning bowl", "vortex bowl", "pan", "other"})


class Gear(Word):
    """The piece of gear on trial."""

    kind: GearKind = Field(description="what sort of gear it is")
    width_mm: Annotated[float | None, Typed("width", "length")] = Field(
        None, ge=50, le=5_000, description="width of the bed"
    )
    length_mm: Annotated[float | None, Typed("length", "length")] = Field(
        None, ge=50, le=5_000, description="length of the bed"
    )


class Settings(Word):
    """How the gear is set: held the same in both arms, or read during a run."""

    pitch_deg: Annotated[float | None, Typed("pitch", "angle")] = Field(
        None, ge=-2, le=60, description="slope of the bed along the flow"
    )
    cross_tilt_deg: Annotated[float | None, Typed("cross_tilt", "angle")] = Field(
        None, ge=-6, le=6, description="slope of the bed across the flow"
    )
    water_l_min: Annotated[float | None, Typed("water", "flow")] = Field(
        None, ge=0.1, le=20_000, description="water rate, at the start where it is read twice"
    )
    depth_mm: Annotated[float | None, Typed("depth", "length")] = Field(
        None, ge=0.2, le=150, description="depth of the flow"
    )
    feed_kg_h: Annotated[float | None, Typed("feed", "feed rate")] = Field(
        None, ge=0.01, le=20_000, description="feed rate"
    )
    rpm: Annotated[float | None, Typed("rpm", "speed")] = Field(
        None, ge=0, le=3_000, description="turns a minute of a wheel or bowl, strokes a minute of a table"
    )
    stroke_mm: Annotated[float | None, Typed("stroke", "length")] = Field(
        None, ge=1, le=40, description="length of the stroke"
    )
    wetting_drops_10l: Annotated[float | None, Typed("wetting_drops", "count")] = Field(
        None, ge=0, le=100, description="drops of wetting aid in 10 L of water"
    )
    temp_c: Annotated[float | None, Typed("temp", "temperature")] = Field(
        None, ge=0, le=40, description="temperature of the water"
    )


class Held(Settings):
    """Settings meant to be the same in both arms."""

    charge_g: Annotated[float | None, Typed("charge", "feed mass")] = Field(
        None, gt=0, le=5_000_000, description="dirt fed in one run"
    )
