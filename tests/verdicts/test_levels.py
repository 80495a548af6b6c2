"""Graded trials: which level is named, in which words, and how often luck alone names one."""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest

from schemas import Change, LevelsAnswer, Limits, Run, Trial
from tests.sizes import scaled
from tests.tables import every
from tests.verdicts.cases import trial
from trials import reach_verdict
from trials.fairness.overview import look_over
from trials.measures.tracers import TRACERS
from trials.statistics.balanced_draw import draw_places
from trials.statistics.block_fit import fit_blocks
from trials.verdicts.level_outcome import level_bounds, level_outcomes, trial_outcome
from trials.verdicts.outcome import NO_DIFFERENCE

GRITS = [[81, 84, 86, 87, 87], [78, 83, 85, 84, 88], [84, 85, 88, 90, 89], [80, 84, 84, 87, 86]]
FLAT = [[80.2, 80.4, 79.9], [79.8, 80.1, 80.0], [80.5, 80.3, 80.6], [80.0, 79.8, 80.2]]
WIDE = [[80, 84, 79], [82, 81, 86], [77, 83, 80], [81, 79, 78]]
LOWER = [[80, 75, 80.1], [82, 76.5, 82.2], [77, 72.2, 76.9], [81, 75.9, 81]]
MONTE_CARLO = 3.0
"""So many standard errors of a simulated share are put down to the simulation."""


def grits(values: Sequence[Sequence[float]] = GRITS, **more: Any) -> tuple[Trial, list[Run]]:
    """A graded trial whose runs have these recoveries, and what more is given of each run by its set-up."""
    names = ("painted", "320", "220", "120", "80")[: len(values[0])]
    of_run = more.pop("of_run", lambda _arm, _block: {})
    change = Change(variable=more.pop("variable", "texture"), baseline=names[0], changed=names[1:])
    plan = trial(**{"pairs": len(values), "seed": 4, "worth_having": 3.0, "change": change, **more})
    order = draw_places(len(values), len(names), 4)
    runs = []
    for block, row in enumerate(values):
        for arm, kept in enumerate(row):
            turn = 1 + len(names) * block + int(np.flatnonzero(order[block] == arm)[0])
            own = {"turn": turn, "fed_g": 350.0, **of_run(arm, block)}
            runs.append(Run(pair=block + 1, arm=plan.arms[arm], gold_mg=float(kept), tails_gold_mg=100.0 - kept, **own))
    return plan, runs


def sand(arm: int, block: int) -> dict[str, float]:
    """Black sand and minutes that rise with the level."""
    return {"black_sand_g": 6.0 + 0.1 * block + 1.6 * arm, "minutes": 10.0 + 0.1 * block}


@every(
    ("values", "more", "sentence", "also", "word"),
    [
        (
            GRITS,
            {},
            "Better beyond luck: 220 keeps 5.0 points more than painted (2.8 to 7.2), 4 blocks, limits joint for 4 levels",
            "More stops paying somewhere from 220 to 80; about 5 blocks would tell.",
            "your call",
        ),
        (
            GRITS,
            {"of_run": sand, "limits": Limits(black_sand=1.6)},
            "Better beyond luck: 320 keeps",
            "Also better: 220, 120 and 80.",
            "keep",
        ),
        (
            FLAT,
            {},
            "No difference worth having: all 2 levels inside your 3-point line of painted (-0.",
            "No straight rise shown; a hump would not show here.",
            "your call",
        ),
        (
            WIDE,
            {},
            "Not settled: no level is beyond luck; nearest 320, +1.8 points (-",
            "Keep painted for now; 320 reads highest and is worth testing next.",
            "retest",
        ),
        (
            LOWER,
            {"variable": "mat"},
            "Worse beyond luck: 320 keeps 5.1 points less than painted (",
            "With 4 blocks only a difference over",
            "revert",
        ),
    ],
)
def test_each_word_and_its_sentences(
    values: list[list[float]], more: dict[str, Any], sentence: str, also: str, word: str
) -> None:
    """Each outcome has its sentence, what goes with it, and what to do."""
    verdict = reach_verdict(*grits(values, **more))
    assert verdict.sentence.startswith(sentence)
    assert any(line.startswith(also) for line in verdict.more), verdict.more
    assert verdict.last_word == word, verdict.last_word_why


def test_a_cost_over_its_limit_gives_way() -> None:
    """With 220 and up over the limit of black sand the coarsest that is within is named, and its costs told."""
    verdict = reach_verdict(*grits(of_run=sand, limits=Limits(black_sand=1.4)))
    assert isinstance(verdict.answer, LevelsAnswer)
    assert verdict.answer.pick == "320"
    statuses = [level.costs[0].status for level in verdict.answer.levels[1:]]
    assert statuses == ["within", "over", "over", "over"]
    assert verdict.costs == verdict.answer.levels[1].costs


def test_names_have_no_scale() -> None:
    """Mats are told by name: the highest is named, with no rise and nothing that stops paying."""
    verdict = reach_verdict(*grits(variable="mat"))
    assert isinstance(verdict.answer, LevelsAnswer)
    assert (verdict.answer.pick, verdict.answer.trend, verdict.answer.first_enough) == ("80", None, None)
    assert not any("along the scale" in line or "stops paying" in line for line in verdict.more)


def test_the_last_level_that_leads_is_still_rising() -> None:
    """Named and highest: the best may lie beyond it."""
    steps = [[70 + 4 * at + 0.3 * ((at + block) % 3) for at in range(4)] for block in range(5)]
    verdict = reach_verdict(*grits(steps))
    assert "Still rising at 120, the last level: add one beyond it." in verdict.more


def test_before_the_end_no_level_is_told_of() -> None:
    """With blocks to come: no values, no level named in any check, and what is missing by its blocks."""
    plan, runs = grits(pairs=6, of_run=lambda arm, _: {"minutes": 10.0 + 6 * (arm == 3)})
    verdict = reach_verdict(plan, runs)
    assert verdict.sentence == "Not finished: 4 of 6 planned blocks. The call waits for blocks 5 and 6."
    assert all(not block.values for block in verdict.pair_results)
    seen = look_over(plan_record(plan, runs))
    told = [finding.message for finding in (*verdict.checks, *seen.findings)]
    assert not any(level in message for message in told for level in ("120", "320", "220"))
    assert seen.missing == ("10 runs are not made yet: blocks 5 and 6.",)


def plan_record(plan: Trial, runs: Sequence[Run]) -> Any:
    """The record of a plan and its runs."""
    from schemas import Record

    return Record(trial=plan, runs=tuple(runs))


def test_one_order_in_all_blocks_stops_it() -> None:
    """Levels run one after another in every block can't be told from the hour of the day."""
    plan, runs = grits()
    in_line = [run.model_copy(update={"turn": at}) for at, run in enumerate(runs, start=1)]
    verdict = reach_verdict(plan, in_line)
    assert verdict.code == "blocked" and "all 4 blocks were run in one order." in verdict.sentence


def test_an_odd_block_and_one_that_carries_are_noted() -> None:
    """By the rule of pairs, a block named with its levels; before the end, and where nothing is odd, no word of it."""
    steady = [[80 + 0.3 * (b % 3), 80.4 + 0.3 * (b % 3) + 0.2 * (b % 2), 81.2 - 0.3 * (b % 2)] for b in range(8)]
    odd = [row if b != 4 else [80, 80.5, 96] for b, row in enumerate(steady)]
    noted = {c.check: c.message for c in reach_verdict(*grits(odd)).checks if c.severity == "NOTE"}
    assert noted["odd-pair"] == "Block 5 lies far from the others with 220. Read its notes; it stays in the sum."
    carried = [[80, 80.1, 82 + (b % 3)] if b != 2 else [80, 80.2, 80.0] for b in range(8)]
    found = [c.message for c in reach_verdict(*grits(carried)).checks if c.check == "one-pair-carries"]
    assert found == [""]
    barely = [[80, 80.1, value] for value in (81, 79.5, 82, 80.4, 81.5, 79.9, 82.2, 81.4)]
    (told,) = [c for c in reach_verdict(*grits(barely)).checks if c.check == "one-pair-carries"]
    assert told.severity == "NOTE" and "with 220" in told.message
    plan, runs = grits(odd)
    early = reach_verdict(plan, [run for run in runs if run.pair < 8]).checks
    assert not [c for c in early if c.check in ("odd-pair", "one-pair-carries") and c.severity == "NOTE"]


def test_a_level_with_too_few_runs_is_not_judged() -> None:
    """A level struck in all blocks but one stays on the list; the others keep their joint limits."""
    plan, runs = grits()
    struck = [
        run.model_copy(update={"void": "spill", "void_gold_known": False}) if run.arm == "80" and run.pair > 1 else run
        for run in runs
    ]
    verdict = reach_verdict(plan, struck)
    assert isinstance(verdict.answer, LevelsAnswer)
    assert verdict.answer.levels[-1].code == "too_few" and verdict.answer.levels[-1].estimate is None
    assert any(line.startswith("Too few runs to judge: 80 (1 run).") for line in verdict.more)
    assert "limits joint for 3 levels" in verdict.sentence


def share(hits: np.ndarray) -> tuple[float, float]:
    """A share in %, and what simulation alone may add to it."""
    rate = float(np.mean(hits))
    return 100 * rate, MONTE_CARLO * 100 * math.sqrt(0.05 * 0.95 / len(hits))


@pytest.mark.parametrize(("arms", "blocks"), [(3, 3), (4, 4), (4, 6), (5, 8)])
def test_luck_alone_names_a_level_in_one_trial_of_twenty(arms: int, blocks: int) -> None:
    """Nothing changed: any level beyond luck in 5 % at most; with real gains all limits hold in 94 % and more."""
    rng = np.random.default_rng(100 * arms + blocks)
    luck = rng.normal(size=(scaled(20_000), blocks, arms)) * 2.0 + rng.normal(size=(1, blocks, 1)) * 5.0
    found = level_bounds(fit_blocks(luck), None)
    rate, allowed = share((level_outcomes(found, None) != 0).any(axis=-1))
    assert rate <= 5.0 + allowed
    gains = np.array([0.0, 3.0, 5.0, 6.0, 6.2])[:arms]
    found = level_bounds(fit_blocks(luck + gains), None)
    held = ((found.low <= gains[1:]) & (found.high >= gains[1:])).all(axis=-1)
    rate, allowed = share(~held)
    assert rate <= 6.0 + allowed


def test_a_baseline_that_scatters_twice_as_much_cries_little() -> None:
    """Unlike scatter: 5.2 to 8.2 % (own simulation, not published), where pooled limits cry wolf in up to 11 %."""
    rng = np.random.default_rng(8)
    luck = rng.normal(size=(scaled(20_000), 6, 4)) * np.array([2.0, 1.0, 1.0, 1.0])
    fit = fit_blocks(luck)
    found = level_bounds(fit, None)
    rate, allowed = share((level_outcomes(found, None) != 0).any(axis=-1))
    assert rate <= 8.2 + allowed
    pooled = found.reach * fit.factor[1:, 0] * np.asarray(fit.sd)[:, np.newaxis]
    assert share((abs(found.estimate) > pooled).any(axis=-1))[0] > rate + 1.5


def test_tracers_one_level_at_the_line_is_seldom_called_no_difference() -> None:
    """97 of 100 grains kept, and all of them with either level: runs alike by luck don't show that nothing was gained.

    Both levels gain the 3 points of the line. By the scatter seen alone it is called no difference in 5 %.
    """
    rng = np.random.default_rng(5)
    counts = rng.binomial(100, (0.97, 1.0, 1.0), size=(scaled(20_000), 3, 3)).astype(float)
    read = np.stack([counts, np.full_like(counts, 100.0)], axis=-1)
    floors = np.concatenate([TRACERS.floor(read[..., 0, :], read[..., at, :], None) for at in (1, 2)], axis=-1)  # type: ignore[type-var]
    fit = fit_blocks(TRACERS.scaled(read, None))
    (rate, allowed), (without, _) = (
        share(trial_outcome(level_outcomes(level_bounds(fit, floor), 3.0)) == NO_DIFFERENCE)
        for floor in (np.sqrt(np.mean(floors**2, axis=-1)), None)
    )
    assert rate <= 1.5 + allowed
    assert without > rate + 2.0
