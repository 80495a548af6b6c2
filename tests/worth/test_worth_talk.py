"""What a change is worth, asked for at a terminal: only what is missing, each wrong answer told at its question."""

from pathlib import Path

from tests.commands.terminal import Terminal
from tests.tables import every
from tests.worth.test_worth import recovery_trial
from trials.files.folder import read_folders
from trials.keeping.storing import store_all
from trials.logbook.logbook import Logbook
from trials.talk.engine import begin, reply
from trials.talk.worth_talk import worth_talk


def stored(folder: Path) -> None:
    """A trial of recoveries in the logbook of a folder."""
    recovery_trial(folder, "mat", 40.0, 8.0, 12.0)
    store_all(Logbook(folder / "logbook.duckdb"), read_folders([folder / "mat"], iter), None, stands=None)


def test_a_person_is_asked_once(tmp_path: Path) -> None:
    """The first time all of it is asked, the second time nothing."""
    stored(tmp_path)
    with Terminal("worth", "mat", "--no-chart", cwd=tmp_path) as terminal:
        terminal.answer("How many clean-ups a year?", "2x5x")
        terminal.expect("write clean-ups a year, as 500; or a day x days a week x weeks, as 2x5x50.")
        terminal.send("2x5x50")
        for question, answer in (
            ("How much gold does a clean-up give now", "0.5 g"),
            ("How much dirt is fed from one clean-up", ""),
            ("What does a troy ounce of pure gold cost?", "2400 EUR"),
            ("On which day?", ""),
            ("How fine is your gold?", "850"),
            ("What share of it does the buyer pay?", "85 %"),
            ("What is an hour of your time worth?", "0"),
            ("What does a kg more of black sand cost you?", ""),
            ("What did the change cost, once?", "90"),
            ("What does it cost a year beside that?", ""),
        ):
            terminal.answer(question, answer)
        terminal.expect("Worth 2,787 to 4,181 EUR a year, middle 3,484, after all that it costs.")
        terminal.expect("are back after less than a month")
        assert terminal.finish() == 0
    with Terminal("worth", "mat", "--no-chart", cwd=tmp_path) as terminal:
        assert "?" not in terminal.expect("Worth 2,787 to 4,181 EUR a year")


@every(
    "measure, given, asked",
    [
        ("recovery", {"cleanups": ""}, "feed"),
        ("recovery", {"cleanups": "500", "gold": "1 g"}, "charge"),
        ("gold_mass", {}, "cleanups"),
        ("tails_gold", {"cleanups": ""}, "tails_gold"),
    ],
)
def test_each_measure_is_asked_for_its_own_gold(measure: str, given: dict[str, str], asked: str) -> None:
    """Dirt or clean-ups for a recovery, clean-ups for gold kept, what is lost for the tails."""
    prompt = begin(worth_talk(measure, today="2026-05-03", has_minutes=True), given).prompt()
    assert prompt is not None
    assert prompt.question.key == asked


def test_clean_ups_are_needed_for_gold_kept() -> None:
    """A blank is refused where nothing else can stand for it."""
    sitting = begin(worth_talk("gold_mass", today="2026-05-03", has_minutes=False), {})
    assert reply(sitting, "").what == "refused"
    assert reply(sitting, "0").says == ("0 is not over 0; check the value and its unit",)
