"""What does a graded trial cost in runs, and what would trials of pairs instead?"""

from schemas import Trial
from trials.plans.plan_power import PlanPower, power_of_plan
from trials.plans.power import pairs_for
from trials.statistics.blocks_needed import blocks_needed
from trials.wording.lists import count_of
from trials.wording.numbers import figures

USUAL_EFFECT = 1.5
"""A gain of so many times the scatter of pairs is reckoned with where neither is known; our default."""


def runs_of_line(power: PlanPower) -> str:
    """What finding its line costs a graded plan in runs; blank where that can't be reckoned."""
    blocks, pairs, change = power.needed_without_limit, power.pairs_of_one_level, power.trial.change
    if blocks is None or pairs is None or change is None:
        return ""
    return _runs_words("your line", blocks, len(power.trial.arms), pairs, change.baseline)


def runs_before_the_line(arms: int, baseline: str) -> str:
    """The same where line and scatter are not known yet: for a gain of so many times the scatter of pairs.

    >>> runs_before_the_line(4, "painted").partition(";")[0]
    '7 blocks of 4 set-ups find a gain of 1.5 times the scatter of pairs 4 times in 5: 28 runs'
    """
    blocks, pairs = blocks_needed(USUAL_EFFECT, arms), pairs_for(USUAL_EFFECT)
    assert blocks is not None and pairs is not None  # noqa: S101, PT018 - a gain of that size needs no more than a few
    what = f"a gain of {figures(USUAL_EFFECT)} times the scatter of pairs"
    return _runs_words(what, blocks, arms, pairs, baseline)


def graded_runs_words(trial: Trial) -> str:
    """What a graded trial costs in runs, by its own line and scatter where both are told; blank for any other."""
    if trial.kind != "graded" or trial.change is None:
        return ""
    try:
        by_line = runs_of_line(power_of_plan(trial))
    except ValueError:  # a scatter in the unit of another measure, which planning refuses
        by_line = ""
    return by_line or runs_before_the_line(len(trial.arms), trial.change.baseline)


def _runs_words(finds: str, blocks: int, arms: int, pairs: int, baseline: str) -> str:
    runs = f"{count_of(blocks, 'block')} of {arms} set-ups find {finds} 4 times in 5: {count_of(blocks * arms, 'run')}"
    alone = f"one level against {baseline} alone takes {count_of(pairs, 'pair')}, {2 * pairs} runs"
    cheaper = 4 * pairs < blocks * arms
    return f"{runs}; {alone}{'; two trials of pairs, one after the other, cost fewer' if cheaper else ''}"
