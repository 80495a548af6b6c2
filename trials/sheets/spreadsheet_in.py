"""A filled sheet, as it is handed in -> the runs of a trial with what it says, or every problem of it.

What can be read in one way only is taken: semicolons, decimal commas, units in cells, other words in the headings,
totals under the table. What can be read in two ways is asked back.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from schemas import Run, Trial
from trials.changes.lay_over import lay_over
from trials.changes.run_row import RunRow, column_key
from trials.errors import Problem, Refused
from trials.files.grid import Grid, in_ranges
from trials.files.place import place_of
from trials.files.plain import read_plain
from trials.records.columns import Column
from trials.records.cross_check import cross_check
from trials.records.doubts import Doubt, as_typed, doubts_of_all, stands_in_file, stands_words
from trials.records.faults import shown_value
from trials.records.headings import RUN
from trials.records.keys import TRIAL_FILE
from trials.sheets.find_table import FoundTable, find_table
from trials.sheets.matching import KnownRuns, known_runs, run_of
from trials.sheets.rows import sheet_rows
from trials.sheets.text_grid import read_text_grids
from trials.sheets.workbook_grid import read_workbook_grids
from trials.wording.lists import and_list
from trials.wording.steps import step

OTHER_FILES = {
    b"%PDF": "a PDF",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
    b"GIF8": "a picture",
    b"{\\rtf": "a letter",
    b"SQLite": "a database",
}


@dataclass(frozen=True, slots=True)
class OpenSheet:
    """A file whose table of runs was found.

    trial: the one that the file names; None where it names none
    said: what is odd about the file and was taken all the same
    """

    path: Path
    table: FoundTable
    trial: str | None
    said: tuple[str, ...]

    @property
    def tags(self) -> frozenset[str]:
        """What stands in its column of tags, in capitals."""
        columns = enumerate(self.table.columns)
        places = [i for i, column in columns if isinstance(column, Column) and column.field in ("tag", RUN)]
        cells = [row.cells[i].text for row in self.table.body for i in places if i < len(row.cells)]
        return frozenset(text.upper() for text in cells if text)


@dataclass(frozen=True, slots=True)
class Taking:
    """How a filled sheet is taken.

    good_rows: rows with problems are left out, and the others taken.
    why: the reason that makes changed values corrections; None where a value may not become another.
    stands: values that would be asked about stand as they were typed.
    """

    good_rows: bool = False
    why: str | None = None
    stands: bool = False


AS_IT_IS = Taking()


@dataclass(frozen=True, slots=True)
class SheetRuns:
    """What a sheet says of the runs of a trial.

    runs: each run the sheet has a row of, as it is with what the row says; none where there are problems
    problems: with any, nothing may be stored
    said: what was left out, or taken in a way that is to be known
    left: the problems of rows that were left out because only good rows were wanted
    """

    runs: tuple[Run, ...] = ()
    problems: tuple[Problem, ...] = ()
    said: tuple[str, ...] = ()
    left: tuple[Problem, ...] = ()


def open_sheets(
    paths: Iterable[Path], sheet: str | None, each: Callable[[Sequence[Path]], Iterable[Path]] = iter
) -> list[OpenSheet]:
    """Open several files, each once, or refuse them with every problem; `each` goes through them, as a bar does."""
    opened: list[OpenSheet] = []
    problems: list[Problem] = []
    for path in each(list({path.resolve(): path for path in paths}.values())):
        try:
            opened.append(open_sheet(path, sheet))
        except Refused as error:
            problems += error.problems
    if problems:
        raise Refused(problems)
    return opened


def no_sheet(path: Path) -> Problem | None:
    """What a file is that can be no sheet by its name; None where it may be one."""
    if path.name == TRIAL_FILE:
        says = f"is the plan of a trial folder, not a sheet; name the folder: samedirt load {place_of(path.parent)}"
    elif path.suffix.lower() == ".toml":
        draw = step(f"draw its runs: samedirt plan --from {place_of(path)}", f"named {TRIAL_FILE} it is taken as one")
        says = f"is a plan, not a sheet; {draw}"
    else:
        return None
    return Problem(place_of(path), says)


def open_sheet(path: Path, sheet: str | None = None) -> OpenSheet:
    """Find the table of runs in a file, before the trial is known.

    Refused: the file can't be read; no sheet has a table of runs, or several have and none was named.
    """
    if problem := no_sheet(path):
        raise Refused([problem])
    grids = _grids(path)
    if sheet is not None:
        there = and_list([grid.sheet for grid in grids if grid.sheet])
        grids = [grid for grid in grids if grid.sheet == sheet]
        if not grids:
            raise Refused(
                [Problem(place_of(path), f"has no sheet {shown_value(sheet)}; there is {there or 'no other'}")]
            )
    tables = [table for grid in grids if (table := find_table(grid)) is not None and table.names_runs]
    if not tables:
        raise Refused([_no_table(path, grids)])
    if grids[0].is_text:
        tables = [max(tables, key=lambda table: table.known)]
    with_rows = [table for table in tables if any(not row.is_blank for row in table.body)] or tables[:1]
    if len(with_rows) > 1:
        names = and_list([table.grid.sheet for table in with_rows])
        way = step("name one with --sheet, or load them one by one", "save each as a file of its own")
        says = f"the sheets {names} all have a table of runs; {way}"
        raise Refused([Problem(place_of(path), says)])
    found = with_rows[0]
    said = found.grid.said
    others = [grid.sheet for grid in grids if grid is not found.grid]
    if others and not found.grid.is_text and found.grid.trial is None:
        said = (*said, f"{place_of(path)}: the sheet {found.grid.sheet} was read, not {and_list(others)}")
    return OpenSheet(path, found, found.grid.trial, said)


def _grids(path: Path) -> list[Grid]:
    content = read_plain(path)
    kind = next((name for head, name in OTHER_FILES.items() if content.startswith(head)), None)
    if kind is not None:
        raise Refused([Problem(place_of(path), f"is {kind}, not a sheet; save the table as .xlsx or CSV UTF-8")])
    if not content.strip():
        raise Refused([Problem(place_of(path), "is empty; the first row names the columns, as tag,gold_mg")])
    is_packed = content.startswith((b"PK", b"\xd0\xcf\x11\xe0")) or path.suffix.lower() in (".xlsx", ".xlsm")
    return (read_workbook_grids if is_packed else read_text_grids)(content, place_of(path))


def _no_table(path: Path, grids: Sequence[Grid]) -> Problem:
    first = next((row for row in grids[0].rows if not row.is_blank), None)
    seen = shown_value(" | ".join(cell.text for cell in first.cells if cell.text)) if first else "nothing"
    says = "no row names the columns; one must hold tag, or pair and arm, and what was measured, as gold_mg"
    return Problem(place_of(path), f"{says}; the first row reads {seen!r}")


def runs_of_sheet(opened: OpenSheet, trial: Trial, known: Sequence[Run], how: Taking = AS_IT_IS) -> SheetRuns:
    r"""Read the rows of an open file as runs of a trial; `known` are the runs there are, planned ones too.

    A blank may always be filled, and a blank cell changes nothing.

    >>> from tempfile import mkdtemp
    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"))
    >>> path = Path(mkdtemp()) / "panner.csv"
    >>> _ = path.write_text("Tag no.;Gold (mg)\nHTK;31,5\nTOTAL;31,5\n", encoding="utf-8")
    >>> found = runs_of_sheet(open_sheet(path), trial, [Run(pair=1, arm="baseline", tag="HTK")])
    >>> found.runs[0].gold_mg, found.runs[0].typed
    (31.5, {'gold_mg': '31,5 mg'})
    """
    if opened.trial is not None and opened.trial != trial.name:
        told = step(f"load it with --trial {opened.trial}", f"write {opened.trial} in the field Trial")
        says = f"was written for the trial {opened.trial}, not for {trial.name}; {told}"
        return SheetRuns(problems=(Problem(place_of(opened.path), says),))
    runs = known_runs(trial, known)
    found = sheet_rows(opened.table, trial, runs.tags)
    said = (*opened.said, *found.said)
    needed = _lacking(found.columns, opened.table, is_audit=trial.audit)
    if found.problems or needed:
        rows = [problem for row in found.rows for problem in row.problems]
        return SheetRuns(problems=(*needed, *found.problems, *rows), said=said)
    if not found.rows:
        return SheetRuns(problems=(Problem(opened.table.grid.place, "has headings and no rows of runs under them"),))
    good, bad = _runs_and_problems(found.rows, runs, correcting=how.why is not None)
    good, doubts = _asked_about(found.rows, good, runs, stands=how.stands)
    if how.stands:
        said = (*said, *(stands_words(place, doubt) for place, doubt in doubts))
    else:
        bad += [doubt.problem(place, stands_in_file()) for place, doubt in doubts]
    if bad and not how.good_rows:
        return SheetRuns(problems=tuple(bad), said=said)
    together = [*good.values(), *(run for key, run in runs.by_key.items() if key not in good)]
    place = opened.table.grid.place
    clashes = cross_check(trial, together, place, f"{place} against the plan")
    if clashes:
        return SheetRuns(problems=(*bad, *clashes), said=said)
    return SheetRuns(runs=tuple(good.values()), said=said, left=tuple(bad))


def _lacking(columns: Iterable[Column], table: FoundTable, *, is_audit: bool) -> list[Problem]:
    """The columns without which no row can be told from another; one in doubt is told of elsewhere."""
    fields = {column.field for column in columns}
    in_doubt = any(isinstance(column, Column) and column.field == RUN for column in table.columns)
    if in_doubt or "tag" in fields or ("pair" in fields and ("arm" in fields or is_audit)):
        return []
    lacks = "column tag" if "pair" not in fields else "column arm, or one of tags"
    return [Problem(table.grid.place, f"has no {lacks}; each row must say which run it is of")]


def _runs_and_problems(
    rows: Iterable[RunRow], known: KnownRuns, *, correcting: bool
) -> tuple[dict[tuple[int, str], Run], list[Problem]]:
    """The runs of good rows, in order of their lines; a run that has more than one row is none of them."""
    good: dict[tuple[int, str], Run] = {}
    bad: list[Problem] = []
    rows_of_run: dict[tuple[int, str], list[RunRow]] = {}
    for row in rows:
        key, problems = run_of(row, known)
        bad += [*row.problems, *problems]
        if key is None:
            continue
        rows_of_run.setdefault(key, []).append(row)
        if not row.problems and not problems:
            run, problems = lay_over(row, key, known.by_key.get(key), known.trial, correcting=correcting)
            bad += problems
            if run is not None:
                good[key] = run
    for key, several in rows_of_run.items():
        if len(several) > 1:
            lines = in_ranges([row.line for row in several])
            bad.append(Problem(several[0].spot, f"this run stands in rows {lines}; keep one row a run"))
            good.pop(key, None)
    return good, bad


def _asked_about(
    rows: Iterable[RunRow], good: Mapping[tuple[int, str], Run], known: KnownRuns, *, stands: bool
) -> tuple[dict[tuple[int, str], Run], list[tuple[str, Doubt]]]:
    """The runs without those of which a value is asked about, all of them where they stand; and what is, by place."""
    together = [*good.values(), *(run for key, run in known.by_key.items() if key not in good)]
    new = {key: run for key, run in good.items() if run != known.by_key.get(key)}
    doubts = [(run, doubt) for run, doubt in doubts_of_all(known.trial, together) if run.key in new]
    taken = dict(good)
    for run, doubt in doubts:
        if stands:
            taken[run.key] = as_typed(taken[run.key], [doubt.field])
        else:
            taken.pop(run.key, None)
    row_of = {key: row for row in rows if (key := run_of(row, known)[0]) is not None}
    return taken, [(row_of[run.key].place(column_key(doubt.field)), doubt) for run, doubt in doubts]
