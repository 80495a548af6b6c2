"""Until the planned end nothing that is said tells which arm leads."""

from collections.abc import Callable, Sequence
from functools import cache
from typing import Any

import numpy as np

from schemas import Finding, Lot, Run, Scales, SizeCatch, Sizes, Trial
from tests.fairness.asking import everywhere, weighed, with_of
from tests.tables import every
from tests.verdicts.cases import trial
from trials.fairness.checklist import judge_all
from trials.fairness.evidence import gather

RESULTS = ("gold_mg", "tails_gold_mg", "grains", "kept", "in_tails", "largest_mg", "pickers_mg", "classes")
MEASURES = ("recovery", "gold_mass", "tracers", "grain_counts", "tails_gold")
# The checks that look at gold while a trial runs; each must have spoken in the trials drawn here.
LOOKS_AT_GOLD = {
    "scale-fine-enough", "too-many-zeros", "big-piece", "enough-grains", "grains-home", "clean-gold", "split-tool",
    "tails-kept",
}  # fmt: skip


def swapped(runs: Sequence[Run], pairs: set[int]) -> list[Run]:
    """The gold results of the two arms changed over within these pairs; settings and order stay where they were."""
    by_key = {r.key: r for r in runs}
    other = {"baseline": "changed", "changed": "baseline", "repeat": "baseline"}
    out = []
    for r in runs:
        partner = by_key.get((r.pair, other[r.arm])) or by_key.get((r.pair, "repeat"))
        changes_over = r.pair in pairs and partner is not None
        out.append(r.model_copy(update={name: getattr(partner, name) for name in RESULTS}) if changes_over else r)
    return out


# Each as often as it stands here.
RICH_OR_POOR = (0.0, *2 * (8.0,), *3 * (30.0,), *4 * (90.0,))
NATIVE = (0, 3, 3, 40, 40)


def _one_of(rng: np.random.Generator, values: Sequence[float]) -> float:
    return values[rng.integers(len(values))]


def _catch(rng: np.random.Generator, classes: bool) -> dict[str, Any]:
    """What a run kept and lost: rich or poor, none at all now and then, one piece of most of it now and then."""
    gold = _one_of(rng, RICH_OR_POOR) * rng.uniform(0.5, 1.5)
    kept = int(rng.integers(10, 25))
    return {
        "gold_mg": gold,
        "tails_gold_mg": _one_of(rng, (0.0, 5.0, 20.0)),
        "grains": _one_of(rng, NATIVE),
        "kept": kept,
        "in_tails": int(rng.integers(0, 25 - kept + 1)),
        "largest_mg": gold * _one_of(rng, (0.01, 0.3)),
        "pickers_mg": _one_of(rng, (0.0, 12.0)),
        "classes": tuple(_class(rng, kept // 3, *part) for part in CLASSES) if classes else (),
    }


CLASSES = (("20/30", 60), ("50/100", 21), ("-100", 5))


def _class(rng: np.random.Generator, kept: int, label: str, mean: int) -> SizeCatch:
    in_tails, grains = int(rng.integers(0, 6)), int(rng.poisson(mean))
    return SizeCatch(label=label, seeded=15, kept=kept, in_tails=in_tails, grains=grains)


def running(rng: np.random.Generator, measure: str, change: bool) -> tuple[Trial, list[Run]]:
    """A trial under way: some pairs whole, one struck, one that lacks a half's gold, one just begun."""
    made, other = int(rng.integers(1, 9)), "changed" if change else "repeat"
    classes = bool(rng.integers(2))
    plan = trial(
        measure,
        pairs=made + 2,
        spares=2,
        lots=(Lot(kind="natural", splitting="shovel", size="-50"),),
        scales=Scales(gold_g=0.001),
        sizes=Sizes(series="ASTM"),
        knew="panner",
        seed=7,
        **({} if change else {"change": None}),
    )
    runs = []
    for pair in range(1, made + 1):
        second = int(rng.integers(2))
        for at, arm in enumerate(("baseline", other)):
            settings = {
                "turn": 2 * pair - 1 + (at != second),
                "fed_g": float(rng.uniform(300, 400)),
                "minutes": float(rng.uniform(8, 14)),
                "water_l_min": float(rng.uniform(80, 120)),
                "water_end_l_min": float(rng.uniform(80, 120)),
                "temp_c": float(rng.uniform(5, 16)),
                "magnet": bool(rng.integers(2)),
                "stripped": bool(rng.integers(2)),
                "seeded": 25,
                "tag": f"T{pair}{arm[0]}",
            }
            runs.append(Run(pair=pair, arm=arm, **settings, **_catch(rng, classes)))
    if made > 3:
        runs = with_of(runs, 2, "baseline", void="spill", void_gold_known=True)
        runs = with_of(runs, 3, other, tails_gold_mg=None, largest_mg=None)
        runs = with_of(runs, made, "baseline", **dict.fromkeys(RESULTS[:-1]), classes=())
    return plan, runs


@cache
def under_way(measure: str, times: int) -> list[tuple[Trial, list[Run], tuple[Finding, ...]]]:
    """So many trials under way, one in four of them with nothing changed, and what is said of each."""
    rng = np.random.default_rng(MEASURES.index(measure))
    drawn = [running(rng, measure, change=bool(rng.integers(4))) for _ in range(times)]
    return [(plan, runs, judge_all(gather(plan, runs))) for plan, runs in drawn]


TIMES = 1_000


@every("measure", MEASURES)
def test_a_running_trial_does_not_tell_who_leads(measure: str, sized: Callable[[int], int]) -> None:
    """Change over the gold of the arms in all pairs, or in any of them, and every finding is the very same."""
    rng = np.random.default_rng([1, MEASURES.index(measure)])
    for plan, runs, said in under_way(measure, sized(TIMES)):
        numbers = {r.pair for r in runs}
        for some in {frozenset(numbers), frozenset(number for number in numbers if rng.integers(2))} - {frozenset()}:
            evidence = gather(plan, swapped(runs, some))
            assert not evidence.ended
            assert judge_all(evidence) == said


def test_the_checks_that_look_at_gold_speak_in_these_trials(sized: Callable[[int], int]) -> None:
    """What is held above is said there: none of those checks stays silent throughout."""
    found = [finding for measure in MEASURES for _, _, said in under_way(measure, sized(TIMES)) for finding in said]
    assert {finding.check for finding in found if finding.severity in ("STOP", "WEAKENS", "NOTE")} >= LOOKS_AT_GOLD


def test_the_notes_that_show_a_direction_wait_for_the_end(sized: Callable[[int], int]) -> None:
    """Order effect, drift, odd pair, leave-one-out and scatter say nothing of a running trial."""
    waits = {"order-effect", "drift", "odd-pair", "one-pair-carries", "over-dispersion", "too-tidy"}
    for measure in MEASURES:
        for _, _, said in under_way(measure, sized(TIMES)):
            assert all(finding.severity in ("ok", "not recorded") for finding in said if finding.check in waits)


def test_at_the_end_the_run_is_named() -> None:
    """What was withheld is told once it can tip no hand."""
    runs = with_of(everywhere(weighed(), largest_mg=2.0, tag=None), 3, "changed", largest_mg=66.0)
    for pairs, place in ((7, "a run of pair 3"), (6, "the changed half of pair 3")):
        said = judge_all(gather(trial("gold_mass", pairs), runs))
        assert place in next(finding.message for finding in said if finding.check == "big-piece")
