"""How far a count is off: the rule by grain size, a vial counted again, and the same in simulation and in formulas."""

import dataclasses
import statistics

import numpy as np
import pytest

from schemas import Gear, Grains, Guess, Lot, Sizes, Trial
from tests.sizes import scaled
from tests.tables import every
from trials.measures.catalogue import measure_named
from trials.noise.budget import noise_budget
from trials.noise.counting import Care, assumed_count_cv, assumed_count_cvs, recounted_cv
from trials.noise.kinds import COUNTING
from trials.noise.situation import Situation, situation_of
from trials.plans.brief import DesignBrief
from trials.plans.design import Design
from trials.plans.designs import compare_designs
from trials.rehearsal.simulated_trials import simulate_readings
from trials.simulation.dirt import Dirt
from trials.simulation.gear import TrueEffect
from trials.simulation.noise_model import TYPICAL
from trials.simulation.tracers import SeededTracers

COUNTED = dataclasses.replace(TYPICAL, operator_sd_points=0.0, counting_cv=assumed_count_cvs())
EXACT = dataclasses.replace(COUNTED, counting_cv=())


@every(("size_mm", "low", "high"), [(2.0, 0.01, 0.03), (0.31, 0.01, 0.03), (0.149, 0.05, 0.15), (0.101, 0.05, 0.15)])
def test_a_count_is_off_as_is_common_of_grains_of_its_size(size_mm: float, low: float, high: float) -> None:
    """1 to 3 % over 0.3 mm and 5 to 15 % at 0.1 to 0.15 mm, assumed (common practice, no source); more care, less of it.

    At the ends of the finer range the line runs to both sides of its middle, so a usual count lies in it.
    """
    of: dict[Care, float] = {care: assumed_count_cv(size_mm, care) for care in ("careful", "usual", "hurried")}
    assert of["careful"] < of["usual"] < of["hurried"]
    assert low <= of["usual"] <= high


@every(("counts", "cv"), [
    ((97, 101, 92), 2.117 * statistics.stdev((97, 101, 92)) / (290 / 3)),  # 2.12 for three: STATS_METHODS 4
    ((100, 100, 100), 2.117 / 12**0.5 / 100),  # alike: what rounding to whole grains hides, 1/sqrt(12) of one
])  # fmt: skip
def test_a_vial_counted_again_tells_it(counts: tuple[int, ...], cv: float) -> None:
    """Its SD over its mean, raised because so few counts leave it loose."""
    assert recounted_cv(counts) == pytest.approx(cv, rel=2e-3)


def plan(measure: str, recount: str | None, size: str | None = "100/140") -> Trial:
    """A hundred tracers, or the dirt's own grains."""
    return Trial(
        name="t", measure=measure, pairs=6, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"),
        grains=Grains(seeded=100, size=size), sizes=Sizes(series="ASTM"),
        guess=Guess(gold_mg_kg=20.0, sizes="fine", recount=recount),
    )  # fmt: skip


def test_a_vial_speaks_for_its_own_size_and_others_in_proportion() -> None:
    """Of the size told, else of the tracers', else of the gold that the dirt holds."""
    seen = recounted_cv((97, 101, 92))
    of_100_140, of_30_40 = 7, 3
    for trial in (plan("tracers", "97, 101 92"), plan("gold_mass", "97 101 92 of 100/140", None)):
        cv = situation_of(trial).noise.counting_cv
        assert cv[of_100_140] == pytest.approx(seen)
        assert cv[of_30_40] / cv[of_100_140] == pytest.approx(
            assumed_count_cvs()[of_30_40] / assumed_count_cvs()[of_100_140]
        )
    native = noise_budget("grain_counts", situation_of(plan("grain_counts", "97 101 92", None)))
    assert sum(one.variance for one in native.sources if one.name == COUNTING) ** 0.5 == pytest.approx(seen, rel=0.1)


@every(("measure", "where"), [
    ("tracers", Situation(noise=COUNTED, tracers=SeededTracers(100, (7,)))),
    ("tracers", Situation(noise=COUNTED, tracers=SeededTracers(25, (1, 3, 5, 7)))),
    ("grain_counts", Situation(Dirt(9.0, "fine", fed_g=1_000.0), COUNTED)),
])  # fmt: skip
def test_the_formula_says_what_is_simulated(measure: str, where: Situation) -> None:
    """SD of pair differences with nothing changed, within 4 %: own simulation, not published."""
    one, trials = measure_named(measure), scaled(8_000, 2_000)
    read = simulate_readings(
        np.random.SeedSequence(11), measure=one, trials=trials, pairs=4, situation=where, change=TrueEffect()
    )
    differences = one.difference(read.baseline, read.changed, None)
    told, exact = (
        noise_budget(measure, where, pairs=4),
        noise_budget(measure, dataclasses.replace(where, noise=EXACT), pairs=4),
    )
    assert np.std(differences) == pytest.approx(told.sd_pair, rel=0.04)
    assert told.share(COUNTING) > 0.05 and exact.share(COUNTING) == 0.0
    assert told.sd_pair > exact.sd_pair


def test_fine_tracers_are_no_longer_had_for_nothing() -> None:
    """The finer a size, the more pairs it takes beside a count that is never off; the finest, twice as many or more."""
    brief = DesignBrief(Situation(noise=COUNTED), TrueEffect(shift_logit=0.6), 1e8, 20.0, 15.0)
    exactly = dataclasses.replace(brief, situation=Situation(noise=EXACT))

    def pairs(asked: DesignBrief, size: int) -> int:
        return Design(asked, "tracers", tracers=SeededTracers(100, (size,))).pairs_by_luck or 0

    dearer = {size: pairs(brief, size) / pairs(exactly, size) for size in (8, 7, 5)}
    assert dearer[8] > dearer[7] > dearer[5] and dearer[8] > 2.0, dearer


@every("has_own", [True, False])
def test_the_charge_that_was_typed_is_always_among_the_ways(has_own: bool) -> None:
    """Even where a smaller one is quicker for every measure; one that was only assumed is not called anyone's."""
    where = Situation(Dirt(900, "fine", fed_g=40_000.0), COUNTED)
    brief = DesignBrief(where, TrueEffect(shift_logit=0.9), 1e8, 40.0, 15.0, has_own_charge=has_own)
    compared = compare_designs(brief)
    assert any(way.has_own_charge for way in compared.best) == has_own
    assert all(way.charges == 1.0 for way in compared.best if way.has_own_charge)
