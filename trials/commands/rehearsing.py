"""A plan rehearsed: with nothing changed, and with a change just worth having."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import typer

from schemas import Record, Trial
from trials.commands.printing import say, say_table
from trials.errors import Problem, Refused
from trials.measures.catalogue import measure_named
from trials.plans.plan_power import PlanPower, power_of_plan
from trials.rehearsal.judged import ENDINGS
from trials.rehearsal.rehearsal import Rehearsal, rehearse
from trials.rehearsal.typical_trial import typical_runs
from trials.simulation.gear import TrueEffect

FOUND_SELDOM = 75.0
WORDS = {
    "better": "better",
    "worse": "worse",
    "no_difference": "no difference worth having",
    "not_settled": "not settled",
    "too_few": "too few pairs with any gold",
    "blocked": "stopped by a check",
}


@dataclass(frozen=True, slots=True)
class Played:
    """Two rehearsals of one plan.

    Attributes
    ----------
    trial, outlook
        The plan, and what it may hope to find.
    nothing
        With nothing changed.
    at_line
        With a change just worth having; None where no line is set, or nothing could bring it.
    """

    trial: Trial
    outlook: PlanPower
    nothing: Rehearsal
    at_line: Rehearsal | None


def play(record: Record, times: int, seed: int) -> Played:
    """Rehearse a plan.

    Raises
    ------
    Refused
        A graded trial, an audit or a main size class, which this version does not rehearse; or a plan with neither a
        guess of its gold nor tracers.
    """
    trial = record.trial
    outlook = power_of_plan(trial)
    refuse_what_cannot_be_rehearsed(trial, outlook)
    with progress() as said:
        nothing = _rehearse(outlook, TrueEffect(), times, seed, said("Nothing changed"))
        at_line = None
        if outlook.change is not None:
            at_line = _rehearse(outlook, outlook.change, times, seed, said("Change worth having"))
    return Played(trial, outlook, nothing, at_line)


def refuse_what_cannot_be_rehearsed(trial: Trial, outlook: PlanPower) -> None:
    """Refuse a plan whose trials can't be simulated."""
    if trial.kind in ("graded", "audit") or trial.sizes.main is not None:
        says = "is not a trial of pairs judged on their total; only such a plan can be rehearsed in this version"
        raise Refused([Problem(trial.name, says)])
    if outlook.budget is None:
        says = (
            'says nothing of the gold in the dirt; guess it in the plan ([guess] gold = "5 mg/kg", sizes = "fine"), or '
            "seed tracers ([grains] seeded = 100)"
        )
        raise Refused([Problem(trial.name, says)])


def _rehearse(
    outlook: PlanPower, change: TrueEffect, times: int, seed: int, on_progress: Callable[[int, int], None]
) -> Rehearsal:
    trial = outlook.trial
    return rehearse(
        trial.measure,
        pairs=trial.pairs,
        situation=outlook.situation,
        line=outlook.line,
        change=change,
        look_after=trial.look_after,
        times=times,
        seed=seed,
        on_progress=on_progress,
    )


@contextmanager
def progress() -> Iterator[Callable[[str], Callable[[int, int], None]]]:
    """A bar on a terminal, gone when done; elsewhere a line at each quarter."""
    if not sys.stderr.isatty():
        yield _quarters
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:

        def begin(doing: str) -> Callable[[int, int], None]:
            task = bar.add_task(doing)
            return lambda done, total: bar.update(task, completed=done, total=total)

        yield begin


def _quarters(doing: str) -> Callable[[int, int], None]:
    told = 0

    def said(done: int, total: int) -> None:
        nonlocal told
        if (quarter := 4 * done // total) > told:
            told = quarter
            typer.echo(f"{doing}: {done:,} of {total:,}", err=True)

    return said


def print_played(played: Played) -> None:
    """Print how often each outcome would come, and what that means."""
    trial, nothing, at_line = played.trial, played.nothing, played.at_line
    say(f"{trial.name}, rehearsed {nothing.times:,} times on simulated dirt (assumed noise, seed {nothing.seed}):")
    header = ["outcome, times in 100", "nothing changed"]
    columns = [nothing]
    if at_line is not None and played.outlook.line is not None:
        header.append(measure_named(trial.measure).gain_text(played.outlook.line))
        columns.append(at_line)
    shown = [one for one in ENDINGS if any(column.share(one) > 0 for column in columns) or one in ("better", "worse")]
    say_table(header, [[WORDS[one], *(f"{100 * column.share(one):.1f}" for column in columns)] for one in shown])
    for sentence in sentences(played):
        say(sentence)


def sentences(played: Played) -> list[str]:
    """What the numbers mean, in sentences."""
    nothing, at_line, line = played.nothing, played.at_line, played.outlook.line
    false = nothing.share("better")
    error = 100 * nothing.standard_error(false)
    alarm = (
        f"With nothing changed, luck alone would cry better {100 * false:.1f} times in 100 (give or take "
        f"{max(error, 0.05):.1f}, the rehearsal's own luck)."
    )
    said = [alarm]
    if at_line is not None and line is not None:
        found = 100 * at_line.share("better")
        gain = measure_named(played.trial.measure).gain_text(line)
        said.append(f"A change truly worth {gain} would be found {found:.0f} times in 100.")
        if found < FOUND_SELDOM:
            said.append(
                f"More pairs would find it more often, or another way: samedirt plan {played.trial.name} --ways"
            )
    elif line is None:
        said.append("No line is set, so no change worth having was rehearsed.")
    else:
        said.append("Nothing could bring the line here, so no change worth having was rehearsed.")
    if played.trial.look_after is not None and at_line is not None:
        said.append(
            f"With such a change the early look after pair {played.trial.look_after} would end "
            f"{100 * at_line.stopped_at_look:.0f} in 100 trials; on average {at_line.mean_pairs:.1f} pairs are run."
        )
    return said


def write_charts(played: Played) -> list[Path]:
    """Write the chart of outcomes, and a typical verdict marked as simulated."""
    from trials.charts.files import save_chart
    from trials.charts.rehearsal_chart import rehearsal_chart
    from trials.charts.verdict_chart import verdict_chart
    from trials.verdicts.reach import reach_verdict

    name = played.trial.name
    outcomes, typical = Path(f"rehearsal-{name}.html"), Path(f"typical-{name}.html")
    wide, narrow = (rehearsal_chart(played.nothing, played.at_line, narrow=one) for one in (False, True))
    save_chart(wide, outcomes, narrow=narrow)
    trial = played.trial.model_copy(update={"seed": None})  # simulated trials have draws of their own
    try:
        runs = typical_runs(trial, played.at_line or played.nothing)
    except ValueError as error:  # more grains than a run can hold
        say(f"No typical verdict is drawn: {error}")
        return [outcomes]
    verdict = reach_verdict(trial, runs)
    wide, narrow = (verdict_chart(verdict, runs=runs, narrow=one, simulated=True) for one in (False, True))
    save_chart(wide, typical, narrow=narrow)
    return [outcomes, typical]


def as_json(played: Played) -> dict[str, object]:
    """Both rehearsals, for a plain reader."""

    def plain(one: Rehearsal | None) -> dict[str, object] | None:
        if one is None:
            return None
        shares = {ending: one.share(ending) for ending in ENDINGS}
        return {
            "times": one.times,
            "seed": one.seed,
            "shares": shares,
            "standard_errors": {ending: one.standard_error(share) for ending, share in shares.items()},
            "stopped_at_look": one.stopped_at_look,
            "mean_pairs": one.mean_pairs,
        }

    return {
        "trial": played.trial.name,
        "pairs": played.trial.pairs,
        "line": played.outlook.line,
        "nothing_changed": plain(played.nothing),
        "at_line": plain(played.at_line),
    }
