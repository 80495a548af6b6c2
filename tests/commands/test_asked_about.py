"""Numbers that are asked about as they come in: typed, as flags, in files and sheets; and told where they stand."""

import io
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

from schemas import Record, Run
from tests.commands.typed_in import BOOK, GOLD_TRIAL, drawn, flat, plan_of, planned, read, run_of, stored, tags_of
from tests.tables import every

Door = Callable[..., Any]
ASKED = "0.236 mg is under one step of your scale (1 mg). Did you mean 0.236 g?"
FILE_TRIAL = GOLD_TRIAL.replace("spares = 1\n", "")


@pytest.fixture
def typing(samedirt: Door, monkeypatch: pytest.MonkeyPatch) -> Door:
    """Call a command with the lines that are typed into it."""

    def call(words: Sequence[object], lines: Sequence[str]) -> Any:
        monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{line}\n" for line in lines)))
        return samedirt(*words)

    return call


def gold(run: Run, at: int = 0) -> Run:
    """A run as it is when all of it was weighed: about 220 mg."""
    return run.model_copy(update={"gold_mg": 220.0 + at, "fed_g": 10_000.0, "dry": True, "magnet": True, "loupe": True})


# As planned, session, pitch, feeder, panner; fed, minutes, clean-up, water, temp, stripped, starter, ticks; then gold.
BEFORE_GOLD = ("", "2026-05-03 am", "4.1", "A", "B", "; 22; ; 30 28; ; y; y; all")


def test_a_slip_of_a_thousand_is_asked_about_at_once(typing: Door, tmp_path: Path) -> None:
    """The value that was meant is typed in its place; what is not answered does not pass."""
    tag = tags_of(planned(tmp_path, plan_of(GOLD_TRIAL)))[0]
    said = typing(("enter", "steeper", tag), (*BEFORE_GOLD, "0.236", "", "0.236 g", "4; ; ; ", ""))
    assert ASKED in flat(said.out) and "Yes takes it so; or type what was meant; - leaves it open." in flat(said.out)
    assert run_of(tmp_path, tag, "steeper").gold_mg == 236.0 and run_of(tmp_path, tag, "steeper").as_typed is None


@pytest.mark.parametrize("word", ["yes", "0.236"])
def test_what_stands_is_taken_and_asked_about_no_more(word: str, typing: Door, samedirt: Door, tmp_path: Path) -> None:
    """With yes, or typed again; what waited behind it on the line is taken then, and check is silent on it."""
    tag = tags_of(planned(tmp_path, plan_of(GOLD_TRIAL)))[0]
    said = typing(("enter", "steeper", tag), (*BEFORE_GOLD, "0.236; ; 400; ; ", word, ""))
    assert ASKED in flat(said.out), said.out
    run = run_of(tmp_path, tag, "steeper")
    assert (run.gold_mg, run.black_sand_g, run.as_typed) == (0.236, 400.0, "gold_mg")
    assert "gold_mg:" not in samedirt("check", "steeper").out


def test_what_was_asked_about_is_asked_again_when_it_is_mended(typing: Door, tmp_path: Path) -> None:
    """By its name at the end: the old value stood, the new one is asked about for itself."""
    tag = tags_of(planned(tmp_path, plan_of(GOLD_TRIAL)))[0]
    lines = (*BEFORE_GOLD, "0.236", "yes", "; 4; ; ", "gold 0.24", "0.24 g", "")
    said = typing(("enter", "steeper", tag), lines)
    assert "0.24 mg is under one step of your scale (1 mg). Did you mean 0.24 g?" in flat(said.out)
    assert (run_of(tmp_path, tag, "steeper").gold_mg, run_of(tmp_path, tag, "steeper").as_typed) == (240.0, None)


def test_of_several_in_one_answer_each_is_named(typing: Door, tmp_path: Path) -> None:
    """What is wrong with one, or asked about it; typed anew in that answer, the old value stands no more."""
    plan = plan_of(GOLD_TRIAL.replace("[held]", '[held]\ndepth = "10 mm"'))
    tag = tags_of(planned(tmp_path, plan))[0]
    together = ("turn 0, depth wide", "depth 110", "yes", "back", "depth 11")
    said = typing(
        ("enter", "steeper", tag), (*together, *BEFORE_GOLD[1:], "220; 4; ", "cloud 7, clay 1", "clay 1; ", "")
    )
    words = flat(said.out)
    assert "turn: 0 is under 1" in words and "depth: wide is not a number" in words and "cloud: 7 is over 3" in words
    assert "depth: 110 mm is far from the 10 mm that was planned" in words
    run = run_of(tmp_path, tag, "steeper")
    assert (run.depth_mm, run.clay, run.as_typed) == (11.0, 1, None), said.out


@every(
    ("settings", "asked"),
    [
        (["gold_mg=0.236"], ASKED),
        (["gold_mg=21"], "21 mg is far from the other runs, which have 220 to 221 mg. Did you mean 210 mg?"),
        (["black_sand_kg=95"], "95 kg is more than the 10 kg of dirt of a charge. Did you mean 95 g?"),
        (["gold_mg=222", "ticks=none"], "the gold was weighed wet, and water weighs as gold; dry it and weigh again."),
        (["cleanup_minutes=400"], "400 min is over 4 hours for one clean-up. Did you mean 40 min?"),
        (["fed_g=0.001"], "0.001 g is less than any charge"),
        (["session=2026-05-03 pm", "minutes=9:05 9:21"], "it began at 9:05, and the session is 2026-05-03 pm."),
    ],
)
def test_flags_are_asked_about_too(settings: list[str], asked: str, weighed: list[str], samedirt: Door) -> None:
    """Nothing is stored, and each is told to be looked at again."""
    before = Path(BOOK).read_bytes()
    said = samedirt("enter", "steeper", weighed[2], *set_to(settings))
    assert said.code == 2 and Path(BOOK).read_bytes() == before
    assert asked in flat(said.err) and "Correct it; if it stands, add --as-typed" in flat(said.err)


def test_what_stands_by_its_flag_is_kept_so(weighed: list[str], samedirt: Door, tmp_path: Path) -> None:
    """--as-typed stores it, with the names of all that stood; the run keeps them, whatever is filled later."""
    stand = (
        ["gold_mg=21"],
        ["black_sand_kg=95", "cleanup_minutes=400"],
        ["gold_mg=222", "ticks=none"],
        ["fed_g=0.001", "session=2026-05-03 pm", "minutes=9:05 9:21"],
    )
    for tag, settings in zip(weighed[2:6], stand, strict=True):
        assert samedirt("enter", "steeper", tag, *set_to(settings), "--as-typed").code == 0
    named = {run.tag: run.as_typed for run in read(tmp_path, "steeper").runs}
    assert [set((named[tag] or "").split(", ")) for tag in weighed[2:6]] == [
        {"gold_mg"}, {"black_sand_g", "cleanup_minutes"}, {"dry"}, {"fed_g", "minutes"},
    ]  # fmt: skip
    assert samedirt("enter", "steeper", weighed[5], "--set", "note=fine").code == 0
    assert run_of(tmp_path, weighed[5], "steeper").as_typed == named[weighed[5]]


def set_to(settings: list[str]) -> list[str]:
    """Settings as flags."""
    return [word for setting in settings for word in ("--set", setting)]


@pytest.fixture
def weighed(tmp_path: Path) -> list[str]:
    """The tags of a plan in the order drawn, of which the first two runs were weighed."""
    record = drawn(plan_of(GOLD_TRIAL))
    tags = tags_of(record)
    runs = tuple(gold(run, at) if (at := tags.index(run.tag or "")) < 2 else run for run in record.runs)
    stored(tmp_path, record.model_copy(update={"runs": runs}))
    return tags


def rows(*masses: str, more: str = "") -> str:
    """A runs.csv with the gold of six runs, in mg."""
    arms = ("baseline", "changed", "changed", "baseline", "baseline", "changed")
    lines = [
        f"{at // 2 + 1},{arm},{at + 1},{mass},{more}" for at, (arm, mass) in enumerate(zip(arms, masses, strict=True))
    ]
    return "\n".join(["pair,arm,turn,gold_mg,as_typed", *lines, ""])


def test_a_file_is_asked_about_by_its_place(samedirt: Door, tmp_path: Path) -> None:
    """Refused with file, run and column; taken with --as-typed, or where the file says that it stands."""
    folder = tmp_path / "steeper"
    folder.mkdir()
    (folder / "trial.toml").write_text(FILE_TRIAL)
    (folder / "runs.csv").write_text(rows("220", "231", "0.236", "218", "225", "240"))
    said = samedirt("load", folder)
    assert said.code == 2 and f"runs.csv pair 2 changed, gold_mg: {ASKED}" in said.err
    assert "if it stands, load with --as-typed, or name its column in as_typed" in said.err
    stood = samedirt("load", folder, "--as-typed")
    assert "runs.csv pair 2 changed, gold_mg: 0.236 mg is under one step of your scale (1 mg); it stands" in flat(
        stood.out
    )
    assert [run.as_typed for run in read(tmp_path, "steeper").runs if run.gold_mg == 0.236] == ["gold_mg"]
    out = tmp_path / "out"
    samedirt("export", "steeper", "--to", out)
    assert "as_typed" in (out / "runs.csv").read_text() and samedirt("load", out).code == 0
    (folder / "runs.csv").write_text(rows("220", "231", "0.236", "218", "225", "240", more="gold"))
    assert "gold is not a column of a run; did you mean gold_mg?" in samedirt("load", folder).err


def test_a_sheet_is_asked_about_by_its_cell(samedirt: Door, tmp_path: Path) -> None:
    """The good rows of it can be taken without; or all with --as-typed."""
    tags = tags_of(planned(tmp_path, plan_of(GOLD_TRIAL)))
    sheet = tmp_path / "panner.csv"
    sheet.write_text(f"tag,gold_mg\n{tags[0]},220\n{tags[1]},0.236\n{tags[2]},231\n")
    said = samedirt("load", sheet)
    assert said.code == 2 and f"panner.csv row 3 ({tags[1]}), gold_mg: {ASKED}" in said.err
    assert samedirt("load", sheet, "--good-rows").code == 0
    assert [run_of(tmp_path, tag, "steeper").gold_mg for tag in tags[:3]] == [220.0, None, 231.0]
    stood = flat(samedirt("load", sheet, "--as-typed").out)
    assert f"row 3 ({tags[1]}), gold_mg: 0.236 mg is under one step of your scale (1 mg); it stands as typed." in stood
    assert run_of(tmp_path, tags[1], "steeper").as_typed == "gold_mg"


def test_a_slip_that_was_stored_stops_the_verdict_until_it_is_dealt_with(samedirt: Door, tmp_path: Path) -> None:
    """Corrected, or said to stand; as in a logbook of before, when nothing was asked."""
    record = planned(tmp_path, plan_of(FILE_TRIAL))
    tags = tags_of(record)
    runs = tuple(gold(run, tags.index(run.tag or "")) for run in record.runs)
    slipped = [run.model_copy(update={"gold_mg": 0.222}) if run.tag == tags[2] else run for run in runs]
    stored(tmp_path, Record(trial=record.trial, runs=tuple(slipped)))
    said = samedirt("verdict", "steeper", "--no-chart")
    assert said.code == 1 and f"Run {tags[2]} has 0.222 mg, over 50 times from the middle" in flat(said.out)
    assert samedirt("check", "steeper").code == 1
    assert samedirt("enter", "steeper", tags[2], "--set", "as_typed=gold_mg").code == 0
    assert samedirt("verdict", "steeper", "--no-chart").code == 0
    again = samedirt("enter", "steeper", tags[2], "--again", "--why", "g for mg", "--set", "gold_mg=0.222 g")
    assert again.code == 0 and run_of(tmp_path, tags[2], "steeper").as_typed is None
    assert [one.field for one in read(tmp_path, "steeper").corrections] == ["gold_mg"]


def test_a_wrong_tag_that_is_valid_has_a_way_back(typing: Door, tmp_path: Path) -> None:
    """Back at the first question asks the tag again, named in the command or typed; nothing is left of the wrong one."""
    wrong, right = tags_of(planned(tmp_path, plan_of(GOLD_TRIAL)))[:2]
    run = (*BEFORE_GOLD, "220; 4; ; ; ", "")
    said = typing(("enter", "steeper"), (wrong, "", "back", "back", right, *run))
    assert run_of(tmp_path, right, "steeper").gold_mg == 220.0, said.out
    assert run_of(tmp_path, wrong, "steeper").gold_mg is None and not list(tmp_path.glob("*draft*"))
    said = typing(("enter", "steeper", right, "--again", "--why", "it was the other"), ("back", right, "gold 221", ""))
    assert f"Tag [{right}]> " in said.out and run_of(tmp_path, right, "steeper").gold_mg == 221.0
