"""Checks on the plan and its end: plan-first, extended, closed-short."""

import re
from collections.abc import Sequence
from datetime import date

from schemas import Amendment, Finding, Run, Trial
from trials.fairness.evidence import Check, Evidence, not_recorded
from trials.fairness.thresholds import EXTENDED_FALSE_ALARMS
from trials.wording.lists import count_of

DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


def session_day(run: Run) -> date | None:
    """The day a run's session begins with, if it begins with one.

    >>> session_day(Run(pair=1, arm="baseline", session="2026-05-03 am"))
    datetime.date(2026, 5, 3)
    """
    found = DAY.match(run.session or "")
    try:
        return date.fromisoformat(found.group()) if found else None
    except ValueError:
        return None


def plan_first(evidence: Evidence) -> Sequence[Finding]:
    """Was the plan locked before the first run, and left as it was?"""
    days = [day for run in evidence.runs if (day := session_day(run)) is not None]
    changed = _changed_since(evidence.trial, min(days)) if days else []
    if evidence.trial.locked is None:
        return changed or not_recorded(PLAN_FIRST.name, "Plan date not known")
    if not days:
        return not_recorded(PLAN_FIRST.name, "The day of the first run is not known")
    late = (evidence.trial.locked - min(days)).days
    if late <= 0:
        return changed
    said = f"Plan locked {count_of(late, 'day')} after the first run. A hunch only; plan a new trial."
    return [Finding(check=PLAN_FIRST.name, severity="WEAKENS", message=said), *changed]


def _changed_since(trial: Trial, first: date) -> list[Finding]:
    """What of the plan was changed on the day of the first run or later: the day can't say which came first in it.

    Limits of costs, and pairs raised (of which `extended` judges), do not make a gain of gold: small print.
    """
    found = []
    for amendment in trial.amended:
        if amendment.when < first:
            continue
        small = amendment.what.startswith("limits") or _raises_pairs(amendment)
        after = count_of((amendment.when - first).days, "day") + " after" if amendment.when > first else "on the day of"
        said = f"{amendment.what} was changed from {amendment.was} to {amendment.now} {after} the first run."
        remedy = "Fix it before the first run next time." if small else "A hunch only; plan a new trial."
        found.append(
            Finding(
                check=PLAN_FIRST.name,
                severity="NOTE" if small else "WEAKENS",
                message=f"{said[0].upper()}{said[1:]} {remedy}",
            )
        )
    return found


def _raises_pairs(amendment: Amendment) -> bool:
    was, now = amendment.was, amendment.now
    return amendment.what == "pairs" and was.isdigit() and now.isdigit() and int(now) > int(was)


def _amended_late(evidence: Evidence) -> int:
    """Pairs added by an amendment made once the pairs planned until then were in."""
    added = 0
    for amendment in evidence.trial.amended:
        if amendment.what != "pairs" or not (amendment.was.isdigit() and amendment.now.isdigit()):
            continue
        was, now = int(amendment.was), int(amendment.now)
        days = [day for run in evidence.runs if run.pair <= was and (day := session_day(run)) is not None]
        # A day can't say which came first within it, so the same day counts as too late.
        if now > was and (not days or amendment.when >= max(days)):
            added += now - was
    return added


def extended(evidence: Evidence) -> Sequence[Finding]:
    """Were pairs added after the planned end?"""
    beyond = [pair.number for pair in evidence.pairing.beyond] if evidence.ended else []
    late = _amended_late(evidence) if evidence.ended else 0
    if not beyond and not late:
        return []
    added = count_of(len(beyond) + late, "pair")
    return [
        Finding(
            check=EXTENDED.name,
            severity="WEAKENS",
            message=f"{added} {'was' if len(beyond) + late == 1 else 'were'} added after the planned end; real "
            f"false alarms {EXTENDED_FALSE_ALARMS}. Fix the number of pairs before the first run.",
            pairs=tuple(beyond),
        )
    ]


def closed_short(evidence: Evidence) -> Sequence[Finding]:
    """Did the trial end with fewer pairs than planned, because no spare was left?"""
    pairing, planned = evidence.pairing, evidence.trial.pairs
    if not evidence.ended or pairing.standing >= planned:
        return []
    void = [pair.number for pair in pairing.void]
    struck = "one was void" if len(void) == 1 else f"{len(void)} were void"
    return [
        Finding(
            check=CLOSED_SHORT.name,
            severity="WEAKENS",
            message=f"{pairing.standing} of {planned} pairs: {struck} and no spare was left. Plan a spare or two.",
            pairs=tuple(void),
        )
    ]


PLAN_FIRST = Check(
    "plan-first",
    "day of the lock, and of changes to the plan, against the first run",
    "common practice, no source",
    plan_first,
)
EXTENDED = Check(
    "extended",
    "pairs past the plan",
    "Armitage, McPherson and Rowe, JRSS A 132, 1969, on repeated looks; the rate is our own simulation",
    extended,
)
CLOSED_SHORT = Check("closed-short", "void pairs without a spare", "common practice, no source", closed_short)
