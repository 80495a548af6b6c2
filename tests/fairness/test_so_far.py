"""Before the planned end no check tells which set-up a run belongs to."""

import re

import pytest

from schemas import Run, Scales, Trial
from tests.fairness.asking import by_arm, everywhere, good, traced, weighed, with_of
from tests.fairness.test_messages import TABLE, Tripped
from tests.tables import every
from tests.verdicts.cases import masses, trial
from trials.fairness.checklist import CHECKS, judge_all
from trials.fairness.evidence import gather
from trials.fairness.so_far import findings_so_far, swapped
from trials.verdicts.reach import reach_verdict
from trials.verdicts.spoken import void_words

ARM_WORDS = re.compile(r"\b(changed|baseline|repeat|unchanged|looped|ribbed)\b", re.IGNORECASE)
MORE = 3


def unfinished(plan: Trial) -> Trial:
    """The same plan with more pairs to come."""
    return plan.model_copy(update={"pairs": plan.pairs + MORE, "look_after": None})


@pytest.mark.parametrize("case", TABLE, ids=lambda case: case.check)
def test_every_message_is_the_same_with_the_arms_swapped(case: Tripped) -> None:
    """Each check as its own tests trip it, in a trial that is not at its end."""
    plan = unfinished(case.plan)
    if gather(plan, case.runs).ended:
        pytest.skip("speaks at the end alone")
    told = findings_so_far(plan, case.runs)
    assert told == findings_so_far(plan, swapped(plan, case.runs))
    for finding in told:
        assert not ARM_WORDS.search(finding.message), finding.message


@every("case", TABLE, ids=lambda case: case.check)
def test_with_the_arms_left_out_no_value_tells_one(case: Tripped) -> None:
    """What is put into words then holds no arm at all, at the end or before it; nor does the order of the values."""
    (check,) = [one for one in CHECKS if one.name == case.check]
    for plan in (case.plan, unfinished(case.plan)):
        for remark in check.answers(gather(plan, case.runs)):
            left = remark.without_arms()
            assert not ARM_WORDS.search(repr(left.values)), left
            assert left == left.without_arms()


@pytest.mark.parametrize("case", [case for case in TABLE if case.check != "control-there"], ids=lambda case: case.check)
def test_a_verdict_before_the_planned_end_names_no_arm(case: Tripped) -> None:
    """Not in its sentence, its findings or its voids. That an unchanged half is missing is told, for it stops."""
    plan = unfinished(case.plan)
    if gather(plan, case.runs).ended:
        pytest.skip("speaks at the end alone")
    for runs in (case.runs, swapped(plan, case.runs)):
        verdict = reach_verdict(plan, runs)
        said = [
            verdict.sentence,
            *verdict.more,
            *map(void_words, verdict.voids),
            *(one.message for one in verdict.checks),
        ]
        assert not ARM_WORDS.search(" ".join(said)), said
        assert all(pair.first is None for pair in verdict.pair_results)


def test_a_verdict_at_an_early_look_tells_the_arms() -> None:
    """It is the verdict then, though pairs were still planned."""
    halves = [(100, 130), (98, 127), (101, 133), (99, 128), (102, 131)]
    plan = trial("gold_mass", pairs=8, look_after=5, scales=Scales(gold_g=0.001))
    runs = by_arm(masses(halves), {"minutes": 10.0}, {"minutes": 20.0})
    verdict = reach_verdict(plan, runs)
    (rhythm,) = [one for one in verdict.checks if one.check == "feed-rhythm"]
    assert verdict.code == "better" and rhythm.message.startswith("The changed gear was fed 50 % slower")


@pytest.mark.parametrize("case", TABLE, ids=lambda case: case.check)
def test_at_the_planned_end_nothing_is_held_back(case: Tripped) -> None:
    """The findings are those of the verdict then."""
    evidence = gather(case.plan, case.runs)
    if evidence.ended:
        assert findings_so_far(case.plan, case.runs) == judge_all(evidence)


@every(
    ("check", "runs", "severity", "says"),
    [
        ("one-change", by_arm(good(), {"pitch_deg": 5.5}, {"pitch_deg": 4.0}), "STOP", "4 against 5.5 deg"),
        ("one-change", by_arm(good(), {"feeder": "B"}, {"feeder": "A"}), "STOP", "A against B"),
        (
            "feed-rhythm",
            by_arm(good(), {"minutes": 10.0}, {"minutes": 20.0}),
            "WEAKENS",
            "One set-up was fed slower, 1.05 against 2.1 kg/h",
        ),
        (
            "steady-water",
            by_arm(
                good(), {"water_l_min": 10.0, "water_end_l_min": 10.0}, {"water_l_min": 8.0, "water_end_l_min": 8.0}
            ),
            "WEAKENS",
            "One set-up had less water, 8 against 10 L/min",
        ),
        (
            "soap-and-cloud",
            by_arm(good(), {"wetting_drops_10l": 0.0}, {"wetting_drops_10l": 4.0}),
            "WEAKENS",
            "Wetting aid was in one set-up only, 4 drops in 10 L.",
        ),
    ],
)
def test_what_has_to_be_mended_is_still_told(check: str, runs: list[Run], severity: str, says: str) -> None:
    """With its numbers, the smaller first, and its remedy."""
    (found,) = [one for one in findings_so_far(unfinished(trial()), runs) if one.check == check]
    assert found.severity == severity and says in found.message, found.message


def test_a_strike_after_weighing_does_not_tell_whose_it_was() -> None:
    """One run struck with its gold known is small print, and names no arm."""
    runs = with_of(weighed(), 3, "changed", void="spill", void_gold_known=True, tag="HTK")
    plan = unfinished(trial("gold_mass", spares=1))
    (found,) = [one for one in findings_so_far(plan, runs) if one.check == "voids-even"]
    assert found.severity == "NOTE" and not ARM_WORDS.search(found.message), found.message
    assert found == next(one for one in findings_so_far(plan, swapped(plan, runs)) if one.check == "voids-even")


def test_a_half_that_is_missing_is_no_stop_before_the_end() -> None:
    """Whether it was the unchanged one is not told; that the run is to be made is told by what is missing."""
    runs = [run for run in good() if run.key != (2, "baseline")]
    plan = unfinished(trial())
    assert all(one.severity == "ok" for one in findings_so_far(plan, runs) if one.check == "control-there")
    assert any(one.severity == "STOP" for one in judge_all(gather(plan, runs)) if one.check == "control-there")


@every("runs", [good(), weighed(), traced(), everywhere(good(), minutes=9.0, temp_c=11.0)])
def test_swapping_twice_is_not_swapping(runs: list[Run]) -> None:
    """And changes nothing but the arm."""
    plan = trial()
    assert swapped(plan, swapped(plan, runs)) == runs
    for run, other in zip(runs, swapped(plan, runs), strict=True):
        assert run.arm != other.arm and run.model_copy(update={"arm": other.arm}) == other
