"""Charts as pictures, wide or for a phone: of a verdict, of the day, of money, of a plan."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from threading import Lock
from typing import TYPE_CHECKING

from starlette.responses import Response

from schemas import Record
from trials.errors import Refused
from trials.keeping.pricing import priced
from trials.keeping.stored_plans import make_plan
from trials.page.desk import Desk
from trials.page.sent import Sent

if TYPE_CHECKING:  # heavy, and needed for its name alone
    import altair as alt

    from trials.rehearsal.proposal import Plan

DRAWING = Lock()
"""One chart is drawn at a time."""
NO_CHART = "there is no chart {}"
NARROW = "narrow"
FORMS = ("wide", NARROW)
OF_PLAN = {
    "pairs": "How small a gain so many pairs can find",
    "noise": "What the noise is made of",
}


def chart_file(desk: Desk, sent: Sent) -> Response:
    """A chart of a trial."""
    record = desk.read(sent.path["name"])
    which, form = which_chart(sent)
    if which in OF_PLAN:
        return plan_svg(make_plan(desk.book, record.trial), which, form)
    if which not in _DRAWN:
        raise Refused(NO_CHART.format(sent.path["form"]))
    return svg_file(lambda: _DRAWN[which](desk, record, form))


def which_chart(sent: Sent) -> tuple[str, str]:
    """Which chart is asked for, and in what form; one that is in no form is refused."""
    which, _, form = sent.path["form"].removesuffix(".svg").rpartition("-")
    if form not in FORMS:
        raise Refused(NO_CHART.format(sent.path["form"]))
    return which, form


def svg_file(drawn: Callable[[], alt.VConcatChart]) -> Response:
    """A chart as a picture; one is drawn at a time."""
    from trials.charts.files import chart_svg

    with DRAWING:
        return Response(chart_svg(drawn()), media_type="image/svg+xml")


def _answer(desk: Desk, record: Record, form: str) -> alt.VConcatChart:
    from trials.charts.answers.chosen import answer_chart

    return answer_chart(desk.verdict(record), runs=record.runs, narrow=form == NARROW, headed=False)


def _order(desk: Desk, record: Record, form: str) -> alt.VConcatChart:
    from trials.charts.order_strip import order_strip

    return order_strip(desk.verdict(record), runs=record.runs, narrow=form == NARROW, headed=False)


def _worth(desk: Desk, record: Record, form: str) -> alt.VConcatChart:
    from trials.charts.worth_chart import worth_chart

    found = priced(desk.book, record, desk.verdict(record), {}, desk.now)
    # what must be known beside it stands on its page
    return worth_chart(found.worth, found.sentence, (), found.currency, narrow=form == NARROW)


def charts_told(plan: Plan) -> tuple[tuple[str, str], ...]:
    """The charts that can be drawn of a plan, and what each tells."""
    from trials.report.plan_charts import plan_charts

    return tuple((which, OF_PLAN[which]) for which in plan_charts(plan.trial, plan.outlook))


def plan_svg(plan: Plan, which: str, form: str) -> Response:
    """A chart of a plan. Refused: it says too little for one."""
    from trials.report.plan_charts import plan_charts

    drawn = plan_charts(plan.trial, plan.outlook).get(which)
    if drawn is None:
        raise Refused(f"{plan.trial.name} says too little for a chart of {which}")
    return svg_file(lambda: drawn(form))


_DRAWN: Mapping[str, Callable[[Desk, Record, str], alt.VConcatChart]] = {
    "answer": _answer,
    "order": _order,
    "worth": _worth,
}
