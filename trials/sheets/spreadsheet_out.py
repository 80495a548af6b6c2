"""A sheet to fill, made for a plan: one row a planned run, as a workbook or a CSV file. It is read again as it is."""

from collections.abc import Callable, Sequence
from decimal import Decimal
from pathlib import Path

from schemas import Record, Run
from trials.errors import Problem, Refused
from trials.files.table import csv_text, guarded
from trials.files.whole import write_all
from trials.sheets.form import NEEDS_TAGS, AskedColumn, asked_columns, texts_of
from trials.sheets.workbook_out import workbook_bytes


def write_sheet(
    record: Record,
    path: Path,
    *,
    for_panner: bool = False,
    classes: Sequence[str] | None = None,
    over: bool = False,
    settle: Callable[[], None] = lambda: None,
) -> Path:
    """Write a sheet to fill, .xlsx or .csv by the ending of its path; what is recorded already stands in it.

    `for_panner`: tags only, in the order of the alphabet, with what the panner fills: nothing of arm, pair or turn.
    `classes` are the size classes to ask for; None for those of the runs and of the plan. `settle` is what is to be
    done once the sheet is on the disk, before it is in its place. Refused: there are no runs, a sheet for the panner
    has a run without a tag, another ending, a file that is there (but `over`) or can't be written.

    >>> from tempfile import mkdtemp
    >>> from schemas import Gear, Lot, Trial
    >>> trial = Trial(name="mat", measure="grain_counts", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="pan"))
    >>> record = Record(trial=trial, runs=(Run(pair=1, arm="repeat", turn=1, tag="HTK"),))
    >>> print(write_sheet(record, Path(mkdtemp()) / "mat.csv", for_panner=True).read_text(encoding="utf-8-sig"))
    # trial: mat
    tag,dry,magnet,loupe,grains,black_sand_g,silvery,panner,void,void_gold_known,note
    HTK,,,,,,,,,,
    <BLANKLINE>
    """
    if path.suffix.lower() not in (".csv", ".xlsx"):
        raise Refused([Problem(str(path), "is neither .xlsx nor .csv; end the name of the sheet in one of them")])
    if path.exists() and not over:
        raise Refused([Problem(str(path), "is there already, perhaps filled; name another file, or move it away")])
    runs = _in_order(record, path, for_panner=for_panner)
    columns = asked_columns(record.trial, runs, for_panner=for_panner, classes=classes)
    if path.suffix.lower() == ".csv":
        told = (texts_of(run, record.trial) for run in runs)
        rows = ([_cell(column, texts.get(column.header)) for column in columns] for texts in told)
        table = csv_text([column.header for column in columns], rows)
        content = f"# trial: {record.trial.name}\n{table}".encode("utf-8-sig")
    else:
        content = workbook_bytes(record, runs, columns, path, for_panner=for_panner)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_all({path: content}, over=over, settle=settle)
    except OSError as error:
        raise Refused([Problem(str(path), f"can't be written ({error.strerror}); name another file")]) from error
    return path


def _in_order(record: Record, path: Path, *, for_panner: bool) -> list[Run]:
    """The runs as they stand in the sheet: by turn, or for the panner by tag."""
    if not record.runs:
        says = f"the trial {record.trial.name} has no planned runs yet; draw them first"
        raise Refused([Problem(str(path), says)])
    if not for_panner:
        return sorted(record.runs, key=lambda run: (run.turn or 10**6, run.key))
    bare = [run for run in record.runs if run.tag is None]
    if bare:
        spot = f"pair {bare[0].pair} {bare[0].arm}".rstrip()
        raise Refused([Problem(str(path), f"{spot} has no tag, and {NEEDS_TAGS}; give every run a tag first")])
    return sorted(record.runs, key=lambda run: run.tag or "")


def _cell(column: AskedColumn, text: str | None) -> str:
    if text is None:
        return ""
    if column.sort == "number" and "e" in text:
        return f"{Decimal(text):f}"  # no exponent
    return guarded(text) if column.sort == "text" else text
