"""The chart that answers a trial's question, whichever kind of trial it is."""

from collections.abc import Sequence

import altair as alt

from schemas import AuditAnswer, LevelsAnswer, Run, Verdict
from trials.charts.frame import words_only
from trials.charts.verdict_chart import verdict_chart

AUDIT = "Where do losses start?"
LEVELS = "Which level catches more gold, and where does more stop paying?"
NOT_YET = "The answer is shown when all planned {} are in."
BLOCKED = "There is nothing to draw where a check stops the verdict."


def answer_chart(
    verdict: Verdict, runs: Sequence[Run] = (), *, narrow: bool = False, headed: bool = True
) -> alt.VConcatChart:
    """What does the trial answer? The chart of its kind; behind a gate of a graded trial or an audit the words alone.

    `headed` is False on a page that has said the sentence and the last word above the chart.
    """
    # Few ask for the other kinds, whose statistics load slowly.
    if isinstance(verdict.answer, LevelsAnswer):
        from trials.charts.answers.levels_chart import levels_chart

        return levels_chart(verdict, verdict.answer, narrow=narrow, headed=headed)
    if isinstance(verdict.answer, AuditAnswer):
        from trials.charts.answers.audit_chart import audit_chart

        return audit_chart(verdict, verdict.answer, narrow=narrow, headed=headed)
    if len(verdict.arms) == 2:
        return verdict_chart(verdict, runs=runs, narrow=narrow, headed=headed)
    is_audit = verdict.trial_kind == "audit"
    why = BLOCKED if verdict.code == "blocked" else NOT_YET.format("runs" if is_audit else "blocks")
    return words_only(AUDIT if is_audit else LEVELS, verdict, [why], narrow=narrow, headed=headed)
