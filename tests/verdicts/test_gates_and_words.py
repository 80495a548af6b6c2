import json
import math

import pytest

from schemas import Correction, Gate, Gear, Limits, Lot, Run, Scales, Trial, VoidRun
from schemas.trial import Amendment
from tests.verdicts.cases import counts, masses, recovery_runs, run, trial
from trials.verdicts.reach import reach_verdict

GOOD = (2.1, 3.4, 3.0, 2.2, 1.5, 2.6)


def word(verdict: object) -> tuple[str, str | None]:
    """Code and last word."""
    return verdict.code, verdict.last_word  # type: ignore[attr-defined]


def test_blocked_stands_before_incomplete() -> None:
    """A stop is told even while pairs are missing: changed halves alone are no trial."""
    runs = [run(pair, "changed", gold_mg=85.0, tails_gold_mg=15.0) for pair in (1, 2, 3)]
    verdict = reach_verdict(trial(), runs)
    assert word(verdict) == ("blocked", "retest")
    assert verdict.sentence == (
        "No verdict: no unchanged half in pairs 1 and 2. Any second pass finds gold; run the other half unchanged."
    )
    assert verdict.answer.estimate is verdict.answer.interval is verdict.answer.p is None


def test_incomplete_tells_no_number() -> None:
    """No mean, interval, word or run is shown before the planned pairs are in."""
    verdict = reach_verdict(trial(), recovery_runs(GOOD[:4]))
    assert word(verdict) == ("incomplete", "retest")
    assert verdict.sentence == "Not finished: 4 of 6 planned pairs. The call waits for pairs 5 and 6."
    assert verdict.answer == Gate()
    assert all(pair.baseline is None and pair.difference is None for pair in verdict.pair_results)


def test_the_swap_of_arms_does_not_show_before_the_end() -> None:
    """Whoever leads, an unfinished verdict reads the same."""
    plan = trial()
    one = reach_verdict(plan, recovery_runs(GOOD[:4]))
    other = reach_verdict(plan, recovery_runs([-g for g in GOOD[:4]]))
    assert one == other


def test_two_pairs_are_too_few() -> None:
    """One or two pairs answer nothing; the runs are listed."""
    verdict = reach_verdict(trial(pairs=2), recovery_runs(GOOD[:2]))
    assert word(verdict) == ("too_few", "retest")
    assert [pair.baseline for pair in verdict.pair_results] == [80.0, 80.0]


def test_better_by_at_least_the_line() -> None:
    """The whole interval past the line says so, and with costs within the word is keep."""
    runs = recovery_runs(GOOD, black_sand_g=10.0, minutes=10.0)
    verdict = reach_verdict(trial(worth_having=1.0, scales=Scales(gold_g=0.001, sand_g=0.1)), runs)
    assert word(verdict) == ("better", "keep")
    assert verdict.sentence.endswith("6 pairs, surely past your 1-point line.")


def test_better_without_a_line_is_your_call() -> None:
    """No line, no keep."""
    verdict = reach_verdict(trial(), recovery_runs(GOOD, black_sand_g=10.0, minutes=10.0))
    assert word(verdict) == ("better", "your call")
    assert "no line was set" in verdict.sentence


@pytest.mark.parametrize(
    ("cost", "status", "last"),
    [({"black_sand_g": 20.0, "minutes": 10.0}, "over", "your call"), ({"minutes": 10.0}, "not recorded", "your call")],
)
def test_better_with_a_cost_is_your_call(cost: dict[str, float], status: str, last: str) -> None:
    """A cost over its limit, or not recorded, leaves the call to the person."""
    runs = []
    for one in recovery_runs(GOOD, black_sand_g=10.0 if "black_sand_g" in cost else None, minutes=10.0):
        runs.append(one.model_copy(update=cost) if one.arm == "changed" else one)
    verdict = reach_verdict(trial(worth_having=1.0), runs)
    assert word(verdict) == ("better", last)
    assert verdict.costs[0].status == status
    assert ("with a cost" in verdict.sentence) == (status == "over")


def test_worse_is_reverted() -> None:
    """Less gold beyond luck."""
    verdict = reach_verdict(trial(worth_having=1.0), recovery_runs([-g for g in GOOD]))
    assert word(verdict) == ("worse", "revert")
    assert verdict.sentence == "Worse beyond luck: -2.5 points (-3.2 to -1.8), 6 pairs."


@pytest.mark.parametrize(
    ("gains", "last", "start"),
    [
        ((0.3, -0.2, 0.1, -0.3, 0.2, 0.0), "your call", "No difference worth having: +0.02 points (-0.23 to +0.26)"),
        ((0.3, 0.4, 0.5, 0.3, 0.4, 0.5), "your call", "Real but small: +0.40 points"),
        ((-0.3, -0.4, -0.5, -0.3, -0.4, -0.5), "revert", "Real but small: -0.40 points"),
    ],
)
def test_no_difference_and_the_small_ones(gains: tuple[float, ...], last: str, start: str) -> None:
    """Inside the line: plain, a small gain, a small loss."""
    verdict = reach_verdict(trial(worth_having=1.0), recovery_runs(gains))
    assert word(verdict) == ("no_difference", last)
    assert verdict.sentence.startswith(start)


def test_same_gold_and_quicker_is_kept() -> None:
    """No difference, none over, and minutes lower beyond luck."""
    quick = (3.1, 2.9, 3.0, 3.2, 2.8, 3.0)
    runs = [
        one.model_copy(update={"cleanup_minutes": quick[one.pair - 1] if one.arm == "changed" else 5.0})
        for one in recovery_runs((0.3, -0.2, 0.1, -0.3, 0.2, 0.0), minutes=5.0)
    ]
    verdict = reach_verdict(trial(worth_having=1.0), runs)
    assert word(verdict) == ("no_difference", "keep")
    assert (
        verdict.last_word_why
        == "at most 0.23 points less of the gold, inside your 1-point line, and 20 % fewer minutes"
    )


@pytest.mark.parametrize(
    ("share", "limits", "last"),
    [
        (0.97, None, "your call"),
        (0.92, None, "your call"),
        (0.88, None, "keep"),
        (0.92, Limits(saving_percent=5), "keep"),
    ],
)
def test_a_saving_counts_from_a_tenth(share: float, limits: Limits | None, last: str) -> None:
    """Less sand beyond luck is no reason to change gear under 10 %, or under what the plan says."""
    runs = [
        one.model_copy(update={"black_sand_g": 100.0 * (share if one.arm == "changed" else 1.0) + one.pair % 2})
        for one in recovery_runs((0.3, -0.2, 0.1, -0.3, 0.2, 0.0), minutes=5.0)
    ]
    verdict = reach_verdict(trial(worth_having=1.0, limits=limits), runs)
    sand = verdict.costs[0]
    assert sand.high is not None and sand.high < 1
    assert word(verdict) == ("no_difference", last) and sand.saves == (last == "keep")
    assert any(line.startswith("Less black sand: ") for line in verdict.more) == sand.saves


def test_costs_that_could_save_share_their_luck() -> None:
    """Of two, each has the limit of 97.5 %, one side: t for 5 df is 2.571, from any table, where one alone has 2.015."""
    logs = (0.10, -0.35, 0.02, -0.28, -0.30, -0.06)  # mean -.145, SD .1891: to -.145 + .0772 t
    made = [
        one.model_copy(update={"black_sand_g": 50.0 * math.exp(logs[one.pair - 1]) if one.arm == "changed" else 50.0})
        for one in recovery_runs((0.3, -0.2, 0.1, -0.3, 0.2, 0.0))
    ]
    alone, both = (
        reach_verdict(trial(worth_having=1.0), [one.model_copy(update=more) for one in made]).costs[0]
        for more in ({}, {"minutes": 10.0})
    )
    assert alone.high == both.high == pytest.approx(math.exp(-0.145 + 0.0772 * 2.015), rel=1e-3)
    assert both.high > 1 and not both.saves and not alone.saves
    wide = [
        one.model_copy(update={"black_sand_g": (one.black_sand_g or 0) * (0.97 if one.arm == "changed" else 1)})
        for one in made
    ]
    alone, both = (
        reach_verdict(trial(worth_having=1.0), [one.model_copy(update=more) for one in wide]).costs[0]
        for more in ({}, {"minutes": 10.0})
    )
    assert alone.high == both.high and both.high < 1, "beyond luck by itself"
    assert alone.saves and not both.saves, "and not where minutes could have saved as well"


def test_clean_up_is_told_by_itself() -> None:
    """Run and clean-up stand beside their sum: 5 and 10 min against 5 and 5."""
    runs = [
        one.model_copy(update={"cleanup_minutes": 10.0 if one.arm == "changed" else 5.0 + 0.01 * one.pair})
        for one in recovery_runs(GOOD, minutes=5.0)
    ]
    verdict = reach_verdict(trial(worth_having=1.0), runs)
    (said,) = [line for line in verdict.more if " times the minutes (" in line]
    assert said.endswith("Run alone 5 min in both arms, clean-up alone from 5 to 10 min (1.99 times, 1.98 to 1.99).")
    assert [part.name for part in verdict.costs[1].parts] == ["run", "clean-up"]


def test_a_loss_in_the_tails_is_read_by_its_own_end_of_the_line() -> None:
    """A line of 20 % less lost ends at 25 % more lost, for it is symmetric in logs: 1/.8 = 1.25."""
    halves = [(1000, 1215), (1000, 1220), (1000, 1218), (1000, 1216), (1000, 1221), (1000, 1217)]
    verdict = reach_verdict(
        trial("tails_gold", worth_having=20.0, scales=Scales(gold_g=0.0001)), masses(halves, "tails_gold_mg")
    )
    assert verdict.sentence == (
        "Real but small: 21.78 % more gold lost than ribbed (21.54 to 22.03), 6 pairs, inside your 20 % line (-20.00 to "
        "+25.00 %)."
    )


@pytest.mark.parametrize("gains", [(0.3, 0.4, 0.5, 0.3, 0.4, 0.5), (0.6, 0.7, 0.9, 0.6, 0.7, 0.9)])
def test_a_gain_under_the_line_is_nobodys_keep(gains: tuple[float, ...]) -> None:
    """Real but small, or under the line at this scatter because the scale is coarse: both are the person's call."""
    coarse = Scales(gold_g=0.0001 if gains[0] < 0.5 else 0.0006)
    runs = recovery_runs(gains, black_sand_g=10.0, minutes=10.0)
    verdict = reach_verdict(trial(worth_having=1.0, scales=coarse), runs)
    assert word(verdict)[1] == "your call"
    assert ("under your 1-point line" in verdict.sentence) and verdict.costs[0].status == "within"


def test_none_beside_none_never_blocks() -> None:
    """Pairs in which no half found a grain say nothing, and stop nothing either."""
    verdict = reach_verdict(trial("grain_counts", pairs=8), counts([(0, 0), (0, 0), *[(30, 44)] * 3, *[(28, 41)] * 3]))
    assert verdict.code == "better" and verdict.pairs.empty == 2


def test_one_grain_a_run_is_too_few_and_says_so() -> None:
    """+67 points of one tracer a run is told as what it is."""
    kept = [(0, 1), (0, 1), (0, 0), (0, 1), (0, 1), (1, 1)]
    runs = [
        run(pair, arm, seeded=1, kept=k, in_tails=1 - k)
        for pair, both in enumerate(kept, start=1)
        for arm, k in zip(("baseline", "changed"), both, strict=True)
    ]
    verdict = reach_verdict(trial("tracers"), runs)
    assert "1 tracer grain a run is too few" in verdict.sentence
    assert verdict.last_word in ("your call", "retest")


def test_ten_times_and_more_is_told_as_times() -> None:
    """No percentage of many digits: 30 mg against 2 mg are 15 times."""
    verdict = reach_verdict(
        trial("gold_mass", worth_having=20.0, scales=Scales(gold_g=0.0001)),
        masses([(2, 30), (2.1, 31), (1.9, 29), (2, 32), (2.2, 30), (2, 28)]),
    )
    assert verdict.sentence.startswith(
        "Better beyond luck: 15 times the gold kept of ribbed (14 to 16 times), 6 pairs, surely"
    )


def test_points_are_also_told_of_every_hundred() -> None:
    """Beyond luck, and of grains as whole ones."""
    more = reach_verdict(trial(worth_having=1.0), recovery_runs(GOOD)).more
    assert "That is about 2.5 mg more of every 100 mg." in more


def test_same_gold_at_a_cost_is_reverted() -> None:
    """No difference with a cost over its limit."""
    runs = [
        one.model_copy(update={"black_sand_g": 20.0 + one.pair if one.arm == "changed" else 10.0})
        for one in recovery_runs((0.3, -0.2, 0.1, -0.3, 0.2, 0.0))
    ]
    assert word(reach_verdict(trial(worth_having=1.0), runs)) == ("no_difference", "revert")


def test_not_settled_says_what_a_new_trial_needs() -> None:
    """An interval over zero and past the line settles nothing."""
    verdict = reach_verdict(trial(worth_having=1.0), recovery_runs((5.0, -3.0, 4.0, 1.0, -2.0, 6.0)))
    assert word(verdict) == ("not_settled", "retest")
    assert verdict.answer.pairs_for_new_trial is not None and verdict.answer.pairs_for_new_trial > 6
    assert f"A new trial would need about {verdict.answer.pairs_for_new_trial} pairs" in " ".join(verdict.more)
    tiny = reach_verdict(trial(worth_having=0.0005), recovery_runs((5.0, -3.0, 4.0, 1.0, -2.0, 6.0)))
    assert "A new trial would need more pairs than can be run, at this scatter." in tiny.more


def test_not_settled_close_to_the_line() -> None:
    """Low scatter and a gain close to the line: more pairs are not what is missing."""
    verdict = reach_verdict(
        trial(worth_having=1.0, pairs=12),
        recovery_runs((1.5, -0.9, 1.6, 0.3, 1.2, -0.6, 1.5, -0.4, 1.4, -0.6, 1.3, 0.1)),
    )
    assert verdict.code == "not_settled"
    assert any("the gain lies near your line" in line for line in verdict.more)


def test_three_different_weakenings_lean() -> None:
    """Thin record, unlike halves and split sessions: the code stays, the sentence leans, the word is retest."""
    runs = []
    for one in recovery_runs(GOOD):
        fed = 350.0 if one.arm == "baseline" else 375.0
        runs.append(
            one.model_copy(update={"fed_g": fed, "session": "2026-05-03" if one.arm == "baseline" else "2026-05-04"})
        )
    verdict = reach_verdict(trial(worth_having=1.0, knew=None), runs)
    assert verdict.code == "better" and verdict.leaning
    assert verdict.sentence.startswith("Leaning better beyond luck: +2.5 points")
    assert ", but the halves of all 6 pairs differ by up to 6.9 %, " in verdict.sentence
    assert verdict.sentence.endswith(", and 1 more thing weakens it.")
    assert verdict.last_word == "retest"


WEAK_BUT_ALIKE = (
    "no difference worth having either way, but all 6 pairs span two sessions and nothing was stripped before all 6 "
    "changed runs"
)


@pytest.mark.parametrize(
    ("gains", "faults", "ends", "last", "why"),
    [
        (
            GOOD,
            {"changed": {"stripped": False}},
            "6 pairs, surely past your 1-point line, but nothing was stripped before all 6 changed runs.",
            "your call",
            "more gold, and every limited cost is within its limit, but nothing was stripped before all 6 changed runs",
        ),
        (
            [-g for g in GOOD],
            {"changed": {"water_l_min": 22.0}},
            "6 pairs, but the changed gear had 10 % more water.",
            "your call",
            "it catches less gold, but the changed gear had 10 % more water",
        ),
        (
            (0.3, -0.2, 0.1, -0.3, 0.2, 0.0),
            {"baseline": {"session": "2026-05-04"}, "changed": {"stripped": False}},
            "line, but all 6 pairs span two sessions, and nothing was stripped before all 6 changed runs.",
            "your call",
            WEAK_BUT_ALIKE,
        ),
        (
            (5.0, -3.0, 4.0, 1.0, -2.0, 6.0),
            {"changed": {"stripped": False}},
            "6 pairs, but nothing was stripped before all 6 changed runs. Could be a loss or a good gain.",
            "retest",
            "luck could still do this",
        ),
    ],
)
def test_what_weakens_stands_in_the_headline(
    gains: list[float], faults: dict[str, dict[str, object]], ends: str, last: str, why: str
) -> None:
    """One or two things that weaken it are named, and nothing named is kept or reverted without the person's call."""
    well = {"stripped": True, "water_l_min": 20.0, "session": "2026-05-03", "minutes": 10.0, "black_sand_g": 5.0}
    runs = [one.model_copy(update=well | faults.get(one.arm, {})) for one in recovery_runs(gains)]
    verdict = reach_verdict(trial(worth_having=1.0), runs)
    assert verdict.sentence.endswith(ends)
    assert (verdict.last_word, verdict.last_word_why) == (last, why)
    assert not verdict.leaning


def test_a_spare_stands_in_for_a_void_pair() -> None:
    """Both halves of a void pair leave the sum, and the spare fills its place."""
    runs = recovery_runs((*GOOD, 2.0))
    runs[2] = runs[2].model_copy(update={"void": "spill", "void_gold_known": False})
    verdict = reach_verdict(trial(spares=1), runs)
    assert verdict.code == "better"
    assert (verdict.pairs.planned, verdict.pairs.complete, verdict.pairs.void) == (6, 6, 1)
    assert [pair.status for pair in verdict.pair_results] == ["counted", "void", *["counted"] * 5]
    assert verdict.voids == (VoidRun(pair=2, arm="baseline", why="spill", gold_known=False),)
    assert len(verdict.answer.differences) == 6


def test_a_called_spare_is_waited_for() -> None:
    """A void pair with a spare still to run leaves the trial unfinished."""
    runs = recovery_runs(GOOD)
    runs[2] = runs[2].model_copy(update={"void": "spill"})
    verdict = reach_verdict(trial(spares=1), runs)
    assert verdict.code == "incomplete"
    assert "A spare stands in for the void pair; run it." in verdict.sentence


def test_without_a_spare_the_trial_closes_short() -> None:
    """Five of six pairs: judged, and weakened."""
    runs = recovery_runs(GOOD)
    runs[2] = runs[2].model_copy(update={"void": "spill"})
    verdict = reach_verdict(trial(), runs)
    assert verdict.code == "better"
    found = next(finding for finding in verdict.checks if finding.check == "closed-short")
    assert (found.severity, found.message) == (
        "WEAKENS",
        "5 of 6 pairs: one was void and no spare was left. Plan a spare or two.",
    )


def test_pairs_past_the_plan_are_counted_and_told() -> None:
    """Two more pairs after the end weaken it."""
    verdict = reach_verdict(trial(), recovery_runs((*GOOD, 2.0, 1.0)))
    found = next(finding for finding in verdict.checks if finding.check == "extended")
    assert len(verdict.answer.differences) == 8 and found.severity == "WEAKENS"
    assert found.message.startswith("2 pairs were added after the planned end; real false alarms about 8 to 9 %.")


@pytest.mark.parametrize(
    ("when", "severity"), [("2026-05-04", "ok"), ("2026-05-05", "WEAKENS"), ("2026-05-06", "WEAKENS")]
)
def test_an_amended_number_of_pairs_counts_by_its_day(when: str, severity: str) -> None:
    """Amended before the last planned pair was in: no fault. The same day can't be told, so it is one."""
    from datetime import date

    plan = trial(
        pairs=8, amended=(Amendment(when=date.fromisoformat(when), what="pairs", was="6", now="8", why="more dirt"),)
    )
    runs = [
        one.model_copy(update={"session": f"2026-05-0{min(5, one.pair)}"}) for one in recovery_runs((*GOOD, 2.0, 1.0))
    ]
    verdict = reach_verdict(plan, runs)
    assert next(finding for finding in verdict.checks if finding.check == "extended").severity == severity


def test_an_early_look_can_stop_a_trial() -> None:
    """After the planned look, past the 99 % bar, better is said at that level; the end is at 96 %."""
    plan = trial(pairs=8, look_after=4)
    verdict = reach_verdict(plan, recovery_runs((3.0, 3.2, 3.1, 2.9)))
    assert verdict.code == "better" and verdict.answer.interval is not None
    assert verdict.answer.interval.level == 0.99
    # t(.995, 3) = 5.841: critical value at 1 % for 4 pairs (Student's table)
    assert verdict.answer.interval.high - verdict.answer.interval.low == pytest.approx(
        2 * 5.841 * verdict.answer.sd / 2, abs=1e-3
    )  # type: ignore[operator]


def test_an_early_look_that_settles_nothing_goes_on() -> None:
    """The look shows no numbers when nothing is settled, and one pair later it is past."""
    plan = trial(pairs=8, look_after=4)
    verdict = reach_verdict(plan, recovery_runs((3.0, -1.0, 2.0, 1.0)))
    assert verdict.code == "incomplete" and verdict.answer.estimate is None
    assert verdict.sentence == "Not finished: 4 of 8 planned pairs. Planned look: not settled, go on."
    later = reach_verdict(plan, recovery_runs((3.0, 3.2, 3.1, 2.9, 3.0)))
    assert later.code == "incomplete"


def test_the_end_of_a_plan_with_a_look_is_at_96_percent() -> None:
    """t(.98, 7) = 2.517: critical value at 4 % for 8 pairs (Student's table)."""
    verdict = reach_verdict(trial(pairs=8, look_after=4), recovery_runs((*GOOD, 2.0, 1.0)))
    assert verdict.answer.interval is not None and verdict.answer.sd is not None
    assert verdict.answer.interval.level == 0.96
    assert verdict.answer.interval.high - verdict.answer.interval.low == pytest.approx(
        2 * 2.517 * verdict.answer.sd / math.sqrt(8), abs=1e-3
    )


def test_equal_differences_take_the_floor() -> None:
    """All tracer differences equal: counting luck stands in for the scatter everywhere."""
    runs = [run(p, a, seeded=25, kept=k) for p in (1, 2, 3) for a, k in (("baseline", 20), ("changed", 22))]
    verdict = reach_verdict(trial("tracers", pairs=3, worth_having=3.0), runs)
    assert verdict.answer.sd == 0.0 and verdict.answer.t is None
    assert verdict.answer.interval == verdict.answer.floored
    assert verdict.code == "not_settled"


def test_equal_differences_and_no_floor_settle_nothing() -> None:
    """No scatter and no scale division: luck can't be judged."""
    verdict = reach_verdict(trial(worth_having=1.0), recovery_runs([2.0] * 6))
    assert verdict.code == "not_settled" and verdict.answer.interval is None
    assert "no scale division is known" in verdict.sentence


def test_no_difference_needs_the_floor() -> None:
    """Ten tracers that agree by chance do not show "no difference": the floor keeps it open."""
    kept = ((10, 10), (9, 10), (10, 9), (10, 10))
    runs = [
        run(p, a, seeded=10, kept=k)
        for p, both in enumerate(kept, 1)
        for a, k in zip(("baseline", "changed"), both, strict=True)
    ]
    assert reach_verdict(trial("tracers", pairs=4, worth_having=10.0), runs).code == "not_settled"


def test_an_empty_pair_is_shown_and_not_compared() -> None:
    """0 and 0 grains say nothing; the pair is run all the same."""
    verdict = reach_verdict(
        trial("grain_counts", pairs=6), counts([(12, 15), (0, 0), (7, 11), (15, 14), (9, 13), (8, 12)])
    )
    assert verdict.pairs.complete == 6 and verdict.pairs.empty == 1
    assert len(verdict.answer.differences) == 5
    assert verdict.pair_results[1].status == "empty"


def test_too_many_zeros_stop_a_ratio() -> None:
    """Over one run in five with none: no ratio can be made of them."""
    verdict = reach_verdict(trial("grain_counts"), counts([(0, 3), (2, 0), (0, 1), (4, 2), (1, 3), (2, 2)]))
    assert word(verdict) == ("blocked", "retest")
    assert "3 of 12 runs found none" in verdict.sentence


def test_a_zero_mass_needs_its_division() -> None:
    """Half a division is added to each mass where one is zero; unknown, the trial stops and says so."""
    halves = [(0, 12), (20, 25), (14, 18), (16, 17), (12, 15), (13, 19)]
    blocked = reach_verdict(trial("gold_mass"), masses(halves))
    assert blocked.code == "blocked" and "no scale division is known" in blocked.sentence
    verdict = reach_verdict(trial("gold_mass", scales=Scales(gold_g=0.001)), masses(halves))
    assert verdict.answer.differences[0] == pytest.approx(math.log(12.5 / 0.5))
    assert verdict.answer.differences[1] == pytest.approx(math.log(25.5 / 20.5))


def test_less_gold_in_the_tails_is_better() -> None:
    """Tails gold is turned round: less lost is a gain, and the sentence says so."""
    halves = [(10, 7), (12, 8), (9, 6), (11, 8), (10, 6), (13, 9)]
    verdict = reach_verdict(trial("tails_gold", worth_having=10.0), masses(halves, "tails_gold_mg"))
    assert verdict.code == "better" and (verdict.answer.estimate or 0) > 0
    assert verdict.line_typed == 10.0 and verdict.answer.worth_having == pytest.approx(-math.log(0.9))
    assert verdict.sentence.startswith("Better beyond luck: 32.6 % less gold lost than ribbed")


def twins(halves: list[tuple[int, int]], **more: object) -> tuple[Trial, list[Run]]:
    """A nothing-changed check of grain counts."""
    return trial("grain_counts", pairs=len(halves), change=None, **more), counts(halves, "repeat")


def test_a_nothing_changed_check_tells_the_scatter() -> None:
    """SD with its 95 % range (chi-square: .57 to 3.73 times for 4 pairs, recomputed), and no word to act on."""
    plan, runs = twins([(31, 40), (44, 38), (26, 30), (38, 33)])
    verdict = reach_verdict(plan, runs)
    assert word(verdict) == ("scatter", None) and verdict.answer.kind == "scatter"
    assert verdict.answer.sd_limits.low / verdict.answer.sd == pytest.approx(0.57, abs=0.005)
    assert verdict.answer.sd_limits.high / verdict.answer.sd == pytest.approx(3.73, abs=0.005)
    assert verdict.answer.alike == "not shown"
    assert verdict.sentence.startswith("Nothing changed, and pairs still differed by about")


@pytest.mark.parametrize(
    ("halves", "alike", "words"),
    [
        ([(31, 47), (44, 60), (26, 41), (38, 55)], "differ", "The two already differ: mend that first"),
        ([(310, 312), (440, 441), (260, 259), (380, 378)], "alike", "The two are alike, inside your 20 % line"),
        ([(31, 40), (44, 38), (26, 30), (38, 33)], "not shown", "Not yet shown alike"),
    ],
)
def test_twins_differ_are_alike_or_not_shown(halves: list[tuple[int, int]], alike: str, words: str) -> None:
    """The interval of the mean against zero and the line tells the three apart."""
    plan, runs = twins(halves, worth_having=20.0)
    verdict = reach_verdict(plan, runs)
    assert verdict.answer.alike == alike
    assert any(words in line for line in verdict.more)


def test_a_repeat_of_stored_tails_says_what_the_unchanged_gear_found() -> None:
    """Any second pass finds gold: the unchanged halves are named beside the changed ones."""
    plan = trial("gold_mass", lots=(Lot(kind="table tailings"),), gear=Gear(kind="finishing table"))
    verdict = reach_verdict(plan, masses([(4, 6), (4.2, 6.3), (3.9, 5.8), (4.4, 6.1), (4.1, 6.2), (3.8, 5.9)]))
    assert any(
        line.startswith("The unchanged gear found 4.07 mg of gold a run in these tails too") for line in verdict.more
    )


def test_corrections_and_amendments_are_on_the_verdict() -> None:
    """What was changed since is told."""
    from datetime import date, datetime

    amended = Amendment(when=date(2026, 5, 2), what="limits.minutes", was="1.2", now="1.3", why="slower pump")
    fixed = Correction(when=datetime(2026, 5, 9), pair=1, arm="changed", field="gold_mg", old="8", new="80", why="slip")
    verdict = reach_verdict(trial(amended=(amended,)), recovery_runs(GOOD), [fixed])
    assert verdict.amendments == (amended,) and verdict.corrections == (fixed,)


def test_our_own_limits_are_called_ours() -> None:
    """Limits that the plan does not give are printed as our defaults."""
    runs = recovery_runs(GOOD, minutes=10.0, black_sand_g=5.0)
    assert all(cost.limit_is_ours for cost in reach_verdict(trial(), runs).costs)
    assert not any(cost.limit_is_ours for cost in reach_verdict(trial(limits=Limits()), runs).costs)


def test_the_json_of_any_verdict_is_plain() -> None:
    """Every verdict is finite numbers, text and lists; nothing else gets out."""
    cases = [
        reach_verdict(trial(), recovery_runs([2.0] * 6)),
        reach_verdict(trial("grain_counts"), counts([(0, 0)] * 6)),
        reach_verdict(trial(), []),
        reach_verdict(*twins([(31, 31), (44, 44), (26, 26)])),
    ]
    for verdict in cases:
        text = json.dumps(verdict.model_dump(mode="json"), allow_nan=False)
        for key in (
            "code",
            "sentence",
            "measure",
            "scale",
            "estimate",
            "interval",
            "line_typed",
            "pairs",
            "costs",
            "checks",
            "last_word",
        ):
            assert f'"{key}"' in text
        has_numbers = verdict.answer.kind != "gate"
        assert all(
            (f'"{key}"' in text) == has_numbers for key in ("differences", "check_by_draw", "worth_having", "shown")
        )
