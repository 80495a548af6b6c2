"""Keep, revert, retest, or the person's own call."""

from collections.abc import Sequence
from dataclasses import dataclass

from schemas import Cost
from schemas.verdict import Code, LastWord
from trials.wording.lists import and_list

RETEST_CODES = ("not_settled", "incomplete", "too_few", "blocked")
WHY_RETEST = {
    "not_settled": "luck could still do this",
    "incomplete": "the planned pairs are not all in",
    "too_few": "too few pairs to say",
    "blocked": "the trial can't answer as it was run",
}


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do, and why in a few words."""

    word: LastWord | None
    why: str = ""


def advise(
    code: Code, *, leaning: bool, estimate: float | None, is_small: bool, has_line: bool, costs: Sequence[Cost]
) -> Advice:
    """What follows from the outcome and its costs?

    Parameters
    ----------
    code, leaning
        The outcome, and whether findings weaken it.
    estimate
        The mean difference, more gold positive; its sign tells a small gain from a small loss.
    is_small
        A difference beyond luck, yet inside the line.
    has_line
        A worth-having line was set.
    costs
        What it costs; those with a limit decide.

    Examples
    --------
    >>> advise("worse", leaning=False, estimate=-3.0, is_small=False, has_line=True, costs=()).word
    'revert'
    """
    if code == "scatter":
        return Advice(None)
    if leaning:
        return Advice("retest", "several things weaken the trial")
    if code in RETEST_CODES:
        return Advice("retest", WHY_RETEST[code])
    if code == "worse":
        return Advice("revert", "it catches less gold")
    return _better(costs, has_line=has_line) if code == "better" else _no_difference(estimate, is_small, costs)


def _better(costs: Sequence[Cost], *, has_line: bool) -> Advice:
    unsafe = [cost for cost in costs if cost.status != "within"]
    if unsafe:
        reasons = [f"{cost.name} {COST_REASON[cost.status]}" for cost in unsafe]
        return Advice("your call", f"more gold, but {and_list(reasons)}")
    if not has_line:
        return Advice("your call", "no line was set for what is worth having")
    return Advice("keep", "more gold, and every limited cost is within its limit")


def _no_difference(estimate: float | None, is_small: bool, costs: Sequence[Cost]) -> Advice:  # noqa: FBT001 - an inner step
    over = [cost.name for cost in costs if cost.status == "over"]
    if over:
        return Advice("revert", f"no gain worth having, and {and_list(over)} over the limit")
    if is_small:
        gain = (estimate or 0.0) > 0
        return Advice("your call", "the gain is real but small") if gain else Advice("revert", "a small loss")
    lower = [cost.name for cost in costs if cost.high is not None and cost.high < 1]
    if lower:
        return Advice("keep", f"the same gold, and less {and_list(lower)}")
    return Advice("your call", "no difference worth having either way")


COST_REASON = {
    "over": "is over its limit",
    "not shown": "is not shown to stay within its limit",
    "not recorded": "was not recorded",
}
