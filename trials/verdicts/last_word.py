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
class Conclusion:
    """What to do, and why in a few words."""

    word: LastWord | None
    why: str = ""


def conclude_at_gate(code: Code) -> Conclusion:
    """What follows where no verdict could be reached.

    >>> conclude_at_gate("incomplete")
    Conclusion(word='retest', why='the planned pairs are not all in')
    """
    return Conclusion("retest", WHY_RETEST[code])


def conclude(analysis: Analysis, *, leaning: bool, costs: Sequence[Cost], is_traded: bool = False) -> Conclusion:
    """What follows from an outcome and its costs?

    keep: better with every limited cost within, or no difference with none over and something cheaper beyond luck.
    revert: worse, a small loss, or no difference with a cost over. retest: leaning or not settled. Else the
    person's own call.
    """
    if leaning:
        return Conclusion("retest", "several things weaken the trial")
    if is_traded and analysis.code in ("better", "no_difference"):
        return Conclusion("your call", "one size gains and another loses")
    match analysis.code:
        case "not_settled":
            return Conclusion("retest", WHY_RETEST["not_settled"])
        case "worse":
            return Conclusion("revert", "it catches less gold")
        case "better":
            return if_better(costs, has_line=analysis.line is not None)
        case _:
            return _if_no_difference(analysis, costs)


def if_better(costs: Sequence[Cost], *, has_line: bool) -> Conclusion:
    """What follows from more gold at these costs?"""
    unsafe = [f"{cost.name} {COST_REASON[cost.status]}" for cost in costs if cost.status != "within"]
    if unsafe:
        return Conclusion("your call", f"more gold, but {and_list(unsafe)}")
    if not has_line:
        return Conclusion("your call", "no line was set for what is worth having")
    return Conclusion("keep", "more gold, and every limited cost is within its limit")


def _if_no_difference(analysis: Analysis, costs: Sequence[Cost]) -> Conclusion:
    over = [cost.name for cost in costs if cost.status == "over"]
    if over:
        return Conclusion("revert", f"no gain worth having, and {and_list(over)} over the limit")
    if analysis.is_small:
        return (
            Conclusion("your call", "the gain is real but small")
            if analysis.mean > 0
            else Conclusion("revert", "a small loss")
        )
    cheaper = [CHEAPER[cost.name] for cost in costs if cost.name in CHEAPER and cost.high is not None and cost.high < 1]
    if cheaper:
        return Conclusion("keep", f"the same gold with {and_list(cheaper)}")
    return Conclusion("your call", "no difference worth having either way")
