"""Many trials judged at once get what each would get by itself."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas import Run, Scales, Trial
from tests.sizes import scaled
from tests.verdicts.cases import trial as plan_of
from trials import Refused, reach_verdict, reach_verdicts
from trials.measures.catalogue import measure_named

MEASURES = ("recovery", "gold_mass", "tracers", "grain_counts", "tails_gold")
COUNTED = ("grains", "kept", "seeded")


def runs_of(trial: Trial, halves: np.ndarray, first: np.ndarray, fed: np.ndarray) -> list[Run]:
    """One trial as runs."""
    names = measure_named(trial.measure).inputs
    runs = []
    for pair in range(trial.pairs):
        for half in (0, 1):
            read = {n: int(v) if n in COUNTED else v for n, v in zip(names, halves[half, pair].tolist(), strict=True)}
            turn = 2 * pair + 1 + (half != first[pair])
            runs.append(Run(pair=pair + 1, arm=trial.arms[half], turn=turn, fed_g=fed[pair, half], **read))
    return runs


def readings(rng: np.random.Generator, measure: str, shape: tuple[int, ...]) -> np.ndarray:
    """Whole numbers of any size, some of them none."""
    if measure == "tracers":
        seeded = rng.integers(1, 60, shape)
        return np.stack([rng.integers(0, seeded + 1), seeded], axis=-1).astype(float)
    most = rng.choice([3, 12, 60, 400])
    return rng.integers(0, most, (*shape, 2 if measure == "recovery" else 1)).astype(float)


@settings(max_examples=scaled(60, fewest=20), deadline=None)
@given(data=st.data())
def test_each_of_many_gets_its_own_verdict(data: st.DataObject) -> None:
    """Whatever the measure, line, look, scale and luck: code and estimate are those of `reach_verdict`."""
    measure = data.draw(st.sampled_from(MEASURES))
    pairs = data.draw(st.integers(2, 7))
    line = data.draw(st.sampled_from((None, 5.0, 40.0)))
    look = 4 if pairs > 4 and data.draw(st.booleans()) else None
    scales = data.draw(st.sampled_from((Scales(), Scales(gold_g=0.001), Scales(gold_g=0.02))))
    more = {"change": None} if data.draw(st.booleans()) else {}
    trial = plan_of(measure, pairs, worth_having=line, look_after=look, scales=scales, **more)
    rng = np.random.default_rng(data.draw(st.integers(0, 2**32)))
    halves = readings(rng, measure, (2, 4, pairs))
    halves[1] += (np.arange(halves.shape[-1]) == 0) * (5 if measure != "tracers" else 0)
    first = rng.integers(0, 2, (4, pairs)).astype(bool)
    fed = rng.choice([350.0, 350.0, 352.0, 420.0], (4, pairs, 2))
    many = reach_verdicts(trial, halves[0], halves[1], changed_first=first, fed_g=fed)
    for at in range(4):
        one = reach_verdict(trial, runs_of(trial, halves[:, at], first[at], fed[at]))
        assert many.codes[at] == one.code
        if one.answer.estimate is None:
            assert np.isnan(many.estimates[at])
        else:
            assert many.estimates[at] == pytest.approx(one.answer.estimate, rel=1e-12, abs=1e-12)


def test_a_flat_array_serves_where_one_number_is_read() -> None:
    """Trials by pairs, for a measure that reads one number a run; halves alike and orders mixed, unless given."""
    trial = plan_of("gold_mass", 4, worth_having=20.0)
    rng = np.random.default_rng(41)
    before, after = rng.uniform(30, 50, (2, 300, 4))
    many = reach_verdicts(trial, before, after)
    assert np.array_equal(many.codes, reach_verdicts(trial, before[..., None], after[..., None]).codes)
    assert len(set(many.codes.tolist())) >= 3


def test_what_is_not_of_one_plan_is_refused() -> None:
    """Another number of pairs, of trials or of readings, a number that is none; and what has no verdict yet."""
    trial = plan_of("gold_mass", 4)
    good = np.ones((3, 4))
    for before, after, more in (
        (good[:, :3], good, {}),
        (good, good[:2], {}),
        (np.ones((3, 4, 2)), good, {}),
        (good, -good, {}),
        (good * np.nan, good, {}),
        (good, good, {"changed_first": np.ones((3, 5))}),
    ):
        with pytest.raises(Refused, match=r"give|leave"):
            reach_verdicts(trial, before, after, **more)
    with pytest.raises(Refused, match="is not a trial of pairs"):
        reach_verdicts(plan_of("tracers", 4, change=None, audit=True), good, good)
