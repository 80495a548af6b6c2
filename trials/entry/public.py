"""A copy of a trial that may be shown to strangers: without notes, pictures, and whatever tells where the dirt is from."""

from collections.abc import Mapping
from dataclasses import dataclass

from schemas import Correction, Lot, Record, Run
from schemas.lot import looks_like_a_place_on_the_map
from trials.wording.lists import and_list, count_of

LEFT_OUT = "left out of the public copy"
PICTURE = "photo"


@dataclass(frozen=True, slots=True)
class Public:
    """A copy to show.

    Attributes
    ----------
    record
        The copy; it loads like any other.
    left_out
        What is not in it, a phrase each; none where nothing had to be left out.
    stays
        Free texts that are in it as they were typed, to be read before it is sent.
    """

    record: Record
    left_out: tuple[str, ...]
    stays: tuple[str, ...]


def public_copy(record: Record) -> Public:
    """Make the copy of a trial that may be shown to strangers.

    Place labels, notes and pictures are taken out, and what corrections say of them; lots become lot-1, lot-2; any
    other text that looks like coordinates is taken out too. Role letters, reasons and the question stay.

    Examples
    --------
    >>> from schemas import Gear, Trial
    >>> lot = Lot(name="upper-bar", kind="natural", place_label="Ossel Creek")
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(lot,), gear=Gear(kind="sluice"))
    >>> copy = public_copy(Record(trial=trial, runs=(Run(pair=1, arm="baseline", gold_mg=3.0, note="by the oak"),)))
    >>> copy.record.trial.lots[0].name, copy.record.trial.lots[0].place_label, copy.record.runs[0].note
    ('lot-1', None, None)
    >>> copy.left_out
    ('1 place label', '1 lot name', '1 note')
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
    corrections = tuple(_shown(one, names) for one in record.corrections if one.field != PICTURE)
    blanked = sum(one.why == LEFT_OUT for one in corrections)
    plan = trial.model_copy(update={"lots": lots, "photos": (), "typed": _typed(trial.typed, lots, trial.lots)})
    copy = Record(trial=plan, runs=tuple(_run(run, names) for run in record.runs), corrections=corrections)
    found = [count_of(number, what) for what, number in counts.items() if number]
    found += [f"the texts of {count_of(blanked, 'correction')}"] if blanked else []
    copy, mapped = _without_coordinates(copy)
    found += [f"{count_of(mapped, 'text')} that looked like coordinates"] if mapped else []
    return Public(copy, tuple(found), tuple(_free_texts(copy)))


def _lot_names(lots: tuple[Lot, ...]) -> Mapping[str, str]:
    """A number for each lot; the one lot of a plan without a name keeps having none."""
    if len(lots) == 1 and lots[0].name == "lot":
        return {"lot": "lot"}
    return {lot.name: f"lot-{number}" for number, lot in enumerate(lots, start=1)}


def _typed(typed: Mapping[str, str], lots: tuple[Lot, ...], before: tuple[Lot, ...]) -> dict[str, str]:
    """What was typed in the plan; quantities alone are kept so, and they stand under the number of their lot."""
    del lots, before
    return dict(typed)


def _run(run: Run, names: Mapping[str, str]) -> Run:
    lot = None if run.fed_lot is None else names.get(run.fed_lot, run.fed_lot)
    typed = {name: text for name, text in run.typed.items() if name not in ("note", "fed_lot")}
    return run.model_copy(update={"note": None, "fed_lot": lot, "typed": typed})


def _shown(one: Correction, names: Mapping[str, str]) -> Correction:
    """A correction as it may be shown: that there was one stays, and of a private field nothing else."""
    name = one.field.rpartition(".")[2]
    if one.field == "note" or name == "place_label" or (one.field.startswith("lot") and name == "name"):
        return one.model_copy(update={"old": None, "new": None, "why": LEFT_OUT})
    if one.field == "fed_lot":
        return one.model_copy(update={"old": names.get(one.old or "", one.old), "new": names.get(one.new or "", one.new)})
    return one


def _without_coordinates(record: Record) -> tuple[Record, int]:
    raise NotImplementedError


def _free_texts(record: Record) -> list[str]:
    raise NotImplementedError


_ = and_list
