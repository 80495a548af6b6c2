"""A plan in words: what will be run, what it may find, where its noise is from, what it must hear, what comes next."""

from collections.abc import Iterator

from schemas import Trial
from trials.noise.situation import charge_of
from trials.plans.plan_power import PlanPower
from trials.plans.planned_scatter import scatter_words
from trials.records.own_units import mass_told
from trials.rehearsal.proposal import Plan
from trials.talk.shown import Block, Sentence
from trials.wording.lists import and_list, count_of
from trials.wording.numbers import figures
from trials.wording.steps import ways_step

LABELS = {"refuse": "Refused", "warn": "Mind", "note": "Note"}
SHARES_SHOWN = 3
LEAST_SHARE = 0.01


def words_of_plan(plan: Plan) -> tuple[Block, ...]:
    """A plan in words: its runs, their order, its noise, and all that it must hear."""
    trial = plan.trial
    told = [Sentence(f"{trial.name}: {runs_words(trial)}.")]
    if plan.record.runs:
        told.append(Sentence(_order_words(trial)))
    advice = (Sentence(f"{LABELS[one.weight]}, {one.about}: {one.says}", hanging=2) for one in plan.advice)
    return (*told, *map(Sentence, noise_words(plan.outlook)), *advice)


def runs_words(trial: Trial) -> str:
    """How many runs of how much dirt, and what is left of it."""
    arms = len(trial.arms)
    runs = trial.pairs * arms
    charge = charge_of(trial)
    whole = [lot.mass_g for lot in trial.lots if lot.mass_g is not None]
    spares = f" and {count_of(trial.spares, 'spare')}" if trial.spares else ""
    known = trial.held.charge_g is not None or len(whole) == len(trial.lots)
    if not known:
        return f"{count_of(runs, 'run')}{spares}"
    words = f"{count_of(runs, 'run')} of {mass_told(trial, charge)} = {mass_told(trial, runs * charge)}{spares}"
    if len(whole) == len(trial.lots):
        left = sum(whole) - charge * arms * (trial.pairs + trial.spares)
        words += f"; {mass_told(trial, left) if left >= 1.0 else 'no dirt'} left"
    return words


def _order_words(trial: Trial) -> str:
    if trial.kind == "audit":
        return f"Tags drawn from seed {trial.seed}."
    blocks = "blocks" if trial.kind == "graded" else "pairs"
    share = "share" if trial.kind == "graded" else "half"
    return (
        f"Order drawn from seed {trial.seed}, balanced over the {blocks}; which {share} of the dirt goes to which "
        "set-up is drawn apart."
    )


def noise_words(outlook: PlanPower) -> Iterator[str]:
    """How far pairs scatter, and what that is made of, a sentence each."""
    scatter, budget = outlook.scatter, outlook.budget
    if outlook.trial.kind == "audit" and budget is not None:
        yield f"Runs scatter by about {figures(budget.variance**0.5, 2)} points, reckoned from your habits."
    elif scatter is not None:
        yield f"Scatter of pairs: {scatter_words(scatter, outlook.measure)}."
    if budget is not None and budget.sources:
        largest = [item for item in budget.shares.items() if item[1] >= LEAST_SHARE][:SHARES_SHOWN]
        parts = [f"{name} {100 * share:.0f} %" for name, share in largest]
        yield f"Its noise is made of: {and_list(parts)}."


def words_of_what_is_next(plan: Plan, book: str, *, replaced: bool) -> tuple[Block, ...]:
    """That a plan is stored in a logbook, in place of another or not, and what is done with it next."""
    trial, told = plan.trial, {(advice.weight, advice.about) for advice in plan.advice}
    again = ", in place of the plan of that name, which was not locked yet" if replaced else ""
    words = [Sentence(), Sentence(f"Stored in {book}{again}.")]
    if ("warn", "twins") in told:
        check = f"{trial.name}-twins"
        says = f"First the twins: samedirt plan {check}, nothing changed. With its verdict: samedirt plan {trial.name} "
        says += f"--set guess.scatter_from={check}"
        words.append(Sentence(says, hanging=2))
    if ("warn", "pairs") in told:
        words.append(Sentence(f"Other ways to measure it: {ways_step(trial.name)}"))
    if plan.outlook.budget is not None and trial.kind in ("pairs", "nothing-changed check"):
        words.append(Sentence(f"Try it on simulated dirt: samedirt rehearse {trial.name}"))
    return (*words, Sentence(f"Print the papers, which locks it: samedirt sheet {trial.name}"))
