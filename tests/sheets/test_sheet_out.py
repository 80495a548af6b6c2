"""The sheet to fill: what stands in it, what may be written there, what it must not tell; and that it comes back."""

import csv
import io
import re
import sys
import tempfile
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from hypothesis import assume, example, given, settings

from schemas import Change, Gear, Grains, Lot, Record, Run, SizeCatch, Trial
from schemas.trial import Sizes
from tests.folders import rough_bed
from tests.sheets.reading import read_sheet
from tests.sizes import scaled
from tests.strategies import records
from trials.changes.reasons import VOID_REASONS
from trials.errors import Refused
from trials.files.folder import read_folder
from trials.sheets.form import asked_columns
from trials.sheets.spreadsheet_in import OpenSheet, Taking, open_sheet, runs_of_sheet
from trials.sheets.spreadsheet_out import write_sheet

PLANS = Path(__file__).parent / "handed_in" / "plans"
FORMS = (".csv", ".xlsx")


def untyped(runs: tuple[Run, ...]) -> dict[tuple[int, str], Run]:
    """Runs by pair and arm, without the texts as they were typed."""
    return {run.key: run.model_copy(update={"typed": {}, "as_typed": None}) for run in runs}


def as_planned(run: Run) -> Run:
    """A run before it was made."""
    return Run(pair=run.pair, arm=run.arm, turn=run.turn, tag=run.tag)


def with_note(note: str) -> Record:
    """One run with a note."""
    trial = Trial(
        name="mat", measure="recovery", pairs=1, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"),
        change=Change(variable="mat", baseline="plain", changed=("deep",)),
    )  # fmt: skip
    return Record(trial=trial, runs=(Run(pair=1, arm="baseline", note=note),))


@settings(max_examples=scaled(60), deadline=None)
@given(record=records())
@example(record=with_note(";'="))  # the guard of a formula behind a sign, typed by hand
@example(record=with_note("NaN"))  # what stands for a blank elsewhere
@example(record=with_note("'na"))
def test_a_sheet_brings_back_what_it_was_written_of(record: Record) -> None:
    """Any valid runs, written in either form, are equal to the last digit and letter, and no text becomes a formula."""
    assume(record.runs)
    with tempfile.TemporaryDirectory() as place:
        for form in FORMS:
            path = write_sheet(record, Path(place) / f"sheet{form}")
            opened = open_sheet(path)
            brings_back_every_field(opened, record)
            changes_nothing(opened, record)
            holds_no_formula(path)
        panned, form = tagged(record), FORMS[len(record.runs) % len(FORMS)]
        changes_nothing(open_sheet(write_sheet(panned, Path(place) / f"panner{form}", for_panner=True)), panned)


def brings_back_every_field(opened: OpenSheet, record: Record) -> None:
    """Read over the bare plan."""
    found = runs_of_sheet(opened, record.trial, [as_planned(run) for run in record.runs], Taking(stands=True))
    assert not found.problems, [str(problem) for problem in found.problems]
    assert untyped(found.runs) == untyped(record.runs)


def changes_nothing(opened: OpenSheet, record: Record) -> None:
    """Read over its own runs: what is written of a run is what is stored of it."""
    found = runs_of_sheet(opened, record.trial, record.runs)
    assert not found.problems, [str(problem) for problem in found.problems]
    assert {run.key: run for run in found.runs} == {run.key: run for run in record.runs}


def holds_no_formula(path: Path) -> None:
    """Whatever was typed: no cell of a workbook holds a formula, and no cell of a CSV begins as one."""
    if path.suffix == ".xlsx":
        with zipfile.ZipFile(path) as packed:
            sheets = [packed.read(name) for name in packed.namelist() if name.startswith("xl/worksheets/")]
        assert sheets and not any(re.search(rb"<(\w+:)?f[\s/>]", sheet) for sheet in sheets)
        return
    text = path.read_text(encoding="utf-8-sig")
    for row in list(csv.reader(io.StringIO(text, newline="")))[1:]:
        assert not any(cell.startswith(("=", "+", "@")) for cell in row)


def tagged(record: Record) -> Record:
    """The record with a tag on every run, by which alone the rows of a panner's sheet find theirs."""
    runs = (run.model_copy(update={"tag": f"T{at}"}) for at, run in enumerate(record.runs))
    return record.model_copy(update={"runs": tuple(runs)})


def blind_plan(name: str = "counts") -> Record:
    """A plan with a question, arms with words of their own, and drawn tags."""
    record = read_folder(PLANS / name)
    trial = record.trial.model_copy(update={"question": "Does the roughened bed keep more?"})
    return record.model_copy(update={"trial": trial})


def every_part(path: Path) -> str:
    """All that a file holds, unpacked, in small letters."""
    if path.suffix == ".csv":
        return path.read_text(encoding="utf-8-sig").casefold()
    with zipfile.ZipFile(path) as packed:
        return "\n".join(packed.read(name).decode("utf-8", errors="replace") for name in packed.namelist()).casefold()


@pytest.mark.parametrize("form", FORMS)
def test_the_panner_can_not_know_what_is_in_the_jar(form: str, tmp_path: Path) -> None:
    """Nowhere in the file is there a word of the arms, the change, the question, pairs or turns."""
    record = blind_plan()
    path = write_sheet(record, tmp_path / f"panner{form}", for_panner=True)
    text = every_part(path)
    for word in (
        "baseline",
        "changed",
        "painted",
        "180 grit",
        "texture",
        "roughened",
        "turn",
        ">pair<",
        "pair,",
        "seeded",
    ):
        assert word not in text, word
    told = write_sheet(record, tmp_path / f"whole{form}")
    assert all(word in every_part(told) for word in ("baseline", "changed", "turn", "pair"))


@pytest.mark.parametrize("form", FORMS)
def test_a_panner_sheet_stands_in_the_order_of_tags_and_the_whole_one_in_that_of_turns(
    form: str, tmp_path: Path
) -> None:
    """One row a planned run."""
    record = read_folder(PLANS / "mats")
    assert column(write_sheet(record, tmp_path / f"p{form}", for_panner=True), "tag") == sorted(
        str(run.tag) for run in record.runs
    )
    whole = write_sheet(record, tmp_path / f"w{form}")
    assert column(whole, "tag") == ["HTK", "NDF", "CDP", "JLC", "RVL", "TTX", "FXN", "PHL"]
    assert [int(turn) for turn in column(whole, "turn")] == list(range(1, 9))


def column(path: Path, name: str) -> list[Any]:
    """The values of a column, by a plain reader."""
    if path.suffix == ".csv":
        lines = path.read_text(encoding="utf-8-sig").splitlines()[1:]
        return [row[name] for row in csv.DictReader(io.StringIO("\n".join(lines)))]
    rows = list(openpyxl.load_workbook(path)["runs"].iter_rows(values_only=True))
    at = rows[0].index(name)
    return [row[at] for row in rows[1:]]


def trial_of(measure: str, **more: Any) -> Trial:
    """The least plan of a measure."""
    return Trial(name="mat", measure=measure, pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"), **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("measure", "has", "has_not"),
    [
        ("recovery", {"gold_mg", "tails_gold_mg", "dry", "magnet", "check_after_g"}, {"grains", "moisture_percent"}),
        ("gold_mass", {"gold_mg", "largest_mg", "dry"}, {"tails_gold_mg", "grains"}),
        ("tails_gold", {"tails_gold_mg", "magnet"}, {"grains", "kept"}),
        ("grain_counts", {"grains", "dry", "moisture_percent", "silvery"}, {"gold_mg", "check_before_g", "seeded"}),
        ("tracers", {"seeded", "kept", "in_tails"}, {"gold_mg", "grains", "silvery", "blank_pan"}),
    ],
)
def test_the_columns_are_those_of_the_measure(measure: str, has: set[str], has_not: set[str]) -> None:
    """What the measure needs, and what is asked of every run."""
    names = {asked.header for asked in asked_columns(trial_of(measure), ())}
    always = {
        *(
            "turn",
            "tag",
            "pair",
            "arm",
            "session",
            "fed_g",
            "minutes",
            "cleanup_minutes",
            "black_sand_g",
            "water_l_min",
        ),
        *(
            "water_end_l_min",
            "temp_c",
            "stripped",
            "conditioned",
            "feeder",
            "panner",
            "void",
            "void_gold_known",
            "note",
        ),
    }
    assert has | always <= names and not has_not & names


def test_classes_settings_and_lots_have_their_columns() -> None:
    """Sizes where they are used, the setting that is changed or held, and the lot where there are several."""
    change = Change(variable="pitch", baseline="5 deg", changed=("7 deg",))
    lots = (Lot(name="upper", kind="natural"), Lot(name="lower", kind="natural"))
    trial = trial_of("grain_counts", change=change, sizes=Sizes(series="ASTM", main="50/100"))
    trial = trial.model_copy(update={"lots": lots})
    runs = (Run(pair=1, arm="baseline", classes=(SizeCatch(label="+20", grains=3),)),)
    names = [asked.header for asked in asked_columns(trial, runs)]
    assert {"pitch_deg", "fed_lot", "grains", "grains +20", "grains 50/100"} <= set(names)
    assert names.index("grains +20") < names.index("grains 50/100")
    told = [asked.header for asked in asked_columns(trial, runs, classes=["-100", "50/100"])]
    assert [name for name in told if name.startswith("grains")][:3] == ["grains", "grains 50/100", "grains -100"]


def test_a_workbook_guides_the_hand(tmp_path: Path) -> None:
    """Drop-downs, limits of the schema with a text, prompts, a heading that stays, one page wide, how to fill it."""
    record = read_folder(PLANS / "mats")
    book = openpyxl.load_workbook(write_sheet(record, tmp_path / "mats.xlsx"))
    sheet, how = book.worksheets
    assert (sheet.title, how.title) == ("runs", "how to fill")
    assert sheet.freeze_panes == "E2"
    assert sheet.sheet_properties.pageSetUpPr.fitToPage and sheet.page_setup.fitToWidth == 1
    assert sheet.page_setup.fitToHeight == 0 and sheet.print_title_rows == "$1:$1"
    rules = {rule.promptTitle: rule for rule in sheet.data_validations.dataValidation}
    heads = [cell.value for cell in sheet[1]]
    assert set(rules) == set(heads) and all(rule.prompt and rule.showInputMessage for rule in rules.values())
    assert rules["arm"].formula1 == '"baseline: ribbed,changed: looped"' and rules["stripped"].formula1 == '"yes,no"'
    assert rules["void"].formula1 == f'"{",".join(VOID_REASONS)}"' and rules["void"].errorStyle == "warning"
    assert rules["panner"].formula1 == '"A,B,C,D,E,F"'
    minutes = rules["minutes"]  # 0.2 to 1,440 minutes, 0 to 40 C: the ranges of the model, section 3 of the job
    assert (minutes.type, minutes.operator, minutes.formula1, minutes.formula2) == ("decimal", "between", "0.2", "1440")
    assert (rules["temp_c"].formula1, rules["temp_c"].formula2) == ("0", "40")
    assert minutes.error == "A number from 0.2 to 1,440, or one with its unit behind it; check both"
    assert minutes.showErrorMessage and minutes.errorStyle == "warning"  # "9.5 min" is taken, as the page says
    at = heads.index("minutes") + 1
    assert str(minutes.sqref) == f"{sheet.cell(2, at).coordinate}:{sheet.cell(9, at).coordinate}"
    assert all(cell.comment is not None and cell.comment.text for cell in sheet[1])
    words = " ".join(str(cell.value) for row in how.iter_rows() for cell in row if cell.value)
    assert "Write 0 for: looked and found none" in words and "samedirt load FILE --trial mats" in words
    assert all(head in words for head in heads)
    assert sheet.cell(2, heads.index("note") + 1).number_format == "@"  # so that 1-2 stays 1-2


def test_arms_that_a_drop_down_can_not_spell_stand_on_the_second_sheet(tmp_path: Path) -> None:
    """Commas and quotes in the words of a level are no parts of the list."""
    change = Change(variable="mat", baseline="none", changed=("ribs, 10 mm", '1" cups', "=moss"))
    trial = trial_of("gold_mass", change=change)
    runs = tuple(Run(pair=1, arm=arm, turn=turn) for turn, arm in enumerate(trial.arms, start=1))
    path = write_sheet(Record(trial=trial, runs=runs), tmp_path / "levels.xlsx")
    book = openpyxl.load_workbook(path)
    rule = next(rule for rule in book["runs"].data_validations.dataValidation if rule.promptTitle == "arm")
    name, _, cells = rule.formula1.partition("!")
    assert name == "'how to fill'"
    listed = [row[0].value for row in book["how to fill"][cells.replace("$", "")]]
    assert listed == ["baseline: none", "ribs, 10 mm", '1" cups', "=moss"]  # text, so no apostrophe is needed
    assert untyped(read_sheet(path, trial, runs).runs) == untyped(runs)


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("sheet.ods", "sheet.ods: is neither .xlsx nor .csv; end the name of the sheet in one of them"),
        ("there.csv", "there.csv: is there already, perhaps filled; name another file, or move it away"),
        ("there.csv/sheet.csv", "there.csv/sheet.csv: can't be written"),
    ],
)
def test_a_filled_sheet_is_not_written_over(name: str, says: str, tmp_path: Path) -> None:
    """Where a sheet can't go, and why."""
    (tmp_path / "there.csv").write_text("filled", encoding="utf-8")
    with pytest.raises(Refused) as refused:
        write_sheet(read_folder(PLANS / "mats"), tmp_path / name)
    assert str(refused.value).startswith(f"{tmp_path}/{says}")
    assert (tmp_path / "there.csv").read_text(encoding="utf-8") == "filled"


def test_without_the_library_workbooks_are_refused_and_csv_is_not(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Who has not installed the part for .xlsx is told how, and can do all by CSV."""
    record = read_folder(PLANS / "mats")
    whole = write_sheet(record, tmp_path / "mats.xlsx")
    for name in [name for name in sys.modules if name.split(".")[0] == "openpyxl"]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    says = "needs the part that reads and writes .xlsx: pip install 'samedirt[sheets]'; or use a .csv instead"
    with pytest.raises(Refused) as refused:
        write_sheet(record, tmp_path / "again.xlsx")
    assert str(refused.value) == f"{tmp_path / 'again.xlsx'}: {says}"
    (problem,) = read_sheet(whole, record.trial, record.runs).problems
    assert str(problem) == f"{whole}: {says}"
    assert not read_sheet(write_sheet(record, tmp_path / "mats.csv"), record.trial, record.runs).problems


def test_plans_without_runs_or_tags_have_no_sheet(tmp_path: Path) -> None:
    """No rows; or a row that could not come back."""
    with pytest.raises(Refused, match="has no planned runs yet; draw them first"):
        write_sheet(Record(trial=trial_of("gold_mass")), tmp_path / "a.csv")
    with pytest.raises(Refused, match="pair 1 baseline has no tag, and a sheet for the panner names runs by tag alone"):
        write_sheet(read_folder(PLANS / "untagged"), tmp_path / "a.csv", for_panner=True)


def test_two_sheets_of_one_trial_come_together(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """The feeder's sheet and the panner's, filled apart, make whole runs; no trial need be named."""
    from trials.logbook.logbook import Logbook

    samedirt("load", PLANS / "mats")
    record = Logbook(tmp_path / "logbook.duckdb").read("mats")
    for name, for_panner, values in (
        ("creek.xlsx", False, {"minutes": 9.5, "fed_g": 10000}),
        ("panner.xlsx", True, {"gold_mg": 31, "tails_gold_mg": 4}),
    ):
        book = openpyxl.load_workbook(write_sheet(record, tmp_path / name, for_panner=for_panner))
        sheet = book["runs"]
        at = {cell.value: cell.column for cell in sheet[1]}
        for line in range(2, 10):
            for column_name, value in values.items():
                sheet.cell(line, at[column_name]).value = value + line / 8
        book.save(tmp_path / name)
    said = samedirt("load", "creek.xlsx", "panner.xlsx")
    assert said.code == 0 and "creek.xlsx into mats: 8 rows read; 8 new runs." in said.out, said.err
    assert "panner.xlsx into mats: 8 rows read; 16 blanks filled." in said.out
    runs = {run.tag: run for run in Logbook(tmp_path / "logbook.duckdb").read("mats").runs}
    assert (runs["HTK"].minutes, runs["HTK"].fed_g) == (9.75, 10000.25)  # the second row of both, by turn
    assert (runs["CDP"].gold_mg, runs["CDP"].tails_gold_mg) == (31.25, 4.25)  # and by tag
    again = samedirt("load", "creek.xlsx", "panner.xlsx")
    assert "nothing new" in again.out


def test_the_trial_of_a_sheet_is_found_or_asked(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """By the name in the file, by its tags where they are of one trial, else by asking."""
    said = samedirt("load", PLANS / "mats" / "runs.csv")
    assert said.code == 2 and "logbook.duckdb: is not here yet" in said.err
    samedirt("load", PLANS)
    rough_bed(tmp_path / "rough")
    samedirt("load", "rough")
    (tmp_path / "one.csv").write_text("tag,gold_mg\nFXN,31\nPHL,30\n", encoding="utf-8")
    said = samedirt("load", "one.csv")
    assert said.code == 0 and "one.csv into mats: 2 rows read; 2 new runs." in said.out
    (tmp_path / "two.csv").write_text("tag,gold_mg\nHTK,31\n", encoding="utf-8")
    said = samedirt("load", "two.csv")
    assert "two.csv: has tags that fit counts, mats and started; say which with --trial NAME" in said.err
    (tmp_path / "none.csv").write_text("tag,gold_mg\nHTK,31\nQQQ,2\n", encoding="utf-8")
    said = samedirt("load", "none.csv")
    assert "none.csv: does not name its trial, and its tags are not all of one trial; say which" in said.err
    (tmp_path / "pairs.csv").write_text("pair,arm,gold_mg\n1,baseline,2\n", encoding="utf-8")
    assert "and it has no tags; say which with --trial NAME; there are" in samedirt("load", "pairs.csv").err
    said = samedirt("load", "two.csv", "--trial", "nowhere")
    assert "two.csv: is of the trial nowhere, which is not in the logbook; there are: " in said.err and said.code == 2


def test_sheets_and_folders_are_loaded_apart(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """One go holds one sort; options of sheets need a sheet."""
    rough_bed(tmp_path / "rough")
    (tmp_path / "one.csv").write_text("tag,gold_mg\nFXN,31\n", encoding="utf-8")
    said = samedirt("load", "one.csv", "rough")
    assert said.code == 2 and "one.csv is a sheet and rough is not; load folders and sheets in two goes" in said.err
    (tmp_path / "lean.toml").write_text('name = "lean"\n', encoding="utf-8")
    samedirt("load", "rough", "--logbook", "other.duckdb")
    for words in (("rough", "other.duckdb", "lean.toml"), ("one.csv", "lean.toml", "other.duckdb")):
        said = samedirt("load", *words)  # files that are no sheets are told as what they are, all of them
        assert said.code == 2 and "lean.toml: is a plan, not a sheet; draw its runs: samedirt plan --from" in said.err
        assert "other.duckdb: is a logbook, not a sheet; look into it with samedirt logbook" in said.err
    said = samedirt("load", "rough", "--good-rows")
    assert said.code == 2 and "--trial, --sheet and --good-rows are for filled sheets" in said.err


def test_what_was_read_is_told_as_json(samedirt: Callable[..., Any]) -> None:
    """Rows, what was done, what was said and what was left out."""
    import json

    samedirt("load", PLANS / "mats")
    sheet = Path(__file__).parent / "handed_in" / "half-good.csv"
    said = samedirt("load", sheet, "--trial", "mats", "--good-rows", "--json")
    (told,) = json.loads(said.out)
    assert (told["trial"], told["done"], told["rows"], len(told["left"])) == ("mats", "2 new runs", 2, 3)


def test_several_sheets_are_loaded_all_or_none(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """One bad sheet keeps the good one out too."""
    from trials.logbook.logbook import Logbook

    samedirt("load", PLANS / "mats")
    before = Logbook(tmp_path / "logbook.duckdb").read("mats")
    (tmp_path / "good.csv").write_text("tag,gold_mg\nFXN,31\n", encoding="utf-8")
    (tmp_path / "bad.csv").write_text("tag,gold_mg\nPHL,x\n", encoding="utf-8")
    said = samedirt("load", "good.csv", "bad.csv", "--trial", "mats")
    assert said.code == 2 and len(said.err.splitlines()) == 1
    assert Logbook(tmp_path / "logbook.duckdb").read("mats") == before


@pytest.mark.parametrize("form", FORMS)
def test_a_sheet_names_set_ups_and_marks_spares(form: str, samedirt: Callable[..., Any]) -> None:
    """Beside baseline and changed stands the set-up itself, and spares say so; it is read again as it is."""
    folder = PLANS / "mats"
    plan = (folder / "trial.toml").read_text(encoding="utf-8").replace("pairs = 4", "pairs = 3\nspares = 1")
    Path("mats").mkdir()
    Path("mats/trial.toml").write_text(plan, encoding="utf-8")
    Path("mats/runs.csv").write_bytes((folder / "runs.csv").read_bytes())
    assert samedirt("load", "mats").code == 0
    assert samedirt("sheet", "mats", "--spreadsheet", f"filled{form}").code == 0
    arms = column(Path(f"filled{form}"), "arm")
    assert set(arms[:6]) == {"baseline: ribbed", "changed: looped"}
    assert sorted(arms[6:]) == ["baseline: ribbed (spare)", "changed: looped (spare)"]
    said = samedirt("load", f"filled{form}", "--trial", "mats")
    assert said.code == 0, said.err
    if form == ".xlsx":
        sheet = openpyxl.load_workbook(f"filled{form}")["runs"]
        grey = [line for line in range(2, 10) if sheet.cell(line, 1).fill.fgColor.rgb.endswith("E4E1DB")]
        assert grey == [8, 9]


def test_tracer_grains_are_asked_for_once() -> None:
    """Grains all of one size are counted in one column; of several sizes, in one a size and none besides."""
    one = trial_of("tracers", sizes=Sizes(series="ASTM"), grains=Grains(seeded=40, size="60/80"))
    assert [asked.header for asked in asked_columns(one, ()) if "kept" in asked.header] == ["kept"]
    both = [asked.header for asked in asked_columns(one, (), classes=["30/50", "60/80"]) if "kept" in asked.header]
    assert both == ["kept 30/50", "kept 60/80"]
