"""A plan made at the page: the questions of the talk on a few screens, what they mean so far, stored; its papers."""

import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from starlette.responses import RedirectResponse, Response

from schemas import is_made
from trials.errors import Refused
from trials.keeping import stored_plans
from trials.keeping.drafts import plan_draft
from trials.keeping.earlier import Earlier
from trials.page.creek_file import PHONE_FILES
from trials.page.desk import Desk
from trials.page.of_charts import NO_CHART, charts_told, plan_svg, which_chart
from trials.page.of_trial import html_file
from trials.page.sent import Done, Sent
from trials.papers.write import PAPERS
from trials.talk.at_once import answered
from trials.talk.engine import Sitting
from trials.talk.plan_answers import CONFIRM
from trials.talk.plan_screens import SCREENS, screen_of, words_so_far
from trials.talk.plan_talk import SEED, PlanTalk
from trials.talk.question import Choice, Given, Question
from trials.talk.shown import Block

PAPER_WORDS = {
    "creek": "Creek sheet, for the feeder",
    "panner": "Panner sheet: tags alone",
    "tags": "Tags, two for each run",
    "key": "Key: fold and seal it",
}


@dataclass(frozen=True, slots=True)
class PlanField:
    """One question as it is shown: its words after the answers so far, what can be chosen, what stands in it."""

    key: str
    text: str
    why: str
    help: str
    options: tuple[str, ...]
    value: str
    may_be_blank: bool
    wrong: tuple[str, ...] = ()


def plan_page(desk: Desk, sent: Sent) -> Response:
    """A plan, screen by screen; its answers are kept as they are given, for the terminal too."""
    draft = plan_draft(desk.book)
    kept = {key: text for key, text in draft.read().items() if key not in (CONFIRM, SEED)}
    talk = _talk(desk, sent)
    if sent.is_post and sent.text("anew"):
        draft.remove()
        return RedirectResponse("/plan", 303)
    if not sent.is_post:
        return _shown(desk, sent, talk, talk.begin(kept), _at(sent))
    at = _at(sent)
    if at is None or at >= len(SCREENS):
        return _stored(desk, sent, talk, kept)
    texts = {key: sent.text(key) for key in SCREENS[at].keys if key in sent.fields}
    done = answered(talk.begin({key: text for key, text in kept.items() if key not in texts}), texts, {})
    if done.wrong:
        return _shown(desk, sent, talk, talk.begin(kept), at, texts=texts, wrong=done.wrong)
    draft.write(done.sitting.draft)
    return RedirectResponse("/plan", 303)


def plan_chart(desk: Desk, sent: Sent) -> Response:
    """A chart of the plan that is being made, of the answers so far."""
    which, form = which_chart(sent)
    kept = {key: text for key, text in plan_draft(desk.book).read().items() if key not in (CONFIRM, SEED)}
    talk = _talk(desk, sent)
    plan = talk.plan(talk.begin(kept).answers)
    if plan is None:
        raise Refused(NO_CHART.format(sent.path["form"]))
    return plan_svg(plan, which, form)


def _at(sent: Sent) -> int | None:
    """The screen that is meant, by its number; None where none is."""
    told = sent.text("at") or sent.query.get("at", "")
    return min(int(told), len(SCREENS)) if told.isascii() and told.isdigit() and len(told) < 4 else None


def _talk(desk: Desk, sent: Sent) -> PlanTalk:
    earlier = Earlier(desk.book)
    seed = sent.text(SEED) if sent.text(SEED).isdigit() else str(secrets.randbelow(stored_plans.SEEDS))
    return PlanTalk(
        {SEED: seed},
        lay_out=lambda trial: stored_plans.make_plan(desk.book, trial),
        name_is_taken=lambda name: stored_plans.locked_words(desk.book, name),
        is_stored=desk.book.holds,
        known=earlier.answer,
        scatters=earlier.scatters,
    )


def _shown(
    desk: Desk,
    sent: Sent,
    talk: PlanTalk,
    sitting: Sitting,
    at: int | None,
    *,
    texts: Given | None = None,
    wrong: Mapping[str, Sequence[str]] | None = None,
) -> Response:
    prompt = sitting.prompt()
    open_at = len(SCREENS) if prompt is None else screen_of(prompt.question.key)
    here = open_at if at is None else min(at, open_at)
    is_last = here >= len(SCREENS)
    given = sitting.answers
    told: Sequence[Block] = prompt.told if prompt is not None and here == open_at else ()
    plan = talk.plan(given) if is_last else None
    fields = () if is_last else _fields(here, sitting, texts or {}, wrong or {})
    return desk.show(
        sent,
        "plan.html",
        status=422 if wrong else 200,
        problems=[f"{says}" for several in (wrong or {}).values() for says in several],
        screens=[(number, screen.title) for number, screen in enumerate(SCREENS) if _has(number, sitting, open_at)],
        at=here,
        last=len(SCREENS),
        title="The plan" if is_last else SCREENS[here].title,
        fields=fields,
        asked_more=() if at is not None else _asked_more(fields, given),
        told=told,
        charts=() if plan is None else charts_told(plan),
        so_far=() if is_last else words_so_far(sitting.standing),
        is_sound=is_last and prompt is not None and prompt.default == "yes",
        seed="" if plan is None else str(plan.trial.seed),
        name=given.get("name", ""),
        begun=len(given) - 1,
    )


def _has(number: int, sitting: Sitting, open_at: int) -> bool:
    """Whether a screen has anything to ask, and can be gone to."""
    return number <= open_at and any(True for _ in SCREENS[number].questions(sitting.answers, sitting.talk.questions))


def _asked_more(fields: Sequence[PlanField], given: Given) -> tuple[str, ...]:
    """The questions that the answers on their own screen made needed, so that it is shown once more."""
    still_open = tuple(one.text for one in fields if one.key not in given)
    return still_open if len(still_open) < len(fields) else ()


def _fields(at: int, sitting: Sitting, texts: Given, wrong: Mapping[str, Sequence[str]]) -> list[PlanField]:
    given = sitting.answers
    assumed = dict(given)
    found = []
    for question in SCREENS[at].questions({**given, **texts}, sitting.talk.questions):
        value = texts.get(question.key, given.get(question.key, question.default_of(assumed)))
        assumed.setdefault(question.key, value)
        found.append(_field(question, assumed, value, tuple(wrong.get(question.key, ()))))
    return found


def _field(question: Question, given: Given, value: str, wrong: tuple[str, ...]) -> PlanField:
    kind = question.kind_of(given)
    options = kind.options if isinstance(kind, Choice) else ()
    return PlanField(
        question.key,
        question.text_of(given),
        question.why_of(given),
        question.help,
        options,
        value,
        question.may_be_blank,
        wrong,
    )


def _stored(desk: Desk, sent: Sent, talk: PlanTalk, kept: Given) -> Response:
    """The plan as it was shown, stored; or the screen again where it can't be."""
    done = answered(talk.begin(kept), {CONFIRM: "yes"}, {})
    plan = talk.plan(done.sitting.answers)
    if done.wrong or plan is None or done.sitting.prompt() is not None:
        return _shown(desk, sent, talk, talk.begin(kept), None, wrong=done.wrong)

    def store() -> Done:
        replaced = stored_plans.store_plan(desk.book, plan)
        plan_draft(desk.book).remove()
        again = ", in place of the plan of that name, which was not locked yet" if replaced else ""
        return Done(f"/trial/{plan.trial.name}/papers", (f"{plan.trial.name} is stored{again}.",))

    return desk.take(sent, store)


def papers_page(desk: Desk, sent: Sent) -> Response:
    """The papers to print; the first time locks the plan."""
    name = sent.path["name"]
    record = desk.read(name)

    def shown(problems: Sequence[str]) -> Response:
        return desk.show(
            sent,
            "papers.html",
            trial=record.trial,
            problems=problems,
            papers=PAPER_WORDS.items(),
            is_locked=record.trial.locked is not None,
            can_be_planned=record.trial.locked is None and not any(is_made(run) for run in record.runs),
        )

    return desk.take_or_show(sent, lambda: _locked(desk, name), shown)


def _locked(desk: Desk, name: str) -> Done:
    record, newly = stored_plans.record_to_print(desk.book, name, desk.now.date())
    for _, page in PAPERS:
        page(record)  # refuses what can't be printed before anything is locked
    if newly:
        stored_plans.lock_printed(desk.book, record)
    said = f"{name} is locked from today. A later change is an amendment, with its reason."
    return Done(f"/trial/{name}/papers", (said,) if newly else ())


def paper_file(desk: Desk, sent: Sent) -> Response:
    """One paper as a page to print, or a file to send to a phone, of a plan that is locked."""
    record = desk.read(sent.path["name"])
    which = sent.path["paper"]
    page = dict((*PAPERS, *PHONE_FILES)).get(which)
    if page is None or record.trial.locked is None:
        raise Refused(f"{record.trial.name}: no paper {which} is made yet; lock the plan first")
    return html_file(
        page(record), f"{which}-{record.trial.name}.html", is_kept="keep" in sent.query or which in dict(PHONE_FILES)
    )
