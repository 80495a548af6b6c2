"""slip and look-again: just before the threshold, just past it, and what a person said of it."""

from schemas import Gear, Held, Lot, Run, Scales
from tests.fairness.asking import everywhere, found, one, traced, weighed, with_of
from tests.tables import every
from tests.verdicts.cases import counts, trial
from trials.records.doubts import doubts_of

MILLIGRAM = Scales(gold_g=0.001)


@every(
    ("gold_mg", "more", "severity"),
    [
        (99.0 * 50, {}, "ok"),  # the middle of the others, 98, 101, 99, 103 and 97, is 99
        (99.0 * 50.1, {}, "STOP"),
        (99.0 / 50, {}, "ok"),
        (99.0 / 50.1, {}, "STOP"),
        (0.0, {}, "ok"),
        (6000.0, {"largest_mg": 5900.0}, "ok"),
        (6000.0, {"largest_mg": 900.0}, "STOP"),
        (0.1, {"as_typed": "gold_mg"}, "ok"),
    ],
)
def test_a_run_far_from_the_middle_of_its_arm(gold_mg: float, more: dict, severity: str) -> None:
    """Over 50 times either way, but for a piece weighed by itself, and what was looked at again and stands."""
    runs = with_of(weighed(), 1, "baseline", gold_mg=gold_mg, **more)
    assert one("slip", trial("gold_mass", scales=MILLIGRAM), runs)[0] == severity


def test_a_slip_is_stopped_with_its_way_back_and_no_arm_before_the_end() -> None:
    """The run is named by its tag; before the planned end the pair, and held against all runs alike."""
    plan = trial("gold_mass", scales=MILLIGRAM)
    runs = with_of(weighed(), 2, "changed", gold_mg=0.103, tag="HTK")
    words = one("slip", plan, runs)[1]
    assert words.startswith("Run HTK has 0.103 mg, over 50 times from the middle of the other runs of its set-up")
    assert f"samedirt enter {plan.name} HTK --set as_typed=gold_mg" in words
    before = one("slip", plan, [run for run in runs if run.pair < 6])
    assert before[0] == "STOP" and "HTK" not in before[1] and "set-up" not in before[1]
    assert before[1].startswith("A run of pair 2 has 0.103 mg, over 50 times from the middle of the other runs (our")


def test_two_runs_of_an_arm_have_no_middle() -> None:
    """With one other there is nothing to tell which of the two slipped."""
    assert one("slip", trial("grain_counts", 2), counts([(1, 2), (200, 3)]))[0] == "ok"
    assert one("slip", trial("grain_counts", 3), counts([(2, 2), (200, 3), (3, 2)]))[0] == "STOP"


@every(
    ("changes", "severity", "words"),
    [
        ({"black_sand_g": 350.0}, "ok", ""),
        ({"black_sand_g": 351.0}, "WEAKENS", "black_sand_g: 351 g is more than the 350 g of dirt fed"),
        ({"concentrate_g": 95_000.0}, "WEAKENS", "concentrate_g: 95 kg is more than the 350 g of dirt fed"),
        ({"cleanup_minutes": 240.0}, "ok", ""),
        ({"cleanup_minutes": 400.0}, "NOTE", "cleanup_minutes: 400 min is over 4 hours for one clean-up"),
        ({"fed_g": 0.001}, "NOTE", "fed_g: 0.001 g is less than any charge, 10 g or more"),
        ({"minutes": 95.0}, "ok", ""),
        ({"minutes": 95.1}, "NOTE", "minutes: 95.1 min is far from the other runs, which have 9.5 min"),
        ({"minutes": 95.1, "as_typed": "minutes"}, "ok", ""),
        ({"session": "2026-05-03 pm", "minutes": 16.0, "typed": {"minutes": "9:05 9:21"}}, "NOTE",
         "minutes: it began at 9:05, and the session is 2026-05-03 pm"),
        ({"session": "2026-05-03 pm", "minutes": 16.0, "typed": {"minutes": "2:05 2:21"}}, "ok", ""),
        ({"session": "2026-05-03 am", "minutes": 16.0, "typed": {"minutes": "9:05 9:21"}}, "ok", ""),
        ({"session": "2026-05-03 am", "minutes": 16.0, "typed": {"minutes": "14:05 14:21"}}, "NOTE",
         "minutes: it began at 14:05, and the session is 2026-05-03 am"),
    ],
)  # fmt: skip
def test_what_can_not_be_or_is_unlike_the_rest_is_told(changes: dict, severity: str, words: str) -> None:
    """Sums that can't be weaken; what is only unlikely is small print."""
    plan, runs = trial("tracers", lots=(Lot(kind="made up"),)), everywhere(traced(), minutes=9.5, fed_g=350.0)
    said = one("look-again", plan, with_of(runs, 2, "changed", **changes))
    assert said[0] == severity and words in said[1]


def test_a_lot_gives_no_more_than_it_has() -> None:
    """Told once, at the run that passes it: six runs of 10 kg out of 1 kg; a tenth more may be its water."""
    runs = everywhere(weighed(), fed_g=10_000.0)
    plan = trial("gold_mass", scales=MILLIGRAM, lots=(Lot(kind="natural", mass_g=1_000.0),))
    said = one("look-again", plan, runs)
    assert said[0] == "WEAKENS" and "fed_g: 10 kg makes 10 kg fed of a lot of 1 kg" in said[1]
    assert found("look-again", plan, runs)[0].pairs == (1,)
    enough = trial("gold_mass", scales=MILLIGRAM, lots=(Lot(kind="natural", mass_g=110_000.0),))
    assert one("look-again", enough, runs)[0] == "ok"


@every(
    ("own", "others", "asked"),
    [
        ({"gold_mg": 0.236}, [], "0.236 mg is under one step of your scale (1 mg). Did you mean 0.236 g?"),
        ({"gold_mg": 1.0}, [], ""),
        ({"gold_mg": 0.236}, [220.0, 231.0], "0.236 mg is under one step of your scale (1 mg). Did you mean 0.236 g?"),
        ({"gold_mg": 21.9}, [219.0, 231.0],
         ""),
        ({"gold_mg": 21.8}, [219.0, 231.0],
         "21.8 mg is far from the other runs, which have 219 to 231 mg. Did you mean 218 mg?"),
        ({"gold_mg": 21.8}, [219.0], ""),  # one run before tells nothing
        ({"gold_mg": 2311.0}, [219.0, 231.0],
         "2,311 mg is far from the other runs, which have 219 to 231 mg. Did you mean 231.1 mg?"),
        ({"gold_mg": 2311.0, "largest_mg": 2100.0}, [219.0, 231.0], ""),
        ({"gold_mg": 0.0}, [219.0, 231.0], ""),
        ({"black_sand_g": 0.0062}, [], "0.0062 g is under one step of your scale (0.1 g). Did you mean 0.0062 kg?"),
        ({"gold_mg": 40.0, "dry": False}, [],
         "the gold was weighed wet, and water weighs as gold; dry it and weigh again. Is that so?"),
        ({"fed_g": 110_000.0}, [], "110 kg is far from the 10 kg that was planned. Did you mean 11 kg?"),
    ],
)  # fmt: skip
def test_what_is_asked_of_a_run_when_it_is_typed(own: dict, others: list[float], asked: str) -> None:
    """Under a step of its scale; ten times from the runs before, from two on; far from the plan; wet."""
    plan = trial(
        "gold_mass", scales=Scales(gold_g=0.001, sand_g=0.1), held=Held(charge_g=10_000.0), gear=Gear(kind="sluice")
    )
    before = [Run(pair=at, arm="baseline", gold_mg=mass) for at, mass in enumerate(others, start=1)]
    doubts = doubts_of(plan, Run(pair=3, arm="changed", **own), before, at_the_table=True)
    assert [doubt.asks for doubt in doubts] == ([asked] if asked else [])
