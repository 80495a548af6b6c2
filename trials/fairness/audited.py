"""The checks of an audit: one set-up and counted grains, so that only the runs themselves can be looked at."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from schemas import Finding, Run, Trial, is_made
from trials.fairness import bed, plan, tally, water, weighing
from trials.fairness.checklist import worst_first
from trials.fairness.evidence import Check, unticked
from trials.fairness.remark import NamedRuns, Remark, not_recorded, remark
from trials.fairness.thresholds import WATER_IN_A_RUN_PERCENT, past
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
    if evidence.trial.gear.kind in bed.NOTHING_TO_STRIP or not evidence.runs:
        return []
    missing = unticked(evidence.runs, "stripped")
    if missing is None:
        return not_recorded("Whether the gear was stripped down before each run was not recorded")
    if not missing:
        return []
    runs = NamedRuns.of(missing, among=evidence.runs)
    return remark("WEAKENS", runs.pairs, bed.NOT_STRIPPED.format, runs, but=bed.BUT_NOT_STRIPPED.format)


def water_held(evidence: AuditEvidence) -> Sequence[Remark]:
    """Did the water hold from start to end of each run?"""
    rises = {run: water.rise_percent(run) for run in evidence.runs}
    if evidence.runs and all(rise is None for rise in rises.values()):
        return not_recorded("The water at start and end of the runs was not read")
    off = {run: rise for run, rise in rises.items() if rise is not None and past(abs(rise), WATER_IN_A_RUN_PERCENT)}
    if not off:
        return []
    worst = max(off, key=lambda run: abs(off[run]))
    named = NamedRuns.of([worst])
    return remark("WEAKENS", [run.pair for run in off], water.unsteady, off[worst], named, (), but=water.rose_or_fell)


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
    missing, seeded = tally.missing_of_seeded(runs)
    if not tally.too_many((missing, seeded)):
        return []
    told = f"{missing:,} of {count_of(seeded, 'grain')}"
    return remark("WEAKENS", (), str, f"{told} {tally.UNACCOUNTED}", but=f"{told} are unaccounted for")


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
        one.in_words(check.name) for check, judge in OF_AUDITS for one in judge(evidence) or remark("ok", (), str)
    )
