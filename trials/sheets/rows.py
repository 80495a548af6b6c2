"""The rows under the headings of a sheet -> what each says of which run; what is left out, and what is wrong."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from schemas import Trial
from trials.changes.run_row import RunRow
from trials.errors import Problem
from trials.files.cell_rules import CellError
from trials.files.cells import is_blank, take_cell
from trials.files.grid import Cell, GridRow, in_ranges, letters
from trials.files.number_marks import COMMAS, Marks, marks_of
from trials.files.runs_file import said_twice
from trials.files.typed_texts import TYPED
from trials.records.columns import Column
from trials.records.faults import shown_value
from trials.records.headings import RUN, NotKnown, with_class
from trials.sheets.find_table import FoundTable
from trials.units.quantity import UnitError

SUMMARY = re.compile(
    r"(grand |sub-?)?(totals?|sums?|means?|averages?|avg|ave|counts?|min(imum)?|max(imum)?|median|sd|st ?dev|range"
    r"|std( dev)?)\b",
    re.IGNORECASE,
)
SUMMING = re.compile(r"=\s*(SUM|AVERAGE|SUBTOTAL|COUNTA?|MIN|MAX|MEDIAN|STDEV(\.[SP])?|AGGREGATE)\s*\(", re.IGNORECASE)
NUMERIC = re.compile(r"[+-]?[0-9.,]*[0-9]")
MOST_NAMED = 8
MOST_NUMBERS_IN_A_TITLE = 3


@dataclass(slots=True)
class SheetRows:
    """All that the rows of a sheet say: each row of a run, the columns read, and what is wrong with the whole.

    said: what was left out, or taken in a way that is to be known
    """

    rows: list[RunRow]
    columns: list[Column]
    problems: list[Problem]
    said: list[str]


def sheet_rows(table: FoundTable, trial: Trial, tags: frozenset[str]) -> SheetRows:
    """Read every row of a table; by `tags`, in capitals, a column `run` is known for a column of tags."""
    body, said = _left_out(table, tags)
    columns, problems, passed = _columns(table, trial, body, tags)
    problems = [*_runs_above(table, tags), *problems]
    said += passed
    known = {index: column for index, column in enumerate(columns) if column is not None}
    texts = [
        row.cells[i].text
        for row in body
        for i, column in known.items()
        if column.sort == "number" and i < len(row.cells) and row.cells[i].sort == "text"
    ]
    marks = marks_of(texts, splits_at_commas=table.grid.splits_at_commas)
    if marks.comma:
        said.append(f"{table.grid.place}: {COMMAS}")
    rows = [_row(row, table, known, marks) for row in body]
    said += _formulas(table, body, known)
    return SheetRows(rows, list(known.values()), problems, said)


def _left_out(table: FoundTable, tags: frozenset[str]) -> tuple[list[GridRow], list[str]]:
    """The rows of runs, and what is said of the others."""
    place = table.grid.place
    left: dict[str, list[int]] = {}
    kept: list[GridRow] = []
    above = [row.line for row in table.grid.rows if row.line < table.first and not row.is_blank]
    if above and not (len(above) == 1 and table.grid.trial is not None):
        left["above the headings passed over"] = above
    blank: list[int] = []
    for row in table.body:
        what = _what_else(row, table, tags)
        if what is None:
            left.setdefault("blank, passed over", []).extend(blank)
            kept.append(row)
        elif what == "":
            blank.append(row.line)
            continue
        else:
            left.setdefault(what, []).append(row.line)
        blank = []
    found = ((f"row{'s' if len(lines) > 1 else ''} {in_ranges(lines)}", what) for what, lines in left.items() if lines)
    return kept, [f"{place}: {rows} {what}" for rows, what in found]


def _runs_above(table: FoundTable, tags: frozenset[str]) -> Iterator[Problem]:
    """Rows of runs above the headings, as where a damaged heading is followed by a whole one."""
    for row in table.grid.rows:
        if row.line >= table.first:
            return
        numbers = sum(cell.sort == "number" or NUMERIC.fullmatch(cell.text) is not None for cell in row.cells)
        if numbers >= MOST_NUMBERS_IN_A_TITLE or any(cell.text.upper() in tags for cell in row.cells):
            says = "looks like a run and stands above the headings; move it under them, or empty it"
            yield Problem(f"{table.grid.place} row {row.line}", says)


def _what_else(row: GridRow, table: FoundTable, tags: frozenset[str]) -> str | None:
    """What a row is that is not of a run: "" for blank; None for a row of a run."""
    if row.is_blank:
        return ""
    first = next(cell for cell in row.cells if cell.text or cell.sort == "not calculated")
    if [cell.text for cell in row.cells if cell.text] == [text for text in table.headings if text]:
        return "repeats the headings, left out"
    if table.grid.is_text and first.text.startswith("#"):
        return "begins with #, left out"
    named = {
        column.field: row.cells[i].text
        for i, column in enumerate(table.columns)
        if isinstance(column, Column) and column.field in ("tag", "pair", RUN) and i < len(row.cells)
    }
    is_named = any(text and (name == "pair" or text.upper() in tags) for name, text in named.items())
    is_summary = SUMMARY.match(first.text) is not None
    numbers = [cell for cell in row.cells if cell.formula or cell.sort in ("number", "not calculated")]
    sums = bool(numbers) and all(SUMMING.match(cell.formula) for cell in numbers) and not any(named.values())
    by_the_word_alone = all(text in ("", first.text) for text in named.values())
    if (is_summary and (not is_named or by_the_word_alone)) or sums:
        return "is a total or mean, left out"
    return None


def _columns(
    table: FoundTable, trial: Trial, body: Sequence[GridRow], tags: frozenset[str]
) -> tuple[list[Column | None], list[Problem], list[str]]:
    place = table.grid.place
    columns: list[Column | None] = []
    problems: list[Problem] = []
    said: list[str] = []
    width = max([len(table.columns), *(len(row.cells) for row in body)])
    for index in range(width):
        found = table.columns[index] if index < len(table.columns) else None
        cells = [row.cells[index] for row in body if index < len(row.cells)]
        has_values = any(cell.text or cell.sort == "not calculated" for cell in cells)
        columns.append(None)
        if index < len(table.headings) and table.headings[index].casefold() == TYPED:
            continue  # what was typed for the values beside it
        if isinstance(found, Column):
            try:
                columns[-1] = _of_trial(found, trial, cells, tags)
            except UnitError as error:
                problems.append(Problem(f"{place}, {_named(table, index)}", str(error)))
        elif found is not None and (has_values or not isinstance(found, NotKnown)):
            problems.append(Problem(f"{place}, {_named(table, index)}", str(found)))
        elif found is not None:
            said.append(f"{place}: {_named(table, index)} has no values, passed over")
        elif has_values and (not table.grid.is_text or index < len(table.headings)):
            seen = next((cell.text or cell.formula for cell in cells if cell.text or cell.formula), "")
            says = f"has values and no heading, as {shown_value(seen)!r}; name it or empty it"
            problems.append(Problem(f"{place}, {table.grid.column(index)}", says))
    known = [column for column in columns if column is not None]
    problems += said_twice(known, place)
    problems += _same_heading_twice(columns, table)
    return columns, problems, said


def _same_heading_twice(columns: Sequence[Column | None], table: FoundTable) -> Iterator[Problem]:
    seen: dict[tuple[str, str | None, str], int] = {}
    for index, column in enumerate(columns):
        if column is None:
            continue
        other = seen.setdefault((column.field, column.label, column.header), index)
        if other != index:
            both = f"{table.grid.column(other)} and {table.grid.column(index)}"
            yield Problem(f"{table.grid.place}, {both}", f"are both headed {shown_value(column.header)}; keep one")


def _named(table: FoundTable, index: int) -> str:
    where = "" if table.grid.is_text else f" ({letters(index)})"
    return f"column {shown_value(' '.join(table.headings[index].split()))}{where}"


def _of_trial(column: Column, trial: Trial, cells: Sequence[Cell], tags: frozenset[str]) -> Column:
    """A column as it is meant in this trial: its size class by the series, and `run` by what stands under it."""
    if column.field != RUN:
        return with_class(column, trial.sizes.series)
    if trial.audit:
        return replace(column, field="pair", sort="whole")
    if all(cell.text.upper() in tags for cell in cells if cell.text):
        return replace(column, field="tag")
    raise UnitError("could be the tag, the pair or the turn; name it so")


def _row(row: GridRow, table: FoundTable, known: Mapping[int, Column], marks: Marks) -> RunRow:
    grid = table.grid
    found = RunRow(row.line, f"{grid.place} row {row.line}")
    tag = next((row.cells[i].text for i, c in known.items() if c.field == "tag" and i < len(row.cells)), "")
    if tag:
        found.spot += f" ({shown_value(tag)})"
    needed = max((i for i, text in enumerate(table.headings) if text), default=-1) + 1
    extra = [cell.text for cell in row.cells[len(table.headings) :] if cell.text]
    if grid.is_text and (extra or len(row.cells) < needed):
        last = shown_value(extra[-1] if extra else row.cells[-1].text)
        hint = "a comma inside a value needs quotes round it" if extra and grid.splits_at_commas else "fill it up"
        hint = "take out what is too much" if extra and not grid.splits_at_commas else hint
        says = f"{len(row.cells)} values for {len(table.headings)} columns, the last {last!r}; {hint}"
        found.problems.append(Problem(found.spot, says))
        return found
    for index, column in known.items():
        key = (column.field, column.label)
        found.headers[key] = column.header
        found.addresses[key] = grid.address(row.line, index)
        cell = row.cells[index]
        if is_blank(column, cell.text) and cell.sort not in ("not calculated", "error"):
            continue
        try:
            found.taken[key] = take_cell(column, cell, marks)
        except (CellError, UnitError) as error:
            found.problems.append(Problem(found.place(key), str(error)))
    return found


def _formulas(table: FoundTable, body: Sequence[GridRow], known: Mapping[int, Column]) -> Iterator[str]:
    """What is said of results of formulas that were taken."""
    cells = [f"{letters(i)}{row.line}" for row in body for i in known if i < len(row.cells) and row.cells[i].by_formula]
    if cells:
        more = f" and {len(cells) - MOST_NAMED} more" if len(cells) > MOST_NAMED else ""
        names = ", ".join(cells[:MOST_NAMED])
        yield f"{table.grid.place}: {names}{more} hold formulas; their results as last calculated were taken"
