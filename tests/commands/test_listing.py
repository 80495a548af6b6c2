"""The list of all trials: a line each with gain, price, last word and decision; filters, order, JSON, CSV and SQL."""

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, get_args

import duckdb
import pytest

from schemas.verdict import Code
from tests.folders import LEAST, Files, files_of, put_files, rough_bed, write
from tests.tables import every
from tests.worth.test_worth import recovery_trial
from trials.listing.lines import CODE_WORDS
from trials.logbook.pages import SET_ASIDE

Door = Callable[..., Any]
THREE: Files = {}
"""The folders and the logbook of `three`, once they were made."""


@pytest.fixture
def three(samedirt: Door, tmp_path: Path) -> Door:
    """A table, two sluices and a plan; of the sluices the second, run a year later, gains more."""
    if THREE:
        put_files(tmp_path, THREE)
        return samedirt
    rough_bed(tmp_path / "rough-bed")
    recovery_trial(tmp_path, "early", 60.0, 1.0, 4.0)
    late = recovery_trial(tmp_path, "late", 60.0, 3.0, 6.0)
    runs = (late / "runs.csv").read_text().replace("2026-05-03", "2027-05-03")
    (late / "runs.csv").write_text(runs)
    write(tmp_path / "plan", LEAST)
    assert samedirt("load", "rough-bed", "early", "late", "plan").code == 0
    THREE.update(files_of(tmp_path, (path for path in tmp_path.rglob("*") if path.is_file())))
    return samedirt


def listed(samedirt: Door, *words: str) -> list[str]:
    """The names of the trials listed, in order."""
    return [one["trial"] for one in json.loads(samedirt("logbook", *words, "--json").out)["trials"]]


def test_every_code_of_a_verdict_has_its_words() -> None:
    """Whatever a verdict says, a listing has words for it."""
    assert set(CODE_WORDS) == {*get_args(Code), SET_ASIDE}


def test_each_trial_is_one_line(three: Door) -> None:
    """Last day, change, gain with limits, clean-up, last word and decision; what has no room is named."""
    assert three("decide", "rough-bed", "keep", "--note", "the sand is worth it").code == 0
    lines = [" ".join(line.split()) for line in three("logbook").out.splitlines()]
    rough, early, plan = (next(line for line in lines if f" {name} " in line) for name in ("rough-bed", "early", "mat"))
    assert rough == "2026-05-03 rough-bed texture: 180 grit better +39 % (11 to 73) your call keep"
    assert early.startswith("2026-05-03 early mat: looped better +2.5 points (1.0 to 4.0)")
    assert plan.startswith("not run mat mat: looped not started") and "retest" not in plan
    assert "No room here for: measure, sand. --csv and --json have all of it." in lines


@every(
    "words, names",
    [
        ((), ["late", "rough-bed", "early", "mat"]),
        (("--sort", "gain"), ["late", "early", "rough-bed", "mat"]),
        (("--since", "2026-06-01"), ["late"]),
        (("--gear", "Sluice"), ["late", "early", "mat"]),
        (("--change", "180"), ["rough-bed"]),
        (("--change", "mat", "--measure", "gold mass"), ["mat"]),
    ],
)
def test_trials_are_filtered_and_sorted(words: tuple[str, ...], names: list[str], three: Door) -> None:
    """By the last day, or by the gain, points before %; what is never run is on no day."""
    assert listed(three, *words) == names


def test_none_fits_and_no_day(three: Door) -> None:
    """Said in a line each."""
    assert "None of 4 trials fits" in three("logbook", "--change", "pump").out
    assert "2026-13-01 is not a day" in three("logbook", "--since", "2026-13-01").err


def test_its_numbers_are_those_of_the_verdicts(three: Door, tmp_path: Path) -> None:
    """JSON, CSV and the table of the store hold what `verdict --json` prints, with days and decisions."""
    three("decide", "early", "other", "--note", "sold the gear")
    answer = json.loads(three("verdict", "early", "--json").out)["answer"]
    (row,) = json.loads(
        three("logbook", "--json", "--change", "looped", "--since", "2026-05-03", "--sort", "gain").out
    )["trials"][1:]
    told = {"estimate": answer["estimate"], "low": answer["interval"]["low"], "high": answer["interval"]["high"]}
    shown = {"shown": answer["shown"]["estimate"], "unit": "points", "pairs": 4, "level": 0.95, "worth_having": 0.5}
    assert told | shown == {key: row[key] for key in told | shown}
    assert (row["first_session"], row["last_session"], row["decided"], row["decided_note"]) == (
        "2026-05-03",
        "2026-05-03",
        "other",
        "sold the gear",
    )
    table = {one["trial"]: one for one in csv.DictReader(io.StringIO(three("logbook", "--csv").out))}
    assert float(table["early"]["low"]) == told["low"]
    assert table["mat"]["estimate"] == ""
    with duckdb.connect(str(tmp_path / "logbook.duckdb"), read_only=True) as con:
        query = "SELECT trial, low, high, black_sand, decided FROM verdicts WHERE unit = 'points' ORDER BY trial"
        rows = con.execute(query).fetchall()
    assert rows[0] == ("early", told["low"], told["high"], pytest.approx(1.0), "other")
    assert rows[1][0] == "late"


def test_words_of_another_version_are_reached_once(
    three: Door, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The listing reaches them again and keeps them; the next one finds them there."""
    with duckdb.connect(str(tmp_path / "logbook.duckdb")) as con:
        con.execute("UPDATE verdicts SET version = '0.0.1', code = 'worse'")
    before = three("logbook").out
    assert "worse" not in before
    monkeypatch.setattr("trials.listing.word.word_of", None)  # nothing may be reached now
    assert three("logbook").out == before


def test_a_decision_stays_beside_the_last_word(three: Door) -> None:
    """A second one takes its place in the list and not on record; a wrong word, or none new, is refused."""
    first = three("decide", "rough-bed", "Keep").out
    assert "rough-bed decided: keep" in first and "The last word of its verdict is: your call." in " ".join(
        first.split()
    )
    assert "did you mean revert?" in three("decide", "rough-bed", "revrt").err
    assert "--note: is needed with other" in three("decide", "rough-bed", "other").err
    assert "was decided already" in three("decide", "rough-bed", "keep").err
    assert three("decide", "rough-bed", "revert", "--note", "too much sand").code == 0
    told = [one["says"] for one in json.loads(three("logbook", "rough-bed", "--history", "--json").out)[1:]]
    assert told == ["keep", "revert; too much sand"]
    said = three("verdict", "rough-bed", "--no-chart").out
    assert "Decided: revert, on " in said
    assert "Values corrected" not in said
    assert [one["decided"] for one in json.loads(three("logbook", "--json", "--change", "grit").out)["trials"]] == [
        "revert"
    ]


def test_a_decision_goes_out_and_comes_back(three: Door) -> None:
    """It is in the exported folder, and loads into another logbook."""
    three("decide", "rough-bed", "keep", "--note", "=the sand")
    three("export", "rough-bed", "--to", "out")
    assert three("load", "out", "--logbook", "other.duckdb").code == 0
    (row,) = json.loads(three("logbook", "--json", "--logbook", "other.duckdb").out)["trials"]
    assert (row["decided"], row["decided_note"]) == ("keep", "=the sand")
