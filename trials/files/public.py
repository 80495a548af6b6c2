"""A copy of a trial to show to strangers, as `schemas.private` lists it: without what tells where the dirt is from."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from schemas import Amendment, Correction, Lot, Record, Run, Trial, Word
from schemas.coordinates import holds_coordinates
from schemas.private import PICTURE, PRIVATE, privacy_of
from trials.changes.decide import DECIDED, NO_NOTE
from trials.wording.lists import and_list, count_of

LEFT_OUT = "left out"
"""What stands for a text that was taken out of a copy and can't be blank."""
UNNAMED = "trial"
DAY_AND_PART = re.compile(r"(\d{4}-\d\d-\d\d)(?:[\sT,]+(am|pm|morning|noon|afternoon|evening|night)\b)?", re.IGNORECASE)
SHORTEST = 4
# Words of a place label, or names of lots, that many places have: alone they tell nothing.
COMMON = frozenset(
    {
        *("above", "bank", "bars", "beach", "bedrock", "behind", "below", "bench", "bend", "bucket", "buckets"),
        *("claim", "clay", "coarse", "concentrate", "creek", "dirt", "down", "downstream", "east", "fifth", "fine"),
        *("first", "fourth", "gravel", "gulch", "hill", "hole", "inside", "lake", "left", "lower", "middle"),
        *("mine", "near", "north", "outside", "over", "pile", "place", "pond", "right", "river", "road"),
        *("sand", "second", "side", "south", "spring", "stream", "summer", "tail", "tailings", "tails", "third"),
        *("trench", "under", "upper", "upstream", "valley", "water", "west", "winter", "with"),
    }
)


@dataclass(frozen=True, slots=True)
class Public:
    """A copy to show, which loads like any other record.

    left_out: what is not in it, a phrase each
    stays: texts of a person's own that are in it as they were typed, to be read before it is sent
    """

    record: Record
    left_out: tuple[str, ...]
    stays: tuple[str, ...]

    @property
    def words(self) -> tuple[str, str]:
        """What is told of it before it is sent."""
        *most, last = self.left_out or ("",)
        out = f"Left out: {', '.join(most)}{' and ' if most else ''}{last}." if last else "Nothing had to be left out."
        return out, f"Still in it, as typed: {and_list(self.stays)}. Read them before you send it."


def public_copy(record: Record) -> Public:
    """Make the copy of a trial that may be shown to strangers.

    Place labels, notes and pictures are taken out, and what corrections and amendments say of them; lots become lot-1,
    lot-2; of a session the day and its part stay, of a correction the day. A place that is named anywhere is taken out
    of every other text too, and so is a text that looks like coordinates. Role letters and reasons stay.

    >>> from schemas import Gear, Trial
    >>> lot = Lot(name="upper-bar", kind="natural", place_label="Ossel Creek")
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(lot,), gear=Gear(kind="sluice"))
    >>> copy = public_copy(Record(trial=trial, runs=(Run(pair=1, arm="baseline", gold_mg=3.0, note="by the oak"),)))
    >>> copy.record.trial.lots[0].name, copy.record.runs[0].note, copy.left_out
    ('lot', None, ('1 place label', '1 lot name', '1 note'))
    """
    corrections = tuple(one for one in record.corrections if one.field != PICTURE)
    work = _Copying(_lot_names(record.trial.lots), _sessions(record), _places(record))
    copy = Record.model_validate(work.shown(record.model_copy(update={"corrections": corrections})).model_dump())
    return Public(copy, tuple(work.left_out()), tuple(dict.fromkeys(_own_texts(copy))))


def _lot_names(lots: tuple[Lot, ...]) -> Mapping[str, str]:
    """A number for each lot; the only lot of a plan has no name."""
    if len(lots) == 1:
        return {lots[0].name: "lot"}
    return {lot.name: f"lot-{number}" for number, lot in enumerate(lots, start=1)}


def _sessions(record: Record) -> Mapping[str, str]:
    """Each session by its day and part of day, a number behind where that would make two the same."""
    told = [run.session for run in record.runs]
    told += [text for one in record.corrections if one.field == "session" for text in (one.old, one.new)]
    shown: dict[str, str] = {}
    for text in dict.fromkeys(text for text in told if text):
        found = DAY_AND_PART.match(text)
        day = " ".join(part for part in found.groups() if part) if found else "session 1"
        names = (day, *(f"{day.removesuffix(' 1')} {number}" for number in range(2, len(told) + 2)))
        shown[text] = next(name for name in names if name not in shown.values())
    return shown


def _places(record: Record) -> re.Pattern[str] | None:
    """What finds a place that the record names: in labels, names of lots, and what these were before."""
    trial = record.trial
    labels = [lot.place_label for lot in trial.lots]
    names = [lot.name for lot in trial.lots] + [run.fed_lot for run in record.runs]
    for path, texts, of_run in _changes(record):
        field_name = path.rpartition(".")[2]
        if field_name == "place_label":
            labels += texts
        elif field_name == "fed_lot" or (field_name == "name" and not of_run and "." in path):
            names += texts
    told = {text.casefold() for text in (*labels, *names) if text}
    told |= {word for label in labels if label for word in re.findall(r"[^\W\d_]+", label.casefold())}
    found = sorted((t for t in told if len(t) >= SHORTEST and t not in COMMON and not _is_number(t)), key=len)
    if not found:
        return None
    forms = "|".join(re.sub(r"(?:\\[-\s]|_|\s)+", r"[-_\\s]+", re.escape(text)) for text in reversed(found))
    return re.compile(rf"(?<![^\W\d_])(?:{forms})(?![^\W\d_])", re.IGNORECASE)


def _is_number(name: str) -> bool:
    return re.fullmatch(r"lot(-\d+)?", name) is not None or name == LEFT_OUT


def _changes(record: Record) -> Iterator[tuple[str, list[str | None], bool]]:
    """The field of each change on record, its texts, and whether it is of a run."""
    for amended in record.trial.amended:
        yield amended.what, [amended.was, amended.now], False
    for one in record.corrections:
        yield one.field, [one.old, one.new], one.pair is not None


@dataclass(slots=True)
class _Copying:
    """The making of one copy: what stands for names, sessions and places in it, and what was left out on the way."""

    lots: Mapping[str, str]
    sessions: Mapping[str, str]
    places: re.Pattern[str] | None
    texts: dict[str, str] = field(default_factory=dict)
    out: Counter[str] = field(default_factory=Counter)

    def shown(self, word: Any) -> Any:  # noqa: ANN401 - whatever a record holds
        """A word as it stands in the copy, with all that is in it."""
        if isinstance(word, tuple):
            return tuple(map(self.shown, word))
        if not isinstance(word, Word):
            return word
        if isinstance(word, Amendment | Correction) and (instead := self._said_of_private(word)) is not None:
            return instead
        private = PRIVATE.get(type(word), {})
        values = {name: getattr(word, name) for name in type(word).model_fields}
        new = {
            name: self._as_listed(word, name, value) if name in private else self.shown(value)
            for name, value in values.items()
        }
        if isinstance(word, Run):
            new["typed"] = {name: text for name, text in word.typed.items() if name not in private}
        return word.model_copy(update={name: value for name, value in new.items() if value != values[name]})

    def _as_listed(self, word: Word, name: str, value: Any) -> Any:  # noqa: ANN401 - as above
        """The value of a field of the list."""
        if value is None:
            return None
        match PRIVATE[type(word)][name]:
            case "left out":
                self.out[{"place_label": "place label", "photos": "picture"}.get(name, name)] += (
                    len(value) if isinstance(value, tuple) else 1
                )
                return () if isinstance(value, tuple) else None
            case "numbered":
                new = self.lots.get(value, LEFT_OUT)
                self.out["lot name"] += isinstance(word, Lot) and new != value
                return new
            case "day alone":
                return self._day(value)
            case "own words":
                return tuple(map(self._scrubbed, value)) if isinstance(value, tuple) else self._in(word, name)

    def _day(self, value: str | datetime) -> str | datetime:
        if isinstance(value, datetime):
            day = datetime(value.year, value.month, value.day)
            self.out["moment"] += day != value
            return day
        new = self.sessions[value]
        self.out["session"] += new != value
        return new

    def _in(self, word: Word, name: str) -> str | None:
        """One text of a person's own; where only a name may stand, none or ours stands for one with a place in it."""
        text: str = getattr(word, name)
        new = self._scrubbed(text)
        if new != text and isinstance(word, Trial) and name == "name":
            return UNNAMED
        return None if new != text and name == "scatter_from" else new

    def _scrubbed(self, text: str) -> str:
        """A text without places in it; two texts that differ stay two, as the levels of a trial must."""
        if text not in self.texts:
            new = self._without_places(text)
            names = (new, *(f"{new} {number}" for number in range(2, len(self.texts) + 3)))
            taken = set(self.texts.values())
            self.texts[text] = text if new == text else next(name for name in names if name not in taken)
        return self.texts[text]

    def _without_places(self, text: str) -> str:
        if holds_coordinates(text):
            self.out["coordinates"] += 1
            return LEFT_OUT
        if self.places is None or not self.places.search(text):
            return text
        self.out["named"] += 1
        return self.places.sub(f"({LEFT_OUT})", text)

    def _said_of_private(self, one: Amendment | Correction) -> Word | None:
        """A change of a private field as it may be shown: that there was one stays, and no more; None: of another."""
        if isinstance(one, Amendment):
            if privacy_of(one.what, of_run=False) not in ("left out", "numbered"):
                return None
            self.out["amendment"] += one.why != LEFT_OUT
            return one.model_copy(update={"was": LEFT_OUT, "now": LEFT_OUT, "why": LEFT_OUT})
        if one.field == DECIDED:  # what is kept as its reason is a note
            self.out["note"] += one.why != NO_NOTE
            return one.model_copy(update={"when": self._day(one.when), "why": NO_NOTE})
        how = privacy_of(one.field, of_run=one.pair is not None)
        names = {"session": self.sessions, "fed_lot": self.lots}.get(one.field)
        if names is not None:
            old, new = (text and names.get(text, LEFT_OUT) for text in (one.old, one.new))
            why = self._scrubbed(one.why)
        elif how in ("left out", "numbered"):
            old, new, why = None, None, LEFT_OUT
            self.out["correction"] += one.why != LEFT_OUT
        else:
            return None
        return one.model_copy(update={"when": self._day(one.when), "old": old, "new": new, "why": why})

    def left_out(self) -> Iterable[str]:
        """What is not in the copy, a phrase each."""
        for what in ("place label", "lot name", "note", "picture"):
            if self.out[what]:
                yield count_of(self.out[what], what)
        for what in ("correction", "amendment"):
            if self.out[what]:
                yield f"what {count_of(self.out[what], what)} said"
        if self.out["session"]:
            yield f"all but the day of {count_of(self.out['session'], 'session')}"
        if self.out["moment"]:
            yield f"the time of day of {count_of(self.out['moment'], 'correction')}"
        if self.out["named"]:
            yield f"places named in {count_of(self.out['named'], 'other text')}"
        if self.out["coordinates"]:
            yield f"{count_of(self.out['coordinates'], 'text')} that looked like coordinates"


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
