"""What a change is worth a year: the same questions in one form, the same sentence, remembered for the next trial."""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace

from starlette.responses import Response

from trials.errors import Refused
from trials.files.worth_given import flag
from trials.keeping.pricing import Priced, extras_beside, priced
from trials.page.desk import Desk
from trials.page.sent import Done, Sent
from trials.talk.question import Question
from trials.talk.worth_talk import worth_talk


def worth_page(desk: Desk, sent: Sent) -> Response:
    """What it is worth, as far as that can be told, and the form of what it is reckoned with."""
    name = sent.path["name"]
    record = desk.read(name)
    verdict = desk.verdict(record)
    known = desk.last_reached.of(desk.book, f"known of {name}", lambda: _known(desk, name))
    today = desk.now.date().isoformat()
    has_minutes = record.trial.audit or extras_beside(record, verdict).has_minutes
    questions = worth_talk(record.trial.measure, today=today, has_minutes=has_minutes).questions
    told = {one.key: sent.text(one.key) for one in questions if sent.text(one.key) or one.key in known}

    def reckoned(told: Mapping[str, str]) -> Priced:
        try:
            return priced(desk.book, record, verdict, told, desk.now)
        except Refused as error:
            raise _told_of_the_form(error, questions) from None

    def shown(problems: Sequence[str]) -> Response:
        found: Priced | None = None
        if not sent.is_post:
            with suppress(Refused):  # what is missing stands open in the form
                found = desk.last_reached.of(desk.book, f"worth {name} {today}", lambda: reckoned({}))
        given = {**known, **told} if sent.is_post else known
        return desk.show(
            sent,
            "worth.html",
            trial=record.trial,
            problems=problems,
            sentence="" if found is None else found.sentence,
            verdict="" if found is None else found.verdict.sentence,
            details=() if found is None else found.details(desk.now),
            is_drawn=found is not None and found.worth.benefit is not None,
            can_be_priced=found is None or found.base is not None,
            fields=[_shown(one, given) for one in questions if one.needed(given) or one.key in given],
        )

    return desk.take_or_show(sent, lambda: Done(f"/trial/{name}/worth", (reckoned(told).sentence,)), shown)


def _told_of_the_form(error: Refused, questions: Sequence[Question]) -> Refused:
    """The same problems, each behind the question it belongs to."""
    texts = {flag(one.key): str(one.text) for one in questions}
    found = [replace(one, place="", what=f"{texts.get(one.place, one.place)} {one.what}") for one in error.problems]
    return Refused(found) if found else error


def _known(desk: Desk, name: str) -> dict[str, str]:
    """What is remembered: of a year, and of this change alone."""
    with desk.book.reading() as pages:
        base, own = pages.worth_base(), pages.own_costs().get(name, {})
    return ({} if base is None else dict(base.typed)) | dict(own)


def _shown(question: Question, given: Mapping[str, str]) -> dict[str, str]:
    """A question in its words, with what is known of its answer."""
    value = given.get(question.key, question.default_of(given))
    return {
        "key": question.key,
        "text": question.text_of(given),
        "why": question.why_of(given),
        "help": question.help,
        "value": value,
    }
