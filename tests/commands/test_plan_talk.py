"""The conversation of `samedirt plan`, in a terminal, from the first prompt to the stored plan."""

import re
import time
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from shutil import copytree
from tempfile import TemporaryDirectory
from typing import Any

import pytest

from tests.commands.terminal import Terminal
from trials.logbook.logbook import Logbook
from trials.talk.engine import Talk, begin
from trials.talk.plan_answers import A_CHANGE, SORT
from trials.talk.plan_questions import FIRST

pytestmark = pytest.mark.waits

CTRL_C = "\x03"
MOST_QUESTIONS = 28
DRAFT = "plan-draft.toml"
SORT_CHANGE, SORT_CHECK, SORT_AUDIT = "", "2", "3"

# A tinkerer roughens a table bed: the question, as far as it is enough to tell it, and what is typed.
TABLE_BED = [
    ("What shall this trial be called?", "rough-bed"),
    ("What do you want to know?", SORT_CHANGE),
    ("Which gear?", "finishing table"),
    ("What one thing do you change?", "texture"),
    ("How is the texture now?", "painted"),
    ("And changed, how is the texture?", "180 grit"),
    ("Can it be undone between two runs?", "no"),
    ("180 grit can't be undone. Which twin piece will carry it?", "second insert, cut and painted together"),
    ("At which pitch and with how much water, in both arms?", "4 deg, 8 L/min"),
    ("What dirt will be run?", "table tailings"),
    ("How much of it is there, all in all?", "7.5 kg"),
    ("What will split it into halves?", "riffle splitter"),
    ("About how much gold is in it?", "24 mg/kg"),
    ("And how large are its grains?", ""),
    ("How alike do two runs of yours come out?", ""),
    ("What is the smallest step of your gold scale?", "0.01 g"),
    ("How much dirt is one run fed?", "350 g"),
    ("Can you catch all tails of every run in a tub", "yes"),
    ("How many counted tracer grains could you put into one run?", "0"),
    ("Count one vial of your grains three times", ""),
    ("How long does such a run take, and cleaning up after it?", "10 min + 10 min"),
    ("How many hours are there for the whole trial?", "16 h"),
    ("What is the smallest gain worth having", "20 % grains"),
    ("Which way will you take?", ""),
    ("How much black sand, and how many minutes", ""),
    ("How many pairs, and how many spare ones", "6 + 1"),
    ("Who will know which set-up a jar came from?", ""),
    ("Store it so?", ""),
]
TWO_MATS = [
    ("What shall this trial be called?", "two-mats"),
    ("What do you want to know?", SORT_CHANGE),
    ("Which gear?", "2"),
    ("What one thing do you change?", "mat"),
    ("How is the mat now?", "ribbed"),
    ("And changed, how is the mat?", "looped"),
    ("Can it be undone between two runs?", ""),
    ("At which pitch and with how much water, in both arms?", "7 deg, 120 L/min"),
    ("What dirt will be run?", "natural"),
    ("How much of it is there, all in all?", "420 kg"),
    ("What will split it into halves?", ""),
    ("About how much gold is in it?", "0.6 mg/kg"),
    ("And how large are its grains?", ""),
    ("How alike do two runs of yours come out?", ""),
    ("What is the smallest step of your gold scale?", "0.001 g"),
    ("How much dirt is one run fed?", "15 kg"),
    ("Can you catch all tails of every run in a tub", ""),
    ("How many counted tracer grains could you put into one run?", "0"),
    ("Count one vial of your grains three times", ""),
    ("How long does such a run take, and cleaning up after it?", "40 min + 30 min"),
    ("How many hours are there for the whole trial?", ""),
    ("What is the smallest gain worth having", "1 point"),
    ("Which way will you take all the same?", "back"),
    ("What is the smallest gain worth having", "3 points"),
    ("Which way will you take?", ""),
    ("How much black sand, and how many minutes", "50 %, 1.3 times"),
    ("How many pairs, and how many spare ones", "12 + 1"),
    ("One early look, after about half of the 12 pairs?", "6"),
    ("Who will know which set-up a jar came from?", ""),
    ("Store it so?", "yes"),
]
TWIN_CHECK = [
    ("What shall this trial be called?", "twin-check"),
    ("What do you want to know?", SORT_CHECK),
    ("Which gear?", "finishing table"),
    ("At which pitch and with how much water?", "4 deg, 8 L/min"),
    ("What dirt will be run?", "table tailings"),
    ("How much of it is there, all in all?", "7.5 kg"),
    ("What will split it into halves?", "riffle splitter"),
    ("About how much gold is in it?", "24 mg/kg"),
    ("And how large are its grains?", ""),
    ("How alike do two runs of yours come out?", ""),
    ("What is the smallest step of your gold scale?", ""),
    ("How much dirt is one run fed?", "350 g"),
    ("Can you catch all tails of every run in a tub", ""),
    ("Count one vial of your grains three times", "31 30 32"),
    ("What will be weighed or counted?", "grain_counts"),
    ("Within what would you call the two alike (20 %)?", "20 %"),
    ("How many pairs, and how many spare ones", "4"),
    ("Who will know which set-up a jar came from?", ""),
    ("Store it so?", ""),
]
AUDIT = [
    ("What shall this trial be called?", "sluice-audit"),
    ("What do you want to know?", SORT_AUDIT),
    ("Which gear?", "sluice"),
    ("At which pitch and with how much water?", ""),
    ("What dirt will be run?", "natural"),
    ("How much of it is there, all in all?", "120 kg"),
    ("How much dirt is a run fed?", "10 kg"),
    ("Can you catch all tails of every run in a tub", ""),
    ("Count one vial of your grains three times", ""),
    ("How many tracer grains are counted into one run?", "100"),
    ("Of which size?", ""),
    ("What are the tracer grains made of?", "lead"),
    ("How many runs, and how many spare ones", "4"),
    ("Store it so?", ""),
]
WALKS = {"table bed": TABLE_BED, "two mats": TWO_MATS, "twin check": TWIN_CHECK, "audit": AUDIT}


def play(terminal: Terminal, walk: list[tuple[str, str]]) -> None:
    """Answer each question when it is asked."""
    for question, typed in walk:
        terminal.expect(question[:50])
        terminal.expect("> ")
        terminal.send(typed)


@dataclass(frozen=True)
class Played:
    """A walk that was played to its end: its folder, what was printed, and the seconds of work."""

    place: TemporaryDirectory[str]
    seen: str
    seconds: float

    @property
    def folder(self) -> Path:
        """The folder it was played in; what writes there takes a copy."""
        return Path(self.place.name)


@cache
def played(name: str) -> Played:
    """A walk from the first prompt to the stored plan, played once for all tests that look at what came of it."""
    place = TemporaryDirectory()
    with Terminal("plan", cwd=Path(place.name)) as terminal:
        play(terminal, WALKS[name])
        assert terminal.finish() == 0, terminal.seen
        return Played(place, terminal.seen, terminal.seconds)


def stored(folder: Path, name: str) -> Any:
    """The record in the logbook."""
    return Logbook(folder / "logbook.duckdb").read(name)


@pytest.mark.parametrize("walk", WALKS)
def test_from_the_first_prompt_to_the_stored_plan(walk: str) -> None:
    """Nothing else is asked, each question says why, the plan is stored, and the draft is gone."""
    talk = played(walk)
    assert talk.seconds < 15.0  # under 3 s is meant, on a machine that has nothing else to do
    name = WALKS[walk][0][1]
    assert len(stored(talk.folder, name).runs) > 0
    assert not (talk.folder / DRAFT).exists()
    assert f"samedirt sheet {name}" in talk.seen
    for question, _ in WALKS[walk]:
        assert says_why(talk.seen, question), question


def says_why(seen: str, question: str) -> bool:
    """Whether the line after a question is its reason, set in by two."""
    lines = seen.splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith(question[:40]))
    after = next(line for line in lines[at + 1 :] if line.startswith("  ") or not line)
    return bool(re.match(r"  \S", after)) and len(after.strip()) > 20


@pytest.mark.parametrize("walk", [TABLE_BED, TWIN_CHECK, AUDIT], ids=["table bed", "twin check", "audit"])
def test_a_first_timer_meets_some_25_questions(walk: list[tuple[str, str]]) -> None:
    """27 and the last yes; the walks are complete, as the test above shows."""
    assert len(walk) <= MOST_QUESTIONS


def test_the_plan_of_the_table_bed() -> None:
    """All that was typed is in it: the twin, what is held, the line as typed, the way's charge and time."""
    talk = played("table bed")
    record = stored(talk.folder, "rough-bed")
    trial = record.trial
    assert trial.kind == "pairs" and trial.change.twin == "second insert, cut and painted together"
    assert (trial.held.pitch_deg, trial.held.water_l_min) == (4.0, 8.0)
    assert (trial.measure, trial.worth_having, trial.pairs, trial.spares) == ("grain_counts", 20.0, 6, 1)
    charges = (trial.held.charge_g or 0.0) / 350.0
    assert charges in (0.5, 1.0, 2.0) and trial.guess.run_minutes == pytest.approx(10.0 * charges)
    assert trial.guess.cleanup_minutes == 10.0 and trial.guess.time_minutes == 960.0
    assert trial.lots[0].splitting == "riffle splitter" and trial.guess.sizes == "fine" and trial.knew == "feeder"
    assert trial.tails.caught is None  # a count of what was kept needs no tails
    text = " ".join(talk.seen.split())
    assert "Mind, twins: 180 grit can't be undone, so it goes on the twin" in text
    assert "Mind, pairs: 6 pairs can usually find a change of about" in text
    assert "First the twins: samedirt plan rough-bed-twins" in text


def test_levels_tell_their_runs_as_soon_as_they_are_named() -> None:
    """After the second level: what 3 set-ups cost in runs, and what pairs would; of one change nothing."""
    talk = Talk(FIRST, check=lambda *_: ())
    before = {"name": "t", SORT: A_CHANGE, "gear.kind": "sluice", "change.variable": "texture"}
    for changed, runs in (("320; 220", "7 blocks of 3 set-ups find a gain of 1.5 times the scatter"), ("320", "")):
        prompt = begin(talk, {**before, "change.baseline": "painted", "change.changed": changed}).prompt()
        assert prompt is not None and prompt.question.key == "change.reversible"
        told = " ".join(str(block) for block in prompt.told)
        assert runs in told and bool(told) is bool(runs)


def test_the_plan_of_two_mats() -> None:
    """Nothing finds one point here: what would is told, and back changes the line; the way's own line is told too."""
    talk = played("two mats")
    text = " ".join(talk.seen.split())
    assert "None of them can answer with what is in hand. What would, one thing at a time: - Take" in text
    trial = stored(talk.folder, "two-mats").trial
    assert trial.look_after == 6 and trial.measure == "grain_counts"
    assert trial.limits is not None and (trial.limits.black_sand, trial.limits.minutes) == (1.5, 1.3)
    assert f"3 points more recovery is the same change as {trial.worth_having:g} % more grains here" in text


def test_the_plan_of_an_audit() -> None:
    """One arm, no change; lead is a stand-in; the tub is closed; no word of before and after."""
    talk = played("audit")
    trial = stored(talk.folder, "sluice-audit").trial
    assert trial.kind == "audit" and trial.measure == "tracers" and trial.grains.seeded == 100
    assert trial.grains.stuff == "lead" and trial.tails.caught == "all"
    text = " ".join(talk.seen.split())
    assert "Lead is a stand-in" in text and "25 of one size 6" in text
    asked = text.partition("(audit)")[2]
    assert "baseline" not in asked and "in both arms" not in asked


def test_mistakes_are_told_and_asked_again(tmp_path: Path) -> None:
    """Each with its value and what to write; ? explains, back goes back, and nothing is lost by any of it."""
    mistakes = [
        ("What shall this trial be called?", ["rough bed"], ["rough bed"]),
        ("What do you want to know?", ["4", "?"], ["type a number from 1 to 3", "The second is worth doing once"]),
        ("Which gear?", ["finishing tabel"], ["finishing table"]),
        ("What one thing do you change?", ["pitch, water"], ["two variables in one change (pitch, water)"]),
        ("How is the texture now?", [""], ["An answer is needed here; ? explains."]),
        ("And changed, how is the texture?", ["painted"], ["baseline and changed must all differ"]),
        ("Can it be undone between two runs?", [], []),
        ("180 grit can't be undone.", [], []),
        ("At which pitch and with how much", ["4 deg, 8 gpm", "some"], ["US or imperial gallons?", "neither a pitch"]),
        ("What dirt will be run?", [], []),
        (
            "How much of it is there",
            ["5 oz", "7.5", "7.5 l"],
            ["Which?", "7.5 has no unit", "is not a unit of feed mass"],
        ),
    ]
    right = dict(TABLE_BED)
    with Terminal("plan", cwd=tmp_path) as terminal:
        for question, wrong, says in mistakes:
            terminal.expect(question)
            for typed, told in zip(wrong, says, strict=True):
                terminal.expect("> ")
                terminal.send(typed)
                terminal.expect(told)
            terminal.expect("> ")
            terminal.send(next(text for asked, text in right.items() if asked.startswith(question[:20])))
        terminal.expect("What will split it into halves?")
        terminal.expect("> ")
        terminal.send("back")
        terminal.expect("How much of it is there")
        terminal.expect("[7.5 kg]> ")
        terminal.send("")
        play(terminal, TABLE_BED[11:])
        assert terminal.finish() == 0
    assert stored(tmp_path, "rough-bed").trial.lots[0].mass_g == 7_500.0


def test_ctrl_c_keeps_all_answers(tmp_path: Path) -> None:
    """At four questions of one talk: going on asks nothing twice, and back goes to what was answered before."""
    stops = [1, 9, 21, 23]
    for before, after in zip([0, *stops], [*stops, len(TABLE_BED)], strict=True):
        with Terminal("plan", cwd=tmp_path) as terminal:
            if before:
                terminal.answer(f"A plan begun earlier is here: rough-bed, {before} answer", "")
                terminal.expect(TABLE_BED[before][0][:40])
                terminal.expect("> ")
                terminal.send("back")
            play(terminal, TABLE_BED[max(0, before - 1) : after])
            if after == len(TABLE_BED):
                assert terminal.finish() == 0, terminal.seen
            else:
                terminal.expect(TABLE_BED[after][0][:40])
                terminal.expect("> ")
                wait_a_little(terminal)
                terminal.press(CTRL_C)
                assert terminal.finish() == 130
                assert "Stopped. All answers so far are in plan-draft.toml; samedirt plan goes on from" in terminal.seen
                assert not (tmp_path / "logbook.duckdb").exists()
        for question, _ in TABLE_BED[: max(0, before - 1)]:
            assert question[:40] not in terminal.seen
    assert not (tmp_path / DRAFT).exists()
    trial = stored(tmp_path, "rough-bed").trial
    assert (trial.pairs, trial.measure, trial.worth_having) == (6, "grain_counts", 20.0)


def wait_a_little(terminal: Terminal) -> None:
    """A person presses Ctrl-C some time after the prompt, not in the same instant."""
    terminal.expect("")
    time.sleep(0.3)


def test_an_earlier_draft_can_be_begun_anew(tmp_path: Path) -> None:
    """No: asked from the start, and the first new answer replaces the draft; of another name it is not gone on with."""
    (tmp_path / DRAFT).write_text('name = "old"\nsort = "did a change catch more"\n')
    with Terminal("plan", cwd=tmp_path) as terminal:
        terminal.answer("A plan begun earlier is here: old, 2 answers.", "no")
        play(terminal, TWIN_CHECK)
        assert terminal.finish() == 0
    (tmp_path / DRAFT).write_text('name = "old"\nsort = "did a change catch more"\n')
    with Terminal("plan", "new", cwd=tmp_path) as terminal:
        terminal.expect("A plan begun earlier is here: old, 2 answers.")
        terminal.expect("[no]> ")
        terminal.send("")
        terminal.expect("What do you want to know?")


def test_a_draft_that_can_not_be_read_is_no_draft(tmp_path: Path) -> None:
    """It is passed over."""
    (tmp_path / DRAFT).write_bytes(b"\xff\xfe not toml")
    with Terminal("plan", cwd=tmp_path) as terminal:
        terminal.expect("What shall this trial be called?")


def test_answers_that_make_no_plan_are_not_lost(tmp_path: Path) -> None:
    """A locked name is told at once; tracers without a tub can't be stored, and back mends it."""
    copytree(played("twin check").folder, tmp_path, dirs_exist_ok=True)
    with Terminal("sheet", "twin-check", cwd=tmp_path) as terminal:
        assert terminal.finish() == 0
    with Terminal("plan", cwd=tmp_path) as terminal:
        terminal.answer("What shall this trial be called?", "twin-check")
        terminal.expect("is locked since")
        terminal.expect("> ")
        terminal.send("sluice-audit")
        play(terminal, AUDIT[1:7])
        terminal.answer("Can you catch all tails", "no")
        play(terminal, AUDIT[8:-1])
        terminal.expect("Refused, closed tub")
        terminal.expect("It can't be stored so.")
        terminal.expect("> ")
        terminal.send("yes")
        terminal.expect("back changes an answer")
        for _ in range(6):
            terminal.expect("> ")
            terminal.send("back")
        terminal.answer("Can you catch all tails", "yes")
        for _ in range(5):
            terminal.expect("> ")
            terminal.send("")
        terminal.answer("Store it so?", "")
        assert terminal.finish() == 0, terminal.seen
    assert stored(tmp_path, "sluice-audit").trial.tails.caught == "all"


def test_a_locked_name_is_told_before_anything_is_asked(tmp_path: Path) -> None:
    """Given with the command; and a plan that is not locked yet is said to give way, before it does."""
    copytree(played("twin check").folder, tmp_path, dirs_exist_ok=True)
    with Terminal("plan", "twin-check", cwd=tmp_path) as terminal:
        play(terminal, TWIN_CHECK[1:-1])
        terminal.expect("A plan of that name is stored, and not locked yet")
        terminal.answer("Store it so?", "yes")
        assert terminal.finish() == 0
        assert "in place of the plan of that name" in " ".join(terminal.seen.split())
    with Terminal("sheet", "twin-check", cwd=tmp_path) as terminal:
        assert terminal.finish() == 0
    with Terminal("plan", "twin-check", cwd=tmp_path) as terminal:
        assert terminal.finish() == 2
        assert "samedirt: twin-check: is locked since its sheet was printed" in terminal.seen
        assert "What do you want to know?" not in terminal.seen


def test_flags_are_not_asked_again(tmp_path: Path) -> None:
    """With a measure given no ways are compared, and the line is asked in its unit."""
    flags = ["--measure", "recovery", "--set", "gear.kind=sluice", "--set", "held.water=120 L/min", "--spares", "0"]
    with Terminal("plan", "two-mats", *flags, cwd=tmp_path) as terminal:
        skipped = (
            "What shall",
            "Which gear?",
            "At which pitch",
            "How many counted",
            "Count one",
            "How long",
            "How many hours",
        )
        walk = [
            (asked, typed)
            for asked, typed in TWO_MATS
            if not asked.startswith(skipped) and "back" not in typed and "Which way" not in asked
        ]
        lines = [at for at, (asked, _) in enumerate(walk) if "smallest gain" in asked]
        del walk[lines[0]]
        play(terminal, walk[: lines[0]])
        terminal.expect("What is the smallest gain worth having (3 points)?")
        terminal.expect("> ")
        terminal.send("20 %")
        terminal.expect("Measure recovery is told in points, as 3 points.")
        terminal.expect("> ")
        terminal.send("3 points")
        play(terminal, walk[lines[0] + 1 :])
        assert terminal.finish() == 0, terminal.seen
    trial = stored(tmp_path, "two-mats").trial
    assert (trial.measure, trial.worth_having, trial.held.water_l_min) == ("recovery", 3.0, 120.0)
    assert trial.tails.caught == "all"
