"""A plan rehearsed at the page: begun there, watched as it goes on, and told in the words and charts of the command."""

from starlette.responses import Response

from schemas import Trial
from trials.errors import Refused
from trials.page.desk import Desk
from trials.page.of_charts import NO_CHART, svg_file, which_chart
from trials.page.rehearsals import OF_HABITS, OF_PLAN, Underway
from trials.page.sent import Done, Sent
from trials.rehearsal.plan_rehearsed import HabitsPlayed
from trials.talk.rehearsal_words import Told, tell_both, tell_habits

SORTS = {
    OF_PLAN: "the plan: with nothing changed, and with a change just worth having",
    OF_HABITS: "common habits of comparing, with nothing changed",
}
TIMES = (2_000, 20_000, 200_000)
USUAL = 20_000
CHARTS = {
    "rehearsal": "How often each outcome would come",
    "typical": "A typical trial of the rehearsal, simulated",
    "habits": "How often each habit would cry gain with nothing changed",
}


def rehearsal_page(desk: Desk, sent: Sent) -> Response:
    """What can be rehearsed; how far it is; what came of it."""
    trial = desk.read(sent.path["name"]).trial
    of, times = _asked(sent)
    if sent.is_post:
        return desk.take(sent, lambda: _begun(desk, trial, of, times))
    found = desk.rehearsals.find(trial, of, times)
    return desk.show(
        sent,
        "rehearsal.html",
        trial=trial,
        sorts=SORTS.items(),
        times=TIMES,
        of=of,
        chosen=times,
        going=None if found is None or found.is_over else found,
        told=None if found is None or found.found is None else _told(found),
        wrong=() if found is None or found.wrong is None else found.wrong.lines,
        left_out="" if found is None or found.charts is None else found.charts.left_out,
        charts=_charts(found),
    )


def _asked(sent: Sent) -> tuple[str, int]:
    of, _, times = (sent.text("of") or sent.query.get("of", "")).partition("-")
    typed = sent.text("times") or times
    return (of if of in SORTS else OF_PLAN), (int(typed) if typed in map(str, TIMES) else USUAL)


def _begun(desk: Desk, trial: Trial, of: str, times: int) -> Done:
    desk.rehearsals.begin(trial, of, times)
    return Done(f"/trial/{trial.name}/rehearse?of={of}-{times}")


def _told(found: Underway) -> Told:
    assert found.found is not None  # noqa: S101 - asked for above
    return tell_habits(found.found) if isinstance(found.found, HabitsPlayed) else tell_both(found.found)


def _charts(found: Underway | None) -> list[tuple[str, str]]:
    """Where the charts of a rehearsal that is done are, and what each tells."""
    if found is None or found.charts is None:
        return []
    return [(f"{found.of}-{found.times}-{one}", CHARTS[one]) for one in found.charts.drawn]


def rehearsed_chart(desk: Desk, sent: Sent) -> Response:
    """A chart of a rehearsal that is done."""
    trial = desk.read(sent.path["name"]).trial
    asked, form = which_chart(sent)
    of, times, which = [*asked.split("-"), "", "", ""][:3]
    found = desk.rehearsals.find(trial, of, int(times) if times in map(str, TIMES) else 0)
    drawn = None if found is None or found.charts is None else found.charts.drawn.get(which)
    if drawn is None:
        raise Refused(NO_CHART.format(sent.path["form"]))
    return svg_file(lambda: drawn(form))
