"""Thousands of sheets gone wrong: no traceback, no number changed in silence, nothing of a refused file."""

import csv
import io
import random
import re
from collections.abc import Callable, Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

from schemas import Run
from tests.sheets.reading import read_sheet
from trials.files.folder import read_folder
from trials.sheets.spreadsheet_in import SheetRuns

PLANS = Path(__file__).parent / "handed_in" / "plans"
RECORD = read_folder(PLANS / "mats")
TAGS = [str(run.tag) for run in RECORD.runs]
COMMAS = "tag,gold_mg,tails_gold_mg,black_sand_g,minutes,temp_c,stripped,session,note\n" + "".join(
    f"{tag},{31 + i}.5,{i},{6 + i}.{i},{9 + i},12,yes,2026-05-03 am,jar {i}\n" for i, tag in enumerate(TAGS)
)
SEMICOLONS = (
    "Ossel Creek\nTag No.;Gold (mg);Au tails mg;Sand g;Time min;Temp;Stripped?;Date;Remarks\n"
    + "".join(
        f"{tag};{31 + i},5;{i};{6 + i},{i};{9 + i};{12 + i} °C;x;{13 + i}/5/2026;jar {i}\n"
        for i, tag in enumerate(TAGS)
    )
    + "TOTAL;284;28\n"
)
HOSTILE = (
    *(
        "",
        " ",
        '"',
        '""',
        "'",
        ",",
        ";",
        "\t",
        "\n",
        "\r\n",
        "\r",
        "|",
        "#",
        "=",
        "=1+1",
        "=SUM(B2:B9)",
        "+",
        "-",
        "@x",
    ),
    *(
        "NaN",
        "inf",
        "1e999",
        "1E5",
        "1_000",
        "0x1F",
        "1,234",
        "1.234",
        "1.234,5",
        "1 234",
        "1'234",
        "1-2",
        "2-Jan",
        "½",
    ),
    *(
        "5/1/2026",
        "13/5/2026",
        "2026-02-31",
        "0,134",
        "31 gr",
        "0.5 oz",
        "31 mg",
        "0.031 g",
        "12 °C",
        "9:30",
        "n/a",
        "~3",
    ),
    *(
        "-0",
        "-1",
        "9" * 30,
        "9" * 5000,
        "x" * 3000,
        "HTJ",
        "NDF",
        "007",
        "TOTAL",
        "mean",
        "yes",
        "maybe",
        "A",
        "tag",
        "gold_mg",
    ),
    *(
        "\x00",
        "\x07",
        "\x85",
        "\u2028",
        "\u202e",
        "\ufeff",
        "\ufffe",
        "💰",
        "\u0663",
        "é",
        "µ",
        "°",
        "%",
        "$",
        "_x000D_",
    ),
)
Fault = Callable[[random.Random, str], str]


def _sign(text: str) -> str:
    return ";" if text.count(";") > text.count(",") else ","


def _cells(rng: random.Random, text: str, change: Callable[[list[list[str]]], None]) -> str:  # noqa: ARG001 - all are called alike
    rows = [line.split(_sign(text)) for line in text.split("\n")]
    change(rows)
    return "\n".join(_sign(text).join(row) for row in rows)


def cell_replaced(rng: random.Random, text: str) -> str:
    """One cell becomes something else."""

    def change(rows: list[list[str]]) -> None:
        row = rng.choice(rows)
        row[rng.randrange(len(row))] = rng.choice(HOSTILE)

    return _cells(rng, text, change)


def cells_swapped(rng: random.Random, text: str) -> str:
    """Two cells change places."""

    def change(rows: list[list[str]]) -> None:
        one, other = rng.choice(rows), rng.choice(rows)
        i, j = rng.randrange(len(one)), rng.randrange(len(other))
        one[i], other[j] = other[j], one[i]

    return _cells(rng, text, change)


def row_dropped_or_doubled(rng: random.Random, text: str) -> str:
    """A line is gone, or stands twice."""
    lines = text.split("\n")
    at = rng.randrange(len(lines))
    if rng.random() < 0.5:
        del lines[at]
    else:
        lines.insert(rng.randrange(len(lines)), lines[at])
    return "\n".join(lines)


def inserted(rng: random.Random, text: str) -> str:
    """Something stands where nothing stood."""
    at = rng.randrange(len(text) + 1)
    return text[:at] + rng.choice(HOSTILE) + text[at:]


def letter_gone(rng: random.Random, text: str) -> str:
    """A letter or two are gone."""
    at = rng.randrange(len(text) + 1)
    return text[:at] + text[at + rng.randint(1, 3) :]


def signs_changed(rng: random.Random, text: str) -> str:
    """Some signs between columns, or all, become others."""
    return text.replace(rng.choice(",;."), rng.choice(",;\t|. "), rng.choice([1, 2, -1]))


def quoted(rng: random.Random, text: str) -> str:
    """A quote or two."""
    for _ in range(rng.randint(1, 2)):
        at = rng.randrange(len(text) + 1)
        text = text[:at] + '"' + text[at:]
    return text


def cut(rng: random.Random, text: str) -> str:
    """Only the first part."""
    return text[: rng.randrange(len(text) + 1)]


FAULTS: tuple[Fault, ...] = (
    *(cell_replaced, cell_replaced, cell_replaced, cells_swapped, cells_swapped, row_dropped_or_doubled, inserted),
    *(letter_gone, signs_changed, quoted, cut),
)


def mutated(rng: random.Random) -> bytes:
    """A sheet with up to three things wrong with it, as bytes, perhaps some of those wrong too."""
    text = rng.choice([COMMAS, SEMICOLONS])
    for _ in range(rng.randint(1, 3)):
        text = rng.choice(FAULTS)(rng, text)
    chance = rng.random()
    if chance < 0.1:
        return text.encode(rng.choice(["utf-16", "cp1252", "latin-1", "utf-8-sig", "utf-16-be"]), errors="replace")
    raw = bytearray(text.encode("utf-8", errors="replace"))
    if chance < 0.3 and raw:
        raw[rng.randrange(len(raw))] = rng.randrange(256)
    return bytes(raw)


MEASURED = ("gold_mg", "tails_gold_mg", "black_sand_g", "minutes", "temp_c", "pitch_deg", "fed_g", "water_l_min")


def decoded(content: bytes) -> str:
    """The text, tried plainly in the ways a text may be kept."""
    for coding in ("utf-16",) if content[:2] in (b"\xff\xfe", b"\xfe\xff") else ("utf-8-sig", "cp1252"):
        try:
            return content.decode(coding)
        except UnicodeDecodeError:
            continue
    raise AssertionError("taken, though no plain reader can read it")


HEADS = {
    "gold_mg": ("gold_mg", "Gold (mg)"),
    "tails_gold_mg": ("tails_gold_mg", "Au tails mg"),
    "black_sand_g": ("black_sand_g", "Sand g"),
    "minutes": ("minutes", "Time min"),
    "temp_c": ("temp_c", "Temp"),
}


@lru_cache(maxsize=1)
def tables(content: bytes) -> list[tuple[str, list[list[str]], list[str]]]:
    """The rows that a plain reader sees for each sign, and those among them that are headings."""
    text, found = decoded(content), []
    for sign in (",", ";", "\t", "|"):
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=sign))
        heads = next(
            ([cell.strip() for cell in row] for row in rows if {"tag", "Tag No."} & {c.strip() for c in row}), []
        )
        found.append((sign, rows, heads))
    return found


def readings(content: bytes, tag: str, name: str) -> Iterator[set[float]]:
    """What a plain reader sees in the rows with this tag, for each sign: in the column with this name, where it has one."""
    for sign, rows, heads in tables(content):
        places = [i for i, head in enumerate(heads) if head in HEADS.get(name, ())]
        for row in rows:
            if any(cell.strip().upper() == tag for cell in row):
                cells = [row[i] for i in places if i < len(row)] if places else row
                numbers = {number for cell in cells for number in numbers_of(cell.strip(), sign)}
                # Where the heading lost a letter it may name another unit: mg became g, or g mg.
                yield numbers if places else numbers | {float(f"{n * k:.12g}") for n in numbers for k in (1000, 0.001)}


def numbers_of(cell: str, sign: str) -> Iterator[float]:
    """What a cell is worth: as it stands, and in g as mg or in mg as g where that is its unit."""
    found = re.fullmatch(r"([+−-]?[\d.,'’\u00a0]+)\s*(.*)", cell, re.DOTALL)  # noqa: RUF001 - as typed
    if found is None:
        return
    plain = re.sub(r"['’\u00a0]", "", found[1].replace("−", "-"))  # noqa: RUF001 - as typed
    texts = {plain, plain.replace(",", "") if plain.count(",") > 1 or "." in plain else plain}
    texts |= {plain.replace(".", "")} if plain.count(".") > 1 else set()
    if sign != ",":
        texts |= {plain.replace(",", ".")}
    texts |= (
        {plain.replace(".", "").replace(",", ".")} if re.fullmatch(r"[\d.]+,\d+", plain) and "." in plain else set()
    )
    for text in texts:
        try:
            number = float(text)
        except ValueError:
            continue
        yield number + 0.5 if found[2].startswith("½") else number
        if found[2].strip() in ("g", "mg"):
            yield float(f"{number * 1000:.12g}")
            yield float(f"{number / 1000:.12g}")


def assert_as_written(content: bytes, found: SheetRuns) -> None:
    """Every number of a run is what a plain reader sees in its row and column; every note stands in the file."""
    planned = {run.key: run for run in RECORD.runs}
    for run in found.runs:
        for name in Run.model_fields:
            value = getattr(run, name)
            if value is None or value == getattr(planned[run.key], name) or name in ("typed", "classes"):
                continue
            if isinstance(value, float) or (isinstance(value, int) and not isinstance(value, bool)):
                seen = list(readings(content, str(run.tag), name))
                assert any(value in numbers for numbers in seen), (run.tag, name, value, seen)
            elif name == "note":
                text = decoded(content).replace("\u202e", r"\u202e")  # kept as its code, since it turns text round
                assert value in text or value in text.replace('""', '"'), (run.tag, value)


def test_no_mutated_sheet_brings_a_traceback_or_a_wrong_number(tmp_path: Path, sized: Callable[[int], int]) -> None:
    """Each is refused with clear lines, or taken with its numbers as a plain reader sees them in the same row."""
    rng = random.Random(20260503)  # noqa: S311 - a seeded draw of faults
    path = tmp_path / "sheet.csv"
    taken = refused = 0
    for _ in range(sized(10_000)):
        content = mutated(rng)
        path.write_bytes(content)
        found = read_sheet(path, RECORD.trial, RECORD.runs)
        if found.problems:
            refused += 1
            assert not found.runs
            assert all(str(p).startswith(f"{path}") and len(str(p)) < 1000 for p in found.problems), content
            continue
        taken += 1
        assert_as_written(content, found)
    assert taken > refused / 20 and refused > taken / 20, (taken, refused)


def workbook(rng: random.Random) -> bytes:
    """A filled workbook with a few cells gone wrong, each kept as a spreadsheet might keep it."""
    book = openpyxl.Workbook()
    sheet = book.active
    for line in csv.reader(io.StringIO(COMMAS)):
        sheet.append([float(cell) if re.fullmatch(r"\d+(\.\d+)?", cell) else cell for cell in line])
    for _ in range(rng.randint(0, 3)):
        cell = sheet.cell(rng.randint(1, 9), rng.randint(1, 10))
        value = rng.choice([*HOSTILE, 31, 0.031, -1, 1e300, True, None, "=1+1", 46143])
        if isinstance(value, str) and ILLEGAL_CHARACTERS_RE.search(value):
            continue
        cell.value = value
        cell.number_format = rng.choice(
            ["General", "@", "0.00", "0%", '0.0" g"', "yyyy-mm-dd", "0.00E+00", "h:mm", "$0"]
        )
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_no_mutated_workbook_brings_a_traceback_or_a_wrong_number(tmp_path: Path, sized: Callable[[int], int]) -> None:
    """Cells, formats and bytes gone wrong."""
    rng = random.Random(20260504)  # noqa: S311 - a seeded draw of faults
    path = tmp_path / "sheet.xlsx"
    taken = refused = 0
    for _ in range(sized(2_000)):
        raw = bytearray(workbook(rng))
        flips = rng.choice([0, 0, 0, 1, 1, 5])
        for _flip in range(flips):
            raw[rng.randrange(len(raw))] = rng.randrange(256)
        path.write_bytes(raw)
        found = read_sheet(path, RECORD.trial, RECORD.runs)
        if found.problems:
            refused += 1
            assert not found.runs and all(str(p).startswith(f"{path}") for p in found.problems)
            continue
        taken += 1
        assert_numbers_of_book(path, found)
    assert taken > refused / 20 and refused > taken / 20, (taken, refused)


def assert_numbers_of_book(path: Path, found: SheetRuns) -> None:
    """Every number is in the row of its tag, as the library gives it; times 1,000 or as a slope where a unit says so."""
    sheet = openpyxl.load_workbook(path).active
    rows = {str(row[0]).strip().upper(): row for row in sheet.iter_rows(values_only=True)}
    for run in found.runs:
        numbers: set[float] = set()
        for value in rows[str(run.tag)]:
            if isinstance(value, int | float) and not isinstance(value, bool):
                numbers |= {float(value), float(f"{value * 1000:.12g}")}
            elif isinstance(value, str):
                numbers |= set(numbers_of(value.strip(), ";"))
        for name in MEASURED:
            value = getattr(run, name)
            assert value is None or value in numbers, (run.tag, name, value, numbers)


@pytest.mark.parametrize("good_rows", [False, True])
def test_nothing_of_a_refused_sheet_is_stored(
    good_rows: bool, samedirt: Callable[..., Any], tmp_path: Path, sized: Callable[[int], int]
) -> None:
    """Through the program: a refusal leaves the logbook as it was; good rows alone are stored as they were read."""
    from trials.logbook.logbook import Logbook

    rng = random.Random(20260505)  # noqa: S311 - a seeded draw of faults
    samedirt("load", PLANS / "mats")
    fresh = (tmp_path / "logbook.duckdb").read_bytes()
    for i in range(sized(100)):
        book = tmp_path / f"{i}.duckdb"
        book.write_bytes(fresh)
        (tmp_path / "sheet.csv").write_bytes(mutated(rng))
        said = samedirt("load", "sheet.csv", "--trial", "mats", "--logbook", book, *["--good-rows"] * good_rows)
        found = read_sheet(tmp_path / "sheet.csv", RECORD.trial, RECORD.runs, good_rows=good_rows)
        if said.code:
            assert said.code == 2 and said.out == "" and found.problems
            assert all(line.startswith("samedirt: ") for line in said.err.splitlines())
            assert book.read_bytes() == fresh
        else:
            after = {run.key: run for run in Logbook(book).read("mats").runs}
            assert after == {run.key: run for run in RECORD.runs} | {run.key: run for run in found.runs}
        book.unlink()
