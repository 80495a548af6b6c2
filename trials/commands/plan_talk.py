"""The conversation of `samedirt plan`: each answer is checked and kept at once; the plan is shown, then stored."""

from collections.abc import Callable, Mapping

from trials.commands.asking import Answers, Question, converse
from trials.commands.drafts import Draft
from trials.commands.plan_last import LAST, example_of_line
from trials.commands.plan_questions import FIRST
from trials.commands.plan_settled import (
    CONFIRM,
    HELD,
    PAIRS,
    RUN,
    STEERING,
    TRACERS,
    can_compare,
    compared_for,
    read_line,
    settled,
    taken_apart,
    trial_so_far,
)
from trials.commands.printing import say
from trials.files.answers import problems_with
from trials.measures.catalogue import measure_named
from trials.plans.advice.advise import advise
from trials.plans.plan_power import power_of_plan

MOST_TRACERS = 5_000
Given = Mapping[str, str]
Show = Callable[[Answers], bool]
"""Prints the plan that answers make; whether it can be stored so."""


def talk(begun: Answers, flags: Answers, draft: Draft, *, show: Show, name_is_taken: Callable[[str], str]) -> Answers:
    """Ask for a whole plan, going on from what is answered already.

    Parameters
    ----------
    begun
        Answers of an earlier sitting; back may go to them.
    flags
        Answers given with the command; they stand.
    draft
        Where all answers are kept while it goes on.
    show
        Prints the plan before it is stored.
    name_is_taken
        Says why a name can't be planned over; blank where it can.

    Returns
    -------
    dict
        Every key of the plan.

    Raises
    ------
    Stopped
        The person left; the draft holds all answers so far.
    """
    say("Enter takes what stands in [brackets]; ? explains, back goes back, Ctrl-C stops and keeps all answers.")

    def check(question: Question, answer: str, given: Given) -> list[str]:
        if question.key == "name" and (says := name_is_taken(answer)):
            return [says]
        if question.key == CONFIRM:
            return shown.refuses(answer)
        return check_answer(question, answer, given)

    shown = _Shown(show, flags)
    questions = (*FIRST, *LAST, shown.question)
    given = converse(questions, {**begun, **flags}, check, draft.write, earlier=set(begun) - set(flags))
    return settled(only_what_applies(given, flags))


def only_what_applies(given: Given, flags: Given) -> Answers:
    """The answers whose questions stand: one that was changed may have made later ones idle."""
    asked = {question.key for question in (*FIRST, *LAST)}
    standing: Answers = {key: text for key, text in given.items() if key in flags or key not in asked}
    for question in (*FIRST, *LAST):
        if question.key in given and (question.key in flags or question.applies(standing)):
            standing[question.key] = given[question.key]
    return standing


class _Shown:
    """The last question, under the plan as it would be stored."""

    def __init__(self, show: Show, flags: Given) -> None:
        self._show = show
        self._flags = flags
        self._is_sound = True
        self.question = Question(
            CONFIRM,
            lambda _: "Store it so?" if self._is_sound else "It can't be stored so.",
            "back goes to the answer before. A plan can be made anew until its first sheet is printed.",
            "yes stores the plan in the logbook; back changes an answer; Ctrl-C stops here and keeps all of them.",
            default=lambda _: "yes" if self._is_sound else "",
            shows=self._shows,
        )

    def _shows(self, given: Given) -> None:
        say()
        self._is_sound = self._show(settled(only_what_applies(given, self._flags)))

    def refuses(self, answer: str) -> list[str]:
        """What is wrong with the answer to it."""
        if self._is_sound and answer.lower() in ("yes", "y"):
            return []
        yes = "yes stores it, " if self._is_sound else ""
        return [f"{yes}back changes an answer, Ctrl-C stops and keeps all of them."]


def check_answer(question: Question, answer: str, given: Given) -> list[str]:
    """What is wrong with an answer, in lines."""
    key = question.key
    if key == TRACERS:
        fits = answer.isascii() and answer.isdigit() and int(answer) <= MOST_TRACERS
        return [] if fits else [f"{answer} is not a count from 0 to {MOST_TRACERS}."]
    if key == "worth_having":
        return _check_line(answer, given)
    if key in (HELD, RUN, PAIRS):
        return _check_parts(key, answer, given)
    if key in STEERING:
        return []
    answers = {**settled(given), key: answer}
    if key == "grains.size":
        answers["sizes.series"] = "ASTM"
    if key == "change.reversible" and answer == "no":
        answers["change.twin"] = "asked next"
    return [problem.says for problem in problems_with(key, answers)]


def _check_parts(key: str, answer: str, given: Given) -> list[str]:
    parts, problems = taken_apart(key, answer)
    if key == HELD and given.get("change.variable") in ("pitch", "water"):
        changed = given["change.variable"]
        if f"held.{changed}" in parts:
            problems.append(f"{changed.capitalize()} is what you change, so it can't be held; leave it out here.")
    if problems:
        return problems
    answers = {**settled(given), **parts}
    found = [problem.says for part in parts for problem in problems_with(part, answers)]
    return found or (_refused_pairs({**given, key: answer}) if key == PAIRS else [])


def _refused_pairs(given: Given) -> list[str]:
    """Why so many pairs can't be planned: too few, too many, or more than there is dirt for."""
    trial = trial_so_far(given)
    if trial is None:
        return []
    found = advise(power_of_plan(trial)) if not trial.guess.scatter_from else ()
    return [one.says for one in found if one.weight == "refuse" and one.about in ("pairs", "dirt")]


def _check_line(answer: str, given: Given) -> list[str]:
    """A gain that can be read, is told in the unit of the measure, and can be had at all."""
    measure = given.get("measure")
    line = read_line(answer, measure)
    if line is None:
        return [f"{answer} is not a gain; write it as {example_of_line(given)}."]
    if measure and line.measure != measure:
        unit = "%, as 20 %" if measure_named(measure).is_ratio else "points, as 3 points"
        return [f"Measure {measure} is told in {unit}."]
    if can_compare(given) and compared_for({**given, "worth_having": answer}) is None:
        return [f"No change could bring {line.words}: what is kept already leaves less than that to win."]
    return []
