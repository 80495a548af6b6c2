"""Keep, revert, retest, or the person's own call."""

from collections.abc import Sequence
from dataclasses import dataclass

from schemas import Cost
from schemas.verdict import Code, LastWord
from trials.verdicts.analysis import Analysis
from trials.wording.lists import and_list

WHY_RETEST = {
    "not_settled": "luck could still do this",
    "incomplete": "the planned pairs are not all in",
    "too_few": "too few pairs to say",
    "blocked": "the trial can't answer as it was run",
}
CHEAPER = {"black sand": "less black sand", "minutes": "fewer minutes"}
COST_REASON = {
    "over": "is over its limit",
    "not shown": "is not shown to stay within its limit",
    "not recorded": "was not recorded",
}


@dataclass(frozen=True, slots=True)
class Advice:
    """What to do, and why in a few words."""

    word: LastWord | None
    why: str = ""


def advise_at_gate(code: Code) -> Advice:
    """What follows where no verdict could be reached.

    >>> advise_at_gate("incomplete")
    Advice(word='retest', why='the planned pairs are not all in')
    """
    return Advice("retest", WHY_RETEST[code])


def advise(analysis: Analysis, *, leaning: bool, costs: Sequence[Cost]) -> Advice:
    """What follows from an outcome and its costs?

    keep: better with every limited cost within, or no difference with none over and something cheaper beyond luck.
    revert: worse, a small loss, or no difference with a cost over. retest: leaning or not settled. Else the
    person's own call.
    """
    if leaning:
        return Advice("retest", "several things weaken the trial")
    match analysis.code:
        case "not_settled":
            return Advice("retest", WHY_RETEST["not_settled"])
        case "worse":
            return Advice("revert", "it catches less gold")
        case "better":
            return _if_better(costs, has_line=analysis.line is not None)
        case _:
            return _if_no_difference(analysis, costs)


def _if_better(costs: Sequence[Cost], *, has_line: bool) -> Advice:
    unsafe = [f"{cost.name} {COST_REASON[cost.status]}" for cost in costs if cost.status != "within"]
    if unsafe:
        return Advice("your call", f"more gold, but {and_list(unsafe)}")
    if not has_line:
        return Advice("your call", "no line was set for what is worth having")
    return Advice("keep", "more gold, and every limited cost is within its limit")


def _if_no_difference(analysis: Analysis, costs: Sequence[Cost]) -> Advice:
    over = [cost.name for cost in costs if cost.status == "over"]
    if over:
        return Advice("revert", f"no gain worth having, and {and_list(over)} over the limit")
    if analysis.is_small:
        return (
            Advice("your call", "the gain is real but small") if analysis.mean > 0 else Advice("revert", "a small loss")
        )
    cheaper = [CHEAPER[cost.name] for cost in costs if cost.name in CHEAPER and cost.high is not None and cost.high < 1]
    if cheaper:
        return Advice("keep", f"the same gold with {and_list(cheaper)}")
    return Advice("your call", "no difference worth having either way")
