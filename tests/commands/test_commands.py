import io
import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, cast

import pytest

import demo_trials
from tests.commands.terminal import Terminal
from tests.conftest import Said
from tests.folders import LEAST, ROUGH_TRIAL, rough_bed, rough_loaded, rough_runs, write
from trials.logbook.logbook import Logbook


def test_no_arguments_say_what_it_is(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """What it is, whether a logbook is here, and the usual round."""
    said = samedirt()
    assert said.code == 0
    assert said.out.splitlines()[0] == "samedirt: did the change catch more gold, or was it luck?"
    assert "No logbook here yet." in said.out and "The usual round" in said.out
    rough_loaded(samedirt, tmp_path)
    assert "Logbook logbook.duckdb: 1 trial." in samedirt().out


def test_the_version_is_printed(samedirt: Callable[..., Any]) -> None:
    """One line, with the name."""
    assert samedirt("--version").out == "samedirt 0.1.0\n"


def test_help_names_every_command_and_ends_with_an_example(samedirt: Callable[..., Any]) -> None:
    """Each command is one line of the help, and its own help shows how it is called."""
    told = samedirt("--help")
    assert told.code == 0
    for command in ("demo", "load", "verdict", "report", "logbook", "export"):
        assert f"\n  {command} " in told.out
        said = samedirt(command, "--help")
        assert said.code == 0 and said.err == ""
        assert f"Example: samedirt {command}" in " ".join(said.out.split())


def test_no_arguments_count_the_trials_of_the_logbook(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """The number of trials, and what lists them."""
    for name in ("a", "b"):
        write(tmp_path / name, LEAST.replace('"mat"', f'"{name}"', 1))
    samedirt("load", "a", "b")
    assert "Logbook logbook.duckdb: 2 trials.   See them: samedirt logbook" in samedirt().out


def test_an_empty_logbook_says_what_fills_it(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A listing of nothing is not nothing."""
    with Logbook(tmp_path / "logbook.duckdb").writing():
        pass
    assert samedirt("logbook").out == "The logbook is empty. Next: samedirt load FOLDER\n"
    assert json.loads(samedirt("logbook", "--json").out)["trials"] == []


def test_what_loading_did_is_told_to_programs_too(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """One object a trial: its name, whether it is new, what was done; nothing else on standard output."""
    rough_bed(tmp_path / "all" / "rough-bed")
    write(tmp_path / "all" / "mat", LEAST, "pair,arm,turn,gold_mg\n1,baseline,1,20\n")
    assert json.loads(samedirt("load", "all", "--json").out) == [
        {"trial": "mat", "new": True, "done": "new, 1 run", "said": []},
        {"trial": "rough-bed", "new": True, "done": "new, 12 runs", "said": []},
    ]
    write(
        tmp_path / "all" / "mat",
        LEAST,
        "pair,arm,turn,gold_mg\n1,baseline,1,20\n1,changed,2,30\n".replace(",", ";") + "2;baseline;3;20,5\n",
    )
    commas = "all/mat/runs.csv: commas read as decimal marks"
    assert json.loads(samedirt("load", "all", "--json").out) == [
        {"trial": "mat", "new": False, "done": "2 new runs", "said": [commas]},
        {"trial": "rough-bed", "new": False, "done": "nothing new", "said": []},
    ]
    assert f"  {commas}.\n" in samedirt("load", "all").out


def test_many_trials_are_loaded_with_progress_beside_the_json(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Progress goes to standard error, so that what a program reads stays whole."""
    for i in range(40):
        write(tmp_path / "all" / f"t{i}", LEAST.replace('"mat"', f'"t{i}"', 1))
    said = samedirt("load", "all", "--json")
    assert len(json.loads(said.out)) == 40
    assert "Reading trial folders: 40 of 40" in said.err and "Reaching verdicts: 40 of 40" in said.err


def test_a_verdict_exits_by_what_was_found(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """0 where there is a word, 1 where a gate stands, 2 where there is no such trial."""
    rough_bed(tmp_path / "rough-bed")
    write(tmp_path / "mat", LEAST, "pair,arm,turn,gold_mg\n1,baseline,1,20\n1,changed,2,30\n")
    samedirt("load", "rough-bed", "mat")
    assert samedirt("verdict", "rough-bed", "--no-chart").code == 0
    said = samedirt("verdict", "mat", "--no-chart")
    assert said.code == 1
    assert "Not finished: 1 of 3 planned pairs. The call waits for pairs 2 and 3." in said.out
    missing = samedirt("verdict", "nope")
    assert missing.code == 2
    assert missing.err == "samedirt: no trial named 'nope' in logbook.duckdb; there are: mat, rough-bed\n"


def test_the_json_of_a_verdict_is_all_that_is_printed(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Standard output is one JSON value, and no file is written."""
    rough_loaded(samedirt, tmp_path)
    said = samedirt("verdict", "rough-bed", "--json")
    verdict = json.loads(said.out)
    assert verdict["code"] == "better" and verdict["pairs"]["complete"] == 6
    assert verdict["answer"]["interval"]["level"] == 0.95 and len(verdict["answer"]["differences"]) == 6
    assert not list(tmp_path.glob("*.html"))


def test_a_chart_may_be_asked_for_beside_the_json(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """The file is written, and standard output is still one JSON value."""
    rough_loaded(samedirt, tmp_path)
    said = samedirt("verdict", "rough-bed", "--json", "--chart", "chart.svg")
    assert json.loads(said.out)["code"] == "better"
    assert (tmp_path / "chart.svg").read_bytes().startswith(b"<svg")


def test_no_logbook_says_plan_first(samedirt: Callable[..., Any]) -> None:
    """Who asks for a trial where there is no logbook is told how one begins."""
    said = samedirt("verdict", "mat")
    assert said.code == 2
    assert said.err.endswith(
        "begin with samedirt plan, load a folder with samedirt load FOLDER, or see samedirt demo\n"
    )


def test_the_answer_stands_first_and_last(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """On a screen of 24 lines the sentence and the last word come again at the end; on a taller one they do not."""
    rough_loaded(samedirt, tmp_path)
    for rows, times in ((24, 2), (90, 1)):
        with Terminal("verdict", "rough-bed", "--no-chart", cwd=tmp_path, rows=rows) as terminal:
            assert terminal.finish() == 0
            shown = " ".join(terminal.seen.split())
        assert shown.count("Better beyond luck, with a cost: 39 % more") == shown.count("Your call: ") == times, rows
        assert shown.index("Your call: ") < shown.index("times the black sand") < shown.index("Each pair")
        assert shown.endswith("Your call: more gold, but black sand is over its limit.") == (times == 2)
        assert "first-turn" not in shown and " checks passed, " in shown


def test_all_checks_are_named_where_asked(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """One line counts them; with --all each is named, and why one could not be made."""
    rough_loaded(samedirt, tmp_path)
    short, whole = (
        " ".join(samedirt("verdict", "rough-bed", "--no-chart", *more).out.split()) for more in ((), ("--all",))
    )
    assert re.search(r"\d+ checks passed, \d+ not recorded: .*soap-and-cloud.* \(--all names them\)\.", short)
    assert "Found good: " in whole and "soap-and-cloud: wetting aid was not recorded in any run" in whole
    assert "Found good: " not in short


def test_the_list_gives_the_reason(samedirt: Callable[..., Any]) -> None:
    """Beside keep stands what was shown: how much gold it could cost, and what it saves."""
    samedirt("load", Path(demo_trials.__file__).parent)
    listed = " ".join(samedirt("logbook").out.split())
    assert "two-mats: keep: at most 0.9 points less of the gold, inside your 1-point line, and 18 % fewer" in listed
    rows = json.loads(samedirt("logbook", "--json").out)["trials"]
    assert {row["trial"]: row["last_word_why"] for row in rows}["steeper-pitch"] == "it catches less gold"


def test_words_alone_draw_nothing(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """With --no-chart the sentence, each pair, the costs and the checks are printed, and no file is written."""
    rough_loaded(samedirt, tmp_path)
    before = sorted(tmp_path.iterdir())
    text = " ".join(samedirt("verdict", "rough-bed", "--no-chart").out.split())
    for part in (
        "Does the roughened bed keep more fine gold than the painted one?",
        "Better beyond luck, with a cost: 39 % more grains than smooth (11 to 73), 6 pairs, your 20 % line lies inside the range",
        "times the black sand (",
        "over your limit of 1.5",
        "Luck alone would put all 6 pairs on one side about 1 time in 32.",
        "Your call: more gold, but black sand is over its limit.",
        "Each pair (gold grains kept):",
        "1 31 47 +51",
    ):
        assert part in text, part
    assert sorted(tmp_path.iterdir()) == before


def test_the_chart_goes_where_it_is_sent(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """HTML under the name of its trial, or a form by the end of the name; an SVG is drawn in the test of the JSON."""
    rough_loaded(samedirt, tmp_path)
    assert "Chart: verdict-rough-bed.html" in samedirt("verdict", "rough-bed").out
    assert (tmp_path / "verdict-rough-bed.html").read_bytes().startswith(b"<!DOCTYPE html>")
    assert samedirt("verdict", "rough-bed", "--chart", "chart.png").code == 0
    assert (tmp_path / "chart.png").read_bytes().startswith(b"\x89PNG")
    refused = samedirt("verdict", "rough-bed", "--chart", "chart.bmp")
    assert refused.code == 2 and ".bmp" in refused.err and "Traceback" not in refused.err


def test_the_logbook_lists_every_trial_last_day_first(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Nothing is hidden: what is not settled or not finished stands beside the better."""
    rough_bed(tmp_path / "rough-bed")
    write(tmp_path / "mat", LEAST, "pair,arm,turn,session,gold_mg\n1,baseline,1,2026-06-01 am,20\n")
    samedirt("load", "rough-bed", "mat")
    lines = json.loads(samedirt("logbook", "--json").out)["trials"]
    assert [(line["trial"], line["code"]) for line in lines] == [("mat", "incomplete"), ("rough-bed", "better")]
    text = samedirt("logbook").out
    assert text.index("not finished") < text.index("better")


GRADED = ROUGH_TRIAL.replace('changed = "180 grit"', 'changed = ["320 grit", "180 grit"]')
OTHER_KINDS = {
    "graded": GRADED,
    "audit": LEAST.split("[change]")[0].replace("pairs = 3", "pairs = 3\naudit = true").replace("gold_mass", "tracers"),
    "class": LEAST + '[sizes]\nseries = "ASTM"\nmain = "50/100"\n',
}


def named_of(kind: str) -> str:
    """The plan of such a trial, with the kind for its name."""
    return re.sub('name = ".*"', f'name = "{kind}"', OTHER_KINDS[kind], count=1)


def test_every_kind_of_trial_loads_lists_and_exports(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Graded trials, audits and main classes go the same way, from their plan on."""
    for kind in OTHER_KINDS:
        write(tmp_path / kind, named_of(kind), "pair,arm\n")
    assert samedirt("load", *OTHER_KINDS).code == 0
    assert " ".join(samedirt("logbook").out.split()).count("not started") == len(OTHER_KINDS)
    for name in OTHER_KINDS:
        assert json.loads(samedirt("verdict", name, "--json").out)["code"] == "incomplete"
        assert "Not started: none of" in samedirt("verdict", name, "--no-chart").out
        for form in ("folder", "json", "parquet"):
            assert samedirt("export", name, "--to", f"out/{name}", "--as", form).code == 0
    assert samedirt("load", *(f"out/{name}" for name in OTHER_KINDS)).out.count("nothing new") == len(OTHER_KINDS)


def test_a_graded_trial_repeats_the_text_of_its_levels(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """The arm of a run is the level's own text, the baseline's too; others are refused."""
    runs = "pair,arm,turn,grains\n1,smooth,1,31\n1,320 grit,2,40\n1,180 grit,3,47\n"
    write(tmp_path / "t", GRADED, runs)
    assert samedirt("load", "t").code == 0
    write(tmp_path / "t", GRADED, runs.replace("320 grit", "changed"))
    assert "changed is not an arm of this trial" in samedirt("load", "t").err


def test_plain_files_go_out(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """The form that loads, or JSON, or Parquet."""
    rough_loaded(samedirt, tmp_path)
    for form in ("folder", "json", "parquet"):
        said = samedirt("export", "rough-bed", "--to", form, "--as", form)
        assert said.code == 0
        written = [Path(line.removeprefix("Wrote ")) for line in said.out.splitlines()]
        assert written and all((tmp_path / path).is_file() for path in written)


def test_an_export_goes_to_a_folder_of_its_name(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Without --to the folder is called as the trial, and loads again with nothing new."""
    rough_bed(tmp_path / "typed")
    samedirt("load", "typed")
    assert samedirt("export", "rough-bed").out == "Wrote rough-bed/trial.toml\nWrote rough-bed/runs.csv\n"
    assert "rough-bed: nothing new." in samedirt("load", "rough-bed").out


def test_an_export_does_not_overwrite_another_trial(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """A folder that holds another trial is left alone."""
    rough_bed(tmp_path / "rough-bed")
    write(tmp_path / "mat", LEAST)
    samedirt("load", "rough-bed")
    said = samedirt("export", "rough-bed", "--to", "mat")
    assert said.code == 2 and "holds the trial mat, not rough-bed" in said.err
    assert (tmp_path / "mat" / "trial.toml").read_text() == LEAST


def test_the_form_of_a_trial_file_is_printed(samedirt: Callable[..., Any]) -> None:
    """JSON Schema, with no logbook needed."""
    schema = json.loads(samedirt("export", "--schema").out)
    assert schema["additionalProperties"] is False
    assert samedirt("export").code == 2


def test_the_logbook_may_be_named_by_the_environment(
    samedirt: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SAMEDIRT_LOGBOOK stands in for --logbook."""
    monkeypatch.setenv("SAMEDIRT_LOGBOOK", str(tmp_path / "mine.duckdb"))
    rough_bed(tmp_path / "rough-bed")
    assert samedirt("load", "rough-bed").code == 0
    assert (tmp_path / "mine.duckdb").is_file()
    assert "mine.duckdb: 1 trial" in samedirt().out
    assert samedirt("logbook").code == 0 and not (tmp_path / "logbook.duckdb").exists()
    said = samedirt("logbook", "--logbook", "other.duckdb")
    assert said.code == 2 and "no logbook at other.duckdb" in said.err


def test_the_demo_makes_its_folder_once(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Trials, logbook, a verdict, its chart and report, what to try next; run twice it changes nothing."""
    said = samedirt("demo")
    place = tmp_path / "cinder-bend"
    assert said.code == 0
    assert "Better beyond luck" in said.out and "Next:" in said.out
    for name in ("logbook.duckdb", "verdict-rough-bed.html", "report-rough-bed.html", "rough-bed/trial.toml"):
        assert (place / name).is_file()
    before = {path: path.read_bytes() for path in sorted(place.rglob("*")) if path.is_file()}
    again = samedirt("demo")
    assert again.code == 0 and "nothing was changed" in again.out
    assert {path: path.read_bytes() for path in sorted(place.rglob("*")) if path.is_file()} == before


def test_the_demo_goes_where_it_is_sent(
    samedirt: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`.` too, but never into a logbook of one's own trials."""
    monkeypatch.setattr("trials.commands.show_verdict.write_verdict_chart", lambda *_: None)  # drawn in the test above
    monkeypatch.setattr("trials.report.page.write_report", lambda *_: None)
    assert samedirt("demo", ".").code == 0
    assert (tmp_path / "logbook.duckdb").is_file()
    write(tmp_path / "own" / "mat", LEAST)
    samedirt("load", "own", "--logbook", "own/logbook.duckdb")
    said = samedirt("demo", "own")
    assert said.code == 2 and "holds trials of your own (mat)" in said.err
    assert not (tmp_path / "own" / "rough-bed").exists()


STALE = """
import sys
from pathlib import Path
from trials.logbook.logbook import Logbook

with Logbook(Path("logbook.duckdb")).reading() as pages:
    print(len(pages.listing()))
print("HEAVY", sorted({"numpy", "scipy", "pydantic"} & set(sys.modules)))
"""


def test_the_listing_of_the_store_needs_no_words_either(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Reading the list of trials does not even import the models."""
    rough_loaded(samedirt, tmp_path)
    done = subprocess.run([sys.executable, "-c", STALE], capture_output=True, text=True, cwd=tmp_path, check=True)
    assert done.stdout.splitlines() == ["1", "HEAVY []"]


LIGHT = {"numpy", "scipy", "altair", "pint", "openpyxl", "jinja2"}


@pytest.fixture
def all_sorts(samedirt: Callable[..., Any], tmp_path: Path) -> Path:
    """A folder with a logbook of all sorts of trial."""
    rough_bed(tmp_path / "rough-bed")
    for kind in OTHER_KINDS:
        write(tmp_path / kind, named_of(kind))
    assert samedirt("load", "rough-bed", *OTHER_KINDS).code == 0
    return tmp_path


NO_NUMBERS = (
    ["logbook"],
    ["export", "rough-bed", "--to", "out"],
    ["--help"],
    [],
    ["export", "rough-bed", "--to", "p", "--as", "parquet"],
    ["export", "rough-bed", "--to", "j", "--as", "json"],
    ["export", "--schema"],
    ["logbook", "--json"],
    ["verdict", "--help"],
    ["--version"],
)


def test_what_computes_nothing_imports_no_numbers(all_sorts: Path) -> None:
    """Listing, exporting and helping import neither numpy nor anything heavier, whatever sorts of trial there are."""
    code = (
        "import sys\nfrom trials.commands.main import main\n"
        f"for words in {NO_NUMBERS!r}:\n"
        "    sys.argv = ['samedirt', *words]\n"
        "    try:\n        main()\n    except SystemExit as stop:\n        assert not stop.code, words\n"
        f"    print('HEAVY', words, sorted({LIGHT!r} & set(sys.modules)))"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=all_sorts, check=True)
    told = [line for line in said.stdout.splitlines() if line.startswith("HEAVY")]
    assert told == [f"HEAVY {words} []" for words in NO_NUMBERS]


def test_the_installed_program_runs(tmp_path: Path) -> None:
    """The console script beside this Python answers."""
    program = Path(sys.executable).with_name("samedirt")
    if not program.exists():
        pytest.skip("no console script beside this Python")
    said = subprocess.run([program, "--version"], capture_output=True, text=True, cwd=tmp_path, check=True)
    assert said.stdout.startswith("samedirt ")


def test_a_whole_line_of_errors_a_problem(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Each problem is one line on standard error, and standard output is empty."""
    write(tmp_path / "t", ROUGH_TRIAL.replace("pairs = 6", "pairs = 0"), rough_runs().replace(",31,", ",x,"))
    said = samedirt("load", "t")
    assert said.code == 2 and said.out == ""
    assert [line.split(": ")[0] for line in said.err.splitlines()] == ["samedirt", "samedirt"]


PROGRAM = "import sys; from trials.commands.main import main; sys.argv = ['samedirt', *sys.argv[1:]]; main()"


def test_a_reader_that_goes_away_is_no_error(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Output that is cut off by the next program in a pipe ends in silence (Typer exits 1 then)."""
    for i in range(30):
        write(tmp_path / "all" / f"t{i}", LEAST.replace('"mat"', f'"t{i}"', 1))
    samedirt("load", "all")
    read, write_end = os.pipe()
    os.close(read)
    with os.fdopen(write_end, "wb") as nobody:
        said = subprocess.run(
            [sys.executable, "-c", PROGRAM, "logbook"],
            stdout=nobody,
            stderr=subprocess.PIPE,
            text=True,
            cwd=tmp_path,
            check=False,
        )
    assert said.returncode in (0, 1) and said.stderr == ""


def test_any_screen_can_show_what_is_printed(
    samedirt: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A terminal of few letters gets the words all the same."""
    write(tmp_path / "t", ROUGH_TRIAL.replace("smooth", "geglättet ½ 金"), rough_runs())
    samedirt("load", "t")
    for encoding in ("ascii", "cp1252", "utf-8"):
        screen = io.TextIOWrapper(io.BytesIO(), encoding=encoding)
        with monkeypatch.context() as patch:
            patch.setattr(sys, "stdout", screen)
            assert samedirt("verdict", "rough-bed", "--no-chart") == Said(0, "", "")
            screen.flush()
        shown = cast("io.BytesIO", screen.buffer).getvalue()
        assert "geglättet ½ 金" in " ".join(shown.decode("utf-8").split())


def test_the_json_holds_text_as_it_was_typed(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Names in any script and marks of markup come through whole."""
    question = "Würde <b>金</b> \u2028 & ½ bleiben?"
    asked = "Does the roughened bed keep more fine gold than the painted one?"
    write(tmp_path / "t", ROUGH_TRIAL.replace(asked, question), rough_runs())
    samedirt("load", "t")
    assert json.loads(samedirt("verdict", "rough-bed", "--json").out)["question"] == question
