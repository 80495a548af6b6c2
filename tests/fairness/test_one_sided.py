"""Small things that lean to one side: fed masses, missing grains, a plan changed on the way, a bucket not split."""

from datetime import date
from typing import Any

from schemas import Amendment, Held, Lot, Run, Sizes
from tests.fairness.asking import by_arm, everywhere, found, good, one, traced, weighed, with_of
from tests.tables import every
from tests.verdicts.cases import counts, trial


def fed(changed: float, runs: list[Run]) -> list[Run]:
    """Baseline halves of 100 g; changed halves of so many."""
    return by_arm(runs, {"fed_g": 100.0}, {"fed_g": changed})


@every(
    ("changed", "severity"),
    [(101.5, "ok"), (101.52, "NOTE"), (98.5, "NOTE"), (98.53, "ok"), (105.1, "WEAKENS"), (105.2, "WEAKENS")],
)
def test_halves_that_lean(changed: float, severity: str) -> None:
    """A mean gap over 1.5 % of the mean of the halves: 101.5 to 100 is 1.489 %, 101.52 is 1.509 %.

    The gain is 4.9 %: a lean of 5 % could make all of it.
    """
    assert one("like-halves", trial("gold_mass"), fed(changed, weighed()))[0] == severity


def test_halves_that_lean_are_told_in_words() -> None:
    """Which arm, by how much, and what to do."""
    said = (
        "The halves of the baseline arm were 3 % heavier on the whole, and so in 6 of 6 pairs, which luck alone does about "
        "1 time in 32. They hold as much more gold. Re-split by weight."
    )
    assert one("like-halves", trial("grain_counts"), fed(97.0, counts([(30, 40)] * 6))) == ("NOTE", said)


def test_gaps_to_both_sides_are_no_lean() -> None:
    """4 % to one side in three pairs and to the other in three more."""
    runs = [
        r.model_copy(update={"fed_g": 104.0 if (r.pair % 2 == 0) == (r.arm == "changed") else 100.0}) for r in weighed()
    ]
    assert one("like-halves", trial("gold_mass"), runs)[0] == "ok"


@every("measure", ["recovery", "tracers"])
def test_a_share_does_not_mind_a_lean(measure: str) -> None:
    """Recovery and tracers are shares of what each run was fed."""
    runs = good() if measure == "recovery" else traced()
    assert one("like-halves", trial(measure), fed(104.0, runs))[0] == "ok"


def test_two_pairs_are_too_few_to_lean() -> None:
    """From 3 pairs, and of 3 or 4 the lean has to be twice as large."""
    runs = fed(104.0, weighed())
    assert one("like-halves", trial("gold_mass", pairs=2), runs[:4])[0] == "ok"
    assert one("like-halves", trial("gold_mass", pairs=3), runs[:6])[0] == "WEAKENS"
    assert one("like-halves", trial("gold_mass", pairs=3), fed(102.9, weighed())[:6])[0] == "ok"


def missing(baseline: int, changed: int) -> list[Run]:
    """100 tracers a run, so many of each arm's runs missing."""
    lost = {"baseline": baseline, "changed": changed}
    return [r.model_copy(update={"in_tails": 100 - lost[r.arm] - (r.kept or 0)}) for r in traced()]


def test_grains_missing_from_one_arm() -> None:
    """9 of 100 in one arm and none in the other are 4.5 % in all, and a difference by themselves."""
    said = (
        "54 of 600 baseline grains and 0 of 600 of the other arm unaccounted (over 5 %, our default). Pan hoses and "
        "mat; shown as missing, not lost."
    )
    assert one("grains-home", trial("tracers"), missing(9, 0)) == ("WEAKENS", said)
    assert one("grains-home", trial("tracers"), missing(0, 6))[0] == "WEAKENS"
    assert one("grains-home", trial("tracers"), missing(5, 5))[0] == "ok"


def test_which_arm_lacks_grains_is_not_told_before_the_end() -> None:
    """It tells who leads."""
    under_way = trial("tracers", pairs=8)
    assert one("grains-home", under_way, missing(9, 0))[0] == "ok"
    assert one("grains-home", under_way, missing(9, 5))[1].startswith("84 of 1,200 grains")


UNSPLIT = Lot(kind="natural", splitting="none")


@every(
    ("lot", "severity", "words"),
    [
        ({"size": "-50"}, "WEAKENS", "Not split: heavies lie at the bottom, fine ones too. Use a riffle splitter"),
        ({"size": "-30"}, "WEAKENS", "Not split: heavy grains fall unevenly (sizes over 0.3 mm, our default). Use"),
        ({"size": "-50", "splitting": "level scoops"}, "ok", ""),
    ],
)
def test_a_bucket_that_was_not_split(lot: dict[str, Any], severity: str, words: str) -> None:
    """Top half against bottom half is no pair, however fine the gold."""
    plan = trial("gold_mass", lots=(UNSPLIT.model_copy(update=lot),), sizes=Sizes(series="ASTM"))
    said = one("split-tool", plan, weighed())
    assert said[0] == severity and said[1].startswith(words)


def amended(what: str, was: str, now: str, when: date) -> Amendment:
    """A change of the plan."""
    return Amendment(when=when, what=what, was=was, now=now, why="a hunch")


FIRST = date(2026, 5, 3)
DATED = everywhere(good(), session="2026-05-03 am")


@every(
    ("what", "was", "now", "when", "severity", "words"),
    [
        ("measure", "gold_mass", "recovery", date(2026, 5, 2), "ok", ""),
        (
            "measure", "gold_mass", "recovery", FIRST, "WEAKENS",
            "Measure was changed from gold_mass to recovery on the day of the first run. A hunch only; plan a new trial.",
        ),
        ("worth_having", "3", "1", date(2026, 5, 5), "WEAKENS", "Worth_having was changed from 3 to 1 2 days after the"),
        ("pairs", "8", "6", date(2026, 5, 4), "WEAKENS", "Pairs was changed from 8 to 6 1 day after the first run."),
        ("look_after", "none", "4", date(2026, 5, 4), "WEAKENS", "Look_after was changed from none to 4 1 day after"),
        ("pairs", "4", "6", FIRST, "NOTE", "Pairs was changed from 4 to 6 on the day of the first run. Fix it before"),
        ("limits.minutes", "1.2", "2", date(2026, 5, 9), "NOTE", "Limits.minutes was changed from 1.2 to 2 6 days after"),
    ],
)  # fmt: skip
def test_a_plan_changed_after_the_first_run(
    what: str, was: str, now: str, when: date, severity: str, words: str
) -> None:
    """What decides weakens; limits of costs, and pairs raised in time, are small print."""
    plan = trial(locked=date(2026, 5, 1), amended=(amended(what, was, now, when),))
    said = one("plan-first", plan, DATED)
    assert said[0] == severity and said[1].startswith(words)


def test_a_change_is_told_without_a_lock_too() -> None:
    """The day of the lock is one thing, and changes after the first run another."""
    change = amended("measure", "gold_mass", "recovery", date(2026, 5, 5))
    assert one("plan-first", trial(amended=(change,)), DATED)[0] == "WEAKENS"
    late = found("plan-first", trial(locked=date(2026, 5, 4), amended=(change,)), DATED)
    assert [finding.severity for finding in late] == ["WEAKENS", "WEAKENS"]
    assert one("plan-first", trial(amended=(change,)), good()) == ("not recorded", "Plan date not known.")


def test_what_was_to_be_held_and_was_not_read() -> None:
    """A setting of the plan that no run has on record, and a feeder nobody wrote down, are told as not recorded."""
    plan = trial(held=Held(pitch_deg=4.0, water_l_min=8.0))
    runs = good(water_l_min=8.0)
    said = "Not on record for any run: pitch and who fed; what was read agrees."
    assert one("one-change", plan, runs) == ("not recorded", said)
    assert one("one-change", plan, with_of(everywhere(runs, feeder="A"), 1, "baseline", pitch_deg=4.0))[0] == "ok"
    assert one("one-change", plan, by_arm(runs, {"rpm": 10.0}, {"rpm": 20.0}))[0] == "STOP"
