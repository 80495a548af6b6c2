"""Runs struck, trials set aside, and both taken back: nothing is overwritten, and everything says so."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.commands.typed_in import flat, half_done, plan_of, planned, read, run_of, tags_of
from tests.folders import ROUGH_TRIAL

Door = Callable[..., Any]
SPILT = ("--why", "spill", "--gold-not-known")


def test_a_struck_run_stays_with_its_reason_and_calls_a_spare_in(samedirt: Door, tmp_path: Path) -> None:
    """The sentence names the pair, and the spare by its tags in the order of the alphabet."""
    record = planned(tmp_path)
    run = record.runs[0]
    said = samedirt("void", "rough-bed", run.tag, *SPILT)
    spare = " and ".join(sorted(one.tag or "" for one in record.runs if one.pair == 7))
    assert flat(said.out) == (
        f"{run.tag} is struck: spill. Both halves of pair {run.pair} leave the sum. Spare pair 7 (tags {spare}) is called "
        "in: run it as the sheet says."
    )
    struck = run_of(tmp_path, run.tag or "")
    assert (struck.void, struck.void_gold_known) == ("spill", False)
    assert struck.model_copy(update={"void": None, "void_gold_known": None}) == run


def test_both_halves_leave_the_sum_and_the_spare_fills_their_place(samedirt: Door, tmp_path: Path) -> None:
    """Seven pairs run, one struck after weighing: six count, and the verdict tells of the strike."""
    record = half_done(tmp_path, 7)
    tag = next(run.tag for run in record.runs if run.pair == 3)
    said = samedirt("void", "rough-bed", tag, "--why", "scale fault")
    assert "Its gold is in the logbook already, so it was known." in flat(said.out)
    reached = json.loads(samedirt("verdict", "rough-bed", "--json", "--no-chart").out)
    counted = [pair["pair"] for pair in reached["pair_results"] if pair["status"] == "counted"]
    assert counted == [1, 2, 4, 5, 6, 7]
    told = samedirt("verdict", "rough-bed", "--no-chart").out
    assert "scale fault, gold known then" in flat(told)
    assert "Values corrected" not in told


def test_without_a_spare_the_trial_closes_short(samedirt: Door, tmp_path: Path) -> None:
    """And a second strike in the same pair changes nothing more."""
    record = half_done(tmp_path, 6, plan_of(spares=0))
    pair = [run.tag for run in record.runs if run.pair == 2]
    assert "No spare is left: the trial closes short." in flat(samedirt("void", "rough-bed", pair[0], "--why", "x").out)
    again = flat(samedirt("void", "rough-bed", pair[1], "--why", "x").out)
    assert "No spare" not in again and "Both halves of pair 2 leave the sum." in again
    assert "closed-short" in samedirt("check", "rough-bed").out


def test_a_spare_that_was_run_before_it_was_called_in_is_told(samedirt: Door, tmp_path: Path) -> None:
    """It takes the place then."""
    record = half_done(tmp_path, 7)
    said = samedirt("void", "rough-bed", record.runs[0].tag, "--why", "mixed tags")
    assert "Spare pair 7 takes its place." in flat(said.out)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ((), "--why: is needed: why the whole trial is set aside"),
        (("HTK",), "--why: is needed: one of spill, wrong setting"),
        (("HTK", "--why", "  "), "--why: is needed"),
        (("HTK", "--take-back"), "--why: is needed: why it counts again"),
        (("HTK", "--why", "x" * 2001, "--gold-known"), "is too long"),
        (("HTK", "--why", "a\x07b", "--gold-known"), "control character"),
        (("QQQ", *SPILT), "Q is not a letter of our tags"),
    ],
)
def test_half_a_strike_is_refused(samedirt: Door, tmp_path: Path, words: tuple[str, ...], says: str) -> None:
    """With what it lacks, exit 2; nothing is stored."""
    before = planned(tmp_path)
    said = samedirt("void", "rough-bed", *words)
    assert said.code == 2 and says in said.err
    assert read(tmp_path) == before.model_copy(update={"runs": tuple(sorted(before.runs, key=lambda run: run.key))})


def test_whether_the_gold_was_known_has_to_be_said_and_stored_gold_was(samedirt: Door, tmp_path: Path) -> None:
    """A run not weighed needs the word of the person; one with its grains stored can't be said not to be known."""
    tags = tags_of(half_done(tmp_path, 1))
    assert "--gold-known: is needed" in samedirt("void", "rough-bed", tags[5], "--why", "spill").err
    told = samedirt("void", "rough-bed", tags[0], *SPILT)
    assert told.code == 2 and "is in the logbook already, so it could be known; write --gold-known" in told.err
    assert samedirt("void", "rough-bed", tags[5], "--why", "spill", "--gold-known").code == 0
    assert "was struck already: spill" in samedirt("void", "rough-bed", tags[5], *SPILT).err


def test_a_reason_we_know_is_kept_in_one_spelling(samedirt: Door, tmp_path: Path) -> None:
    """Others stay in the words of the person."""
    tags = tags_of(planned(tmp_path))
    own = "Eimer umgekippt, nass"
    typed = ("Pump_Failed", "pump failed", "PUMP-FAILED", " pump failed ", own)
    for tag, why in zip(tags[::2], typed, strict=False):
        samedirt("void", "rough-bed", tag, "--why", why, "--gold-not-known")
    reasons = {run.tag: run.void for run in read(tmp_path).runs}
    assert [reasons[tag] for tag in tags[: 2 * len(typed) : 2]] == ["pump failed"] * 4 + [own]


def test_a_strike_by_mistake_is_taken_back_and_stays_on_record(samedirt: Door, tmp_path: Path) -> None:
    """The run is as it was; the history has both; there is nothing to take back twice."""
    tag = tags_of(half_done(tmp_path, 6))[2]
    before = run_of(tmp_path, tag)
    samedirt("void", "rough-bed", tag, "--why", "spill")
    said = samedirt("void", "rough-bed", tag, "--take-back", "--why", "read the wrong line")
    assert said.out == f"{tag} counts again: read the wrong line. That it was struck stays on record.\n"
    assert run_of(tmp_path, tag) == before
    history = samedirt("logbook", "rough-bed", "--history").out
    assert f"struck: {tag}: spill, gold known then" in history
    assert f"taken back: {tag}, struck before (spill), counts again; read the wrong line" in history
    assert "is not struck" in samedirt("void", "rough-bed", tag, "--take-back", "--why", "x").err


def test_a_trial_set_aside_says_so_first_everywhere(samedirt: Door, tmp_path: Path) -> None:
    """Verdict, listing, check, report and chart; its word is none, and its verdict has exit code 1."""
    half_done(tmp_path, 6)
    assert samedirt("verdict", "rough-bed", "--no-chart").code == 0
    said = samedirt("void", "rough-bed", "--why", "wrong dirt in the tub.")
    assert said.out.startswith("rough-bed is set aside: wrong dirt in the tub.")
    told = samedirt("verdict", "rough-bed", "--no-chart")
    first = told.out.splitlines()[2]
    assert told.code == 1 and first.startswith("Set aside (wrong dirt in the tub), so nothing of it counts. Better")
    assert "Keep:" not in told.out and "Your call:" not in told.out and "Retest:" not in told.out
    reached = json.loads(samedirt("verdict", "rough-bed", "--json").out)
    assert reached["last_word"] is None and reached["sentence"].startswith("Set aside (")
    assert "  set aside" in samedirt("logbook").out
    (listed,) = json.loads(samedirt("logbook", "--json").out)["trials"]
    assert listed["code"] == "set_aside" and listed["sentence"].startswith("Set aside (wrong dirt in the tub)")
    assert listed["estimate"] is None, "nothing of it counts"
    check = samedirt("check", "rough-bed").out
    assert "Set aside: wrong dirt in the tub." in check and "samedirt void rough-bed --take-back" in check
    samedirt("report", "rough-bed")
    page = (tmp_path / "report-rough-bed.html").read_text(encoding="utf-8")
    assert "Set aside (wrong dirt in the tub)" in page
    assert "<h2>Pictures</h2>" not in page, "there are none"
    assert "was set aside already" in samedirt("void", "rough-bed", "--why", "x").err


def test_a_trial_set_aside_by_mistake_counts_again(samedirt: Door, tmp_path: Path) -> None:
    """And that it was set aside stays in its history."""
    half_done(tmp_path, 6)
    assert "is not set aside" in samedirt("void", "rough-bed", "--take-back", "--why", "x").err
    samedirt("void", "rough-bed", "--why", "wrong dirt")
    samedirt("void", "rough-bed", "--take-back", "--why", "it was the other tub")
    assert samedirt("verdict", "rough-bed", "--no-chart").code == 0
    history = flat(samedirt("logbook", "rough-bed", "--history").out)
    assert "set aside: the trial: wrong dirt" in history
    assert "taken back: the trial, set aside before (wrong dirt), counts again; it was the other tub" in history


def test_a_strike_goes_out_with_an_export_and_comes_back(samedirt: Door, tmp_path: Path) -> None:
    """The reason, what was known, and the moment; a trial set aside too."""
    half_done(tmp_path, 6)
    tag = tags_of(read(tmp_path))[0]
    samedirt("void", "rough-bed", tag, "--why", "lost jar")
    samedirt("void", "rough-bed", "--why", "=1+1 went wrong")
    samedirt("export", "rough-bed", "--to", "out")
    assert samedirt("load", "out", "--logbook", "fresh.duckdb").code == 0
    again = samedirt("logbook", "rough-bed", "--history", "--logbook", "fresh.duckdb").out
    assert again == samedirt("logbook", "rough-bed", "--history").out
    assert "=1+1 went wrong" in again


def test_loading_a_folder_does_not_take_back_what_was_set_aside(samedirt: Door, tmp_path: Path) -> None:
    """Not without a reason; pictures and strikes stay whatever the folder holds."""
    half_done(tmp_path, 6)
    samedirt("export", "rough-bed", "--to", "out")
    samedirt("void", "rough-bed", "--why", "wrong dirt")
    said = samedirt("load", "out")
    assert said.code == 2 and "set_aside: stored wrong dirt, here blank" in said.err


def test_graded_trials_and_audits_are_struck_too(samedirt: Door, tmp_path: Path) -> None:
    """By their tags, with their spares."""
    graded = plan_of(ROUGH_TRIAL.replace('changed = "180 grit"', 'changed = ["180 grit", "80 grit"]'), spares=1)
    record = planned(tmp_path, graded)
    said = samedirt("void", "rough-bed", record.runs[0].tag, *SPILT)
    stays = "It leaves the sum; the other runs of block 1 stay in it. Spare block 7 (tags"
    assert stays in flat(said.out) and said.code == 0
    audit = plan_of(
        'name = "sluice"\nmeasure = "tracers"\naudit = true\npairs = 4\nspares = 1\nseed = 3\n[lot]\nkind = "made up"\n'
        '[gear]\nkind = "sluice"\n'
    )
    record = planned(tmp_path, audit)
    said = samedirt("void", "sluice", record.runs[0].tag, *SPILT)
    spare = next(run.tag for run in record.runs if run.pair == 5)
    assert f"Spare run 5 (tag {spare}) is called in." in flat(said.out)
