"""A copy of a trial to show to strangers: without notes, pictures, and what tells where the dirt is from."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from schemas import Correction, Lot, Record, Run
from schemas.coordinates import holds_coordinates
from trials.wording.lists import count_of

LEFT_OUT = "left out"
"""What stands for a text that was taken out of a copy and can't be blank."""
PICTURE = "photo"
OWN_WORDS = frozenset({"question", "set_aside", "by", "twin", "void", "why", "old", "new", "was", "now"})
"""Where a person writes freely, and no word is named by it elsewhere."""


@dataclass(frozen=True, slots=True)
class Public:
    """A copy to show, which loads like any other record.

    left_out: what is not in it, a phrase each
    stays: texts of a person's own that are in it as they were typed, to be read before it is sent
    """

    record: Record
    left_out: tuple[str, ...]
    stays: tuple[str, ...]


def public_copy(record: Record) -> Public:
    """Make the copy of a trial that may be shown to strangers.

    Place labels, notes and pictures are taken out, and what corrections say of them; lots become lot-1, lot-2; any
    other text that looks like coordinates is taken out too. Role letters, reasons and the question stay.

    >>> from schemas import Gear, Trial
    >>> lot = Lot(name="upper-bar", kind="natural", place_label="Ossel Creek")
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(lot,), gear=Gear(kind="sluice"))
    >>> copy = public_copy(Record(trial=trial, runs=(Run(pair=1, arm="baseline", gold_mg=3.0, note="by the oak"),)))
    >>> copy.record.trial.lots[0].name, copy.record.runs[0].note, copy.left_out
    ('lot', None, ('1 place label', '1 lot name', '1 note'))
    """
    trial = record.trial
    names = _lot_names(trial.lots)
    lots = tuple(lot.model_copy(update={"name": names[lot.name], "place_label": None}) for lot in trial.lots)
    counts = {
        "place label": sum(lot.place_label is not None for lot in trial.lots),
        "lot name": sum(old != new for old, new in names.items()),
        "note": sum(run.note is not None for run in record.runs),
        "picture": len(trial.photos),
    }
    kept = [one for one in record.corrections if one.field != PICTURE]
    corrections = tuple(_shown(one, names) for one in kept)
    blanked = sum(one.why == LEFT_OUT != was.why for one, was in zip(corrections, kept, strict=True))
    plan = trial.model_copy(update={"lots": lots, "photos": ()})
    copy = Record(trial=plan, runs=tuple(_run(run, names) for run in record.runs), corrections=corrections)
    left_out = [count_of(number, what) for what, number in counts.items() if number]
    left_out += [f"what {count_of(blanked, 'correction')} said"] if blanked else []
    copy, mapped = _without_coordinates(copy)
    left_out += [f"{count_of(mapped, 'text')} that looked like coordinates"] if mapped else []
    return Public(copy, tuple(left_out), tuple(dict.fromkeys(_own_texts(copy))))


def _lot_names(lots: tuple[Lot, ...]) -> Mapping[str, str]:
    """A number for each lot; the only lot of a plan has no name."""
    if len(lots) == 1:
        return {lots[0].name: "lot"}
    return {lot.name: f"lot-{number}" for number, lot in enumerate(lots, start=1)}


def _run(run: Run, names: Mapping[str, str]) -> Run:
    lot = None if run.fed_lot is None else names.get(run.fed_lot, LEFT_OUT)
    typed = {name: text for name, text in run.typed.items() if name not in ("note", "fed_lot")}
    return run.model_copy(update={"note": None, "fed_lot": lot, "typed": typed})


def _shown(one: Correction, names: Mapping[str, str]) -> Correction:
    """A correction as it may be shown: that there was one stays, and of a private field nothing else."""
    section, _, key = one.field.rpartition(".")
    if one.field == "note" or (section.startswith("lot") and key in ("place_label", "name")):
        return one.model_copy(update={"old": None, "new": None, "why": LEFT_OUT})
    if one.field == "fed_lot":
        old, new = (None if text is None else names.get(text, LEFT_OUT) for text in (one.old, one.new))
        return one.model_copy(update={"old": old, "new": new})
    return one


def _without_coordinates(record: Record) -> tuple[Record, int]:
    """The record with every text that looks like coordinates taken out, and how many there were."""
    found = []

    def cleaned(value: Any, key: str = "") -> Any:  # noqa: ANN401 - whatever a record holds
        if isinstance(value, dict):
            return {inner: cleaned(one, inner) for inner, one in value.items()}
        if isinstance(value, tuple):
            return tuple(map(cleaned, value))
        if key in OWN_WORDS and value is not None and holds_coordinates(value):
            found.append(value)
            return LEFT_OUT
        return value

    return Record.model_validate(cleaned(record.model_dump())), len(found)


def _own_texts(record: Record) -> Iterator[str]:
    """What stays in a copy of a person's own words, by what it is called."""
    trial = record.trial
    yield "the name"
    if trial.question:
        yield "the question"
    if trial.change is not None:
        yield "the words of the change"
    if trial.tails.by is not None:
        yield "how the tails were searched"
    if trial.set_aside is not None or any(run.is_void for run in record.runs):
        yield "reasons of strikes"
    if trial.amended or record.corrections:
        yield "reasons of changes"
