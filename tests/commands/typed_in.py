"""Planned trials in a logbook, for tests that type their runs in, and a shift of hours of a person's typing."""

from pathlib import Path

from schemas import Record, Run, Trial
from tests.folders import ROUGH, ROUGH_TRIAL, SMOOTH, Files, files_of, put_files
from trials.files.trial_file import read_trial
from trials.logbook.logbook import Logbook
from trials.plans.draw import planned_runs

BOOK = "logbook.duckdb"
# A sluice whose pitch is changed, gold weighed, its charge and water typed in units that are not those stored.
GOLD_TRIAL = """
name = "steeper"
measure = "gold_mass"
worth_having = "20 %"
pairs = 3
spares = 1
seed = 7
knew = "feeder"
[lot]
kind = "natural"
mass = "200 kg"
[gear]
kind = "sluice"
[change]
variable = "pitch"
baseline = "4 deg"
changed = "5 deg"
[held]
charge = "10 kg"
water = "30 gpm us"
[scales]
gold = "0.001 g"
"""


def flat(text: str) -> str:
    """A text in one line, however wide the screen was that it was wrapped for."""
    return " ".join(text.split())


def plan_of(text: str = ROUGH_TRIAL, **changes: object) -> Trial:
    """A plan as written, with some of its fields changed."""
    trial, problems = read_trial(text)
    assert trial is not None, problems
    return trial.model_copy(update=changes)


def drawn(trial: Trial | None = None) -> Record:
    """A plan with its drawn runs: six pairs of grain counts and a spare by default."""
    trial = trial or plan_of(spares=1)
    return Record(trial=trial, runs=planned_runs(trial))


def planned(folder: Path, trial: Trial | None = None) -> Record:
    """Store a plan with its drawn runs in the logbook of a folder."""
    return stored(folder, drawn(trial))


# The logbook and its copy of each set of records that was stored in a bare folder.
_FILES: dict[tuple[Record, ...], Files] = {}


def stored(folder: Path, record: Record, *more: Record) -> Record:
    """Store records at once in the logbook of a folder; in a bare one as files, if they were stored in such a one before."""
    book, records = folder / BOOK, (record, *more)
    is_bare = not book.exists()
    if is_bare and records in _FILES:
        put_files(folder, _FILES[records])
        return record
    with Logbook(book).writing() as pages:
        pages.store(records)
    if is_bare:
        _FILES[records] = files_of(folder, [book, *folder.glob("logbook-copies/*")])
    return record


def read(folder: Path, name: str = "rough-bed") -> Record:
    """Read a trial of the logbook of a folder."""
    return Logbook(folder / BOOK).read(name)


def run_of(folder: Path, tag: str, name: str = "rough-bed") -> Run:
    """Read one run by its tag."""
    return next(run for run in read(folder, name).runs if run.tag == tag)


def tags_of(record: Record, pairs: int | None = None) -> list[str]:
    """The tags of a plan in the order drawn, those of its first pairs alone where a number is given."""
    runs = sorted(record.runs, key=lambda run: run.turn or 0)
    return [run.tag or "" for run in runs if pairs is None or run.pair <= pairs]


def made(run: Run) -> Run:
    """A run as it is when all was read and counted: grains and sand of the roughened bed."""
    at = (run.pair - 1) % len(SMOOTH)
    is_plain = run.arm == "baseline"
    return run.model_copy(
        update={
            "session": "2026-05-03 am",
            "minutes": 9.5 if is_plain else 10.0,
            "fed_g": 350.0,
            "grains": SMOOTH[at] if is_plain else ROUGH[at],
            "black_sand_g": 6.2 if is_plain else 11.9,
            "water_l_min": 8.0,
            "water_end_l_min": 8.0,
            "temp_c": 12.0,
            "stripped": True,
            "feeder": "A",
            "panner": "B",
        }
    )


def half(pairs: int, trial: Trial | None = None) -> Record:
    """A plan of which the first pairs were made."""
    record = drawn(trial)
    runs = tuple(made(run) if run.pair <= pairs else run for run in record.runs)
    return record.model_copy(update={"runs": runs})


def half_done(folder: Path, pairs: int, trial: Trial | None = None) -> Record:
    """Store a plan of which the first pairs were made."""
    return stored(folder, half(pairs, trial))
