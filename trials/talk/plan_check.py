"""What is wrong with one answer about a plan, after those before it: told at its own question."""

from trials.errors import Problem
from trials.files.answers import problems_with, read_answers
from trials.measures.catalogue import measure_named
from trials.plans.advice.advise import advise
from trials.plans.advice.enough import why_out_of_reach
from trials.plans.plan_power import power_of_plan
from trials.records.cross_check import cross_check
from trials.talk import plan_answers
from trials.talk.plan_last_questions import example_of_line
from trials.talk.question import Given, Question
from trials.wording.lists import capital


def wrong_with_answer(question: Question, answer: str, given: Given) -> list[str]:
    """What is wrong with an answer, in lines; nothing where a plan can hold it."""
    key = question.key
    if key == "worth_having":
        return _wrong_with_gain(answer, given)
    if key in plan_answers.IN_ONE_LINE:
        return _wrong_with_parts(key, answer, given)
    if key in plan_answers.STEERING:
        return []
    answers = {**plan_answers.settled(given), key: answer}
    if key == "grains.size":
        answers["sizes.series"] = "ASTM"
    if key == "change.reversible" and answer == "no":
        answers["change.twin"] = "asked next"
    found = problems_with(key, answers) or _unfit_for_the_whole(key, answers)
    return [problem.says for problem in found]


def _unfit_for_the_whole(key: str, answers: Given) -> list[Problem]:
    """What is wrong with an answer by the rules that look at a plan as a whole."""
    trial, _ = read_answers({**plan_answers.STAND_INS, **answers})
    place = f"[{key.partition('.')[0]}] {key.partition('.')[2]}" if "." in key else key
    return [] if trial is None else [one for one in cross_check(trial, (), "") if one.place.endswith(f", {place}")]


def _wrong_with_parts(key: str, answer: str, given: Given) -> list[str]:
    parts, problems = plan_answers.taken_apart(key, answer)
    if key == plan_answers.HELD and given.get("change.variable") in ("pitch", "water"):
        changed = given["change.variable"]
        if f"held.{changed}" in parts:
            problems.append(f"{changed.capitalize()} is what you change, so it can't be held; leave it out here.")
    if problems:
        return problems
    answers = {**plan_answers.settled(given), **parts}
    found = [problem.says for part in parts for problem in problems_with(part, answers)]
    return found or (_wrong_with_pairs({**given, key: answer}) if key == plan_answers.PAIRS else [])


def _wrong_with_pairs(given: Given) -> list[str]:
    """Why so many pairs can't be planned: too few, too many, or more than there is dirt for."""
    trial = plan_answers.trial_so_far(given)
    if trial is None or trial.guess.scatter_from:
        return []
    found = advise(power_of_plan(trial))
    return [one.says for one in found if one.weight == "refuse" and one.about in ("pairs", "dirt")]


def _wrong_with_gain(answer: str, given: Given) -> list[str]:
    """A gain that can be read, is told in the unit of the measure, and can be had at all."""
    measure = given.get("measure")
    line = plan_answers.read_gain(answer, measure)
    if line is None and plan_answers.is_gold_alone(answer):
        return [f"{answer}: how much does a clean-up give now? Write both, as 0.1 g of 0.8 g."]
    if line is None:
        return [f"{answer} is not a gain; write it as {example_of_line(given)}."]
    if measure and line.measure != measure:
        unit = "%, as 20 %" if measure_named(measure).is_ratio else "points, as 3 points"
        return [f"Measure {measure} is told in {unit}."]
    if not plan_answers.can_compare(given):
        answers = plan_answers.settled({**given, "worth_having": answer})
        return [problem.says for problem in problems_with("worth_having", answers)]
    now = {**given, "worth_having": answer}
    trial = plan_answers.trial_so_far(now)
    if trial is not None and plan_answers.compared_for(now) is None:
        return [f"{capital(why_out_of_reach(trial, line))}. Type a smaller gain."]
    return []
