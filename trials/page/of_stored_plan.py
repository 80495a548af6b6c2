"""A plan that is stored: what it may find, its charts, the ways compared, and a change to it."""

from collections.abc import Sequence

from starlette.responses import Response

from schemas import Record
from trials.changes.amend import AMENDED
from trials.changes.lock import is_locked
from trials.errors import Refused
from trials.keeping.stored_plans import make_plan, store_amendment, store_planned_anew
from trials.page.desk import Desk
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
    "price.minute": "gold a minute is worth, points or %",
    "price.black_sand_g": "gold a gram of black sand is worth, points or %",
}
"""What can be changed of a stored plan, by its key."""
NO_REASON = "The plan is locked, so a change needs its reason: it stands beside the verdict."
MOST_TRACERS = 5000


def stored_plan_page(desk: Desk, sent: Sent) -> Response:
    """What a stored plan may find, and the form that changes it."""
    record = desk.read(sent.path["name"])

    def shown(problems: Sequence[str]) -> Response:
        told, charts, why_not = _told(desk, record)
        ways, no_ways = _ways(sent, record)
        return desk.show(
            sent,
            "stored_plan.html",
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

    return desk.take_or_show(sent, lambda: _changed(desk, sent, record), shown)


def _told(desk: Desk, record: Record) -> tuple[Sequence[Block], Sequence[tuple[str, str]], Sequence[str]]:
    """What a plan says of itself, and its charts; or why it says nothing."""
    try:
        plan = make_plan(desk.book, record.trial)
    except Refused as error:
        return (), (), error.lines
    return words_of_plan(plan), charts_told(plan), ()


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
        return (), error.lines
