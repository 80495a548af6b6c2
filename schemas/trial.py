"""A trial: a feed, arms, blocks, and one main measure."""

import re
from collections.abc import Mapping
from datetime import date
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, NaiveDatetime, StringConstraints, model_validator

from schemas.base import MEASURE_WORDS, Line, MeasureName, Name, Text, Typed, Word
from schemas.change import Change
from schemas.frozen import FrozenTexts, Texts
from schemas.gear import STEEP_GEAR, Gear, Held
from schemas.lot import Lot
from schemas.run import Run, SeededGrains, Tag

Knew = Literal["nobody", "feeder", "panner", "both"]
TrialKind = Literal["pairs", "nothing-changed check", "graded", "audit"]
PITCH_LIMIT_DEG = 25.0
SAVING_PERCENT = 10.0
"""Our default: saving less than this is no reason to change gear for the same gold."""


class Limits(Word):
    """What a gain may cost: the most that changed over baseline may be."""

    black_sand: float = Field(1.5, ge=1, le=10, description="black sand kept")
    minutes: float = Field(1.2, ge=1, le=10, description="minutes of run and cleanup")
    concentrate: float | None = Field(None, ge=1, le=10, description="concentrate kept")
    water: float | None = Field(None, ge=1, le=10, description="water rate")
    saving_percent: Annotated[float | None, Typed("saving", "percent")] = Field(
        None, ge=1, le=90, description="smallest saving of sand or minutes that makes the same gold worth a change"
    )

    @property
    def smallest_saving(self) -> float:
        """The saving that counts, as a share: the plan's, or our default."""
        return (SAVING_PERCENT if self.saving_percent is None else self.saving_percent) / 100.0


class Price(Word):
    """What minutes and black sand weigh against gold, where one of several levels is to be named.

    In points for recovery and tracers, else in %.
    """

    minute: float | None = Field(None, gt=0, le=50, description="taken off the gold for each minute, clean-up and all")
    black_sand_g: float | None = Field(None, gt=0, le=50, description="taken off the gold for each gram of black sand")


class Tails(Word):
    """How the tails were caught and searched for the gold that was lost."""

    caught: Literal["all", "lip cuts", "grab", "none"] | None = Field(None, description="how much of them")
    by: Line | None = Field(None, description="the method that took the gold out of them")
    finds_percent: Annotated[float | None, Typed("finds", "percent")] = Field(
        None, gt=0, le=100, description="share of the gold in tails which that method is known to find"
    )


class Grains(Word):
    """The tracer grains."""

    stuff: Literal["gold", "lead", "tungsten", "other"] = Field("gold", description="what they are made of")
    seeded: SeededGrains | None = Field(None, description="grains counted into every run, all sizes together")
    size: str | None = Field(None, description='their size class, as "50/100"')


class Scales(Word):
    """The smallest step of each scale."""

    gold_g: Annotated[float | None, Typed("gold", "feed mass")] = Field(
        None, ge=0.00001, le=100, description="one division of the gold scale"
    )
    sand_g: Annotated[float | None, Typed("sand", "feed mass")] = Field(
        None, ge=0.00001, le=1_000, description="one division of the sand scale"
    )


class Sizes(Word):
    """The size classes in use."""

    series: Literal["ASTM", "Tyler", "hobby"] | None = Field(None, description="which sieve series a mesh belongs to")
    main: str | None = Field(None, description="the class of the main measure; absent: the total")


def _counts(text: object) -> object:
    """Counts of one vial, parted by one space each."""
    if not isinstance(text, str):
        return text
    counts, of, size = text.partition(" of ")
    found = re.split(r"\s*[,;]\s*|\s+", counts.strip())
    is_size = not of or re.fullmatch(r"[+-]?[\d./]{1,12}(\s?mm)?", size.strip())
    if not 3 <= len(found) <= 10 or not all(re.fullmatch(r"[1-9]\d{0,5}", one) for one in found) or not is_size:
        shown = text if len(text) <= 60 else f"{text[:57]}..."
        raise ValueError(f"{shown} is not a vial counted 3 to 10 times; write it as 97 101 92, or 97 101 92 of 100/140")
    return " ".join(found) + (f" of {size.strip()}" if of else "")


Recount = Annotated[Line, BeforeValidator(_counts)]


class Guess(Word):
    """What the plan was reckoned with: guesses, made before the first run, that no verdict uses."""

    gold_mg_kg: Annotated[float | None, Typed("gold", "grade")] = Field(
        None, ge=0.001, le=1_000_000, description="gold in the dirt"
    )
    sizes: Literal["coarse", "medium", "fine"] | None = Field(None, description="how large its grains are")
    care: Literal["careful", "usual", "hurried"] | None = Field(None, description="how alike two runs come out")
    keeps_percent: Annotated[float | None, Typed("keeps", "percent")] = Field(
        None, gt=0, lt=100, description="share of the gold, or of the tracer grains, that the unchanged gear keeps"
    )
    scatter_points: float | None = Field(None, gt=0, lt=100, description="SD of pair differences seen before, points")
    scatter_percent: float | None = Field(None, gt=0, le=1_000, description="SD of pair differences seen before, %")
    scatter_from: Name | None = Field(None, description="the earlier trial that the scatter is taken from")
    run_minutes: Annotated[float | None, Typed("run", "minutes")] = Field(
        None, ge=0.2, le=1_440, description="time that one run of the charge takes"
    )
    cleanup_minutes: Annotated[float | None, Typed("cleanup", "minutes")] = Field(
        None, ge=0, le=1_440, description="time that cleaning up after one run takes"
    )
    time_minutes: Annotated[float | None, Typed("time", "minutes")] = Field(
        None, ge=1, le=100_000, description="time there is for the whole trial"
    )
    recount: Recount | None = Field(None, description="what one vial came to each time it was counted, and their size")

    @property
    def recounts(self) -> tuple[int, ...]:
        """The counts of one vial; none where it was not counted again."""
        return tuple(map(int, (self.recount or "").partition(" of ")[0].split()))

    @property
    def recounted_size(self) -> str | None:
        """The size class of that vial; None where it was not told."""
        return (self.recount or "").partition(" of ")[2] or None


class Photo(Word):
    """A picture that belongs to a trial, by its path and digest; the picture itself stays where it is."""

    path: Line = Field(description="where it lies, from the folder of the logbook")
    what: Literal["sheet", "bed", "gold", "tails", "scale"] = Field(description="what it shows")
    tag: Tag | None = Field(None, description="the run it belongs to, by its tag")
    sha256: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")] = Field(
        description="digest of the file when it was attached"
    )


class Amendment(Word):
    """A change to a plan after it was locked."""

    when: date = Field(description="the day of the change")
    what: Line = Field(description='the field changed, as "pairs" or "limits.minutes"')
    was: Text = Field(description="its value before")
    now: Text = Field(description="its value since")
    why: Line = Field(description="the reason")


class Correction(Word):
    """A value changed after it was stored; the old one is kept here."""

    when: NaiveDatetime = Field(description="the moment of the correction, local time")
    pair: int | None = Field(None, ge=1, le=1_000, description="the pair of the run; blank for a field of the trial")
    arm: str | None = Field(None, description="the arm of the run; blank for a field of the trial")
    field: Line = Field(description="the field that was corrected")
    old: Text | None = Field(None, description="the value it had; blank where it had none")
    new: Text | None = Field(None, description="the value it has; blank where it was taken out")
    why: Line = Field(description="the reason")


class Trial(Word):
    """The plan of a trial. Its arms follow from the change; its kind from both."""

    name: Name
    question: Text = Field("", description="what the trial asks, in the words of the person who asks")
    measure: MeasureName = Field(description="the one main measure")
    worth_having: float | None = Field(
        None,
        gt=0,
        le=1_000,
        description="the smallest gain worth having: points for recovery and tracers, else %",
    )
    pairs: int = Field(ge=1, le=200, description="pairs (blocks) planned; runs of an audit")
    spares: int = Field(0, ge=0, le=5, description="pairs kept in hand for void ones")
    seed: int | None = Field(None, ge=0, le=2**63 - 1, description="the seed of the draw")
    look_after: int | None = Field(None, ge=4, description="pairs after which one early look is planned")
    knew: Knew | None = Field(None, description="who knew the set-up")
    locked: date | None = Field(None, description="the day the plan was locked")
    audit: bool = Field(default=False, description="one arm only: where do losses start?")
    set_aside: Text | None = Field(None, description="why the whole trial was set aside; blank: it stands")
    lots: tuple[Lot, ...] = Field(min_length=1, description="the dirt")
    gear: Gear
    change: Change | None = Field(None, description="absent: a nothing-changed check, or an audit")
    held: Held = Held()
    limits: Limits | None = Field(None, description="absent: our defaults")
    price: Price = Price()
    tails: Tails = Tails()
    grains: Grains = Grains()
    scales: Scales = Scales()
    sizes: Sizes = Sizes()
    guess: Guess = Guess()
    amended: tuple[Amendment, ...] = ()
    photos: tuple[Photo, ...] = ()
    typed: Texts = Field(default_factory=FrozenTexts, description="what was typed, by place in the file")

    @property
    def kind(self) -> TrialKind:
        """What people call this kind of trial."""
        if self.audit:
            return "audit"
        if self.change is None:
            return "nothing-changed check"
        return "graded" if len(self.change.changed) > 1 else "pairs"

    @property
    def arms(self) -> tuple[str, ...]:
        """The arms a run may belong to, the unchanged one first.

        A graded trial names its levels by their own text; an audit has one arm without a name.
        """
        match self.kind:
            case "audit":
                return ("",)
            case "nothing-changed check":
                return ("baseline", "repeat")
            case "graded":
                return ("baseline", *(self.change.changed if self.change else ()))
            case _:
                return ("baseline", "changed")

    @property
    def cost_limits(self) -> Limits:
        """The limits in force: the plan's, or our defaults."""
        return self.limits or Limits()

    @property
    def feeds_tails(self) -> bool:
        """Whether the feed is stored tailings, so that any second pass finds gold in it."""
        return any(lot.kind in ("table tailings", "sluice tailings") for lot in self.lots)

    @model_validator(mode="after")
    def _audit_changes_nothing(self) -> Self:
        if self.audit and self.change is not None:
            raise ValueError("an audit has one arm and no change; leave [change] out, or audit = true")
        return self

    @model_validator(mode="after")
    def _price_names_a_level(self) -> Self:
        if self.price != Price() and self.kind != "graded":
            raise ValueError("[price] chooses among the levels of a graded trial, and this is none; leave it out")
        return self

    @model_validator(mode="after")
    def _lots_have_names(self) -> Self:
        names = [lot.name for lot in self.lots]
        if len(set(names)) < len(names):
            raise ValueError(f"lots need different names, got {', '.join(names)}; name each [[lot]]")
        return self

    @model_validator(mode="after")
    def _recovery_needs_tails(self) -> Self:
        if MEASURE_WORDS[self.measure].needs_tails and self.tails.caught == "none":
            raise ValueError(
                f'measure {self.measure} needs the tails, and tails caught is "none"; '
                'tub the tails, or measure = "gold_mass" (gold kept from equal halves)'
            )
        return self

    @model_validator(mode="after")
    def _line_fits_measure(self) -> Self:
        under = MEASURE_WORDS[self.measure].gain_under
        if self.worth_having is not None and under is not None and self.worth_having >= under:
            raise ValueError(f"worth_having {self.worth_having:g} is not under {under:g}; no gain can be that large")
        return self

    @model_validator(mode="after")
    def _look_before_the_end(self) -> Self:
        if self.look_after is not None and self.look_after >= self.pairs:
            raise ValueError(
                f"look_after {self.look_after} is not before the last of {self.pairs} pairs; about half is usual"
            )
        return self

    @model_validator(mode="after")
    def _pitch_fits_gear(self) -> Self:
        pitch = self.held.pitch_deg
        if pitch is not None and pitch > PITCH_LIMIT_DEG and self.gear.kind not in STEEP_GEAR:
            raise ValueError(f"pitch {pitch:g} deg on a {self.gear.kind}; was that {pitch / 10:g}?")
        return self


# The sections of a plan, by the name of their field: each stands once in a trial.
SECTIONS: Mapping[str, type[Word]] = {
    "gear": Gear,
    "change": Change,
    "held": Held,
    "limits": Limits,
    "price": Price,
    "tails": Tails,
    "grains": Grains,
    "scales": Scales,
    "sizes": Sizes,
    "guess": Guess,
}


class Record(Word):
    """All that is stored of a trial: its plan, its runs, and every correction made since."""

    trial: Trial
    runs: tuple[Run, ...] = ()
    corrections: tuple[Correction, ...] = ()
