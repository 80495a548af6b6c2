"""Runs typed in through `enter`: as flags, and as lines that come from no terminal. `test_enter_talk` has the rest."""

import errno
import io
import os
import re
import sys
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from schemas import Record
from tests.commands.typed_in import (
    BOOK,
    GOLD_TRIAL,
    flat,
    half_done,
    made,
    plan_of,
    planned,
    read,
    run_of,
    stored,
    tags_of,
)
from tests.folders import ROUGH_TRIAL
from tests.logbook.test_files import held
from trials.fairness.so_far import swapped
from trials.logbook import connect as connecting

Door = Callable[..., Any]
Typist = Callable[..., Any]


@pytest.fixture
def typing(samedirt: Door, monkeypatch: pytest.MonkeyPatch) -> Typist:
    """Call a command with the lines that are typed into it; the end of them is Ctrl-D."""

    def call(words: Sequence[object], lines: Sequence[str]) -> Any:
        monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        return samedirt(*words)

    return call


# A whole run after its tag: as planned, session, feeder, panner, fed and all that follows on one line, confirmed.
FIRST = ("", "2026-05-03 am", "A", "B", "350; 9.5; 4; 8.0 7.9; 12; y; ; 31; 18.6 12.2; ; fine", "")
LATER = ("", "350; 9.5; 4; 8.0 7.9; 12; y; ; 31; 18.6 12.2; ; ", "")


def test_a_run_is_stored_from_flags(samedirt: Door, tmp_path: Path) -> None:
    """Any accepted column and unit; what was typed is kept beside what is stored."""
    tag = tags_of(planned(tmp_path))[0]
    said = samedirt("enter", "rough-bed", tag, "--set", "minutes=9.5", "--set", "grains=31", "--set", "Temp (F)=54")
    assert (said.code, said.out) == (0, f"{tag} stored (1 of 12).\n")
    run = run_of(tmp_path, tag)
    assert (run.minutes, run.grains, run.typed["temp_c"]) == (9.5, 31, "54 f")
    assert run.temp_c == pytest.approx((54 - 32) / 1.8)


def test_all_problems_of_flags_are_told_at_once_and_nothing_is_stored(samedirt: Door, tmp_path: Path) -> None:
    """One line each, on standard error, exit 2."""
    tag = tags_of(planned(tmp_path))[0]
    flags = ("minutes=9500", "grains=x", "arm=changed", "void=spill", "black_sand_g=12.2 18.6", "colour=red")
    said = samedirt("enter", "rough-bed", tag, *(word for flag in flags for word in ("--set", flag)))
    assert said.code == 2 and len(said.err.splitlines()) == len(flags)
    assert all(line.startswith(f"samedirt: {tag}") for line in said.err.splitlines())
    assert run_of(tmp_path, tag).minutes is None


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--set", "minutes=9"), "--set: needs the tag of its run"),
        (("--again",), "--again: needs the tag"),
        (("HTK", "--again"), "--again: needs its reason"),
        (("HTK", "--why", "x"), "--why: goes with --again"),
        (("HTK", "--again", "--why", "  "), "--again: needs its reason"),
        (("HTK", "--shows", "bed"), "--shows: goes with --photo"),
        (("HTK", "--set", "minutes"), "has no = sign"),
        (("HTK", "--set", "minutes=9", "--set", "minutes=10"), "--set minutes: is given twice"),
    ],
)
def test_flags_that_need_each_other_say_so(samedirt: Door, tmp_path: Path, words: tuple[str, ...], says: str) -> None:
    """Before anything is read or asked."""
    planned(tmp_path)
    said = samedirt("enter", "rough-bed", *words)
    assert said.code == 2 and says in said.err


def test_a_tag_that_is_none_of_this_trial_is_told_with_the_nearest(samedirt: Door, tmp_path: Path) -> None:
    """A wrong check letter, a tag of another trial, no tag at all, one struck, one entered, a spare not called in."""
    record = planned(tmp_path)
    other = planned(tmp_path, plan_of(GOLD_TRIAL))
    tags, spare = tags_of(record, 6), next(run.tag for run in record.runs if run.pair == 7)
    samedirt("enter", "rough-bed", tags[0], "--set", "grains=31", "--set", "session=2026-05-03 am")
    samedirt("void", "rough-bed", tags[2], "--why", "spill", "--gold-not-known")
    foreign = next(run.tag for run in other.runs if run.tag not in tags_of(record))
    wrong = tags[1][:2] + next(letter for letter in "CDFHJK" if letter != tags[1][2])
    told = {
        wrong: "last letter does not fit",
        "HT0": "0 is not a letter of our tags",
        "": "a tag has three letters",
        foreign: "is a tag of steeper, not of rough-bed",
        tags[2]: "was struck (spill) and is not entered any more",
    }
    for typed, says in told.items():
        said = samedirt("enter", "rough-bed", typed, "--set", "grains=3")
        assert said.code == 2 and says in said.err, typed
    again = samedirt("enter", "rough-bed", tags[0])
    assert f"entered already (2026-05-03 am). Correct it: samedirt enter rough-bed {tags[0]} --again --why" in again.err
    planned(tmp_path, plan_of(ROUGH_TRIAL.replace('"rough-bed"', '"twin-bed"'), spares=1))
    assert "is a spare" in samedirt("enter", "twin-bed", spare, "--set", "grains=3").err


def test_small_letters_and_spaces_name_the_same_tag(samedirt: Door, tmp_path: Path) -> None:
    """As they are read off a wet jar."""
    tag = tags_of(planned(tmp_path))[0]
    assert samedirt("enter", "rough-bed", f" {tag.lower()} ", "--set", "grains=31").code == 0


def test_a_run_typed_line_by_line_is_stored(typing: Typist, tmp_path: Path) -> None:
    """In the order of the papers, with what is planned as it stands, and readings in pairs."""
    tag = tags_of(planned(tmp_path))[0]
    said = typing(("enter", "rough-bed", tag), FIRST)
    assert said.code == 0 and said.out.endswith(f"{tag} stored (1 of 12).\n"), said.out
    run = run_of(tmp_path, tag)
    assert run.model_copy(update={"typed": {}, "arm": "", "pair": 1}).model_dump(exclude_none=True, exclude_defaults=True) == {
        "pair": 1, "arm": "", "turn": 1, "tag": tag, "session": "2026-05-03 am", "pitch_deg": 4.0, "feeder": "A",
        "panner": "B", "fed_g": 350.0, "minutes": 9.5, "cleanup_minutes": 4.0, "water_l_min": 8.0, "water_end_l_min": 7.9,
        "temp_c": 12.0, "stripped": True, "grains": 31, "black_sand_g": 6.4, "black_sand_gross_g": 18.6,
        "black_sand_tare_g": 12.2, "note": "fine",
    }  # fmt: skip


def test_what_a_wrong_answer_leaves_of_its_line_is_told(typing: Typist, tmp_path: Path) -> None:
    """The question it was for is shown, and what followed has to be typed again."""
    tag = tags_of(planned(tmp_path))[0]
    said = typing(
        ("enter", "rough-bed", tag), ("", "", "A", "B", "350; fast; 4; 8", "9.5; 4; ; ; ; ; 31", "", "", "", "")
    )
    assert "minutes, or clock at start and end> fast\n" in said.out
    assert "What followed was not taken: 4; 8\n" in said.out
    assert run_of(tmp_path, tag).minutes == 9.5 and run_of(tmp_path, tag).grains == 31


def test_the_summary_can_be_mended_by_name(typing: Typist, tmp_path: Path) -> None:
    """Alone, or with its value; back is the last one typed; what does not fit is asked again; no throws all away."""
    tag = tags_of(planned(tmp_path))[0]
    lines = (
        *FIRST[:-1],
        "grains 13",
        "minutes",
        "9.2",
        "back",
        "9.0",
        "note fine again",
        "water 0",
        "colour",
        "?",
        "no",
        "",
        "yes",
    )
    said = typing(("enter", "rough-bed", tag), lines)
    run = run_of(tmp_path, tag)
    assert (run.grains, run.minutes, run.note, run.water_l_min) == (13, 9.0, "fine again", 8.0), said.out
    assert "0 is under 0.1 L/min" in flat(said.out) and "colour is none of the answers" in flat(said.out)
    second = tags_of(read(tmp_path))[1]
    said = typing(("enter", "rough-bed", second), (*LATER[:-1], "no", "yes"))
    assert f"{second} was not stored." in flat(said.out) and run_of(tmp_path, second).minutes is None


def test_what_is_far_off_the_plan_is_pointed_out_before_it_is_stored(typing: Typist, tmp_path: Path) -> None:
    """A charge ten times the planned one is a slip of the point; it can be stored all the same."""
    tag = tags_of(planned(tmp_path))[0]
    said = typing(("enter", "rough-bed", tag), ("", "", "A", "B", "3500; 9.5; ; ; ; ; ; 31; ; ; ", ""))
    assert "Look again: fed" not in flat(said.out)  # no charge stands in this plan
    trial = plan_of(ROUGH_TRIAL.replace("[held]", '[held]\ncharge = "350 g"').replace('"rough-bed"', '"charged"'))
    tag = tags_of(planned(tmp_path, trial))[0]
    said = typing(("enter", "charged", tag), ("", "", "A", "B", "3500; 9.5; ; ; ; ; ; 31; ; ; ", ""))
    assert "Look again: fed: 3.5 kg is far from the 350 g that was planned." in flat(said.out)
    assert run_of(tmp_path, tag, "charged").fed_g == 3500


def test_the_papers_unit_is_that_of_a_bare_number(typing: Typist, tmp_path: Path) -> None:
    """A creek sheet in kg and US gallons is typed in kg and US gallons."""
    tag = tags_of(planned(tmp_path, plan_of(GOLD_TRIAL)))[0]
    said = typing(
        ("enter", "steeper", tag), ("", "", "4.1", "A", "B", "; 22; ; 30 28; ; y; y; all; 0.0312 g; 4; ; ; ", "")
    )
    assert said.code == 0 and "fed, kg [10]> " in flat(said.out) and "fed 10 kg" in flat(said.out)
    run = run_of(tmp_path, tag, "steeper")
    assert run.fed_g == 10_000 and run.water_l_min == pytest.approx(30 * 3.785411784)
    assert (run.dry, run.magnet, run.loupe, run.gold_mg, run.pitch_deg) == (True, True, True, 31.2, 4.1)


def test_the_plan_is_locked_by_its_first_run(samedirt: Door, tmp_path: Path) -> None:
    """Where no sheet was printed; a later run moves nothing."""
    tags = tags_of(planned(tmp_path, plan_of(locked=None)))
    assert read(tmp_path).trial.locked is None
    samedirt("enter", "rough-bed", tags[0], "--set", "grains=31")
    assert read(tmp_path).trial.locked == date.today()


def test_runs_made_in_another_order_are_stored_so(samedirt: Door, tmp_path: Path) -> None:
    """The run whose turn it was, and that was not made yet, takes the one left free; one that was made keeps its own."""
    tags = tags_of(planned(tmp_path))
    assert samedirt("enter", "rough-bed", tags[1], "--set", "turn=1", "--set", "grains=40").code == 0
    assert (run_of(tmp_path, tags[1]).turn, run_of(tmp_path, tags[0]).turn) == (1, 2)
    said = samedirt("enter", "rough-bed", tags[2], "--set", "turn=1", "--set", "grains=40")
    assert said.code == 2 and f"1 is the turn of {tags[1]}. Correct that first" in said.err
    check = samedirt("check", "rough-bed").out
    assert "changed" not in check and "baseline" not in check


def test_two_turns_mixed_up_are_put_right_in_one_correction(samedirt: Door, tmp_path: Path) -> None:
    """Each takes the turn of the other, with a correction of both."""
    tags = tags_of(half_done(tmp_path, 2))
    said = samedirt("enter", "rough-bed", tags[0], "--again", "--why", "order mixed up", "--set", "turn=2")
    assert flat(said.out) == f"{tags[0]}: 2 values corrected. {tags[1]} has turn 1 now."
    record = read(tmp_path)
    assert (run_of(tmp_path, tags[0]).turn, run_of(tmp_path, tags[1]).turn) == (2, 1)
    assert sorted((one.field, one.old, one.new) for one in record.corrections) == [
        ("turn", "1", "2"),
        ("turn", "2", "1"),
    ]


def test_a_correction_keeps_the_old_value_and_the_verdict_tells(samedirt: Door, tmp_path: Path) -> None:
    """One row a value, with its reason; - takes a value out."""
    tag = tags_of(half_done(tmp_path, 6))[0]
    before = run_of(tmp_path, tag)
    said = samedirt(
        "enter", "rough-bed", tag, "--again", "--why", "digits swapped", "--set", "grains=13", "--set", "temp_c=-"
    )
    assert said.out == f"{tag}: 2 values corrected.\n"
    assert run_of(tmp_path, tag).grains == 13 and run_of(tmp_path, tag).temp_c is None
    rows = [(one.field, one.old, one.new, one.why) for one in read(tmp_path).corrections]
    assert rows == [("grains", str(before.grains), "13", "digits swapped"), ("temp_c", "12", None, "digits swapped")]
    assert "Values corrected after they were stored: 2" in samedirt("verdict", "rough-bed", "--no-chart").out


def test_a_correction_that_changes_nothing_stores_nothing(samedirt: Door, tmp_path: Path) -> None:
    """The value that is there, a run not made, and one that would be left with nothing."""
    tags = tags_of(half_done(tmp_path, 1))
    run = run_of(tmp_path, tags[0])
    said = samedirt("enter", "rough-bed", tags[0], "--again", "--why", "x", "--set", f"grains={run.grains}")
    assert said.out == f"{tags[0]}: nothing new.\n" and read(tmp_path).corrections == ()
    assert (
        "is not entered yet"
        in samedirt("enter", "rough-bed", tags[4], "--again", "--why", "x", "--set", "grains=1").err
    )
    planned(tmp_path, plan_of(ROUGH_TRIAL.replace('"rough-bed"', '"bare"')))
    only = tags_of(read(tmp_path, "bare"))[0]
    samedirt("enter", "bare", only, "--set", "grains=3")
    assert "nothing would be left" in samedirt("enter", "bare", only, "--again", "--why", "x", "--set", "grains=-").err


def test_gold_counted_later_fills_the_blank_without_a_reason(typing: Typist, samedirt: Door, tmp_path: Path) -> None:
    """The feeder's sheet is typed on the evening, the panner's a week on; only blanks are asked then."""
    tags = tags_of(half_done(tmp_path, 6), 6)
    record = read(tmp_path)
    open_runs = tuple(run.model_copy(update={"grains": None}) if run.tag in tags[:2] else run for run in record.runs)
    stored(tmp_path, record.model_copy(update={"runs": open_runs}))
    said = typing(("enter", "rough-bed"), ("", "; 31; ; ", "", "", "; 44; ; later", ""))
    assert f"{' and '.join(sorted(tags[:2]))} have no grains yet." in flat(said.out)
    assert "All 12 runs are in. Next: samedirt check rough-bed, then samedirt verdict rough-bed" in flat(said.out)
    assert (run_of(tmp_path, tags[0]).grains, run_of(tmp_path, tags[1]).grains) == (31, 44)
    assert run_of(tmp_path, tags[0]).minutes is not None and read(tmp_path).corrections == ()
    told = samedirt("enter", "rough-bed", tags[0], "--set", "grains=33").err
    assert "is stored as 31; correct it" in told


def test_a_spare_is_offered_only_when_it_is_called_in(typing: Typist, samedirt: Door, tmp_path: Path) -> None:
    """With a pair void, and then in place of the other half of that pair, which is not asked for any more."""
    record = half_done(tmp_path, 5)
    last = [run.tag or "" for run in record.runs if run.pair == 6]
    spare = {run.tag for run in record.runs if run.pair == 7}
    first = typing(("enter", "rough-bed"), ()).out
    assert any(f"Tag [{tag}]> " in first for tag in last)
    samedirt("void", "rough-bed", last[0], "--why", "spill", "--gold-not-known")
    then = typing(("enter", "rough-bed"), ()).out
    assert any(f"Tag [{tag}]> " in then for tag in spare) and not any(f"[{tag}]" in then for tag in last)
    for tag in sorted(spare):
        samedirt("enter", "rough-bed", tag, "--set", "grains=40")
    assert "All 13 runs are in." in typing(("enter", "rough-bed"), ()).out


def test_a_trial_without_runs_or_tags_says_what_to_do(samedirt: Door, tmp_path: Path) -> None:
    """A plan whose sheet was never drawn, runs loaded without tags, a trial set aside, none of that name."""
    stored(tmp_path, Record(trial=plan_of()))
    assert "samedirt sheet rough-bed draws them" in samedirt("enter", "rough-bed").err
    bare = tuple(run.model_copy(update={"tag": None}) for run in planned(tmp_path).runs)
    stored(tmp_path, Record(trial=plan_of(), runs=bare))
    assert "samedirt load rough-bed" in samedirt("enter", "rough-bed").err
    stored(tmp_path, Record(trial=plan_of(set_aside="wrong dirt")))
    assert "was set aside (wrong dirt)" in samedirt("enter", "rough-bed").err
    assert "no trial named 'nope'" in samedirt("enter", "nope").err


def test_answers_begun_are_gone_on_with(typing: Typist, tmp_path: Path) -> None:
    """Each run has its own draft, offered first; a correction another; they go once the run is stored."""
    tags = tags_of(planned(tmp_path))
    begun = typing(("enter", "rough-bed", tags[3]), ("", "2026-05-03 pm", "C", "B", "350", "11"))
    assert begun.code == 130 and "The same command goes on from here." in begun.out
    typing(("enter", "rough-bed", tags[0]), ("", "", "A"))
    drafts = {path.name for path in tmp_path.glob("*draft*")}
    assert drafts == {f"enter-rough-bed-{tags[0]}-draft.toml", f"enter-rough-bed-{tags[3]}-draft.toml"}
    said = typing(("enter", "rough-bed", tags[3]), ("4; ; ; ; ; 33; ; ; ", ""))
    assert f"{tags[3]} was begun: 6 answers kept." in flat(said.out)
    assert (run_of(tmp_path, tags[3]).minutes, run_of(tmp_path, tags[3]).feeder) == (11.0, "C")
    assert f"Tag [{tags[0]}]> " in typing(("enter", "rough-bed"), ()).out
    assert {path.name for path in tmp_path.glob("*draft*")} == {f"enter-rough-bed-{tags[0]}-draft.toml"}


def test_going_back_reaches_answers_of_an_earlier_sitting(typing: Typist, tmp_path: Path) -> None:
    """And offers the old answer."""
    tag = tags_of(planned(tmp_path))[0]
    typing(("enter", "rough-bed", tag), ("", "2026-05-03 am", "A", "B", "350", "11"))
    said = typing(("enter", "rough-bed", tag), ("back", "12", "; ; ; ; ; 31; ; ; ", ""))
    assert "minutes, or clock at start and end [11]> " in flat(said.out)
    assert run_of(tmp_path, tag).minutes == 12.0


def test_yes_after_no_takes_what_is_planned(typing: Typist, tmp_path: Path) -> None:
    """Answers given one by one, and then taken back by the one word, do not linger."""
    tag = tags_of(planned(tmp_path))[0]
    lines = ("no", "5", "back", "back", "yes", "2026-05-03 am", "A", "B", "350; 9; ; ; ; ; ; 31; ; ; ", "")
    typing(("enter", "rough-bed", tag), lines)
    assert run_of(tmp_path, tag).turn == 1


def test_what_differs_from_the_plan_is_typed_by_name(typing: Typist, tmp_path: Path) -> None:
    """Several at once; what does not fit is told and asked again."""
    tag = tags_of(half_done(tmp_path, 1))[2]
    said = typing(
        ("enter", "rough-bed", tag), ("turn 1", "pitch 55 deg", "feeder", "pitch 4.2 deg, feeder C", *LATER[1:])
    )
    assert (
        "1 is the turn of" in flat(said.out)
        and "was that 5.5?" in flat(said.out)
        and "type yes, no, or a name" in flat(said.out)
    )
    run = run_of(tmp_path, tag)
    assert (run.turn, run.pitch_deg, run.feeder, run.session) == (3, 4.2, "C", "2026-05-03 am")


def test_a_full_disk_costs_the_answer_being_typed(
    typing: Typist, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The draft of before stays whole, and what to do is said."""
    tag = tags_of(planned(tmp_path))[0]
    typing(("enter", "rough-bed", tag), ("", "2026-05-03 am", "A", "B", "350", "11"))
    draft = next(tmp_path.glob("*draft.toml")).read_text()

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    said = typing(("enter", "rough-bed", tag), ("4", "8"))
    assert said.code == 2 and "can't be written (No space left on device)" in said.err
    assert next(tmp_path.glob("*draft.toml")).read_text() == draft


def test_a_draft_that_can_not_be_read_is_begun_anew(typing: Typist, tmp_path: Path) -> None:
    """Someone wrote into it; nothing of the logbook hangs on it."""
    tag = tags_of(planned(tmp_path))[0]
    (tmp_path / f"enter-rough-bed-{tag}-draft.toml").write_bytes(b"\xff\x00 = = [")
    assert typing(("enter", "rough-bed", tag), FIRST).code == 0


def test_a_held_logbook_costs_no_answer(samedirt: Door, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Flags are refused with who holds it; nothing is stored, and trying again works."""
    monkeypatch.setattr(connecting, "LOCK_WAIT_S", 0.3)
    tag = tags_of(planned(tmp_path))[0]
    with held(tmp_path / BOOK, 30) as holder:
        said = samedirt("enter", "rough-bed", tag, "--set", "grains=31")
        holder.kill()
    assert said.code == 2 and f"is in use by process {holder.pid}" in said.err
    assert samedirt("enter", "rough-bed", tag, "--set", "grains=31").code == 0


NOTES = ("=1+1", "'tis dry", "+49 Eimer", "-", "Grüße, 5 µm, 金", "a; b; c", 'say "so"', "x\ty")


def test_words_a_spreadsheet_may_turn_come_back_as_typed(samedirt: Door, tmp_path: Path) -> None:
    """Stored, exported and loaded into a fresh logbook."""
    tags = tags_of(planned(tmp_path))
    for tag, note in zip(tags, NOTES, strict=False):
        assert samedirt("enter", "rough-bed", tag, "--set", f"note={note}", "--set", "grains=3").code == 0
    stored_as = {run.tag: run.note for run in read(tmp_path).runs}
    assert [stored_as[tag] for tag in tags[: len(NOTES)]] == list(NOTES)
    samedirt("export", "rough-bed", "--to", "out")
    assert samedirt("load", "out", "--logbook", "fresh.duckdb").code == 0
    samedirt("export", "rough-bed", "--to", "again", "--logbook", "fresh.duckdb")
    assert (tmp_path / "again" / "runs.csv").read_bytes() == (tmp_path / "out" / "runs.csv").read_bytes()


@pytest.mark.parametrize("text", ["x" * 100_000, "9" * 400, "\x1b[31m", "\u202e31", "1" + "0" * 30])
def test_huge_and_odd_input_is_refused_in_one_short_line(samedirt: Door, tmp_path: Path, text: str) -> None:
    """No traceback, and no line that a terminal would act on."""
    tag = tags_of(planned(tmp_path))[0]
    for name in ("grains", "minutes", "feeder"):
        said = samedirt("enter", "rough-bed", tag, "--set", f"{name}={text}")
        assert said.code == 2 and len(said.err.splitlines()) == 1, said
        assert len(said.err) < 400 and said.err.rstrip("\n").isprintable()


def _said_of(samedirt: Door, typing: Typist, tag: str) -> list[str]:
    """All that entering, checking and striking print on the way."""
    told = [
        typing(("enter", "rough-bed", tag), LATER),
        samedirt("enter", "rough-bed", tag),
        samedirt("enter", "rough-bed", tag, "--set", "grains=99"),
        samedirt("enter", "rough-bed", tag, "--set", "pitch_deg=55"),
        samedirt("enter", "rough-bed", tag, "--again", "--why", "x", "--set", "grains=32"),
        samedirt("check", "rough-bed"),
        samedirt("check", "rough-bed", "--json"),
        samedirt("void", "rough-bed", tag, "--why", "scale fault", "--gold-known"),
        samedirt("check", "rough-bed"),
        typing(("enter", "rough-bed"), ()),
        samedirt("logbook", "rough-bed", "--history"),
    ]
    return [part for one in told for part in (str(one.code), one.out, one.err)]


def test_nothing_that_is_printed_tells_the_arms(
    samedirt: Door, typing: Typist, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Swap the arms of every pair in the store: entering, checking, striking and the history say the same."""
    record = half_done(tmp_path, 3)
    tag = tags_of(record)[6]
    said = _said_of(samedirt, typing, tag)
    mirror = tmp_path / "mirror"
    mirror.mkdir()
    monkeypatch.chdir(mirror)
    stored(mirror, record.model_copy(update={"runs": tuple(swapped(record.trial, record.runs))}))
    told = _said_of(samedirt, typing, tag)
    moments = [line for part in (said, told) for line in part]
    assert [_timeless(part) for part in told] == [_timeless(part) for part in said]
    words = " ".join(moments).casefold()
    assert not any(word in words for word in ("baseline", "changed", "180 grit", "smooth", "unchanged"))


def _timeless(text: str) -> str:
    """A text without the times of the clock in it."""
    return re.sub(r"\d{4}-\d\d-\d\d \d\d:\d\d", "then", text)


def test_made_runs_are_those_of_the_roughened_bed() -> None:
    """The helper of these tests makes what the walk of a tinkerer tells."""
    run = made(planned_run())
    assert (run.grains, run.minutes) in ((31, 9.5), (47, 10.0))


def planned_run() -> Any:
    """The first run of the plan."""
    from trials.plans.draw import planned_runs

    return planned_runs(plan_of())[0]
