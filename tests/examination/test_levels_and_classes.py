"""The same ways to fake a gain, planted in graded trials and in trials counted by size: nobody gets a bare "better".

In a graded trial the fault is on every level but the baseline; by size it is on every class. Fair trials of both are
left alone.
"""

from collections import Counter
from dataclasses import replace

import pytest

from schemas import Verdict
from tests.examination.fault import Fault
from tests.examination.judged import GATES, LUCK, is_told, more_than_luck
from tests.examination.kept import ENTRIES
from tests.examination.planted import HABITS, Block, plant
from tests.examination.shapes import MASS, TABLE, TRACERS, Shape
from tests.sizes import scaled
from trials.simulation.tracers import SeededTracers
from trials.verdicts.reach import reach_verdict

LEVELS = ("looped", "brush", "moss")
GRADED = [replace(shape, name=f"graded {shape.name}", levels=LEVELS) for shape in (TRACERS, TABLE, MASS)]
BY_SIZE = replace(
    TRACERS, name="tracers by size", pairs=8, labels=("30/50", "50/100"), tracers=SeededTracers(50, size_classes=(4, 6))
)
MOST_WEAKENED = 0.10
ON_LEVELS = (
    "the unchanged half was not run, and written as 0 found",
    "the changed gear ran its own tails again, told as one run",
    "the changed halves came from a richer face",
    "changed gear second in every pair",
    "the changed gear was fed slower",
    "a panner who knew searched the changed jars harder",
    "the changed gear stood steeper too",
    "black sand left in the changed gold only",
    "more black sand bought the gain",
    "the unchanged gear began clean, the changed loaded",
    "only before the unchanged runs was the gear stripped",
    "the magnet was used on the unchanged gold only, and dragged gold off",
    "more water with the changed gear",
    "the unchanged runs in the cold",
    "drops with the changed gear only",
    "grains stayed in the unchanged gear, written as missing",
    "the bottom half of each bucket to the changed gear",
)
"""Planted in graded trials; those of two halves alone, or of codes that say who is who, have no like there."""
ON_CLASSES = (
    "changed gear second in every pair",
    "the changed gear was fed slower",
    "the changed gear stood steeper too",
    "another feeder with the changed gear",
    "more water with the changed gear",
    "the unchanged runs in the cold",
)
"""What moves grains of every size alike, before they are counted."""


def entry(how: str) -> Fault:
    """The fault of this name."""
    (one,) = [one for one in ENTRIES if isinstance(one, Fault) and one.how == how]
    return one


def is_better(verdict: Verdict) -> bool:
    """The trial is called better, or a size is said to gain."""
    return verdict.code == "better" or any(one.passes == "gains" for one in verdict.classes)


def ends(fault: Fault, shape: Shape) -> Counter[str]:
    """How trials of this shape with the two larger sizes of a fault end."""
    ended: Counter[str] = Counter()
    for _, size in fault.sizes[1:]:
        planted = fault.block(shape, size, Block(0, scaled(20, fewest=1)))
        for trial, runs in planted.cases():
            verdict = reach_verdict(trial, runs)
            if verdict.code in GATES or not is_better(verdict):
                ended["stopped" if verdict.code in GATES else "none"] += 1
            else:
                ended["told" if verdict.leaning or is_told(verdict, fault.told, blank=False) else "bare"] += 1
    return ended


@pytest.mark.parametrize("how", ON_LEVELS)
def test_no_level_is_barely_better(how: str) -> None:
    """In the first of the shapes that the fault has: told, stopped, or not called better at all."""
    fault = entry(how)
    shape = next(one for one in GRADED if one.measure in {own.measure for own in fault.shapes})
    ended = ends(fault, shape)
    assert not more_than_luck(ended["bare"], ended.total()), ended
    assert ended["told"] + ended["stopped"] > 0 or scaled(20, fewest=1) < 5, ended


@pytest.mark.parametrize("how", ON_CLASSES)
def test_no_size_gains_with_nobody_told(how: str) -> None:
    """A gain of one size or of the total."""
    ended = ends(entry(how), BY_SIZE)
    assert not more_than_luck(ended["bare"], ended.total(), 2 * LUCK), ended


def test_fair_ones_are_left_alone() -> None:
    """Nothing changed and all written down: no stop, and what weakens comes in under 10 of 100, levels and sizes."""
    judged, weakened, better = 0, 0, 0
    for at, shape in enumerate((*GRADED, BY_SIZE)):
        fair = plant(shape, Block(0, scaled(80, fewest=5)), 700 + at, noise=replace(HABITS, drift_points_per_run=0.0))
        for trial, runs in fair.cases():
            verdict = reach_verdict(trial, runs)
            severities = {finding.severity for finding in verdict.checks}
            assert "STOP" not in severities, [f.message for f in verdict.checks if f.severity == "STOP"]
            judged, weakened, better = judged + 1, weakened + ("WEAKENS" in severities), better + is_better(verdict)
    assert weakened < MOST_WEAKENED * judged + 3 * (0.09 * judged) ** 0.5
    assert not more_than_luck(better, judged, 2 * LUCK)
