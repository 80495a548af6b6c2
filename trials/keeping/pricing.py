"""What a change is worth, reckoned with what is told now and what is remembered of a year; the last is kept."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime

from schemas import LevelsAnswer, Record, Verdict, WorthBase
from trials.errors import Refused
from trials.files.worth_given import missing_for, missing_problems, own_texts, read_worth
from trials.logbook.logbook import Logbook
from trials.worth.gain import why_not
from trials.worth.measured import Extras, extras_of
from trials.worth.reckon import Worth, nothing_to_price, worth_a_year
from trials.worth.sentences import caution_lines, gold_lines, worth_details, worth_sentence


@dataclass(frozen=True, slots=True)
class Priced:
    """A trial with its verdict, and what it is worth; no base where nothing can be priced whatever is typed."""

    verdict: Verdict
    worth: Worth
    base: WorthBase | None
    is_new: bool = False

    @property
    def currency(self) -> str:
        """The code of the currency; blank where it was not told."""
        return "" if self.base is None else self.base.currency

    @property
    def sentence(self) -> str:
        """The answer in one sentence."""
        return worth_sentence(self.worth, self.verdict, self.currency)

    def details(self, now: datetime) -> list[str]:
        """What it is made of, a line each."""
        return [] if self.base is None else worth_details(self.worth, self.verdict, self.base, now.date())

    def under_the_chart(self, now: datetime) -> list[str]:
        """What must be known beside the picture, a line each."""
        if self.base is None:
            return [self.verdict.sentence]
        gold = gold_lines(self.worth, self.base)
        cautions = caution_lines(self.worth, self.verdict, self.base, now.date())
        return [self.verdict.sentence, *gold, *cautions]


Asking = Callable[[Record, Mapping[str, str], Extras], Mapping[str, str]]
"""What asks a person for what is missing: all answers of a trial, of those there are and what was measured."""


def priced(
    book: Logbook,
    record: Record,
    verdict: Verdict,
    told: Mapping[str, str | None],
    now: datetime,
    ask: Asking | None = None,
) -> Priced:
    """Reckon what a trial with its verdict is worth, asking for what is missing where one can; keeps what was told.

    Raises Refused: something is missing, or can't be read, with every problem.
    """
    name = record.trial.name
    reason = "set aside" if record.trial.set_aside is not None else why_not(verdict)
    if reason in ("set aside", "grains", "nothing changed", "audit"):
        return Priced(verdict, nothing_to_price(reason), None)
    extras = extras_beside(record, verdict)
    with book.reading() as pages:
        remembered, own_before = pages.worth_base(), pages.own_costs().get(name, {})
    answers = own_before | answers_told(remembered, told, now)
    if ask is not None and missing_for(verdict.measure, answers):
        answers = dict(ask(record, answers, extras))
    base, own, problems = read_worth(answers)
    problems += missing_problems(verdict.measure, answers)
    if base is None or problems:
        raise Refused(problems)
    own_typed, is_new = own_texts(answers), base != remembered
    if is_new or own_typed != own_before:
        with book.writing() as pages:
            if is_new:
                pages.keep_worth_base(base, now)
            if own_typed != own_before:
                pages.keep_own_costs(name, own_typed, now)
    return Priced(verdict, worth_a_year(verdict, base, own, extras), base, is_new)


def extras_beside(record: Record, verdict: Verdict) -> Extras:
    """What a change takes more in minutes and sand, as the trial measured it; of a graded one at the level named."""
    level = verdict.answer.named if isinstance(verdict.answer, LevelsAnswer) else None
    is_graded = record.trial.kind == "graded"
    return Extras() if is_graded and level is None else extras_of(record.trial, record.runs, level)


def answers_told(remembered: WorthBase | None, told: Mapping[str, str | None], now: datetime) -> dict[str, str]:
    """What is told now, over what is remembered; gold told anew a clean-up stands for that in the dirt."""
    given = {key: text for key, text in told.items() if text is not None}
    if "price" in given:
        given.setdefault("price_date", now.date().isoformat())
    known = {} if remembered is None else dict(remembered.typed)
    if "gold" in given and "grade" not in given:
        known.pop("grade", None)
    return known | given
