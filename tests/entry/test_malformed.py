import csv
import io
import random
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.folders import ROUGH_TRIAL, rough_runs
from trials.entry.columns import sort_of
from trials.logbook.logbook import Logbook

HOSTILE = (
    "NaN",
    "inf",
    "-0",
    "1e999",
    "1_000",
    "9" * 40,
    "x" * 5000,
    "\u202eabc",
    "💰",
    "é",
    "=1+1",
    "'",
    '"',
    '"""',
    ",",
    ";",
    "\t",
    "\r",
    "\n",
    "[",
    "]",
    "{}",
    "[[lot]]",
    "[a.b]",
    "true",
    "1979-05-27",
    "0x10",
    "0o7",
    "-5",
    "0.0000001",
    "pair",
    "baseline",
    "yes",
    "#",
    "\\",
    "\x00",
    "\x1b",
    "%",
    "1,5",
    "1 000",
    "½",
    "null",
    "''",
    "[1, [2, [3]]]",
)


def mutated(rng: random.Random, text: str) -> bytes:
    """A text with one to four things wrong with it."""
    for _ in range(rng.randint(1, 4)):
        where = rng.randrange(len(text) + 1)
        match rng.randrange(8):
            case 0:
                text = text[:where] + rng.choice(HOSTILE) + text[where:]
            case 1:
                text = text[:where]
            case 2:
                lines = text.splitlines(keepends=True)
                del lines[rng.randrange(len(lines)) : rng.randrange(len(lines) + 1)]
                text = "".join(lines) or "\n"
            case 3:
                lines = text.splitlines(keepends=True)
                lines.insert(rng.randrange(len(lines) + 1), rng.choice(lines))
                text = "".join(lines)
            case 4:
                words = list(re.finditer(r'"[^"\n]*"|[\w.-]+', text))
                if words:
                    word = rng.choice(words)
                    text = text[: word.start()] + rng.choice(HOSTILE) + text[word.end() :]
            case 5:
                text = text[:where] + chr(rng.choice([0, 7, 0x7F, 0x85, 0x2028, 0xFEFF, 0xD7FF])) + text[where:]
            case 6:
                text = text.replace("\n", "\r\n")
            case _:
                text = text.replace(
                    rng.choice(["=", ",", '"', "."]), rng.choice(["", " ", "=", ","]), rng.randint(1, 3)
                )
    raw = text.encode("utf-8", errors="replace")
    if rng.random() < 0.1 and raw:
        at = rng.randrange(len(raw))
        raw = raw[:at] + bytes([rng.randrange(256)]) + raw[at + 1 :]
    return raw


def numbers_of(content: bytes) -> dict[tuple[int, str], dict[str, float]]:
    """The numbers that a plain CSV reader sees, by pair and arm; repeated headers keep the last."""
    rows = csv.DictReader(io.StringIO(content.decode("utf-8-sig"), newline=""))
    found: dict[tuple[int, str], dict[str, float]] = {}
    for row in rows:
        cells = {(name or "").strip(): (cell or "").strip() for name, cell in row.items() if isinstance(cell, str)}
        if not any(cells.values()):
            continue
        arm = cells["arm"].removeprefix("'")
        stored = {
            name: float(cell)
            for name, cell in cells.items()
            if cell and sort_of(name) in ("whole", "number") and name != "pair"
        }
        found[int(cells["pair"]), arm] = stored
    return found


def test_no_malformed_folder_brings_a_traceback_or_is_stored(
    samedirt: Callable[..., Any], tmp_path: Path, sized: Callable[[int], int]
) -> None:
    """Hundreds of folders gone wrong: a clear line each, nothing stored; what is taken, is taken as written."""
    rng = random.Random(20260525)  # noqa: S311 - a seeded draw of faults
    taken = refused = 0
    for i in range(sized(400)):
        folder = tmp_path / f"f{i}"
        folder.mkdir()
        which = rng.randrange(3)
        trial = mutated(rng, ROUGH_TRIAL) if which != 1 else ROUGH_TRIAL.encode()
        runs = mutated(rng, rough_runs()) if which != 0 else rough_runs().encode()
        (folder / "trial.toml").write_bytes(trial)
        (folder / "runs.csv").write_bytes(runs)
        book = tmp_path / f"{i}.duckdb"
        said = samedirt("load", folder, "--logbook", book)
        assert said.code in (0, 2), (trial, runs, said.err)
        if said.code == 2:
            refused += 1
            assert said.err and all(line.startswith("samedirt: ") for line in said.err.splitlines()), said.err
            assert not book.exists()
            continue
        taken += 1
        with Logbook(book).reading() as pages:
            (record,) = pages.records()
        numbers = numbers_of(runs)
        assert {run.key for run in record.runs} == set(numbers)
        for run in record.runs:
            for name, value in numbers[run.key].items():
                assert getattr(run, name) == value, (name, value)
    assert taken and refused > taken


def test_things_that_are_no_trial_folder(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A missing path, a file, an empty folder, and a folder where a file belongs: one line each."""
    (tmp_path / "empty").mkdir()
    (tmp_path / "file.txt").write_text("x")
    (tmp_path / "odd" / "trial.toml").mkdir(parents=True)
    (tmp_path / "odd2" / "runs.csv").mkdir(parents=True)
    (tmp_path / "odd2" / "trial.toml").write_text(ROUGH_TRIAL)
    for path, says in (
        ("nowhere", "nowhere: is not a folder; name the folder of a trial"),
        ("file.txt", "file.txt: is not a folder"),
        ("empty", "empty: holds no trial.toml"),
        ("odd", "odd"),
        ("odd2", "runs.csv: can't be read (Is a directory)"),
    ):
        said = samedirt("load", path)
        assert said.code == 2, path
        assert says in said.err
        assert "Traceback" not in said.err
