"""A plan that is stored: what it may find, its charts, the ways compared, and a change to it."""

from collections.abc import Sequence

from starlette.responses import Response

from schemas import Record
from trials.changes.amend import AMENDED
from trials.changes.lock import is_locked
from trials.errors import Refused
from trials.keeping.stored_plans import make_plan, store_amendment, store_planned_anew
from trials.page.desk import Desk, lines_of
from trials.page.of_charts import charts_told
from trials.page.sent import Done, Sent
from trials.talk.plan_words import words_of_plan
from trials.talk.shown import Block
from trials.talk.way_words import ways_of

KEY_WORDS = {
    **{key: key.replace("_", " ") for key in AMENDED},
    "spares": "spare pairs",
    "worth_having": "smallest gain worth having",
    "look_after": "early look, after how many pairs",
    "limits.black_sand": "most black sand, times",
    "limits.minutes": "most minutes, times",
    "limits.concentrate": "most concentrate, times",
    "limits.water": "most water, times",
    "limits.saving": "smallest saving worth a change, %",
}
"""What can be changed of a stored plan, by its key."""
NO_REASON = "The plan is locked, so a change needs its reason: it stands beside the verdict."
MOST_TRACERS = 5000


def stored_plan_page(desk: Desk, sent: Sent) -> Response:
    """What a stored plan may find, and the form that changes it."""
    record = desk.read(sent.path["name"])
    problems: Sequence[str] = ()
    if sent.is_post:
        try:
            return desk.take(sent, lambda: _changed(desk, sent, record))
        except Refused as error:
            problems = tuple(_without_flag(line, record.trial.name, sent.text("key")) for line in lines_of(error))
    told: Sequence[Block] = ()
    charts: Sequence[tuple[str, str]] = ()
    why_not: Sequence[str] = ()
    try:
        plan = make_plan(desk.book, record.trial)
        told, charts = words_of_plan(plan), charts_told(plan)
    except Refused as error:
        why_not = lines_of(error)
    ways, no_ways = _ways(sent, record)
    return desk.show(
        sent,
        "stored_plan.html",
        status=422 if problems else 200,
        trial=record.trial,
        problems=problems,
        told=told,
        charts=charts,
        why_not=why_not,
        keys=KEY_WORDS.items(),
        key=sent.text("key") or "pairs",
        is_locked=is_locked(record),
        ways=ways,
        no_ways=no_ways,
        is_comparing="tracers" in sent.query,
        tracers=sent.query.get("tracers", ""),
    )


def _without_flag(line: str, name: str, key: str) -> str:
    """A problem with an amendment at its key, without the flag of the command."""
    return line.removeprefix(f"{name} --amend {key}, ").replace("--amend ", "")


def _changed(desk: Desk, sent: Sent, record: Record) -> Done:
    name, key, text = record.trial.name, sent.text("key"), sent.text("text")
    if key not in KEY_WORDS or not text:
        raise Refused("Type what it is to be from now on.")
    to = f"/trial/{name}/plan"
    if not is_locked(record):
        return Done(to, (store_planned_anew(desk.book, name, key, text),))
    if not sent.text("why"):
        raise Refused(NO_REASON)
    return Done(to, (store_amendment(desk.book, name, key, text, sent.text("why"), desk.now.date()),))


def _ways(sent: Sent, record: Record) -> tuple[Sequence[Block], Sequence[str]]:
    """The ways to measure it, compared where that is asked for; or why they can't be."""
    if "tracers" not in sent.query:
        return (), ()
    typed = sent.query["tracers"].strip()
    if typed and not (typed.isascii() and typed.isdigit() and int(typed) <= MOST_TRACERS):
        return (), (f"Tracer grains: {typed} is not a whole number from 0 to {MOST_TRACERS:,}",)
    try:
        return ways_of(record.trial, int(typed) if typed else None)[0], ()
    except Refused as error:
        return (), lines_of(error)
