"""A run: one charge of dirt through one set-up, with what was weighed and counted."""

import re
from typing import Annotated, Self

from pydantic import AfterValidator, Field, StringConstraints, model_validator

from schemas.base import Name, Text, Word
from schemas.frozen import FrozenTexts, Texts
from schemas.gear import Settings

RoleLetter = Annotated[str, StringConstraints(pattern=r"^[A-F]$")]
Tag = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9-]{1,12}$")]
LEAST_WEIGHED = 1e-6  # no scale shows as little, in mg or g; below it a slip of the unit or the exponent is sure


def _none_or_weighable(mass: float) -> float:
    if 0 < mass < LEAST_WEIGHED:
        raise ValueError(f"{mass:g} is less than any scale shows; write 0 where none was found, and check the unit")
    return mass


Weighable = AfterValidator(_none_or_weighable)
Milligrams = Annotated[float, Field(ge=0, le=10_000_000), Weighable]
Grams = Annotated[float, Field(ge=0, le=5_000_000), Weighable]
Grains = Annotated[int, Field(ge=0, le=100_000)]
SeededGrains = Annotated[int, Field(ge=0, le=5_000)]
ByEye = Annotated[int, Field(ge=0, le=3)]

TICKS_OF_GOLD = ("dry", "magnet", "loupe")
"""What is ticked off of gold before it is weighed."""
WEIGHED = ("gold", "tails_gold", "black_sand", "concentrate")
COUNTED = ("grains", "seeded", "kept", "in_tails")
BY_EYE = ("cloud", "clay")
CHECK_WEIGHT = ("check_before_g", "check_after_g")
SIGNS = (*BY_EYE, "moisture_percent", "blank_pan", *CHECK_WEIGHT, "silvery")
"""What shows that feed, water, pan or scale were not alike, or the gold not safe."""


def columns_named(text: str) -> frozenset[str]:
    """The columns that a text names, parted by commas or semicolons.

    >>> sorted(columns_named("gold_mg 50/100; minutes"))
    ['gold_mg 50/100', 'minutes']
    """
    return frozenset(filter(None, map(str.strip, re.split("[,;]", text))))


class _Catch(Word):
    """What a run, or one size class of it, kept and lost. Blank is not measured; 0 is looked and found none."""

    gold_mg: Milligrams | None = Field(None, description="gold kept, pickers apart")
    tails_gold_mg: Milligrams | None = Field(None, description="gold found in the tails of the run")
    grains: Grains | None = Field(None, description="native gold grains counted")
    seeded: SeededGrains | None = Field(None, description="tracer grains counted in")
    kept: SeededGrains | None = Field(None, description="tracer grains counted out of the catch")
    in_tails: SeededGrains | None = Field(None, description="tracer grains found in the tails")

    @model_validator(mode="after")
    def _tracers_add_up(self) -> Self:
        if self.seeded is not None and self.seeded < (self.kept or 0) + (self.in_tails or 0):
            counted = ((self.kept, "kept"), (self.in_tails, "in the tails"))
            found = " and ".join(f"{number} {where}" for number, where in counted if number is not None)
            raise ValueError(f"{found} are more than the {self.seeded} seeded; recount")
        return self


class SizeCatch(_Catch):
    """The catch of one size class."""

    label: str = Field(description='the class, as "+20", "20/30" or "-100"')


class Run(_Catch, Settings):
    """One run. `pair` and `arm` say which it is; a run with nothing else is not yet made."""

    pair: int = Field(ge=1, le=1_000, description="the pair (block) it belongs to; the run number in an audit")
    arm: str = Field(max_length=200, description="baseline, changed, repeat, or a level's text; blank in an audit")
    turn: int | None = Field(None, ge=1, le=5_000, description="its place in the whole trial, as really run")
    tag: Tag | None = Field(None, description="the code on its bucket and jar")
    session: Text | None = Field(None, description='date and part of the day, as "2026-05-03 am"')
    minutes: float | None = Field(None, ge=0.2, le=1_440, description="minutes of running")
    cleanup_minutes: float | None = Field(None, ge=0, le=1_440, description="minutes of cleaning up after it")
    fed_g: Annotated[float, Weighable] | None = Field(None, gt=0, le=5_000_000, description="dry dirt fed")
    fed_lot: Name | None = Field(None, description="the lot it was fed from, where there are several")
    black_sand_g: Grams | None = Field(None, description="dry black sand kept with the gold")
    concentrate_g: Grams | None = Field(None, description="dry concentrate, all of it")
    pickers_mg: Milligrams | None = Field(None, description="gold pieces pulled by hand, never part of gold_mg")
    largest_mg: Milligrams | None = Field(None, description="the largest piece in gold_mg")
    gold_gross_g: Grams | None = Field(None, description="gold and its container")
    gold_tare_g: Grams | None = Field(None, description="the container of the gold")
    tails_gold_gross_g: Grams | None = Field(None, description="gold of the tails and its container")
    tails_gold_tare_g: Grams | None = Field(None, description="the container of the tails gold")
    black_sand_gross_g: Grams | None = Field(None, description="black sand and its container")
    black_sand_tare_g: Grams | None = Field(None, description="the container of the black sand")
    concentrate_gross_g: Grams | None = Field(None, description="concentrate and its container")
    concentrate_tare_g: Grams | None = Field(None, description="the container of the concentrate")
    water_end_l_min: float | None = Field(None, ge=0.1, le=20_000, description="water rate at the end of the run")
    stripped: bool | None = Field(None, description="gear stripped down and rinsed before this run")
    conditioned: bool | None = Field(None, description="bed loaded with a starter charge before this run")
    dry: bool | None = Field(None, description="the gold was dry when weighed")
    magnet: bool | None = Field(None, description="the gold was cleaned with a magnet before it was weighed")
    loupe: bool | None = Field(None, description="the gold was looked over with a loupe before it was weighed")
    silvery: bool | None = Field(None, description="silvery gold was seen, which may carry mercury")
    cloud: ByEye | None = Field(None, description="how cloudy the water was by eye, 0 clear to 3 thick")
    clay: ByEye | None = Field(None, description="how much clay the feed held by eye, 0 none to 3 lumps")
    moisture_percent: float | None = Field(None, ge=0, le=25, description="water in the feed as weighed, % of its mass")
    blank_pan: Grains | None = Field(None, description="gold grains found in a pan of barren dirt before this run")
    check_before_g: Grams | None = Field(None, description="what the check weight read before the gold was weighed")
    check_after_g: Grams | None = Field(None, description="what the same check weight read afterwards")
    feeder: RoleLetter | None = Field(None, description="role letter of who fed")
    panner: RoleLetter | None = Field(None, description="role letter of who panned, weighed or counted")
    void: Text | None = Field(None, description="why the run does not count")
    void_gold_known: bool | None = Field(None, description="was its gold known when it was struck?")
    as_typed: Text | None = Field(None, description="columns whose odd value was looked at again and stands as typed")
    note: Text | None = Field(None, description="anything worth knowing")
    classes: tuple[SizeCatch, ...] = Field((), description="the catch by size class")
    typed: Texts = Field(default_factory=FrozenTexts, description="what was typed, where it was not the stored unit")

    @property
    def key(self) -> tuple[int, str]:
        """The pair and arm, which name a run within its trial."""
        return (self.pair, self.arm)

    @property
    def is_void(self) -> bool:
        """Whether the run was struck."""
        return bool(self.void)

    @property
    def stands(self) -> frozenset[str]:
        """The columns whose value was looked at again and stands, however odd."""
        return columns_named(self.as_typed) if self.as_typed else frozenset()

    @property
    def total_minutes(self) -> float | None:
        """Minutes of the run with its cleanup, or None where the run was not timed."""
        return None if self.minutes is None else self.minutes + (self.cleanup_minutes or 0.0)


PLAN_FIELDS = frozenset({"pair", "arm", "turn", "tag", "typed", "classes", "as_typed"})


def is_made(run: Run) -> bool:
    """Whether anything was recorded of a run beyond its place in the plan.

    >>> is_made(Run(pair=1, arm="baseline", turn=2)), is_made(Run(pair=1, arm="baseline", minutes=9.5))
    (False, True)
    """
    return bool(run.classes) or any(value is not None and name not in PLAN_FIELDS for name, value in vars(run).items())
