"""The runs of a trial: which is next, one typed in, one corrected, one struck; and what the panner sees."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from starlette.responses import Response

from schemas import Record, Run, Trial, is_made
from trials.changes.find_run import run_tagged, run_to_enter
from trials.changes.merge import AS_TYPED
from trials.changes.reasons import VOID_REASONS, refuse_no_reason, void_reason
from trials.changes.strike import has_gold
from trials.errors import Refused
from trials.fairness.missing import last_called, measures_missing, runs_lacking, runs_to_come
from trials.keeping.drafts import run_draft
from trials.keeping.storing import found_in, store_answers
from trials.keeping.striking import store_aside, store_counting_again, store_strike, store_taking_back
from trials.measures.catalogue import measure_named
from trials.page.desk import Desk
from trials.page.run_fields import STANDS, WAS, RunField, answer_of, look_of, values_of
from trials.page.sent import Done, Sent
from trials.talk.at_once import Filled, answered, mended
from trials.talk.engine import answer
from trials.talk.run_talk import BY_THE_FEEDER, STORE, RunTalk, talk_of_run

AS_STORED = "Nothing here is another than what is stored."
OVERTAKEN = "{}: {} is stored by now, which is another than when this form was opened. Store again if yours is right."
UNNAMED = 10**6
ALL_STANDS = "all stands"
"""The box that says of a stored run that nothing in it is a slip."""


@dataclass(frozen=True, slots=True)
class RunLine:
    """One run as it stands in the list; its set-up is no part of it.

    state: waits, stored, lacking, void, spare.
    """

    tag: str
    turn: str
    session: str
    state: str
    why: str = ""


def runs_page(desk: Desk, sent: Sent) -> Response:
    """The order, what is done, and the next tag."""
    record = desk.read(sent.path["name"])
    lines = _lines(record)
    waiting = _waiting(record)
    return desk.show(
        sent,
        "runs.html",
        trial=record.trial,
        lines=lines,
        next=waiting[0].tag if waiting else "",
        lacking=tuple(measures_missing(record.trial, record.runs)),
        made=sum(is_made(run) for run in record.runs),
        to_come=len(runs_to_come(record.trial, record.runs)),
    )


def panner_page(desk: Desk, sent: Sent) -> Response:
    """The tags alone, in the order of the alphabet: no turn, no pair, no set-up, and nothing that was found."""
    record = desk.read(sent.path["name"])
    lines = sorted((line for line in _lines(record) if line.state != "spare"), key=lambda line: line.tag)
    return desk.show(sent, "panner.html", name=record.trial.name, lines=lines)


def _waiting(record: Record) -> list[Run]:
    """The runs to be made, then those that lack what the main measure needs."""
    if record.trial.set_aside is not None:
        return []
    lacking = [run for run, _ in runs_lacking(record.trial, record.runs)]
    return [run for run in (*runs_to_come(record.trial, record.runs), *lacking) if run.tag]


def _lines(record: Record) -> list[RunLine]:
    lacking = {run.key for run, _ in runs_lacking(record.trial, record.runs)}
    to_come = {run.key for run in runs_to_come(record.trial, record.runs)}
    last = last_called(record.trial, record.runs)
    found = []
    for run in sorted(record.runs, key=lambda run: (run.turn or UNNAMED, run.tag or "")):
        if run.is_void:
            state = "void"
        elif run.key in lacking:
            state = "lacking"
        elif is_made(run):
            state = "stored"
        else:
            state = "waits" if run.key in to_come else "spare" if run.pair > last else "left out"
        found.append(RunLine(run.tag or "", str(run.turn or ""), run.session or "", state, run.void or ""))
    return found


def run_page(desk: Desk, sent: Sent) -> Response:
    """One run typed in: its questions as fields, refused and asked about as at the terminal."""
    name, tag = sent.path["name"], sent.path["tag"]
    is_for_panner = sent.query.get("view") == "panner"
    record = desk.read(name)
    try:
        run = found_in(desk.book, name, tag, lambda one: run_to_enter(one, tag, correcting=False), record=record)
    except Refused as error:
        return _closed(desk, sent, record, error)
    talk = _seen_by(talk_of_run(record, run, correcting=False, now=desk.now), panner=is_for_panner)
    back = f"/trial/{name}/{'panner' if is_for_panner else 'runs'}"
    if not sent.is_post:
        fields = [RunField(ask, look_of(ask), values_of(ask, ask.default)) for ask in talk.asks]
        return _form(desk, sent, talk, fields, back=back)
    texts, wrong = _texts(talk, sent.fields)
    each = {one.key: max(one.each, key=len) for one in talk.together}
    done = answered(talk.begin({}), texts | each | {STORE: "yes"}, _standing(sent.fields))
    odd = talk.odd(done.sitting.answers)
    if wrong or not done.is_taken or not set(odd) <= set(sent.text("seen").split("\n")):
        return _form(desk, sent, talk, _as_sent(talk, sent.fields, texts, done, wrong), back=back, odd=odd)
    answers = talk.to_store(done.sitting) or {}
    return desk.take_or_show(
        sent,
        lambda: _stored(desk, name, run, answers, None, back, correcting=False),
        lambda problems: _form(
            desk, sent, talk, _as_sent(talk, sent.fields, texts, done, wrong), back=back, problems=problems
        ),
    )


def _seen_by(talk: RunTalk, *, panner: bool) -> RunTalk:
    """What is asked of whoever sits there: the panner is asked for what is done at the pan."""
    if not panner:
        return talk
    asks = tuple(ask for ask in talk.asks if not set(ask.fields) & BY_THE_FEEDER)
    return RunTalk(talk.record, talk.run, asks, talk.correcting)


def correct_page(desk: Desk, sent: Sent) -> Response:
    """One run completed or corrected, with a reason; the old values stay on record."""
    name, tag = sent.path["name"], sent.path["tag"]
    record = desk.read(name)
    try:
        run = found_in(desk.book, name, tag, lambda one: run_to_enter(one, tag, correcting=True), record=record)
    except Refused as error:
        return _closed(desk, sent, record, error)
    talk = talk_of_run(record, run, correcting=True, now=desk.now)
    back = f"/trial/{name}/runs"
    stored = {ask.key: values_of(ask, ask.default) for ask in talk.asks}
    now = {ask.key: answer_of(ask, stored[ask.key])[0] for ask in talk.asks}
    if not sent.is_post:
        fields = [RunField(ask, look_of(ask), stored[ask.key], was=now[ask.key]) for ask in talk.asks]
        return _form(desk, sent, talk, fields, back=back)
    texts, wrong = _texts(talk, sent.fields)
    was = {key: sent.fields.get(f"{WAS}{key}", text) for key, text in now.items()}
    changed = {key: text for key, text in texts.items() if text not in (was[key], now[key])}
    overtaken = [ask for ask in talk.asks if ask.key in changed and was[ask.key] != now[ask.key]]
    if overtaken:
        fields = [
            RunField(ask, look_of(ask), sent.fields if ask.key in changed else stored[ask.key], was=now[ask.key])
            for ask in talk.asks
        ]
        problems = [OVERTAKEN.format(ask.name, now[ask.key] or "nothing") for ask in overtaken]
        return _form(desk, sent, talk, fields, back=back, problems=problems)
    is_so = bool(sent.text(ALL_STANDS))
    done = mended(talk.begin({}), changed, changed if is_so else _standing(sent.fields))
    shown = [replace(one, was=was[one.ask.key]) for one in _as_sent(talk, sent.fields, texts, done, wrong)]
    if wrong or not done.is_taken:
        return _form(desk, sent, talk, shown, back=back)
    answers = talk.to_store(answer(done.sitting, "yes").sitting) or {} if changed else {}
    why, stands = sent.text("why"), _standing_whole(record.trial, run) if is_so else {}

    def corrected() -> Done:
        if answers or not stands:  # that it stands is no change, and needs no reason
            refuse_no_reason(why)
        if not answers and not stands:
            raise Refused(AS_STORED)
        return _stored(desk, name, run, {**answers, **stands}, why if answers else None, back, correcting=True)

    return desk.take_or_show(
        sent, corrected, lambda problems: _form(desk, sent, talk, shown, back=back, problems=problems)
    )


def _standing_whole(trial: Trial, run: Run) -> dict[str, str]:
    """The answer that what the measure reads of a run stands; what is asked about is added to it as it is stored."""
    read = {field for field in measure_named(trial.measure).inputs if getattr(run, field) is not None}
    return {AS_TYPED: ", ".join(sorted(run.stands | read))}


def _stored(
    desk: Desk, name: str, run: Run, answers: Mapping[str, str], why: str | None, back: str, *, correcting: bool
) -> Done:
    said = store_answers(desk.book, name, run, answers, why=why, now=desk.now, stands=AS_TYPED in answers)
    run_draft(desk.book, name, run.tag, correcting=correcting).remove()
    again = " correct" if correcting else ""
    return Done(back, (said,), f"{name} {run.tag}{again}")


def _texts(talk: RunTalk, fields: Mapping[str, str]) -> tuple[dict[str, str], dict[str, str]]:
    """The answer of each ask that was on the form, as it would be typed; and what is wrong with its fields."""
    found = {ask.key: answer_of(ask, fields) for ask in talk.asks}
    return {key: text for key, (text, _) in found.items()}, {key: says for key, (_, says) in found.items() if says}


def _standing(fields: Mapping[str, str]) -> dict[str, str]:
    """The answers of which it was said that they stand as typed."""
    return {name.removeprefix(STANDS): text for name, text in fields.items() if name.startswith(STANDS)}


def _as_sent(
    talk: RunTalk, fields: Mapping[str, str], texts: Mapping[str, str], done: Filled, wrong: Mapping[str, str]
) -> list[RunField]:
    return [
        RunField(
            ask,
            look_of(ask),
            fields,
            (wrong[ask.key],) if ask.key in wrong else done.wrong.get(ask.key, ()),
            done.asked.get(ask.key, ()),
            texts[ask.key],
        )
        for ask in talk.asks
    ]


def _form(
    desk: Desk,
    sent: Sent,
    talk: RunTalk,
    fields: Sequence[RunField],
    *,
    back: str,
    odd: Sequence[str] = (),
    problems: Sequence[str] = (),
) -> Response:
    names = {field.ask.key: field.ask.name for field in fields}
    told = [f"{names[field.ask.key]}: {says}" for field in fields for says in (*field.wrong, *field.asked)]
    is_panners = back.endswith("/panner")
    return desk.show(
        sent,
        "run.html",
        status=422 if sent.is_post else 200,
        trial=None if is_panners else talk.record.trial,
        name=talk.record.trial.name,
        problems=(*problems, *told),
        tag=talk.run.tag,
        is_correcting=talk.correcting,
        fields=fields,
        odd=odd,
        back=back,
        why=sent.text("why"),
        here=sent.url + ("?view=panner" if is_panners else ""),
    )


def _closed(desk: Desk, sent: Sent, record: Record, error: Refused) -> Response:
    """A run that can't be typed in: why, and where one goes from there."""
    tag = sent.path["tag"].strip().upper()
    run = next((one for one in record.runs if (one.tag or "").upper() == tag), None)
    is_panners = sent.query.get("view") == "panner"
    lines = error.lines
    if is_panners and run is not None:  # why it is closed would tell of its pair
        lines = (f"{run.tag} is stored already." if is_made(run) and not run.is_void else f"{run.tag} is not to pan.",)
    return desk.show(
        sent,
        "run_closed.html",
        status=422 if sent.is_post else 200 if run is not None else 404,
        trial=None if is_panners else record.trial,
        name=record.trial.name,
        lines=lines,
        tag=run.tag if run is not None else "",
        is_made=run is not None and is_made(run) and not run.is_void,
    )


def strike_page(desk: Desk, sent: Sent) -> Response:
    """A run struck with its reason, or one that was struck by mistake counting again."""
    name, tag = sent.path["name"], sent.path["tag"]
    record = desk.read(name)
    run = found_in(desk.book, name, tag, lambda one: run_tagged(one, tag), record=record)
    is_known = has_gold(record, run)

    def shown(problems: Sequence[str]) -> Response:
        return desk.show(
            sent, "strike.html", trial=record.trial, problems=problems, run=run, is_known=is_known, reasons=VOID_REASONS
        )

    return desk.take_or_show(sent, lambda: _struck(desk, sent, run, is_known=is_known), shown)


def _struck(desk: Desk, sent: Sent, run: Run, *, is_known: bool) -> Done:
    name, tag = sent.path["name"], run.tag or ""
    counts_again = bool(sent.text("again"))  # as the form said, whatever became of it since
    why = void_reason(sent.text("own") or sent.text("why"))
    back = f"/trial/{name}/runs"
    if counts_again:
        return Done(back, (store_counting_again(desk.book, name, tag, why, desk.now),))
    known = None if is_known else {"yes": True, "no": False}.get(sent.text("gold"))
    return Done(back, (store_strike(desk.book, name, tag, why, gold_known=known, now=desk.now),))


def aside_page(desk: Desk, sent: Sent) -> Response:
    """A whole trial set aside, or taken back."""
    name = sent.path["name"]
    record = desk.read(name)
    store = store_taking_back if sent.text("again") else store_aside
    return desk.take_or_show(
        sent,
        lambda: Done(f"/trial/{name}", (store(desk.book, name, void_reason(sent.text("why")), desk.now),)),
        lambda problems: desk.show(sent, "aside.html", trial=record.trial, problems=problems),
    )
