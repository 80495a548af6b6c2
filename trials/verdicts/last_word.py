"""Keep, revert, retest, or the person's own call."""

from collections.abc import Sequence
from dataclasses import dataclass

from schemas import Cost, Finding
from schemas.verdict import Code, LastWord
from trials.verdicts.analysis import Analysis
from trials.verdicts.costs import LESS_OF
from trials.verdicts.outcome import JudgedByLimits
from trials.verdicts.spoken import doubts, weaknesses
from trials.wording.lists import and_list
from trials.wording.numbers import share_words

WHY_RETEST = {
    "not_settled": "luck could still do this",
    "incomplete": "the planned pairs are not all in",
    "too_few": "too few pairs to say",
    "blocked": "the trial can't answer as it was run",
}
LEANS_AT = 3
COST_REASON = {
    "over": ("is over its limit", "are over their limit"),
    "not shown": ("is not shown to stay within its limit", "are not shown to stay within their limit"),
    "not recorded": ("was not recorded", "were not recorded"),
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


def leans(code: Code, findings: Sequence[Finding]) -> bool:
    """Whether something is settled that several checks weaken."""
    return code != "not_settled" and len(weaknesses(findings)) >= LEANS_AT


def weakened(firm: Conclusion, findings: Sequence[Finding], *, leaning: bool) -> Conclusion:
    """What would be kept or reverted is the person's call where anything weakens it; a keep where there is a doubt."""
    if leaning:
        return Conclusion("retest", "several things weaken the trial")
    told = {"retest": (), "keep": (*weaknesses(findings), *doubts(findings))}.get(firm.word or "", weaknesses(findings))
    joined = "and" if ", but " in firm.why else "but"
    return Conclusion("your call", f"{firm.why}, {joined} {and_list(told)}") if told else firm


def conclude(analysis: Analysis, costs: Sequence[Cost], at_most: str, *, is_traded: bool) -> Conclusion:
    """What follows from an outcome and its costs, if nothing weakens it (`weakened`)?

    keep: better with every limited cost within, or no difference with none over and a saving that counts; `at_most`
    says how much gold that saving could cost. revert: worse, a small loss, or no difference with a cost over. retest:
    not settled. Else the person's own call.
    """
    if is_traded and analysis.code in ("better", "no_difference"):
        return Conclusion("your call", "one size gains and another loses")
    match analysis.code:
        case "not_settled":
            return Conclusion("retest", WHY_RETEST["not_settled"])
        case "worse":
            return Conclusion("revert", "it catches less gold")
        case "better":
            return if_better(costs, analysis, analysis.line)
        case _:
            return _if_no_difference(analysis, costs, at_most)


def if_better(costs: Sequence[Cost], judged: JudgedByLimits, line: float | None) -> Conclusion:
    """What follows from more gold at these costs?"""
    unsafe = [_stands(cost) for cost in costs if cost.status != "within"]
    if unsafe:
        return Conclusion("your call", f"more gold, but {and_list(unsafe)}")
    if line is None:
        return Conclusion("your call", "no line was set for what is worth having")
    if judged.is_under(line):
        return Conclusion("your call", "the gain is under your line at this scatter")
    return Conclusion("keep", "more gold, and every limited cost is within its limit")


def _stands(cost: Cost) -> str:
    one, several = COST_REASON[cost.status]
    return f"{cost.name} {several if cost.name.endswith('s') else one}"


def _if_no_difference(analysis: Analysis, costs: Sequence[Cost], at_most: str) -> Conclusion:
    over = [cost.name for cost in costs if cost.status == "over"]
    if over:
        return Conclusion("revert", f"no gain worth having, and {and_list(over)} over the limit")
    if analysis.is_small:
        return (
            Conclusion("your call", "the gain is real but small")
            if analysis.mean > 0
            else Conclusion("revert", "a small loss")
        )
    saved = [f"{share_words(1.0 - (cost.ratio or 1.0))} {LESS_OF[cost.name]}" for cost in costs if cost.saves]
    if saved:
        return Conclusion("keep", f"{at_most}, and {and_list(saved)}")
    return Conclusion("your call", "no difference worth having either way")
