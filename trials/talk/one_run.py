"""One run typed by itself: what each answer is read as, and the run they make."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from schemas import Run, Trial, is_made
from trials.errors import Problem
from trials.records.columns import Column
from trials.records.flat import flat_run
from trials.sheets.cells import CellError, Taken, UnitError, take_cell
from trials.sheets.form import TICKS_OF_GOLD
from trials.sheets.grid import Cell
from trials.sheets.headings import RUN, heading
from trials.sheets.lay_over import lay_over
from trials.sheets.number_marks import Marks
from trials.sheets.rows import Key, SheetRow
from trials.talk.shorthand import TICKS, TWO_READINGS, spelled_out, ticks_of

TAKE_OUT = "-"
"""What takes a stored value out, when a run is corrected."""
NOT_TYPED: Mapping[str, str] = {
    "pair": "follows from the tag and is not typed",
    "arm": "follows from the tag and is not typed",
    "tag": "is on the bucket and stays; the run is named by it",
    RUN: "is named by its tag",
    "void": "is not typed here; samedirt void NAME TAG strikes a run",
    "void_gold_known": "is not typed here; samedirt void NAME TAG strikes a run",
}


def run_of_answers(
    answers: Mapping[str, str], stored: Run, trial: Trial, *, correcting: bool = False
) -> tuple[Run | None, list[Problem]]:
    """Lay typed answers over a run.

    Parameters
    ----------
    answers
        Texts by column name; any accepted unit may stand in the name or behind the number; blank: not answered. Two
        readings of a scale, water at both ends, two times of the clock and several ticks may stand in one.
    stored
        The run as it is.
    trial
        The plan.
    correcting
        Whether a value that is there may become another; "-" takes it out then.

    Returns
    -------
    tuple
        The run, or None with every problem; a problem names the tag and never the arm.

    Examples
    --------
    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"))
    >>> laid_out = Run(pair=1, arm="baseline", turn=1, tag="HTK")
    >>> run, _ = run_of_answers({"gold_mg": "0.0312 g", "black_sand_g": "18.6 12.2"}, laid_out, trial)
    >>> run.gold_mg, run.black_sand_g, run.typed
    (31.2, 6.4, {'gold_mg': '0.0312 g'})
    >>> print(run_of_answers({"black_sand_g": "12.2 18.6"}, laid_out, trial)[1][0])
    HTK: black_sand gross 12.2 is under tare 18.6; swapped?
    """
    row = SheetRow(line=0, spot=stored.tag or f"pair {stored.pair}")
    taken_out: list[Column] = []
    for name, answer in _boxes(answers, row):
        try:
            column = _column(name)
            if answer == TAKE_OUT and correcting:
                taken_out.append(column)
            else:
                _take(row, column, name, answer)
        except (CellError, UnitError) as error:
            row.problems.append(Problem(f"{row.spot}, {name}", str(error)))
    laid_out = _made_way(stored, row, taken_out, correcting=correcting)
    run, problems = lay_over(row, stored.key, laid_out, trial, correcting=True)
    if run is None:  # a slip at the scale must not hide the others
        rest = replace(row, taken={key: taken for key, taken in row.taken.items() if key[0] not in GROSS})
        problems += lay_over(rest, stored.key, laid_out, trial, correcting=True)[1]
    problems = list(dict.fromkeys([*row.problems, *problems]))
    if run is not None and not correcting:
        problems += _changes(stored, run, trial, row.spot)
    return (None, problems) if problems else (run, [])


def _boxes(answers: Mapping[str, str], row: SheetRow) -> Iterator[tuple[str, str]]:
    """The answers that are not blank, with several ticks as the boxes they are."""
    for name, answer in answers.items():
        text = answer.strip()
        if not text:
            continue
        if name != TICKS:
            yield name, text
            continue
        try:
            yield from (dict.fromkeys(TICKS_OF_GOLD, TAKE_OUT) if text == TAKE_OUT else ticks_of(text)).items()
        except CellError as error:
            row.problems.append(Problem(f"{row.spot}, {name}", str(error)))


def _column(name: str) -> Column:
    column = heading(name)
    if column.field in NOT_TYPED:
        raise CellError(NOT_TYPED[column.field])
    return column


def _take(row: SheetRow, column: Column, name: str, answer: str) -> None:
    """Read an answer into the row, in one column or in the several it fills: all of them or none."""
    found: dict[Key, Taken] = {}
    for part in spelled_out(column, answer):
        filled = heading(part.header)
        key = (filled.field, filled.label)
        if key in row.taken:
            raise CellError(f"is told twice, as {row.headers[key]} and as {name}; keep one")
        taken = take_cell(filled, Cell(part.text), Marks())
        found[key] = taken if part.typed is None else replace(taken, typed=part.typed)
    row.taken |= found
    row.headers |= dict.fromkeys(found, name)
    row.addresses |= dict.fromkeys(found, "")


def _made_way(stored: Run, row: SheetRow, taken_out: Sequence[Column], *, correcting: bool) -> Run:
    """The run as it is, without what the answers are going to replace."""
    if not correcting:
        turn_is_told = ("turn", None) in row.taken
        return stored.model_copy(update={"turn": None}) if turn_is_told and not is_made(stored) else stored
    told = [name for name, label in row.taken if label is None]
    net = [GROSS[name] for name in told if name in GROSS]
    bare = without(stored, [*told, *net, *(column.field for column in taken_out if column.label is None)])
    for column in taken_out:
        if column.label is not None:
            bare = _without_class(bare, column.field, column.label)
    return bare


def _without_class(run: Run, name: str, label: str) -> Run:
    """The run with a value of one size class taken out, and with it a total that was the sum of the classes."""
    values = {part.label: getattr(part, name) for part in run.classes}
    parts = [part.model_copy(update={name: None}) if part.label == label else part for part in run.classes]
    kept = tuple(part for part in parts if any(value is not None for field, value in part if field != "label"))
    known = [value for value in values.values() if value is not None]
    is_sum = len(known) == len(values) and getattr(run, name) == sum(known)
    return run.model_copy(update={"classes": kept, **({name: None} if is_sum else {})})


GROSS: Mapping[str, str] = {
    f"{base}_{side}_g": field for field, base in TWO_READINGS.items() for side in ("gross", "tare")
}
"""The net mass that two readings of a scale make, by each of them."""


def _changes(stored: Run, run: Run, trial: Trial, spot: str) -> Iterator[Problem]:
    """Each value that is stored as another, which is a correction and needs a reason."""
    if not is_made(stored):
        return
    new = flat_run(run)
    for what, old in flat_run(stored).items():
        if old is not None and old != new.get(what):
            hint = f'correct it: samedirt enter {trial.name} {stored.tag or "TAG"} --again --why "the reason"'
            yield Problem(f"{spot}, {what}", f"is stored as {old}; {hint}")


def without(run: Run, names: Sequence[str]) -> Run:
    """The run with some of its fields taken out, and with them what was typed and weighed for them."""
    gone = dict.fromkeys(name for name in names if name in Run.model_fields)
    for name in list(gone):
        if name in TWO_READINGS:
            gone |= dict.fromkeys(f"{TWO_READINGS[name]}_{side}_g" for side in ("gross", "tare"))
    typed = {name: text for name, text in run.typed.items() if name not in gone}
    return Run(**{**run.model_dump(), **gone, "typed": typed, "classes": run.classes})
