"""What weakens, what was struck, changed late or corrected, and what was found good: all of it is in the report."""

import html
import re
from datetime import date, datetime
from typing import Any

import pytest

from schemas import Amendment, Correction, Record, Run, Trial
from tests.fairness.asking import everywhere, with_of
from tests.verdicts.cases import recovery_runs, trial
from trials.fairness.checklist import CHECKS
from trials.report import page
from trials.verdicts.reach import reach_verdict

GAINS = (2.1, 3.4, 3.0, 2.2, 1.5, 2.6, 2.4, 2.0)
ALL_WELL = {
    "session": "2026-05-03 am", "stripped": True, "conditioned": True, "dry": True, "magnet": True, "loupe": True,
    "water_l_min": 20.0, "water_end_l_min": 20.0, "temp_c": 12.0, "wetting_drops_10l": 0.0, "minutes": 10.0,
    "feeder": "A", "panner": "B", "largest_mg": 2.0,
}  # fmt: skip


def plan(**more: Any) -> Trial:
    """A plan with all that the checks ask for."""
    values: dict[str, Any] = {
        "pairs": 8,
        "seed": None,
        "locked": date(2026, 5, 1),
        "lots": ({"kind": "natural", "splitting": "riffle splitter"},),
        "scales": {"gold_g": 0.001},
    }
    return trial(**(values | more))


def runs(pairs: int = 8) -> list[Run]:
    """Runs of a gain in every pair, everything written down."""
    return everywhere(recovery_runs(GAINS[:pairs]), **ALL_WELL)


@pytest.fixture(autouse=True)
def _no_charts(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is read here stands beside the charts, so none is drawn."""
    blank = {"title": "", "wide": "", "narrow": ""}
    monkeypatch.setattr(page, "_charts", lambda *_: {"verdict": blank, "price": None, "order": blank})


def text_of(record: Record) -> str:
    """The report without its charts and marks, in one line."""
    told = re.sub(r"<style.*?</style>", " ", page.report_html(record), flags=re.DOTALL)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", told)).split())


def test_a_fair_trial_lists_all_that_was_checked() -> None:
    """Every check has its place: found good, or in the table with what it said."""
    record = Record(trial=plan(), runs=tuple(runs()))
    verdict = reach_verdict(record.trial, record.runs)
    assert verdict.code == "better" and not verdict.leaning
    text = text_of(record)
    good = text.partition("Found good: ")[2].partition(".")[0].split(", ")
    assert good == [finding.check for finding in verdict.checks if finding.severity == "ok"]
    table = text.partition("Was it a fair trial?")[2].partition("Found good")[0]
    for check in CHECKS:
        assert check.name in good or f"{check.name} " in table, check.name
    assert {"control-there", "one-change", "first-turn", "like-halves", "plan-first"} <= set(good)


def test_a_stop_blocks_and_is_told_with_its_remedy() -> None:
    """No word but no verdict; the remedy stands on top."""
    record = Record(trial=plan(), runs=tuple(with_of(runs(), 3, "changed", fed_lot="face-2")))
    two = plan(lots=tuple({"kind": "natural", "name": name, "splitting": "spinning"} for name in ("face-1", "face-2")))
    mixed = [r if r.fed_lot else r.model_copy(update={"fed_lot": "face-1"}) for r in record.runs]
    text = text_of(Record(trial=two, runs=tuple(mixed)))
    assert "No verdict: pair 3: halves came from face-1 and face-2." in text
    assert "Stops: Pair 3: halves came from face-1 and face-2." in text
    assert "Better beyond luck" not in text


def test_one_or_two_weaken_and_three_make_it_lean() -> None:
    """Each is printed under the sentence; with the third different one the sentence leans, and the word is retest."""
    weakening: list[dict[str, Any]] = [{"stripped": False}, {"fed_g": 379.0}, {"water_end_l_min": 16.0}]
    told = ["No strip-down before", "halves differ by 8 %", "The water fell 20 %"]
    faulty = runs()
    for at, more in enumerate(weakening, start=1):
        faulty = with_of(faulty, 2, "changed", **more)
        record = Record(trial=plan(), runs=tuple(faulty))
        text = text_of(record)
        for words in told[:at]:
            assert text.count(f"Weakens it: {words}") or f"{words}" in text.partition("Was it a fair trial?")[0]
        assert ("Leaning better" in text) == (at == 3)
        assert reach_verdict(record.trial, record.runs).leaning == (at == 3)
    assert "Retest: several things weaken the trial." in text


def test_the_same_thing_three_times_does_not_lean() -> None:
    """Three runs of one fault are one thing that weakens."""
    faulty = runs()
    for pair in (1, 2, 3):
        faulty = with_of(faulty, pair, "changed", stripped=False)
    assert not reach_verdict(plan(), faulty).leaning


def test_everything_done_late_or_undone_is_told() -> None:
    """A void, an amendment, a late plan, an undeclared extension and a corrected value: all on one record."""
    struck = {"void": "spill", "void_gold_known": True}
    late = plan(
        pairs=6,
        spares=1,
        locked=date(2026, 5, 4),
        amended=(
            Amendment(when=date(2026, 5, 9), what="worth_having", was="3", now="1", why="a smaller gain would do"),
        ),
        worth_having=1.0,
    )
    handed = with_of(runs(8), 2, "changed", **struck)
    fixed = Correction(
        when=datetime(2026, 5, 10, 9, 0), pair=4, arm="baseline", field="gold_mg", old="81", new="80", why="misread"
    )
    record = Record(trial=late, runs=tuple(handed), corrections=(fixed,))
    text = text_of(record)
    for words in (
        "Plan locked 1 day after the first run. A hunch only; plan a new trial.",
        "Worth_having was changed from 3 to 1 6 days after the first run.",
        "1 pair was added after the planned end; real false alarms about 8 to 9 %.",
        "1 changed run voided after weighing, none in the other arm.",
        "pair 2, changed: spill, gold known then",
        "Amended 2026-05-09 worth_having was 3, now 1: a smaller gain would do",
        "pair 4 baseline, gold: 81 mg becomes 80 mg; misread",
    ):
        assert words in text, words


def test_a_void_without_a_spare_closes_short() -> None:
    """And says that no spare was left."""
    struck = {"void": "pump failed", "void_gold_known": False}
    text = text_of(Record(trial=plan(), runs=tuple(with_of(runs(), 5, "baseline", **struck))))
    assert "Weakens it: 7 of 8 pairs: one was void and no spare was left. Plan a spare or two." in text


def test_what_was_not_recorded_is_listed() -> None:
    """Blank is neither good nor bad: it has a row of its own, and is not among what was found good."""
    bare = [r.model_copy(update=dict.fromkeys(("temp_c", "stripped", "session"), None)) for r in runs()]
    text = text_of(Record(trial=plan(), runs=tuple(bare)))
    good = text.partition("Found good: ")[2].partition(".")[0].split(", ")
    for check in ("water-temp", "leftovers", "same-session", "plan-first"):
        assert check not in good and f"{check} not recorded" in text, check
