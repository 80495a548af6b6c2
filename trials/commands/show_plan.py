"""A plan on the screen: what will be run, what it may find, where its noise is from, what it must hear."""

from pathlib import Path

from schemas import Trial
from trials.commands.printing import say
from trials.noise.situation import charge_of
from trials.plans.design import mass_words
from trials.plans.plan_power import PlanPower
from trials.plans.planned_scatter import scatter_words
from trials.rehearsal.proposal import Plan
from trials.wording.lists import and_list, count_of
from trials.wording.numbers import figures

LABELS = {"refuse": "Refused", "warn": "Mind", "note": "Note"}
SHARES_SHOWN = 3
LEAST_SHARE = 0.01


def print_plan(plan: Plan) -> None:
    """Print a plan."""
    trial = plan.trial
    say(f"{trial.name}: {_runs_words(trial)}.")
    if plan.record.runs:
        say(_order_words(trial))
    _print_noise(plan.outlook)
    for advice in plan.advice:
        say(f"{LABELS[advice.weight]}, {advice.about}: {advice.says}", hanging=2)


def _runs_words(trial: Trial) -> str:
    """Say how many runs of how much, and what is left of the dirt."""
    arms = len(trial.arms)
    runs = trial.pairs * arms
    charge = charge_of(trial)
    whole = [lot.mass_g for lot in trial.lots if lot.mass_g is not None]
    spares = f" and {count_of(trial.spares, 'spare')}" if trial.spares else ""
    known = trial.held.charge_g is not None or len(whole) == len(trial.lots)
    if not known:
        return f"{count_of(runs, 'run')}{spares}"
    words = f"{count_of(runs, 'run')} of {mass_words(charge)} = {mass_words(runs * charge)}{spares}"
    if len(whole) == len(trial.lots):
        left = sum(whole) - charge * arms * (trial.pairs + trial.spares)
        words += f"; {mass_words(left) if left >= 1.0 else 'no dirt'} left"
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


def _print_noise(outlook: PlanPower) -> None:
    scatter, budget = outlook.scatter, outlook.budget
    if outlook.trial.kind == "audit" and budget is not None:
        say(f"Runs scatter by about {figures(budget.variance**0.5, 2)} points, reckoned from your habits.")
    elif scatter is not None:
        say(f"Scatter of pairs: {scatter_words(scatter, outlook.measure)}.")
    if budget is not None and budget.sources:
        largest = [item for item in budget.shares.items() if item[1] >= LEAST_SHARE][:SHARES_SHOWN]
        parts = [f"{name} {100 * share:.0f} %" for name, share in largest]
        say(f"Its noise is made of: {and_list(parts)}.")


def say_what_is_next(plan: Plan, book: Path, *, replaced: bool) -> None:
    """Say that a plan is stored, and what is done with it next."""
    name = plan.trial.name
    again = ", in place of the plan of that name, which was not locked yet" if replaced else ""
    say()
    say(f"Stored in {book}{again}.")
    told = {(advice.weight, advice.about) for advice in plan.advice}
    if ("warn", "twins") in told:
        say(
            f"First the twins: samedirt plan {name}-twins, nothing changed. With its verdict: samedirt plan {name} "
            f"--set guess.scatter_from={name}-twins",
            hanging=2,
        )
    if ("warn", "pairs") in told:
        say(f"Other ways to measure it: samedirt plan {name} --ways")
    if plan.outlook.budget is not None and plan.trial.kind in ("pairs", "nothing-changed check"):
        say(f"Try it on simulated dirt: samedirt rehearse {name}")
    say(f"Print the papers, which locks it: samedirt sheet {name}")
