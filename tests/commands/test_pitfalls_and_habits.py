"""`check --pitfalls` prints the map, and `rehearse --habit` how often a habit would cry gain on the person's plan."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from trials.commands.rehearse import HabitOption
from trials.noise.situation import situation_of
from trials.rehearsal.habits import HABITS, HabitPlan, fair_rate, habit_rates
from trials.rehearsal.plan_rehearsed import TYPED_AS
from trials.rehearsal.rehearsal import rehearse
from trials.report.pitfalls import pitfall_page

Samedirt = Callable[..., Any]
PLAN = """
name = "mat"
measure = "{measure}"
worth_having = "{line}"
pairs = 6
[lot]
kind = "{lot}"
mass = "60 kg"
[gear]
kind = "sluice"
[change]
variable = "mat"
baseline = "ribbed"
changed = "looped"
[scales]
gold = "0.001 g"
{more}
"""
GUESSED = '[guess]\ngold = "20 mg/kg"\nsizes = "medium"'


def planned(samedirt: Samedirt, measure: str = "gold_mass", lot: str = "natural", more: str = GUESSED) -> None:
    """A plan in a logbook in the current folder."""
    line = "3 points" if measure in ("recovery", "tracers") else "20 %"
    Path("mat").mkdir()
    text = PLAN.format(measure=measure, lot=lot, more=more, line=line)
    Path("mat/trial.toml").write_text(text, encoding="utf-8")
    said = samedirt("plan", "mat", "--from", "mat/trial.toml")
    assert said.code == 0, said.err


def test_check_prints_the_map(samedirt: Samedirt) -> None:
    """The page as it is, without a logbook; as JSON too."""
    said = samedirt("check", "--pitfalls")
    assert (said.code, said.out) == (0, pitfall_page())
    found = json.loads(samedirt("check", "--pitfalls", "--json").out)
    assert len(found) == 25 and found[0]["name"] == "second pass"


def test_check_wants_a_trial_or_the_map(samedirt: Samedirt) -> None:
    """Neither, or both, is refused in one line."""
    said = samedirt("check")
    assert said.code == 2 and said.err.startswith("samedirt: check: no trial is named") and said.err.count("\n") == 1
    said = samedirt("check", "mat", "--pitfalls")
    assert said.code == 2 and "leave one of the two out" in said.err


def test_every_habit_can_be_typed() -> None:
    """One word for each habit, and one for all."""
    assert {one.value for one in HabitOption} == {*TYPED_AS, "all"}
    assert tuple(TYPED_AS.values()) == tuple(HABITS)


def test_all_habits_of_a_plan(samedirt: Samedirt, monkeypatch: pytest.MonkeyPatch) -> None:
    """A row each beside the fair trial's, what it means, and one chart; the usual rehearsal is left alone."""
    monkeypatch.setenv("COLUMNS", "80")
    planned(samedirt)
    said = samedirt("rehearse", "mat", "--habit", "all", "--times", "2000")
    assert said.code == 0
    for habit in HABITS:
        assert f"\n  {habit} " in said.out
    assert "\n  a fair trial " in said.out
    words = " ".join(said.out.split())
    assert "Only calls for the changed gear are counted; all are false." in words
    assert "a second pass of the tails over the unchanged gear finds about" in words
    assert "scatter by 30 % (assumed, no source)" in words
    assert max(map(len, said.out.splitlines())) <= 80
    assert said.out.endswith("Chart: habits-mat.html\n")
    page = Path("habits-mat.html").read_text(encoding="utf-8")
    assert "a fair trial" in page and "stopping when ahead" in page
    assert not Path("rehearsal-mat.html").exists()


def test_the_numbers_are_those_of_the_planning_room(samedirt: Samedirt) -> None:
    """JSON: the very rates, the fair one as the rehearsal itself has it, and nothing but finite numbers."""
    planned(samedirt, lot="sluice tailings")
    said = samedirt("rehearse", "mat", "--habit", "all", "--times", "1000", "--seed", "4", "--json")
    found = json.loads(said.out)
    from trials.logbook.logbook import Logbook

    trial = Logbook(Path("logbook.duckdb")).read("mat").trial
    where = situation_of(trial)
    line = 0.1823215567939546  # ln 1.2
    plan = HabitPlan("gold_mass", 6, where, line=line, feeds_tails=True, times=1000, seed=4)
    rates = habit_rates(plan)
    assert [one["habit"] for one in found["habits"]] == list(TYPED_AS)
    shares = [one["cried_gain"]["share"] for one in found["habits"]]
    assert shares == [rate.cried_gain.share for rate in rates]
    fair = rehearse("gold_mass", pairs=6, situation=where, line=line, times=1000, seed=4).share("better")
    assert found["fair_trial"]["cried_gain"]["share"] == fair == fair_rate(plan).share
    assert found["day_richness_sd"] == 0.0
    assert not Path("habits-mat.html").exists()


OTHER_PLANS = {
    "recovery": GUESSED + '\n[tails]\ncaught = "all"',
    "tracers": "[grains]\nseeded = 100",
    "grain_counts": GUESSED,
}


@pytest.mark.parametrize("turn", range(len(OTHER_PLANS)), ids=OTHER_PLANS)
def test_one_habit_of_any_plan(samedirt: Samedirt, turn: int) -> None:
    """One row, and no chart where none is wanted; every habit has its turn on one of the plans."""
    measure = list(OTHER_PLANS)[turn]
    planned(samedirt, measure, more=OTHER_PLANS[measure])
    for habit in sorted(TYPED_AS)[turn :: len(OTHER_PLANS)]:
        said = samedirt("rehearse", "mat", "--habit", habit, "--times", "200", "--no-chart")
        assert said.code == 0, said.err
        assert f"\n  {TYPED_AS[habit]} " in said.out
        assert sum(f"\n  {other} " in said.out for other in HABITS) == 1
    assert not list(Path().glob("habits-*"))


def test_tracers_alone_are_told_of(samedirt: Samedirt) -> None:
    """Without a guess of the gold only tracers can tell anything, and it is said."""
    planned(samedirt, "tracers", more="[grains]\nseeded = 100")
    said = samedirt("rehearse", "mat", "--habit", "best-of", "--times", "200", "--no-chart")
    assert "no gold is guessed in the plan, so that of five measures only tracers tell" in " ".join(said.out.split())


def test_what_cannot_be_rehearsed_is_refused_as_ever(samedirt: Samedirt) -> None:
    """No gold and no tracers: the same line as without a habit; an unknown habit is named with those there are."""
    planned(samedirt, more="")
    for words in (("rehearse", "mat"), ("rehearse", "mat", "--habit", "all")):
        said = samedirt(*words)
        assert said.code == 2 and "says nothing of the gold in the dirt" in said.err
    said = samedirt("rehearse", "mat", "--habit", "luck")
    assert said.code == 2 and "one-each" in said.err
