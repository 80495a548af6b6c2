"""`enter` as a person has it: in a terminal, from the first prompt to the stored run, with mistakes on the way."""

import signal
import sys
from pathlib import Path

import pytest

from tests.commands.typed_in import GOLD_TRIAL, half_done, plan_of, planned, read, run_of, tags_of

if sys.platform == "win32":
    pytest.skip("a pseudo-terminal is a thing of Unix", allow_module_level=True)

from tests.commands.terminal import Terminal

CTRL_C, CTRL_D = "\x03", "\x04"


def _first_answers(terminal: Terminal) -> None:
    """The first run, up to its charge."""
    terminal.answer("As planned", "")
    terminal.answer("session", "2026-05-03 am")
    terminal.answer("feeder", "A")
    terminal.answer("panner", "B")


def test_a_run_from_the_first_prompt_to_the_store_with_mistakes(tmp_path: Path) -> None:
    """Each slip is told where it is typed, in one line, and asked again; nothing of it is stored."""
    tags = tags_of(planned(tmp_path))
    slip = tags[0][:2] + next(letter for letter in "CDFH" if letter != tags[0][2])
    with Terminal("enter", "rough-bed", cwd=tmp_path, fresh=True) as terminal:
        terminal.answer("Tag", slip)
        terminal.expect("last letter does not fit")
        terminal.answer("Tag", tags[0].lower())
        terminal.answer("As planned: turn 1, pitch 4 deg", "?")
        terminal.expect("Or type what differs by its name")
        terminal.answer("As planned", "yes")
        terminal.answer("session", "3/5/2026")
        terminal.expect("could be 2026-05-03 or 2026-03-05")
        terminal.answer("session", "3 May 2026 am")
        terminal.answer("feeder", "Bob")
        terminal.expect("never a name")
        terminal.answer("feeder", "a")
        terminal.answer("panner", "B")
        terminal.answer("fed", "350")
        terminal.answer("minutes", "9:21 9:12")
        terminal.expect("swapped?")
        terminal.answer("minutes", "9:12 9:21:30")
        terminal.answer("clean-up", "back")
        terminal.answer("minutes, or clock at start and end [9:12 9:21:30]", "9.5")
        terminal.answer("clean-up", "4")
        terminal.answer("water at start and end, L/min [8 8]", "8.0 7.9")
        terminal.answer("temp", "54 F")
        terminal.answer("stripped", "12")
        terminal.expect("neither yes nor no")
        terminal.answer("stripped", "y; ")
        terminal.answer("grains", "thirty-one")
        terminal.expect("is not a number")
        terminal.answer("grains", "31")
        terminal.answer("sand", "12.2 18.6")
        terminal.expect("gross 12.2 is under tare 18.6; swapped?")
        terminal.answer("sand", "18.6 12.2; moisture 8, silvery no")
        terminal.answer("note", "Grüße; trocken")
        terminal.expect("sand 18.6 12.2 g (6.4 g)")
        terminal.answer("Store it so?", "clean-up 5")
        terminal.expect("clean-up 5")
        terminal.answer("Store it so?", "")
        terminal.expect(f"{tags[0]} stored (1 of 12).")
        terminal.expect(f"Tag [{tags[1]}]> ")
        assert terminal.interrupt(CTRL_C) == 130
        longest = max(map(len, terminal.seen.replace("\r", "").splitlines()))
    run = run_of(tmp_path, tags[0])
    assert (run.session, run.feeder, run.minutes, run.cleanup_minutes) == ("2026-05-03 am", "A", 9.5, 5.0)
    assert (run.temp_c, run.black_sand_g, run.note) == (pytest.approx(12.2222, abs=1e-4), 6.4, "Grüße; trocken")
    assert (run.moisture_percent, run.blank_pan, run.silvery) == (8.0, None, False)
    assert longest <= 100  # of 80, and what is typed behind a prompt
    assert not list(tmp_path.glob("*draft*"))


@pytest.mark.parametrize("death", ["kill", CTRL_C, CTRL_D])
def test_whatever_ends_it_costs_at_most_the_answer_being_typed(tmp_path: Path, death: str) -> None:
    """Kill -9, Ctrl-C and Ctrl-D in the middle of an answer: the run before is stored, the answers before are kept."""
    tags = tags_of(planned(tmp_path))
    with Terminal("enter", "rough-bed", cwd=tmp_path) as terminal:
        terminal.answer("Tag", "")
        _first_answers(terminal)
        terminal.answer("fed", "350; 9.5; 4; ; 12; y; ; 31; 18.6 12.2; ; ")
        terminal.answer("Store it so?", "")
        terminal.expect("stored (1 of 12)")
        terminal.answer("Tag", "")
        terminal.answer("As planned", "")
        terminal.answer("fed", "351")
        terminal.answer("minutes", "10")
        terminal.expect("clean-up")
        if death == "kill":
            terminal.press("7")
            terminal.kill()
            assert terminal.code == -signal.SIGKILL
        else:
            assert terminal.interrupt(death) == 130
    assert run_of(tmp_path, tags[0]).grains == 31
    with Terminal("enter", "rough-bed", cwd=tmp_path) as terminal:
        terminal.answer(f"Tag [{tags[1]}]", "")
        terminal.expect(f"{tags[1]} was begun: 3 answers kept.")
        terminal.answer("clean-up", "5; ; 12; y; ; 44; 18.7 12.2; ; ")
        terminal.expect("fed 351 g, minutes 10, clean-up 5")
        terminal.answer("Store it so?", "")
        terminal.expect("stored (2 of 12)")
        assert terminal.interrupt(CTRL_D) == 130
    run = run_of(tmp_path, tags[1])
    assert (run.fed_g, run.minutes, run.cleanup_minutes, run.grains) == (351, 10, 5, 44)


def test_a_dead_battery_at_any_prompt_loses_nothing_before_it(tmp_path: Path) -> None:
    """Killed once at each question of one run, and gone on with each time."""
    tag = tags_of(planned(tmp_path))[0]
    typed = [
        ("As planned", ""), ("session", "2026-05-03 am"), ("feeder", "A"), ("panner", "B"), ("fed", "350"),
        ("minutes", "9.5"), ("clean-up", "4"), ("water", ""), ("temp", "12"), ("stripped", "y"), ("ticks", ""),
        ("grains", "31"), ("sand", "18.6 12.2"), ("Other readings", ""), ("note", "fine"),
    ]  # fmt: skip
    for at, (prompt, text) in enumerate(typed):
        with Terminal("enter", "rough-bed", tag, cwd=tmp_path) as terminal:
            if at:
                terminal.expect(f"{at} answer{'' if at == 1 else 's'} kept.")
            terminal.answer(prompt, text)
            terminal.expect("> ")  # the next prompt: by then the answer is on the disk
            terminal.kill()
    with Terminal("enter", "rough-bed", tag, cwd=tmp_path) as terminal:
        terminal.answer("Store it so?", "")
        assert terminal.finish() == 0
    run = run_of(tmp_path, tag)
    assert (run.minutes, run.grains, run.black_sand_g, run.note) == (9.5, 31, 6.4, "fine")


def test_a_correction_is_typed_by_the_name_of_what_is_wrong(tmp_path: Path) -> None:
    """The old value is offered, - takes it out, several go into one correction, and Enter with none leaves all."""
    tag = tags_of(half_done(tmp_path, 6))[0]
    old = run_of(tmp_path, tag)
    again = ("enter", "rough-bed", tag, "--again", "--why", "digits swapped")
    with Terminal(*again, cwd=tmp_path) as terminal:
        terminal.expect(f"{tag} is stored as: turn 1,")
        terminal.answer("What is wrong?", "colour")
        terminal.expect("Type one of these names")
        terminal.answer("What is wrong?", "gra")
        terminal.answer(f"grains [{old.grains}]", "?")
        terminal.expect("From 0 to 100,000")
        terminal.answer("grains", "x")
        terminal.expect("is not a number")
        terminal.answer("grains", "13")
        terminal.expect(f"grains: {old.grains} becomes 13")
        terminal.answer("what else is wrong", "temp -")
        terminal.expect("temp: 12 becomes blank")
        assert terminal.interrupt(CTRL_C) == 130
    assert run_of(tmp_path, tag) == old
    with Terminal(*again, cwd=tmp_path) as terminal:
        terminal.expect("temp: 12 becomes blank")
        terminal.answer("what else is wrong", "feeder c")
        terminal.answer("what else is wrong", "")
        terminal.expect(f"{tag}: 3 values corrected.")
        assert terminal.finish() == 0
    run = run_of(tmp_path, tag)
    assert (run.grains, run.temp_c, run.feeder) == (13, None, "C")
    rows = sorted((one.field, one.old, one.new) for one in read(tmp_path).corrections)
    assert rows == [("feeder", "A", "C"), ("grains", str(old.grains), "13"), ("temp_c", "12", None)]
    with Terminal(*again, cwd=tmp_path) as terminal:
        terminal.answer("What is wrong?", "")
        terminal.expect("nothing was changed")
        assert terminal.finish() == 0


def test_a_whole_trial_is_typed_with_a_run_struck_and_a_spare_run(tmp_path: Path) -> None:
    """Six pairs and the spare: a row a run once the first is in; the last lines say what comes next."""
    record = planned(tmp_path)
    spilt = tags_of(record)[4]
    with Terminal("void", "rough-bed", spilt, "--why", "spill", "--gold-not-known", cwd=tmp_path) as terminal:
        terminal.expect("is called in: run it as the sheet says.")
        assert terminal.finish() == 0
    with Terminal("enter", "rough-bed", cwd=tmp_path) as terminal:
        for number in range(12):
            terminal.answer("Tag", "")
            if number == 0:
                _first_answers(terminal)
            else:
                terminal.answer("As planned", "")
            terminal.answer("fed", f"350; 9.5; 4; ; 12; y; ; {30 + number}; 18.6 12.2; ; ")
            terminal.answer("Store it so?", "")
            terminal.expect("stored (")
        terminal.expect("All 13 runs are in. Next: samedirt check rough-bed, then samedirt verdict")
        assert terminal.finish() == 0
        assert not any(word in terminal.seen for word in ("baseline", "changed", "smooth", "180 grit"))
    made = [run for run in read(tmp_path).runs if run.grains is not None]
    assert len(made) == 12 and {run.pair for run in made} == {1, 2, 4, 5, 6, 7}
    with Terminal("verdict", "rough-bed", "--no-chart", cwd=tmp_path) as terminal:
        terminal.expect("6 pairs")
        assert terminal.finish() == 0


def test_gold_is_typed_off_the_papers_of_a_sluice(tmp_path: Path) -> None:
    """Charge in kg and water in US gallons as the sheet asks; gold by the scale; boxes ticked in one answer."""
    tag = tags_of(planned(tmp_path, plan_of(GOLD_TRIAL)))[0]
    with Terminal("enter", "steeper", tag, cwd=tmp_path) as terminal:
        terminal.answer("As planned: turn 1", "")
        terminal.answer("session", "2026-05-03 am")
        terminal.answer("pitch", "4.1")
        terminal.answer("feeder", "A")
        terminal.answer("panner", "A")
        terminal.answer("fed, kg [10]", "")
        terminal.answer("minutes", "22")
        terminal.answer("clean-up", "")
        terminal.answer("water at start and end, gpm us [30 30]", "30 28")
        terminal.answer("temp", "")
        terminal.answer("stripped", "y")
        terminal.answer("starter", "y")
        terminal.answer("ticks", "all")
        terminal.answer("gold", "18.6312 18.6")
        terminal.answer("largest", "40")
        terminal.expect("is more than all the gold")
        terminal.answer("largest", "4")
        terminal.answer("sand", "88")
        terminal.answer("Other readings, if any: cloud, clay, moisture, blank pan, check weight", "mud")
        terminal.expect("type yes, no, or a name and its value, as cloud 3")
        terminal.answer("Other readings", "clay 1, silvery maybe")
        terminal.expect("neither yes nor no")
        terminal.answer("Other readings", "yes")
        terminal.answer("cloud", "1")
        terminal.answer("clay", "")
        terminal.answer("moisture", "")
        terminal.answer("blank pan", "0")
        terminal.answer("check weight before", "")
        terminal.answer("check weight after", "")
        terminal.answer("silvery", "no")
        terminal.answer("note", "")
        terminal.expect("gold 18.6312 18.6 g (31.2 mg)")
        terminal.answer("Store it so?", "")
        assert terminal.finish() == 0
    run = run_of(tmp_path, tag, "steeper")
    assert (run.fed_g, run.gold_mg, run.magnet, run.black_sand_g) == (10_000, 31.2, True, 88)
    assert (run.cloud, run.clay, run.blank_pan, run.silvery) == (1, None, 0, False)
