"""What became of a trial since it was planned, in order of time: each change, strike and picture on a line."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from schemas import Correction, Record
from schemas.private import PICTURE
from trials.changes.decide import DECIDED, NO_NOTE
from trials.changes.strike import ASIDE, KNOWN, VOID
from trials.records.columns import became


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened to a trial.

    when: the moment, or the day where no more is known; None where that was not recorded.
    sort: locked, amended, corrected, struck, taken back, set aside, decided, or picture.
    says: what happened, in one line, with its reason.
    """

    when: datetime | date | None
    sort: str
    says: str

    @property
    def moment(self) -> str:
        """When, as it is written."""
        if isinstance(self.when, datetime):
            return self.when.isoformat(sep=" ", timespec="minutes")
        return "not known" if self.when is None else self.when.isoformat()

    def as_dict(self) -> dict[str, str | None]:
        """The event for a plain reader."""
        return {"when": None if self.when is None else self.when.isoformat(), "what": self.sort, "says": self.says}


def history(record: Record) -> tuple[Event, ...]:
    """What happened to a trial, the oldest first? Runs are named by their tags, never by their arms.

    What only has a day stands before what happened on that day; what has no time comes last.
    """
    return tuple(sorted(_events(record), key=_order))


def _order(event: Event) -> tuple[int, datetime]:
    if event.when is None:
        return (1, datetime.max)
    if isinstance(event.when, datetime):
        return (0, event.when)
    return (0, datetime.combine(event.when, time.min))


def _events(record: Record) -> Iterator[Event]:
    trial = record.trial
    if trial.locked is not None:
        yield Event(trial.locked, "locked", "the plan")
    for one in trial.amended:
        yield Event(
            one.when, "amended", f"{one.what} was {one.was or 'not set'}, now {one.now or 'not set'}; {one.why}"
        )
    tags = {run.key: run.tag or f"a run of pair {run.pair}" for run in record.runs}
    for correction in record.corrections:
        if correction.field != KNOWN:
            yield _of_correction(correction, tags, record.corrections)
    yield from _untimed(record, tags)


def _of_correction(one: Correction, tags: dict[tuple[int, str], str], corrections: Sequence[Correction]) -> Event:
    whose = "" if one.pair is None else tags.get((one.pair, one.arm or ""), f"a run of pair {one.pair}")
    if one.field in (VOID, ASIDE) and (one.old is None or one.new is None):
        return _of_strike(one, whose or "the trial", corrections)
    if one.field == DECIDED:
        return Event(one.when, "decided", f"{one.new}{'' if one.why == NO_NOTE else f'; {one.why}'}")
    if one.field == PICTURE:
        return Event(one.when, "picture", f"{one.new}{f' of {whose}' if whose else ''}, {one.why}")
    return Event(
        one.when, "corrected", f"{f'{whose} ' if whose else ''}{became(one.field, one.old, one.new)}; {one.why}"
    )


def _of_strike(one: Correction, whose: str, corrections: Sequence[Correction]) -> Event:
    done = "struck" if one.field == VOID else "set aside"
    if one.new is None:
        return Event(one.when, "taken back", f"{whose}, {done} before ({one.old}), counts again; {one.why}")
    return Event(one.when, done, f"{whose}: {one.new}{_known_then(one, corrections)}")


def _known_then(struck: Correction, corrections: Sequence[Correction]) -> str:
    """Whether the gold was known when a run was struck, as it was said in the same moment."""
    same = (struck.when, struck.pair, struck.arm)
    said = (one.new == "yes" for one in corrections if one.field == KNOWN and (one.when, one.pair, one.arm) == same)
    return _gold_then(known=next(said, None))


def _gold_then(*, known: bool | None) -> str:
    return "" if known is None else f", gold {'known' if known else 'not known'} then"


def _untimed(record: Record, tags: dict[tuple[int, str], str]) -> Iterator[Event]:
    """Strikes and pictures that came with a file, without their moment."""
    told = {(one.pair, one.arm or "") for one in record.corrections if one.field == VOID and one.new is not None}
    for run in record.runs:
        if run.is_void and run.key not in told:
            yield Event(None, "struck", f"{tags[run.key]}: {run.void}{_gold_then(known=run.void_gold_known)}")
    if record.trial.set_aside and not any(one.field == ASIDE and one.new for one in record.corrections):
        yield Event(None, "set aside", f"the trial: {record.trial.set_aside}")
    attached = {one.new for one in record.corrections if one.field == PICTURE}
    for photo in record.trial.photos:
        if f"{photo.what}: {photo.path}" not in attached:
            belongs = f" of {photo.tag}" if photo.tag else ""
            yield Event(None, "picture", f"{photo.what}: {photo.path}{belongs}")
