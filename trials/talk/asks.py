"""What is asked of a run when it is typed by itself: short prompts, in the order of the papers."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from schemas import Run, Trial
from schemas.run import BY_EYE, CHECK_WEIGHT, TICKS_OF_GOLD
from trials.records.assemble import GROSS_OR_TARE
from trials.records.columns import MEASURED
from trials.sheets.form import SETTINGS, AskedColumn, asked_columns
from trials.talk.one_run import NOT_TYPED
from trials.talk.question import Amount, AnswerKind, Choice, Text
from trials.talk.shorthand import TICKS, TWO_READINGS
from trials.units.kinds import plain_spelling, spellings
from trials.wording.lists import capital

CARRIED = ("turn", "session", *SETTINGS, *BY_EYE, "moisture_percent", "feeder", "panner")
"""What stays as it was planned, or as it was in the run before, more often than not: asked in one go."""
WATER, WATER_END = "water_l_min", "water_end_l_min"
FED = ("fed_g", "fed_lot", "seeded")
SIGNS = (*BY_EYE, "moisture_percent", "blank_pan", *CHECK_WEIGHT, "silvery")
"""What tells whether the main readings can be trusted: asked once those are typed, all in one go."""
LAST = (*SIGNS, "note")

# Field -> what it is called, and what stands behind that in the prompt, with {unit} for the unit of the papers.
CALLED: Mapping[str, tuple[str, str]] = {
    "turn": ("turn", ""),
    "session": ("session", ", day and am or pm"),
    "fed_g": ("fed", ", {unit}"),
    "fed_lot": ("lot", ""),
    "minutes": ("minutes", ", or clock at start and end"),
    "cleanup_minutes": ("clean-up", ", min"),
    WATER: ("water", " at start and end, {unit}"),
    WATER_END: ("water at end", ", {unit}"),
    "temp_c": ("temp", ", {unit}"),
    "stripped": ("stripped", " before, yes or no"),
    "conditioned": ("starter", " charge fed, yes or no"),
    "feeder": ("feeder", ", A to F"),
    "panner": ("panner", ", A to F"),
    TICKS: ("ticks", ": dry, magnet, loupe"),
    "gold_mg": ("gold", ", mg; or gross and tare, g"),
    "tails_gold_mg": ("tails gold", ", mg; or gross and tare, g"),
    "black_sand_g": ("sand", ", g; or gross and tare"),
    "concentrate_g": ("concentrate", ", g; or gross and tare"),
    "grains": ("grains", ""),
    "seeded": ("seeded", " grains"),
    "kept": ("kept", " grains"),
    "in_tails": ("in tails", ", grains"),
    "pickers_mg": ("pickers", ", {unit}"),
    "largest_mg": ("largest", " piece, {unit}"),
    "pitch_deg": ("pitch", ", {unit}"),
    "cross_tilt_deg": ("cross tilt", ", {unit}"),
    "depth_mm": ("depth", ", {unit}"),
    "feed_kg_h": ("feed rate", ", {unit}"),
    "rpm": ("rpm", ""),
    "stroke_mm": ("stroke", ", {unit}"),
    "wetting_drops_10l": ("wetting aid", ", drops in 10 L"),
    "cloud": ("cloud", " of the water, 0 to 3"),
    "clay": ("clay", " in the feed, 0 to 3"),
    "moisture_percent": ("moisture", " of the feed, %"),
    "blank_pan": ("blank pan", " before it, grains found"),
    "check_before_g": ("check weight", " before, {unit}"),
    "check_after_g": ("check weight after", ", {unit}"),
    "silvery": ("silvery", " gold seen, yes or no"),
    "note": ("note", ""),
}


@dataclass(frozen=True, slots=True)
class Ask:
    """One thing that is asked of a run.

    key: the column its answer goes by.
    name, more: what it is called, as "water"; and what stands behind that in the prompt.
    unit: the unit of a bare number; blank where there is none.
    means, in_a_line, ending: what is to be written; what may be typed in one line besides; when it is left open.
    default: what an empty line means; blank: it stays open.
    carried: whether the default is likely to hold, so that one question stands for it and others like it.
    fields: the fields of a run that it fills, or columns of a size class.
    """

    key: str
    name: str
    more: str
    unit: str
    means: str
    in_a_line: str
    ending: str
    kind: AnswerKind
    default: str
    carried: bool
    fields: tuple[str, ...]

    @property
    def prompt(self) -> str:
        """The question on one line."""
        return f"{self.name}{self.more}"

    @property
    def explains(self) -> str:
        """What is to be written, in full."""
        return f"{self.means}{self.in_a_line}{self.ending}"


def asks_of_run(
    trial: Trial,
    runs: Sequence[Run],
    units: Mapping[str, str],
    defaults: Mapping[str, str],
    carried: Sequence[str],
    classes: Sequence[str] | None = None,
) -> list[Ask]:
    """What is asked of a run of this plan, in the order of its papers, those asked in one go first?

    What any of the `runs` holds is asked of the others too. `units` has the fields whose unit on the papers is not the
    stored one, `defaults` what an empty line means, `carried` the fields whose default is likely to hold. `classes` are
    the size classes asked for; None for those of the runs and of the plan.
    """
    return _asks(asked_columns(trial, runs, classes=classes), units, defaults, carried)


def asks_of_panner(trial: Trial, runs: Sequence[Run], classes: Sequence[str] | None = None) -> list[Ask]:
    """What is asked of whoever weighs and counts: nothing of the set-up, and nothing that is known beforehand."""
    return _asks(asked_columns(trial, runs, for_panner=True, classes=classes), {}, {}, ())


def _asks(
    columns: Sequence[AskedColumn], units: Mapping[str, str], defaults: Mapping[str, str], carried: Sequence[str]
) -> list[Ask]:
    asked = [one for one in columns if one.field not in NOT_TYPED and one.field not in GROSS_OR_TARE]
    fields = {one.field for one in asked}
    return [
        _ask(one, fields, units, defaults, is_carried=one.field in carried)
        for one in sorted(asked, key=_place)
        if not (one.field == WATER_END and WATER in fields) and one.field not in TICKS_OF_GOLD[1:]
    ]


def _place(asked: AskedColumn) -> tuple[int, int]:
    """Where it is asked: what is carried first, the feed before what was found in it, signs and note last."""
    for at, fields in ((3, LAST), (0, CARRIED), (1, FED)):
        if asked.field in fields:
            return (at, fields.index(asked.field))
    return (2, 0)


def _ask(
    asked: AskedColumn, fields: set[str], units: Mapping[str, str], defaults: Mapping[str, str], *, is_carried: bool
) -> Ask:
    filled: tuple[str, ...] = (asked.header,)
    key, called = _key(asked, units), asked.field
    if asked.field == WATER and WATER_END in fields:
        filled = (WATER, WATER_END)
    elif asked.field == TICKS_OF_GOLD[0]:
        key, called, filled = TICKS, TICKS, TICKS_OF_GOLD
    name, more = CALLED.get(called, (asked.field.replace("_", " "), ""))
    if asked.label is not None:
        name, more = f"{name} {asked.label}", more.partition(";")[0]
    elif filled == (WATER,):
        more = " at start, {unit}"
    default = defaults.get(key if key == TICKS else asked.header, "")
    unit = units.get(asked.field) or stored_unit(asked.field)
    means, in_a_line, ending = _explained(asked, called)
    return Ask(
        key=key,
        name=name,
        more=more.format(unit=unit),
        unit="" if called == TICKS else unit,
        means=means,
        in_a_line=in_a_line,
        ending=ending,
        kind=_kind(asked, called, unit),
        default=default,
        carried=is_carried and bool(default),
        fields=filled,
    )


def _kind(asked: AskedColumn, called: str, unit: str) -> AnswerKind:
    if called == TICKS:
        return Text()
    if asked.choices and asked.only:
        return Choice(asked.choices, is_numbered=False)
    return Amount(MEASURED[asked.field][1], unit) if asked.field in MEASURED else Text()


def _key(asked: AskedColumn, units: Mapping[str, str]) -> str:
    """The column in the unit of the papers, so that a bare number is read as it was written there."""
    ending = unit_ending(asked.field, units.get(asked.field))
    if asked.field not in MEASURED or ending == unit_ending(asked.field, None):
        return asked.header
    return f"{MEASURED[asked.field][0]}_{ending}"


def unit_ending(field: str, unit: str | None) -> str:
    """How a column of a field in a unit ends; that of its stored unit where none is told, or it is not known."""
    if field not in MEASURED:
        return ""
    kind = MEASURED[field][1]
    return spellings(kind).get(plain_spelling(unit or ""), kind.stored).ending


def stored_unit(field: str) -> str:
    """The unit in which a field is stored; blank for one without."""
    return MEASURED[field][1].stored.name if field in MEASURED else ""


def _explained(asked: AskedColumn, called: str) -> tuple[str, str, str]:
    """What is to be written, what may be typed in one line besides, and when it is left open."""
    if called == TICKS:
        means = "Which boxes were ticked when the gold was weighed"
        return means, ": their names, all, or none", ". Open if nobody looked."
    means, line = f"{capital(asked.words)}.", ""
    if asked.sort in ("number", "whole") and asked.low is not None and asked.high is not None:
        means += f" From {asked.low:,.12g} to {asked.high:,.12g}."
    if asked.field == WATER:
        line += " One number is the start alone, two are start and end."
    if asked.field in ("minutes", "cleanup_minutes"):
        line += " Two times of the clock will do: 9:12 9:21."
    if asked.field in TWO_READINGS and asked.label is None:
        line += " Two readings of the scale in g will do, gross then tare: 18.6 12.2."
    if asked.sort == "number":
        line += " A unit may be typed behind the number."
    looked = asked.field in (*TWO_READINGS, "pickers_mg", "largest_mg") or (
        asked.sort == "whole" and asked.field != "turn"
    )
    zero = "; 0 is looked and found none" if looked else ""
    return means, line, f" Leave it open if it was not measured{zero}."
