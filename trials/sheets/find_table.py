"""Where on a sheet the table of runs begins, and what its columns are."""

from collections.abc import Sequence
from dataclasses import dataclass

from trials.files.grid import Cell, Grid, GridRow
from trials.records.columns import Column
from trials.records.headings import RUN, WORDINGS, NotKnown, tried_heading
from trials.units.quantity import UnitError

MOST_ABOVE = 40
NAMES_RUNS = frozenset({"tag", "pair", RUN})
WORDS = frozenset(word for texts in WORDINGS.values() for text in texts for word in text.partition("|")[0].split())


@dataclass(frozen=True, slots=True)
class FoundTable:
    """The table of runs on a sheet: its headings as written, and the rows under them.

    columns: what each holds; None where its heading is blank, and why not where it can't be told
    first, last: the lines its headings stand on
    """

    grid: Grid
    headings: tuple[str, ...]
    columns: tuple[Column | UnitError | None, ...]
    first: int
    last: int
    body: tuple[GridRow, ...]

    @property
    def known(self) -> int:
        """How many headings are of columns we know, those with a unit in doubt among them."""
        return sum(column is not None and not isinstance(column, NotKnown) for column in self.columns)

    @property
    def names_runs(self) -> bool:
        """Whether a column tells which run a row is."""
        return any(isinstance(column, Column) and column.field in NAMES_RUNS for column in self.columns)


def find_table(grid: Grid) -> FoundTable | None:
    r"""Find the headings on a sheet: the row, or two rows, with the most names we know; None where no row has two.

    >>> from trials.sheets.text_grid import read_text_grids
    >>> *_, grid = read_text_grids(b"Ossel Creek;;\nTag No.;Gold (mg);Sand (g)\nHTK;31;6,4\n", "a.csv")
    >>> table = find_table(grid)
    >>> table.first, [column.field for column in table.columns]
    (2, ['tag', 'gold_mg', 'black_sand_g'])
    """
    best: FoundTable | None = None
    for index, row in enumerate(grid.rows[:MOST_ABOVE]):
        if sum(_has_letter(cell) for cell in row.cells) < 2:
            continue
        for rows in (1, 2):
            found = _table(grid, index, rows)
            if found is None or found.known < 2:
                continue
            if best is None or found.known > best.known or _completes(found, best):
                best = found
    return best


def _completes(two: FoundTable, one: FoundTable) -> bool:
    """Whether a second row of headings under the first leaves none of them unknown, as a row of units does."""
    whole = not any(isinstance(column, NotKnown) for column in two.columns)
    return one.last == one.first == two.first < two.last and two.known == one.known and whole


def _has_letter(cell: Cell) -> bool:
    return cell.sort == "text" and any(map(str.isalpha, cell.text))


def _table(grid: Grid, index: int, rows: int) -> FoundTable | None:
    top = grid.rows[index]
    if rows == 1:
        texts = [cell.text for cell in top.cells]
    else:
        if index + 1 >= len(grid.rows):
            return None
        under = grid.rows[index + 1]
        if not all(_has_letter(cell) or cell.text[:1] in "+-" or "/" in cell.text for cell in under.cells if cell.text):
            return None
        texts = _joined(top.cells, under.cells, is_text=grid.is_text)
    columns = tuple(tried_heading(text) if text else None for text in texts)
    body = grid.rows[index + rows :]
    return FoundTable(grid, tuple(texts), columns, top.line, grid.rows[index + rows - 1].line, body)


def _joined(top: Sequence[Cell], under: Sequence[Cell], *, is_text: bool) -> list[str]:
    """The headings of two rows, each group before what stands under it.

    A workbook says how far a group reaches, by its merged cells; in a text file it may reach to the next one.
    """
    texts = []
    group = ""
    for index in range(max(len(top), len(under))):
        above = top[index].text if index < len(top) else ""
        cell = under[index] if index < len(under) else Cell("")
        below = "" if cell.merged and cell.text == above else cell.text
        group = above or group
        reaches = above or (group if is_text else "")
        texts.append(_heading_of(reaches, below, is_sure=bool(above)) if below else above)
    return texts


def _heading_of(group: str, below: str, *, is_sure: bool) -> str:
    """The group and the name under it; the name alone where the group is a mere title."""
    whole = f"{group} {below}".strip()
    if not isinstance(tried_heading(whole), NotKnown) or not group:
        return whole
    is_title = not WORDS & set(group.casefold().split())
    return below if is_title or not is_sure else whole
