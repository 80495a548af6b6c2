"""The fields of a form for one run: a number with its unit as a choice, two readings of a scale, boxes to tick."""

from collections.abc import Mapping
from dataclasses import dataclass

from schemas.run import TICKS_OF_GOLD
from trials.talk.asks import WATER_END, Ask
from trials.talk.question import Amount, Choice
from trials.talk.shorthand import TICKS, TWO_READINGS
from trials.units.kinds import UNITS, Unit, plain_spelling, spellings

MAIN, SECOND, UNIT, STANDS, WAS = "", "2 ", "unit ", "stands ", "was "
"""What stands before the key of an ask in the names of its fields."""
NONE_TICKED = "none"
TIMED, COUNTED = ("minutes", "cleanup_minutes"), ("grains", "kept", "in_tails", "seeded")
NET_OR_READINGS = "Type the net weight, or gross and tare, and not both."


@dataclass(frozen=True, slots=True)
class RunField:
    """One ask as it is shown.

    sort: choice, ticks, readings (net, or gross and tare), both (at start and end), count, or text.
    values: what stands in its fields, by their names.
    wrong, asked: what is wrong with it, and what is asked about it. stands: the answer that is asked about.
    was: the stored answer as the form was opened; None where none is corrected.
    """

    ask: Ask
    sort: str
    values: Mapping[str, str]
    wrong: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()
    stands: str = ""
    was: str | None = None

    @property
    def units(self) -> tuple[str, ...]:
        """The units there is a choice of, that of a bare number first; none where there is one alone."""
        kind = self.ask.kind
        if not isinstance(kind, Amount) or not self.ask.unit:
            return ()
        names = dict.fromkeys(_name_at(self.ask, unit) for unit in UNITS[kind.kind])
        return tuple(dict.fromkeys((self.ask.unit, *names))) if len(names) > 1 else ()

    @property
    def options(self) -> tuple[str, ...]:
        """What can be chosen or ticked."""
        if self.sort == "ticks":
            return TICKS_OF_GOLD
        return self.ask.kind.options if isinstance(self.ask.kind, Choice) else ()

    @property
    def is_timed(self) -> bool:
        """Whether a stopwatch helps."""
        return self.ask.fields[0] in TIMED

    @property
    def is_counted(self) -> bool:
        """Whether grains are counted one by one."""
        return self.ask.fields[0].partition(" ")[0] in COUNTED

    def value(self, before: str = MAIN) -> str:
        """What stands in one of its fields."""
        return self.values.get(f"{before}{self.ask.key}", "")


def look_of(ask: Ask) -> str:
    """How an ask is shown."""
    if ask.key == TICKS:
        return "ticks"
    if isinstance(ask.kind, Choice):
        return "choice"
    if ask.fields[0] in TWO_READINGS:
        return "readings"
    return "both" if WATER_END in ask.fields and len(ask.fields) > 1 else "text"


def values_of(ask: Ask, text: str) -> dict[str, str]:
    """What stands in the fields of an ask for an answer, as it would be typed in one line."""
    key, parts = ask.key, text.split()
    match look_of(ask):
        case "ticks":
            ticked = text.replace(",", " ").split()
            return {f"{tick} {key}": "yes" for tick in (*TICKS_OF_GOLD, NONE_TICKED) if tick in ticked}
        case "both" if len(parts) == 2 and _is_number(parts[1]):
            return {key: parts[0], f"{SECOND}{key}": parts[1]}
        case "readings" if len(parts) == 2 and _is_number(parts[1]):
            return {f"gross {key}": parts[0], f"tare {key}": parts[1]}
        case _:
            number, _, unit = text.partition(" ")
            known = None if not isinstance(ask.kind, Amount) else spellings(ask.kind.kind).get(plain_spelling(unit))
            if known is None or not _is_number(number):
                return {key: text}
            return {key: number, f"{UNIT}{key}": _name_at(ask, known)}


def _name_at(ask: Ask, unit: Unit) -> str:
    """What a unit is called beside an ask: as the ask has it, where that is the same unit in another spelling."""
    own = plain_spelling(ask.unit)
    return ask.unit if own in map(plain_spelling, (unit.name, *unit.also)) else unit.name


def _is_number(text: str) -> bool:
    return text.removeprefix("-").replace(".", "", 1).replace(",", "", 1).isdigit()


def answer_of(ask: Ask, values: Mapping[str, str]) -> tuple[str, str]:
    """The answer that the fields of an ask hold, as it would be typed in one line; and what is wrong with them."""
    key, sort = ask.key, look_of(ask)
    told = {before: values.get(f"{before}{key}", "").strip() for before in (MAIN, SECOND, UNIT, "gross ", "tare ")}
    if sort == "ticks":
        return ", ".join(tick for tick in (*TICKS_OF_GOLD, NONE_TICKED) if values.get(f"{tick} {key}")), ""
    readings = f"{told['gross ']} {told['tare ']}".strip()
    if sort == "readings" and readings:
        return (readings, NET_OR_READINGS) if told[MAIN] else (readings, "")
    text = f"{told[MAIN]} {told[SECOND]}".strip()
    has_other = told[UNIT] not in ("", ask.unit) and text
    return (f"{text} {told[UNIT]}" if has_other else text), ""
