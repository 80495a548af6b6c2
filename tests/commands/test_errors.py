"""What a person is told when something typed can't be taken: through the program's one door, text and exit code."""

import json
import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.folders import LEAST, ROUGH_TRIAL, rough_bed, rough_runs, write

RUNS = "pair,arm,turn,tag,gold_mg\n1,baseline,1,HTK,20\n1,changed,2,NDF,30\n"
ASTM = LEAST.replace('kind = "natural"', 'kind = "natural"\nsize = "-30"')

# What is typed -> place, and what is said of it: the value, the rule, the next step. One line each, exit 2.
TYPED: dict[str, tuple[str, str, str, str]] = {
    "gr in the plan": (
        LEAST + '[scales]\ngold = "0.1 gr"\n',
        RUNS,
        "mat/trial.toml, [scales] gold",
        "0.1 gr: 'gr' can mean grain or gram. Type g, mg or grain",
    ),
    "gr in a column": (
        LEAST,
        RUNS.replace("gold_mg", "gold_gr"),
        "mat/runs.csv, column gold_gr",
        "'gr' can mean grain or gram. Type g, mg or grain",
    ),
    "oz in the plan": (
        LEAST.replace('kind = "natural"', 'kind = "natural"\nmass = "40 oz"'),
        RUNS,
        "mat/trial.toml, [lot] mass",
        "40 oz: Gold is in ozt, feed in lb. Which?",
    ),
    "oz in a column": (
        LEAST,
        RUNS.replace("gold_mg", "gold_oz"),
        "mat/runs.csv, column gold_oz",
        "Gold is in ozt, feed in lb. Which?",
    ),
    "gross under tare": (
        LEAST,
        "pair,arm,tag,gold_gross_g,gold_tare_g\n1,baseline,HTK,12.2,18.6\n",
        "mat/runs.csv row 2 (HTK)",
        "gold gross 12.2 is under tare 18.6; swapped?",
    ),
    "two variables in one change": (
        LEAST.replace('"mat"\nbaseline', '"pitch, water"\nbaseline'),
        RUNS,
        "mat/trial.toml, [change] variable",
        "two variables in one change (pitch, water); split them into two trials, or hold one",
    ),
    "mesh without its series": (
        ASTM,
        RUNS,
        "mat/trial.toml, [[lot]] lot size",
        "30 mesh: ASTM, Tyler or hobby?",
    ),
    "more kept than seeded": (
        LEAST.replace("gold_mass", "tracers"),
        "pair,arm,seeded,kept\n1,baseline,25,27\n",
        "mat/runs.csv row 2",
        "27 kept are more than the 25 seeded; recount",
    ),
    "a sluice too steep in the plan": (
        LEAST + '[held]\npitch = "55 deg"\n',
        RUNS,
        "mat/trial.toml",
        "pitch 55 deg on a sluice; was that 5.5?",
    ),
    "a sluice too steep in a run": (
        LEAST,
        "pair,arm,pitch_deg\n1,baseline,55\n",
        "mat/runs.csv pair 1 baseline, pitch_deg",
        "pitch 55 deg on a sluice; was that 5.5?",
    ),
    "no such day": (
        LEAST.replace("pairs = 3", 'pairs = 3\nlocked = "2026-02-31"'),
        RUNS,
        "mat/trial.toml, locked",
        "2026-02-31 is not a day; write it as 2026-05-02, and check day and month",
    ),
    "no such moment": (
        LEAST,
        RUNS,
        "mat/changes.csv row 2",
        "2026-02-31T10:00 or 1 can't be read; when is a moment as 2026-05-09T10:30",
    ),
}
BAD_MOMENT = "when,pair,arm,field,old,new,why\n2026-02-31T10:00,1,changed,gold_mg,29,30,slip\n"


@pytest.mark.parametrize("typed", TYPED)
def test_a_thing_typed_wrong_is_one_line(typed: str, samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Value, place, rule and next step stand in one line; exit 2, nothing on standard output, nothing stored."""
    trial, runs, place, says = TYPED[typed]
    write(tmp_path / "mat", trial, runs, BAD_MOMENT if typed == "no such moment" else None)
    said = samedirt("load", "mat")
    assert said.code == 2 and said.out == ""
    (line,) = said.err.splitlines()
    assert line.startswith(f"samedirt: {place}: {says}")
    assert not (tmp_path / "logbook.duckdb").exists()


def test_a_day_that_toml_itself_refuses(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A bare date that does not exist is told with its line in the file."""
    write(tmp_path / "mat", LEAST.replace("pairs = 3", "pairs = 3\nlocked = 2026-02-31"), RUNS)
    said = samedirt("load", "mat")
    assert said.code == 2 and re.match(r"samedirt: mat/trial\.toml: .*\(at line 5, column \d+\)", said.err)


@pytest.mark.parametrize(
    ("word", "says"),
    [
        ("40 oz", "[lot] mass: 40 oz: Gold is in ozt, feed in lb. Which?"),
        ("-3 kg", "[lot] mass: -3 kg is under 50 g; check the value and its unit"),
        ("1e9 kg", "[lot] mass: 1e9 kg is over 5,000,000 g; check the value and its unit"),
        ("plenty", "[lot] mass: plenty"),
        ("", "[lot] mass: "),
    ],
)
def test_a_mass_that_is_none(word: str, says: str, samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """What was typed stands in the line as it was typed, with its unit."""
    write(tmp_path / "mat", LEAST.replace('kind = "natural"', f'kind = "natural"\nmass = "{word}"'), RUNS)
    said = samedirt("load", "mat")
    assert said.code == 2 and says in said.err and len(said.err.splitlines()) == 1


def test_a_locked_plan_is_told_with_its_way_out(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Loading a changed plan says what was locked, what is here, and what an amendment holds."""
    write(tmp_path / "mat", LEAST, RUNS)
    samedirt("load", "mat")
    write(tmp_path / "mat", LEAST.replace("pairs = 3", "pairs = 4"), RUNS)
    said = samedirt("load", "mat", "--why", "more dirt came in")
    assert said.code == 2
    assert said.err == (
        "samedirt: mat, pairs: the plan is locked at 3, here 4; put it back, or write an [[amended]] entry: "
        'when, what = "pairs", was, now, why\n'
    )


@pytest.mark.parametrize(
    ("pairs", "waits"),
    [
        ((1, 2, 3, 4), "Not finished: 4 of 6 planned pairs. The call waits for pairs 5 and 6."),
        ((), "Not started: none of 6 planned pairs is in. Next: run it; then samedirt enter rough-bed."),
    ],
)
def test_a_verdict_before_its_time_waits(
    pairs: tuple[int, ...], waits: str, samedirt: Callable[..., Any], tmp_path: Path
) -> None:
    """Exit 1, how many pairs are in and which are waited for; neither a mean nor a run is told."""
    head, *rows = rough_runs().splitlines(keepends=True)
    runs = head + "".join(row for row in rows if int(row.split(",")[0]) in pairs)
    write(tmp_path / "rough-bed", ROUGH_TRIAL, runs)
    samedirt("load", "rough-bed")
    said = samedirt("verdict", "rough-bed", "--no-chart")
    assert said.code == 1 and said.err == ""
    assert waits in " ".join(said.out.split())
    assert "Each pair" not in said.out and "%" not in said.out
    told = samedirt("verdict", "rough-bed", "--json")
    verdict = json.loads(told.out)
    assert told.code == 1 and verdict["code"] == "incomplete"
    assert verdict["answer"] == {"kind": "gate", "estimate": None, "interval": None, "p": None}


def test_a_blocked_verdict_names_its_remedy(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A tails re-run without its unchanged halves has no verdict: exit 1, with what to do."""
    head, *rows = rough_runs().splitlines(keepends=True)
    write(tmp_path / "rough-bed", ROUGH_TRIAL, head + "".join(row for row in rows if ",changed," in row))
    samedirt("load", "rough-bed")
    said = samedirt("verdict", "rough-bed", "--no-chart")
    assert said.code == 1 and said.err == ""
    text = " ".join(said.out.split())
    assert "No verdict: no unchanged half in pairs 1, 2, 3, 4 and 5." in text
    assert "Any second pass finds gold; run the other half unchanged." in text
    assert json.loads(samedirt("logbook", "--json").out)["trials"][0]["code"] == "blocked"


def test_two_pairs_are_too_few(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A plan of two pairs that is run whole answers nothing: exit 1."""
    runs = "pair,arm,turn,gold_mg\n1,baseline,1,20\n1,changed,2,30\n2,changed,3,31\n2,baseline,4,22\n"
    write(tmp_path / "mat", LEAST.replace("pairs = 3", "pairs = 2"), runs)
    samedirt("load", "mat")
    said = samedirt("verdict", "mat", "--no-chart")
    assert said.code == 1 and "Too few: 2 pairs to judge by." in said.out


def test_every_problem_of_every_folder_is_listed_at_once(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Five faults in two folders are five lines, each with its file; the good folder between them waits."""
    trial = LEAST.replace("pairs = 3", "pairs = 300").replace('"sluice"', '"slouce"')
    write(tmp_path / "all" / "a", trial, "pair,arm,gold_mg\n1,baseline,x\n2,baseline,-3\n")
    rough_bed(tmp_path / "all" / "b")
    write(tmp_path / "all" / "c", LEAST, "pair,gold_mg\n1,3\n")
    said = samedirt("load", "all")
    assert said.code == 2 and said.out == ""
    places = [line.removeprefix("samedirt: ").split(": ")[0] for line in said.err.splitlines()]
    assert places[:4] == [
        "all/a/trial.toml, [gear] kind",
        "all/a/trial.toml, pairs",
        "all/a/runs.csv row 2, gold_mg",
        "all/a/runs.csv row 3, gold_mg",
    ]
    assert places[4].startswith("all/c/runs.csv, column arm")
    assert not (tmp_path / "logbook.duckdb").exists()


CAN_NOT_BE_DONE: list[tuple[tuple[str, ...], str]] = [
    (("verdict", "nope"), "samedirt: no trial named 'nope' in logbook.duckdb; there are: mat\n"),
    (("report", "nope"), "samedirt: no trial named 'nope' in logbook.duckdb; there are: mat\n"),
    (("export", "nope"), "samedirt: no trial named 'nope' in logbook.duckdb; there are: mat\n"),
    (("export",), "samedirt: export needs the name of a trial, or --all; samedirt logbook lists them\n"),
    (("export", "mat", "--to", "a-file"), "samedirt: a-file: can't be written (File exists)"),
    (("export", "mat", "--to", "a-file", "--as", "json"), "samedirt: a-file: can't be written (File exists)"),
    (("export", "mat", "--to", "a-file", "--as", "parquet"), "samedirt: a-file: can't be written (File exists)"),
    (
        ("export", "mat", "--to", "taken", "--as", "parquet"),
        "samedirt: taken/trials.parquet: is a folder; name a file in it, or another",
    ),
    (
        ("report", "mat", "--to", "taken"),
        "samedirt: taken: an HTML page would be written there; end the name in .html",
    ),
    (("report", "mat", "--to", "no/such/x.html"), "samedirt: no/such/x.html: can't be written"),
    (("verdict", "mat", "--chart", "no/such/x.svg"), "samedirt: no/such/x.svg: can't be written"),
    (("verdict", "mat", "--chart", "x.bmp"), "samedirt: x.bmp"),
    (("demo", "a-file"), "samedirt: a-file: can't be written"),
    (("demo", "x" * 300), "File name too long"),
    (("load", "nowhere"), "samedirt: nowhere: is not a folder; name the folder of a trial\n"),
    (("logbook", "--logbook", "x" * 300), "x" * 60),
    (("logbook", "--logbook", "taken"), "samedirt: taken is a folder, not a logbook; name the file"),
    (("verdct", "mat"), "No such command 'verdct'"),
    (("verdict",), "samedirt: verdict: no trial is named; name one, or write --schema for the form of --json\n"),
    (("load",), "Missing argument"),
    (("export", "mat", "--as", "xml"), "'xml' is not one of 'folder', 'json', 'parquet'"),
    (("logbook", "--jsno"), "No such option"),
]


def test_a_command_that_can_not_be_done_says_why(
    samedirt: Callable[..., Any], tmp_path: Path, subtests: pytest.Subtests
) -> None:
    """Names and places that are not there, or are taken: a line on standard error and exit 2, and nothing is changed."""
    write(tmp_path / "mat", LEAST, RUNS)
    samedirt("load", "mat")
    (tmp_path / "a-file").write_text("mine")
    (tmp_path / "taken" / "trials.parquet").mkdir(parents=True)
    before = bytes_of(tmp_path)
    for words, says in CAN_NOT_BE_DONE:
        with subtests.test(words):
            said = samedirt(*words)
            assert said.code == 2 and says in said.err
            assert "Traceback" not in said.err
            assert bytes_of(tmp_path) == before


def bytes_of(folder: Path) -> dict[Path, bytes]:
    """All files in a folder."""
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_what_a_person_typed_can_not_act_on_the_terminal(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Escapes, line ends and marks that turn text round are shown by their codes."""
    trial = LEAST.replace("pairs = 3", '"\\u001b[2J" = 1\n"a\\nb" = 2\npairs = 3')
    runs = 'pair,arm,go\u202eld,"x\ny"\n1,"base\u2028line",3,4\n'
    write(tmp_path / "mat", trial, runs)
    said = samedirt("load", "mat")
    assert said.code == 2
    lines = said.err.split("\n")
    assert lines.pop() == "" and all(line.startswith("samedirt: ") and line.isprintable() for line in lines)
    assert "\\x1b[2J" in said.err and "a\\nb" in said.err and "go\\u202eld" in said.err


def test_on_a_screen_nothing_breaks_inside_a_word(
    samedirt: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """At 80 columns errors are folded between words, and a table's long words run on below instead of over the edge."""
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    err = samedirt("load", "a-folder-that-is-not-there-at-all-and-never-was", "another-one-with-a-long-name").err
    assert len(err.splitlines()) > 1 and all(len(line) <= 80 for line in err.splitlines())
    assert "a-folder-that-is-not-there-at-all-and-never-was" in err
    plan = (DEMO / "trial.toml").read_text(encoding="utf-8")
    for old, new in (("painted", "the old painted plywood bed"), ("180 grit", "the bed sanded with 180 grit paper")):
        plan = plan.replace(f'"{old}"', f'"{new}"')
    Path("rough-bed").mkdir()
    Path("rough-bed/trial.toml").write_text(plan, encoding="utf-8")
    Path("rough-bed/runs.csv").write_bytes((DEMO / "runs.csv").read_bytes())
    assert samedirt("load", "rough-bed").code == 0
    lines = samedirt("verdict", "rough-bed", "--no-chart").out.splitlines()
    assert all(len(line) <= 80 for line in lines)
    assert "plywood" in " ".join(lines) and not any(len(line.strip()) == 1 for line in lines)


DEMO = Path(__file__).parents[2] / "demo_trials" / "rough-bed"
