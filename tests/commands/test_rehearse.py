"""`samedirt rehearse`: a stored plan tried on simulated dirt."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]
DEMO = Path(__file__).parents[2] / "demo_trials"
PLAN = [
    *("--measure", "recovery", "--pairs", "8", "--worth-having", "5 points", "--seed", "41"),
    *("--set", "lot.kind=natural", "--set", "lot.mass=400 kg", "--set", "lot.splitting=riffle splitter"),
    *("--set", "gear.kind=sluice", "--set", "held.charge=10 kg", "--set", "scales.gold=0.001 g"),
    *("--set", "tails.caught=all", "--set", "guess.gold=90 mg/kg", "--set", "guess.sizes=fine"),
]
CHANGE = ["--set", "change.variable=mat", "--set", "change.baseline=ribbed", "--set", "change.changed=looped"]


def no_constant(text: str) -> Any:
    """Refuse NaN and infinities, which plain JSON does not have."""
    raise AssertionError(text)


def test_it_tells_how_often_each_outcome_comes(samedirt: Run, tmp_path: Path) -> None:
    """Nothing changed: seldom better; a change at the line: about as often as the plan foretold. Charts are written."""
    assert samedirt("plan", "mats", *PLAN, *CHANGE).code == 0
    said = samedirt("rehearse", "mats", "--times", "1000", "--seed", "3")
    assert said.code == 0, said.err
    text = " ".join(said.out.split())
    assert "mats, rehearsed 1,000 times on simulated dirt (assumed noise, seed 3):" in text
    for part in ("outcome, times in 100", "nothing changed", "5 points more recovery", "With nothing changed, luck"):
        assert part in text
    charts = [line.removeprefix("Chart: ") for line in said.out.splitlines() if line.startswith("Chart: ")]
    assert charts and all((tmp_path / chart).stat().st_size > 1_000 for chart in charts)


def test_the_example_of_the_help_runs_on_the_demo(samedirt: Run) -> None:
    """What --help shows is done on the trials that come with the program."""
    said = " ".join(samedirt("rehearse", "--help").out.split())
    example = said.partition("Example: ")[2].partition(" Arguments:")[0]
    assert samedirt("load", DEMO).code == 0
    for command in example.split(", then "):
        words = command.removeprefix("samedirt ").replace("--times 20000", "--times 200").split()
        done = samedirt(*words, "--no-chart", *([] if "--times" in words else ["--times", "100"]))
        assert done.code == 0, done.err


def test_the_json_is_plain_and_agrees_with_the_plan(samedirt: Run, tmp_path: Path) -> None:
    """One value, no NaN; shares add up; at most 2.7 % cry either way with nothing changed; no file is written."""
    plan = json.loads(samedirt("plan", "mats", *PLAN, *CHANGE, "--json").out)
    said = samedirt("rehearse", "mats", "--times", "4000", "--json")
    told = json.loads(said.out, parse_constant=no_constant)
    assert not list(tmp_path.glob("*.html"))
    nothing, at_line = told["nothing_changed"], told["at_line"]
    for one in (nothing, at_line):
        assert one["times"] == 4_000 and sum(one["shares"].values()) == pytest.approx(1.0)
    luck = 3 * nothing["standard_errors"]["better"]
    assert nothing["shares"]["better"] <= 0.027 + luck and nothing["shares"]["worse"] <= 0.027 + luck
    assert at_line["shares"]["better"] == pytest.approx(plan["chance_at_line"], abs=0.05)


def test_the_same_seed_says_the_same(samedirt: Run) -> None:
    """Twice alike; another seed, another luck."""
    samedirt("plan", "mats", *PLAN, *CHANGE)
    first, again, other = (
        samedirt("rehearse", "mats", "--times", "500", "--seed", str(seed), "--json").out for seed in (5, 5, 6)
    )
    assert first == again != other


def test_a_graded_plan_tells_how_often_each_level_is_named(samedirt: Run, tmp_path: Path) -> None:
    """The demo's four grits: a row a level, in the table, a sentence and the JSON; habits are of two set-ups."""
    assert samedirt("load", DEMO / "four-grits").code == 0
    said = samedirt("rehearse", "four-grits", "--times", "600")
    text = " ".join(said.out.split())
    assert "luck alone would call some level better" in text and "If 80 grit alone were truly worth 5 points" in text
    assert "blocks would find it 4 times in 5" in text and (tmp_path / "rehearsal-four-grits.html").exists()
    typical = (tmp_path / "typical-four-grits.html").read_text(encoding="utf-8")
    assert "SIMULATED: invented dirt, invented runs." in typical and "320 grit" in typical
    told = json.loads(samedirt("rehearse", "four-grits", "--times", "600", "--json").out)
    for column in (told["nothing_changed"], told["at_line"]):
        assert [level["level"] for level in column["levels"]] == ["320 grit", "220 grit", "120 grit", "80 grit"]
        assert sum(level["named"] for level in column["levels"]) == pytest.approx(column["shares"]["better"])
        rows = {" ".join(line.split()[:2]): line.split()[-2:] for line in said.out.splitlines() if "one to use" in line}
        at = 0 if column is told["nothing_changed"] else 1
        assert [float(rows[level["level"]][at]) for level in column["levels"]] == [
            pytest.approx(100 * level["named"], abs=0.06) for level in column["levels"]
        ]
    assert told["nothing_changed"]["shares"]["better"] < 0.06
    habits = samedirt("rehearse", "four-grits", "--habit", "all")
    assert habits.code == 2 and "has 5 set-ups, and the habits are of comparing two" in habits.err


def test_an_early_look_is_rehearsed_too(samedirt: Run) -> None:
    """How many trials it would end, and the pairs run on average."""
    samedirt("plan", "mats", *PLAN, *CHANGE, "--look", "4")
    text = " ".join(samedirt("rehearse", "mats", "--times", "500", "--no-chart").out.split())
    assert "the early look after pair 4 would end" in text and "pairs are run" in text


def test_a_plan_that_finds_its_line_seldom_is_told_what_else(samedirt: Run) -> None:
    """More pairs where a plan holds enough of them, with their number; else another way alone: so at 60 pairs."""
    samedirt("plan", "mats", *PLAN, *CHANGE, "--worth-having", "3 points")
    needed = json.loads(samedirt("plan", "mats", "--json").out)["pairs_needed"]
    text = " ".join(samedirt("rehearse", "mats", "--times", "500", "--no-chart").out.split())
    assert f"{needed} pairs would find it 4 times in 5; or another way may: samedirt plan mats --ways" in text
    for pairs in ("8", "60"):
        samedirt("plan", "mats", "--worth-having", "1 point", "--pairs", pairs, "--set", "lot.mass=1200 kg")
        text = " ".join(samedirt("rehearse", "mats", "--times", "200", "--no-chart").out.split())
        assert "Another way to measure it may find it more often: samedirt plan mats --ways" in text
        assert "pairs would find it" not in text


def test_a_check_has_nothing_at_a_line(samedirt: Run) -> None:
    """A nothing-changed check without a line: one column."""
    plan = [word for word in PLAN if word not in ("--worth-having", "5 points")]
    samedirt("plan", "twins", *plan)
    said = samedirt("rehearse", "twins", "--times", "500", "--no-chart")
    assert said.code == 0 and "No line is set, so no change worth having was rehearsed." in " ".join(said.out.split())


@pytest.mark.parametrize(
    ("flags", "says"),
    [
        ([*CHANGE, "--set", "sizes.series=ASTM", "--set", "sizes.main=-100"], "is judged on -100 alone, and simulated"),
        ([*CHANGE, "--set", "guess.gold="], "says nothing of the gold in the dirt; guess it in the plan"),
    ],
)
def test_what_can_not_be_rehearsed_is_refused(flags: list[str], says: str, samedirt: Run) -> None:
    """Exit 2, with what to do."""
    assert samedirt("plan", "mats", *PLAN, *flags).code == 0
    said = samedirt("rehearse", "mats", "--times", "500")
    assert said.code == 2 and says in said.err and said.out == ""


def test_numbers_out_of_range_and_unknown_names_are_refused(samedirt: Run) -> None:
    """Under 100 times, a seed under 0, no such trial."""
    samedirt("plan", "mats", *PLAN, *CHANGE)
    assert samedirt("rehearse", "mats", "--times", "5").code == 2
    assert samedirt("rehearse", "mats", "--seed", "-1").code == 2
    said = samedirt("rehearse", "nope")
    assert said.code == 2 and "no trial named 'nope'" in said.err
