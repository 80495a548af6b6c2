"""A rehearsal is judged by the very engine: its trials, as runs, get the same verdict."""

import dataclasses

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from schemas import Change as Modification
from schemas import Gear, Lot, Trial
from tests.sizes import scaled
from tests.tables import every
from tests.verdicts.cases import trial as plan_of
from trials.measures.catalogue import MEASURES, measure_named
from trials.noise.situation import Situation
from trials.rehearsal import rehearsal
from trials.rehearsal.judged import ENDINGS, judge_trials
from trials.rehearsal.rehearsal import Rehearsal, Scenario, part_size, rehearse
from trials.rehearsal.simulated_trials import division_mg, simulate_readings
from trials.rehearsal.typical_trial import runs_of, simulated_trial, typical_runs, typical_trial
from trials.simulation.dirt import Dirt
from trials.simulation.gear import TrueEffect
from trials.simulation.noise_model import LOW, POOR, TYPICAL, Noise
from trials.simulation.tracers import SeededTracers
from trials.verdicts.reach import reach_verdict

NAMES = [measure.name for measure in MEASURES]
LINES = {"recovery": 3.0, "tracers": 3.0, "gold_mass": 20.0, "grain_counts": 20.0, "tails_gold": 30.0}
SITUATIONS = {
    "low": Situation(noise=LOW, tracers=SeededTracers(100)),
    "typical": Situation(tracers=SeededTracers(25, (3, 6))),
    "poor": Situation(noise=POOR, tracers=SeededTracers(10)),
    "lean": Situation(dirt=Dirt(gold_mg=2, size_set="coarse"), tracers=SeededTracers(3, (9,))),
    "a few grains": Situation(dirt=Dirt(gold_mg=0.3, size_set="coarse"), tracers=SeededTracers(4, (9,))),
    "lean and poor": Situation(dirt=Dirt(gold_mg=9), noise=POOR, tracers=SeededTracers(2)),
    "next to nothing": Situation(dirt=Dirt(gold_mg=0.002, size_set="fine"), tracers=SeededTracers(1)),
    "a scale that does not round": Situation(dirt=Dirt(gold_mg=1, size_set="coarse"), noise=Noise(scale_sd_g=0.001)),
    "no luck but the grains'": Situation(dirt=Dirt(90, grain_cv=0.0), noise=Noise(), tracers=SeededTracers(5, (0,))),
    "unlike halves": Situation(dirt=Dirt(90, fed_cv=0.05), tracers=SeededTracers(50)),
}


def plan_for(tried: Rehearsal, worth_having: float | None) -> Trial:
    """The plan that was rehearsed, with the scale of its noise."""
    division = tried.scenario.situation.noise.scale_division_g
    scales = {"scales": {"gold_g": division}} if division else {}
    scenario = tried.scenario
    return plan_of(
        scenario.measure, scenario.pairs, worth_having=worth_having, look_after=scenario.look_after, **scales
    )


def same_ending(trial: Trial, tried: Rehearsal, number: int) -> str:
    """Hold a trial of a rehearsal against the verdict on its runs; give its ending."""
    simulated = simulated_trial(tried, number)
    runs = runs_of(trial, tried, simulated)
    verdict = reach_verdict(trial, runs)
    assert verdict.code == simulated.ending
    if np.isfinite(tried.means[number]):
        assert verdict.answer.estimate == pytest.approx(tried.means[number], rel=1e-12, abs=1e-12)
    if trial.look_after is not None and not simulated.at_look:
        so_far = reach_verdict(trial, [run for run in runs if run.pair <= trial.look_after])
        assert so_far.code in ("incomplete", "blocked")
    return simulated.ending


@pytest.mark.parametrize("name", NAMES)
@every(("pairs", "look_after", "shift"), [(3, None, 0.0), (6, None, 0.5), (7, 4, 1.5), (8, 4, -0.7)])
@every("where", SITUATIONS)
def test_every_trial_of_a_rehearsal_gets_the_same_verdict(name, pairs, look_after, shift, where):
    """All five measures, with and without a line and a look, zeros and empty pairs among them."""
    worth_having = LINES[name] if pairs != 6 else None
    line = None if worth_having is None else measure_named(name).line(worth_having)
    tried = rehearse(
        name,
        pairs=pairs,
        situation=SITUATIONS[where],
        line=line,
        change=TrueEffect(shift_logit=shift),
        look_after=look_after,
        times=scaled(30, fewest=3),
        seed=101,
    )
    trial = plan_for(tried, worth_having)
    for number in range(tried.times):
        same_ending(trial, tried, number)


def test_the_proof_meets_every_ending_and_every_gate():
    """Among few trials each way to end is seen, at the look and after, with empty pairs left out."""
    endings, at_look, with_empty = set(), set(), set()
    for name in NAMES:
        measure = measure_named(name)
        for where, situation in SITUATIONS.items():
            for shift, line in ((0.0, 25.0), (1.5, 0.5), (-1.5, 0.5)):
                change = TrueEffect(shift_logit=shift)
                seen = Scenario(name, 8, situation, line, change, times=30, seed=102).readings_of_part(0)
                division = division_mg(measure, situation.noise)
                judged = judge_trials(measure, seen, division=division, line=line, look_after=4)
                endings |= {ENDINGS[code] for code in judged.codes}
                at_look |= {ENDINGS[code] for code in judged.codes[judged.at_look]}
                partly = (~measure.is_empty(seen.baseline, seen.changed)).sum(axis=-1)
                if ((partly >= 3) & (partly < 8) & np.isfinite(judged.means)).any():
                    with_empty.add((name, where))
    assert endings == {"better", "worse", "no_difference", "not_settled", "too_few", "blocked"}
    assert at_look == {"better", "worse"}
    assert {name for name, _ in with_empty} >= {"recovery", "grain_counts"}


@settings(max_examples=scaled(40), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(data=st.data())
def test_any_plan_anywhere_gets_the_same_verdict(data):
    """Dirt, habits, gear, tracers, pairs, look, line and change as they come."""
    name = data.draw(st.sampled_from(NAMES))
    pairs = data.draw(st.integers(1, 14))
    look = data.draw(st.none() | st.integers(4, pairs - 1)) if pairs > 4 else None
    worth_having = data.draw(st.none() | st.floats(0.5, 60))
    dirt = Dirt(
        gold_mg=data.draw(st.sampled_from([0.0, 0.01, 0.5, 5.0, 60.0])),
        size_set=data.draw(st.sampled_from(["coarse", "medium", "fine"])),
        split_vmr=data.draw(st.sampled_from([1.0, 4.0])),
        fed_cv=data.draw(st.sampled_from([0.0, 0.03, 0.1])),
    )
    division = data.draw(st.sampled_from([0.0, 0.001, 0.01]))
    noise = dataclasses.replace(data.draw(st.sampled_from([LOW, TYPICAL, POOR])), scale_division_g=division)
    tracers = SeededTracers(data.draw(st.integers(0, 40)), data.draw(st.sampled_from([(5,), (2, 8)])))
    tried = rehearse(
        name,
        pairs=pairs,
        situation=Situation(dirt, noise, tracers=tracers),
        line=None if worth_having is None else measure_named(name).line(worth_having),
        change=TrueEffect(shift_logit=data.draw(st.floats(-2, 2))),
        look_after=look,
        times=6,
        seed=data.draw(st.integers(0, 2**63 - 1)),
    )
    trial = plan_for(tried, worth_having)
    for number in range(tried.times):
        same_ending(trial, tried, number)


@pytest.mark.parametrize("name", NAMES)
def test_the_typical_trial_stands_in_the_middle(name, monkeypatch):
    """As many trials have a lower mean as a higher one, whichever of three parts it came from."""
    times, of_part = scaled(9_001), scaled(4_000)
    monkeypatch.setattr(rehearsal, "PAIRS_AT_ONCE", 5 * of_part)
    tried = rehearse(name, pairs=5, situation=SITUATIONS["typical"], line=None, times=times, seed=103)
    typical = typical_trial(tried)
    middle = tried.means[typical.number]
    known = tried.means[np.isfinite(tried.means)]
    assert middle == np.sort(known)[(known.size - 1) // 2]
    assert same_ending(plan_for(tried, None), tried, typical.number) == typical.ending
    assert typical.number == typical_trial(tried).number
    part = typical.number // part_size(tried.pairs)
    again = simulate_readings(
        np.random.SeedSequence(103, spawn_key=(part,)),
        measure=measure_named(name),
        trials=min(of_part, times - of_part * part),
        pairs=5,
        situation=SITUATIONS["typical"],
        change=TrueEffect(),
    )
    np.testing.assert_array_equal(again.changed[typical.number - of_part * part], typical.seen.runs[:, 1])


def test_typical_runs_are_those_of_the_typical_trial():
    """Turn by turn, with what the measure reads and the mass fed; the halves as they were drawn."""
    tried = rehearse("recovery", pairs=4, situation=SITUATIONS["typical"], line=3.0, times=60, seed=104)
    typical = typical_trial(tried)
    runs = typical_runs(plan_for(tried, 3.0), tried)
    assert [run.turn for run in runs] == list(range(1, 9))
    assert [run.arm == "changed" for run in runs[::2]] == (np.diff(typical.seen.turn) < 0).ravel().tolist()
    by_key = {run.key: run for run in runs}
    for pair in range(4):
        for arm, read in zip(("baseline", "changed"), typical.seen.runs[pair], strict=True):
            run = by_key[pair + 1, arm]
            assert (run.gold_mg, run.tails_gold_mg, run.fed_g) == (*read, 10_000.0)


def test_a_trial_that_stopped_at_the_look_has_no_later_pairs():
    """Its runs end with the look, and the verdict is that of the look."""
    loud = TrueEffect(shift_logit=2.5)
    tried = rehearse(
        "recovery", pairs=8, situation=SITUATIONS["low"], line=3.0, change=loud, look_after=4, times=40, seed=105
    )
    typical = typical_trial(tried)
    trial = plan_for(tried, 3.0)
    runs = typical_runs(trial, tried)
    assert typical.at_look and len(runs) == 8 and typical.ending == "better"
    assert reach_verdict(trial, runs).answer.interval.level == 0.99


def test_where_all_are_blocked_the_first_trial_is_shown():
    """Nothing has a mean, so nothing stands in the middle."""
    tried = rehearse("gold_mass", pairs=4, situation=Situation(dirt=Dirt(gold_mg=0)), line=None, times=20, seed=106)
    assert typical_trial(tried).number == 0
    assert reach_verdict(plan_for(tried, None), typical_runs(plan_for(tried, None), tried)).code == "blocked"


def test_a_nothing_changed_check_gets_runs_of_its_own_arms():
    """Baseline and repeat; the verdict is the scatter."""
    trial = Trial(name="twins", measure="gold_mass", pairs=4, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"))
    tried = rehearse("gold_mass", pairs=4, situation=SITUATIONS["typical"], line=None, times=20, seed=107)
    runs = typical_runs(trial, tried)
    assert {run.arm for run in runs} == {"baseline", "repeat"}
    assert reach_verdict(trial, runs).code == "scatter"


@pytest.mark.parametrize(
    ("other", "said"),
    [
        ({"measure": "recovery"}, "measure is recovery, rehearsed with gold_mass"),
        ({"pairs": 5}, "pairs is 5, rehearsed with 6"),
        ({"look_after": 4}, "look_after is 4, rehearsed with None"),
        ({"change": Modification(variable="mat", baseline="a", changed=("b", "c"))}, "arms is 3"),
    ],
)
def test_runs_of_another_plan_are_refused(other, said):
    """A trial that was not rehearsed gets no invented runs."""
    tried = rehearse("gold_mass", pairs=6, situation=SITUATIONS["typical"], line=None, times=10, seed=108)
    with pytest.raises(ValueError, match=said):
        typical_runs(plan_of(**({"measure": "gold_mass", "pairs": 6} | other)), tried)


def test_more_grains_than_a_run_may_hold_are_refused_in_one_line():
    """Nobody counts 90,000 grains a run, let alone more."""
    rich = Situation(dirt=Dirt(gold_mg=5_000, size_set="fine"))
    tried = rehearse("grain_counts", pairs=3, situation=rich, line=None, times=5, seed=109)
    with pytest.raises(ValueError, match=r"grains .* in pair 1: .*100000; rehearse with less") as refusal:
        typical_runs(plan_of("grain_counts", 3), tried)
    assert "\n" not in str(refusal.value)


@pytest.mark.parametrize("number", [-1, 10])
def test_a_trial_that_was_not_rehearsed_is_refused(number):
    """Numbers run from 0."""
    tried = rehearse("tracers", pairs=3, situation=SITUATIONS["typical"], line=None, times=10, seed=110)
    with pytest.raises(ValueError, match="give 0 to 9"):
        simulated_trial(tried, number)
