"""One run typed by itself: what each answer is read as, and the run they make."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from schemas import Run, Trial
from schemas.run import TICKS_OF_GOLD
from trials.changes.enter import run_told
from trials.changes.run_row import Key, RunRow, Taken
from trials.errors import Problem
from trials.files.cell_rules import CellError
from trials.files.cells import take_cell
from trials.files.grid import Cell
from trials.files.number_marks import Marks
from trials.records.columns import Column
from trials.records.headings import RUN, heading
from trials.talk.shorthand import TICKS, spelled_out, ticks_of
from trials.units.quantity import UnitError

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
    """Lay typed answers, by column name, over a run; None with every problem, which names the tag and never the arm.

    Any accepted unit may stand in the name or behind the number. Two readings of a scale, water at both ends, two times
    of the clock and several ticks may stand in one answer. With `correcting` a stored value may become another; "-"
    takes it out then.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"))
    >>> laid_out = Run(pair=1, arm="baseline", turn=1, tag="HTK")
    >>> run, _ = run_of_answers({"gold_mg": "0.0312 g", "black_sand_g": "18.6 12.2"}, laid_out, trial)
    >>> run.gold_mg, run.black_sand_g, run.typed
    (31.2, 6.4, {'gold_mg': '0.0312 g'})
    >>> print(run_of_answers({"black_sand_g": "12.2 18.6"}, laid_out, trial)[1][0])
    HTK: black_sand gross 12.2 is under tare 18.6; swapped?
    """
    row = row_of_answers(answers, stored, correcting=correcting)
    return run_told(row, stored, trial, correcting=correcting)


def row_of_answers(answers: Mapping[str, str], stored: Run, *, correcting: bool = False) -> RunRow:
    """Read typed answers, as `run_of_answers`, before they are laid over the run."""
    row = RunRow(line=0, spot=stored.tag or f"pair {stored.pair}")
    for name, answer in _boxes(answers, row):
        try:
            column = _column(name)
            if answer == TAKE_OUT and correcting:
                row.emptied.append((column.field, column.label))
            else:
                _take(row, column, name, answer)
        except (CellError, UnitError) as error:
            row.problems.append(Problem(f"{row.spot}, {name}", str(error)))
    return row


def _boxes(answers: Mapping[str, str], row: RunRow) -> Iterator[tuple[str, str]]:
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


def _take(row: RunRow, column: Column, name: str, answer: str) -> None:
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
