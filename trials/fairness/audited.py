"""The checks of an audit: one set-up and counted grains, so that only the runs themselves can be looked at."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from schemas import Finding, Run, Trial, is_made
from trials.fairness import bed, plan, tally, water, weighing
from trials.fairness.checklist import worst_first
from trials.fairness.evidence import Check
from trials.fairness.remark import NOTHING_TO_REMARK, Remark, not_recorded, remark
from trials.measures.audited import Audited, sort_audit
from trials.wording.lists import count_of


@dataclass(frozen=True, slots=True)
class AuditEvidence:
    """An audit with its runs sorted out; `runs` were made and not struck."""

    trial: Trial
    audited: Audited
    runs: tuple[Run, ...]


def gather_audit(trial: Trial, runs: Sequence[Run]) -> AuditEvidence:
    """Sort an audit's runs into what the checks look at."""
    return AuditEvidence(trial, sort_audit(trial, runs), tuple(run for run in runs if is_made(run) and not run.is_void))


def stripped(evidence: AuditEvidence) -> Sequence[Remark]:
    """Was the gear stripped down before every run, so that no grain of the run before counts in it?"""
    return bed.strip_downs_of(evidence.trial, evidence.runs)


def water_held(evidence: AuditEvidence) -> Sequence[Remark]:
    """Did the water hold from start to end of each run?"""
    if evidence.runs and all(water.rise_percent(run) is None for run in evidence.runs):
        return not_recorded("The water at start and end of the runs was not read")
    return water.unsteady_runs(evidence.runs, names_others=False)


def tails_searched(evidence: AuditEvidence) -> Sequence[Remark]:
    """Were all tails caught and searched, so that what is missing can be told from what is lost?"""
    caught = evidence.trial.tails.caught
    if caught not in (None, "all"):
        return remark(
            "NOTE", (), str, f"Tails were caught as {caught}, not all of them: what is missing may be lost too."
        )
    return not_recorded("How the tails were caught was not recorded") if caught is None else []


def planned_first(evidence: AuditEvidence) -> Sequence[Remark]:
    """Was the plan locked before the first run?"""
    days = [day for run in evidence.runs if (day := plan.session_day(run)) is not None]
    if evidence.trial.locked is None or not days:
        return not_recorded("The day of the lock or of the first run is not known")
    late = (evidence.trial.locked - min(days)).days
    said = f"Plan locked {count_of(late, 'day')} after the first run."
    return remark("NOTE", (), str, said) if late > 0 else []


def grains_found(evidence: AuditEvidence) -> Sequence[Remark]:
    """How many grains are neither kept nor found in the tails?"""
    runs = [run for run in evidence.audited.counted if run.in_tails is not None]
    if evidence.audited.counted and not runs:
        return not_recorded("Tracers in the tails were not counted")
    return tally.unaccounted(runs)


def runs_short(evidence: AuditEvidence) -> Sequence[Remark]:
    """Did the audit end with fewer runs than planned, because no spare was left?"""
    seen, planned = evidence.audited, evidence.trial.pairs
    if seen.waiting or seen.standing >= planned:
        return []
    return remark("NOTE", (), str, f"{seen.standing} of {planned} runs: the rest were void and no spare was left.")


OF_AUDITS: tuple[tuple[Check, Callable[[AuditEvidence], Sequence[Remark]]], ...] = (
    (bed.LEFTOVERS, stripped),
    (water.STEADY_WATER, water_held),
    (weighing.TAILS_KEPT, tails_searched),
    (tally.GRAINS_HOME, grains_found),
    (plan.PLAN_FIRST, planned_first),
    (plan.CLOSED_SHORT, runs_short),
)


def judge_audit(evidence: AuditEvidence) -> tuple[Finding, ...]:
    """Ask every check that fits an audit; worst first, else in the order of the list."""
    return worst_first(
        one.in_words(check.name) for check, judge in OF_AUDITS for one in judge(evidence) or NOTHING_TO_REMARK
    )
