import csv
import io
import json
import os
import random
import re
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from schemas.trial import SECTIONS
from tests.folders import LEAST, ROUGH_TRIAL, rough_bed, rough_runs, write
from trials.files.trial_file import LISTS
from trials.logbook.logbook import Logbook
from trials.records.columns import sort_of
from trials.records.keys import TOP_KEYS, file_keys

HOSTILE = (
    "NaN",
    "inf",
    "-0",
    "1e999",
    "-1e-999",
    "1_000",
    "9" * 40,
    "9" * 5000,
    "0x" + "f" * 5000,
    "x" * 5000,
    "x" * 200_000,
    "\u202eabc",
    "\ufeff",
    "💰",
    "\u0663",
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
    "[" * 2000,
    "{}",
    "{a = " * 2000,
    "[[lot]]",
    "[a.b]",
    '"a\\nb" = 1\n',
    '"\\u001b[31m"',
    "true",
    "1979-05-27",
    "1979-05-27T07:32:00Z",
    "07:32:00",
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
    "\x85",
    "%",
    "1,5",
    "1 000",
    "½",
    "null",
    "''",
    "[1, [2, [3]]]",
)
PLAIN = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d{1,3})?")
"""A number as every reader takes it; what else is taken is as a sheet is read."""
Fault = Callable[[random.Random, str], str]


def _insert(rng: random.Random, text: str) -> str:
    where = rng.randrange(len(text) + 1)
    return text[:where] + rng.choice(HOSTILE) + text[where:]


def _cut(rng: random.Random, text: str) -> str:
    return text[: rng.randrange(len(text) + 1)]


def _lines_gone(rng: random.Random, text: str) -> str:
    lines = text.splitlines(keepends=True) or [""]
    del lines[rng.randrange(len(lines)) : rng.randrange(len(lines) + 1)]
    return "".join(lines)


def _line_twice(rng: random.Random, text: str) -> str:
    lines = text.splitlines(keepends=True) or [""]
    lines.insert(rng.randrange(len(lines) + 1), rng.choice(lines))
    return "".join(lines)


def _token(rng: random.Random, text: str) -> str:
    words = list(re.finditer(r'"[^"\n]*"|[\w.-]+', text))
    if not words:
        return text
    word = rng.choice(words)
    return text[: word.start()] + rng.choice(HOSTILE) + text[word.end() :]


def _letter(rng: random.Random, text: str) -> str:
    where = rng.randrange(len(text) + 1)
    return text[:where] + chr(rng.choice([0, 7, 0x0B, 0x7F, 0x85, 0x2028, 0xFEFF, 0xD7FF, 0x1F600])) + text[where:]


def _marks(rng: random.Random, text: str) -> str:
    return text.replace(rng.choice(["=", ",", '"', "."]), rng.choice(["", " ", "=", ","]), rng.randint(1, 3))


def _columns_swapped(rng: random.Random, text: str) -> str:
    """Two columns change places below the header, or with it."""
    rows = [line.split(",") for line in text.splitlines()]
    one, other = rng.randrange(12), rng.randrange(12)
    for row in rows[rng.randrange(2) :]:
        if max(one, other) < len(row):
            row[one], row[other] = row[other], row[one]
    return "\n".join(",".join(row) for row in rows)


FAULTS: tuple[Fault, ...] = (
    _insert,
    _cut,
    _lines_gone,
    _line_twice,
    _token,
    _token,
    _letter,
    _marks,
    _columns_swapped,
    lambda _, text: text.replace("\n", "\r\n"),
    lambda _, text: "\ufeff" + text,
    lambda _, text: text.replace("\n", "\r"),
    lambda rng, text: rng.choice(["", "\n", '"', " ", "\ufeff"]) if rng.random() < 0.2 else text + "\n\n",
)


def mutated(rng: random.Random, text: str) -> bytes:
    """A text with one to four things wrong with it."""
    for _ in range(rng.randint(1, 4)):
        text = rng.choice(FAULTS)(rng, text)
    raw = text.encode("utf-8", errors="replace")
    chance = rng.random()
    if chance < 0.1 and raw:
        at = rng.randrange(len(raw))
        raw = raw[:at] + bytes([rng.randrange(256)]) + raw[at + 1 :]
    elif chance < 0.13:
        raw = text.encode(rng.choice(["utf-16", "cp1252", "utf-32"]), errors="replace")
    return raw


def numbers_of(content: bytes) -> dict[tuple[int, str], dict[str, float]]:
    """The numbers that a plain CSV reader sees, by pair and arm; repeated headers keep the last."""
    coded = "utf-16" if content.startswith((b"\xff\xfe", b"\xfe\xff")) else "utf-8-sig"
    rows = csv.DictReader(io.StringIO(content.decode(coded), newline=""))
    found: dict[tuple[int, str], dict[str, float]] = {}
    for row in rows:
        cells = {(name or "").strip(): (cell or "").strip() for name, cell in row.items() if isinstance(cell, str)}
        if not any(cells.values()):
            continue
        arm = cells["arm"].removeprefix("'")
        stored = {
            name: float(cell)
            for name, cell in cells.items()
            if PLAIN.fullmatch(cell) and sort_of(name) in ("whole", "number") and name != "pair"
        }
        found[int(float(cells["pair"])), arm] = stored
    return found


def assert_taken_as_written(book: Path, trial: bytes, runs: bytes) -> None:
    """What is stored is what plain readers see in the two files."""
    with Logbook(book).reading() as pages:
        (record,) = pages.records()
    plan = tomllib.loads(io.StringIO(trial.decode("utf-8-sig"), newline=None).read())  # any line ends
    for key in ("name", "measure", "pairs", "spares", "seed", "look_after", "knew", "audit"):
        if key in plan:
            assert getattr(record.trial, key) == plan[key], key
    numbers = numbers_of(runs) if runs else {}
    assert {run.key for run in record.runs} == set(numbers)
    for run in record.runs:
        for name, value in numbers[run.key].items():
            assert getattr(run, name) == value, (name, value)


def assert_a_clear_refusal(said: Any, book: Path) -> None:
    """One line a problem, each with the name of the program, nothing else, nothing stored."""
    assert said.code == 2 and said.out == ""
    assert said.err and all(line.startswith("samedirt: ") for line in said.err.splitlines()), said.err[:500]
    assert said.err.replace("\n", "").isprintable(), said.err[:500]
    assert not book.exists()


def test_no_malformed_folder_brings_a_traceback_or_is_stored(
    samedirt: Callable[..., Any], tmp_path: Path, sized: Callable[[int], int]
) -> None:
    """Hundreds of folders gone wrong: a clear line each, nothing stored; what is taken, is taken as written."""
    rng = random.Random(20260525)  # noqa: S311 - a seeded draw of faults
    taken = refused = 0
    for i in range(sized(600)):
        folder = tmp_path / f"f{i}"
        folder.mkdir()
        which = rng.randrange(3)
        trial = mutated(rng, ROUGH_TRIAL) if which != 1 else ROUGH_TRIAL.encode()
        runs = mutated(rng, rough_runs()) if which != 0 else rough_runs().encode()
        (folder / "trial.toml").write_bytes(trial)
        (folder / "runs.csv").write_bytes(runs)
        book = tmp_path / f"{i}.duckdb"
        said = samedirt("load", folder, "--logbook", book)
        if said.code != 0:
            refused += 1
            assert_a_clear_refusal(said, book)
            continue
        taken += 1
        assert_taken_as_written(book, trial, runs)
    assert taken and refused > taken


CHANGES = "when,pair,arm,field,old,new,why\n2026-05-09T10:30:00,2,changed,grains,47,49,digits swapped\n"


def test_no_malformed_corrections_bring_a_traceback(
    samedirt: Callable[..., Any], tmp_path: Path, sized: Callable[[int], int]
) -> None:
    """The file of corrections is read as carefully; taken ones load again with nothing new."""
    rng = random.Random(20260526)  # noqa: S311 - a seeded draw of faults
    folder = rough_bed(tmp_path / "rough-bed")
    for i in range(sized(120)):
        (folder / "changes.csv").write_bytes(mutated(rng, CHANGES))
        book = tmp_path / f"{i}.duckdb"
        said = samedirt("load", folder, "--logbook", book)
        if said.code == 0:
            assert "nothing new" in samedirt("load", folder, "--logbook", book).out
        else:
            assert_a_clear_refusal(said, book)


VALUES = (
    "true",
    "-1",
    "0",
    "3.5",
    "nan",
    "-inf",
    "1e308",
    "9223372036854775808",
    "0x" + "f" * 5000,
    '""',
    '" "',
    '"\\u0000"',
    '"\\u0085"',
    '"1e999 g"',
    '"-0 g"',
    '"½"',
    '"' + "9" * 5000 + '"',
    "[]",
    "[[1, [2]]]",
    '["a", "a"]',
    "[" * 300 + "]" * 300,
    "{}",
    '{a = "b"}',
    "1979-05-27",
    "1979-05-27T07:32:00+02:00",
    "07:32:00",
)
KEYS = [
    *((None, key) for key in (*TOP_KEYS, *SECTIONS, *LISTS)),
    *((section, key) for section, model in SECTIONS.items() for key in file_keys(model)),
    *((section, key) for section, (_, model) in LISTS.items() for key in file_keys(model)),
]
BARE: dict[str | None, list[str]] = {
    None: ['name = "mat"', 'measure = "gold_mass"', "pairs = 3"],
    "lot": ['kind = "natural"'],
    "gear": ['kind = "sluice"'],
    "amended": ["when = 2026-05-03", 'what = "pairs"', 'was = "6"', 'now = "3"', 'why = "no more dirt"'],
    "change": ['variable = "mat"', 'baseline = "ribbed"', 'changed = "looped"'],
}


def with_value(section: str | None, key: str, value: str) -> str:
    """A plan in which one key has this value; with no section the key may be a section itself."""
    parts = {name: list(lines) for name, lines in BARE.items() if name is None or name in ("lot", "gear", section)}
    parts.setdefault(section, [])
    if section is None:
        parts.pop(key, None)
    parts[section] = [line for line in parts[section] if not line.startswith(f"{key} =")] + [f"{key} = {value}"]
    text = "\n".join(parts.pop(None)) + "\n"
    return text + "".join(
        f"[[{name}]]\n" + "\n".join(lines) + "\n" if name == "amended" else f"[{name}]\n" + "\n".join(lines) + "\n"
        for name, lines in parts.items()
        if name is not None
    )


@pytest.mark.parametrize(("section", "key"), KEYS, ids=str)
def test_every_key_takes_or_refuses_any_value(
    section: str | None, key: str, samedirt: Callable[..., Any], tmp_path: Path, sized: Callable[[int], int]
) -> None:
    """Values of a wrong type, out of range, not finite, nested or endless: a clear line, never a traceback."""
    rng = random.Random(f"{section}.{key}")  # noqa: S311 - a seeded choice of values
    for i, value in enumerate(rng.sample(VALUES, min(len(VALUES), sized(len(VALUES) * 4) // 4 or 1))):
        write(tmp_path / "t", with_value(section, key, value))
        book = tmp_path / f"{i}.duckdb"
        said = samedirt("load", "t", "--logbook", book)
        if said.code != 0:
            assert_a_clear_refusal(said, book)
            assert len(said.err) < 3000


def test_things_that_are_no_trial_folder(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A missing path, a file, an empty folder, a folder where a file belongs, a loop of links: one line each."""
    (tmp_path / "empty").mkdir()
    (tmp_path / "file.txt").write_text("x")
    (tmp_path / "odd" / "trial.toml").mkdir(parents=True)
    (tmp_path / "odd2" / "runs.csv").mkdir(parents=True)
    (tmp_path / "odd2" / "trial.toml").write_text(ROUGH_TRIAL)
    rough_bed(tmp_path / "odd3")
    (tmp_path / "odd3" / "changes.csv").mkdir()
    (tmp_path / "loop").symlink_to("loop")
    for name in ("odd4", "odd5"):
        (tmp_path / name).mkdir()
    (tmp_path / "odd4" / "trial.toml").symlink_to("trial.toml")
    (tmp_path / "odd5" / "trial.toml").write_text(ROUGH_TRIAL)
    (tmp_path / "odd5" / "runs.csv").symlink_to("moved.csv")
    for path, says in (
        ("nowhere", "nowhere: is not a folder; name the folder of a trial"),
        ("file.txt", "file.txt: has no commas, semicolons or tabs between columns; save it as CSV UTF-8"),
        ("loop", "loop: is not a folder"),
        ("x" * 5000, "x" * 60),  # told as too long, or as no folder, by the version of Python
        ("empty", "empty: holds no trial.toml"),
        ("odd", "odd/trial.toml: can't be read (Is a directory)"),
        ("odd2", "runs.csv: can't be read (Is a directory)"),
        ("odd3", "changes.csv: can't be read (Is a directory)"),
        ("odd4", "trial.toml: can't be read (Too many levels of symbolic links)"),
        ("odd5", "runs.csv: can't be read (No such file or directory)"),
    ):
        said = samedirt("load", path)
        assert says in said.err and len(said.err.splitlines()) == 1, path
        assert_a_clear_refusal(said, tmp_path / "logbook.duckdb")


@pytest.mark.parametrize("name", ["trial.toml", "runs.csv", "changes.csv"])
def test_a_file_that_may_not_be_read(name: str, samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Files that are closed to this person are named, with what to do."""
    folder = write(tmp_path / "t", ROUGH_TRIAL, rough_runs(), CHANGES)
    (folder / name).chmod(0)
    try:
        (folder / name).read_bytes()
    except PermissionError:
        said = samedirt("load", "t")
        assert f"{name}: can't be read (Permission denied)" in said.err
        assert_a_clear_refusal(said, tmp_path / "logbook.duckdb")
    else:
        pytest.skip("this person may read every file (root)")


def test_a_place_in_many_folders_names_its_folder(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """With several folders on one line each problem says in which it is, those across files too."""
    mesh = ROUGH_TRIAL.replace('series = "ASTM"', "")
    labels = ROUGH_TRIAL.replace('series = "ASTM"', 'series = "ASTM"\nmain = "50/100"').replace("rough-bed", "b")
    write(tmp_path / "all" / "a", mesh)
    write(tmp_path / "all" / "b", labels, "pair,arm,grains 20/30\n1,baseline,3\n")
    said = samedirt("load", "all")
    assert [line.split(", ")[0] for line in said.err.splitlines()] == [
        "samedirt: all/a/trial.toml",
        "samedirt: all/b/trial.toml",
    ]


def test_pipes_and_devices_are_not_waited_for(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A pipe nobody writes to, a device without end, a loop of links: where a file is read, one line at once."""
    for name in ("runs.csv", "changes.csv"):
        os.mkfifo(write(tmp_path / name.split(".", maxsplit=1)[0]) / name)
    os.mkfifo(tmp_path / "pipe.duckdb")
    (tmp_path / "zero.duckdb").symlink_to("/dev/zero")
    (tmp_path / "loop.duckdb").symlink_to("loop.duckdb")
    rough_bed(tmp_path / "t")
    no_book = {
        "pipe": "pipe.duckdb is no plain file, so it can't be a logbook; name another with --logbook",
        "zero": "zero.duckdb is no plain file, so it can't be a logbook; name another with --logbook",
        "loop": "loop.duckdb is a link that leads round in a circle; name another file with --logbook",
    }
    for words, says in (
        (("load", "runs"), "runs/runs.csv: is no plain file; it must be a file that you may read"),
        (("load", "changes"), "changes/changes.csv: is no plain file; it must be a file that you may read"),
        (("plan", "--from", "pipe.duckdb"), "pipe.duckdb: is no trial.toml and holds none"),
        (("load", "zero.duckdb"), "zero.duckdb: is not a folder"),
        *(((*words, "--logbook", f"{name}.duckdb"), line) for name, line in no_book.items() for words in (
            ("load", "t"), ("logbook",), ("logbook", "--check"), ("verdict", "t"), ("logbook", "--restore", "t", "--yes"),
        )),
    ):  # fmt: skip
        said = samedirt(*words)
        assert said.code == 2 and says in said.err and said.err.count("\n") == 1, (words, said)
    os.truncate(tmp_path / "t" / "runs.csv", 60_000_000)
    assert "runs.csv: has over 50,000,000 bytes, more than any sheet of runs" in samedirt("load", "t").err


def test_of_many_problems_the_first_are_told_and_the_rest_counted(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Fifty lines and how many more, over all folders; the known columns once; a table too long for any trial in one."""
    for name in ("a", "b"):
        write(
            tmp_path / "all" / name,
            LEAST.replace('"mat"', f'"{name}"', 1),
            "pair,arm,gold_mg\n" + "1,baseline,z\n" * 300,
        )
    said = samedirt("load", "all")
    lines = said.err.splitlines()
    assert said.code == 2 and len(lines) == 51 and lines[-1] == "samedirt: and 550 more"
    told = json.loads(samedirt("load", "all", "--json").err)["errors"]
    assert (
        len(told) == 51
        and told[-1]["what"] == "and 550 more"
        and set(told[0]) == {"place", "what", "next_step", "code"}
    )
    write(tmp_path / "t", LEAST, ",".join(["pair", "arm", *(f"zzqq{n}" for n in range(90))]) + "\n")
    said = samedirt("load", "t")
    assert said.err.count("the columns known are ") == said.err.count("tails_gold_gross_g") == 1
    assert said.err.count("is not a column we know") == 49 and said.err.endswith("and 41 more\n")
    write(tmp_path / "t", LEAST, "pair,arm,gold_mg\n" + "1,baseline,z\n" * 20_001)
    assert samedirt("load", "t").err == (
        "samedirt: t/runs.csv: has more than 20,000 rows; a trial has 5,000 runs at most; is it the right file?\n"
    )
