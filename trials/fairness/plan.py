"""Checks on the plan, its end, and what was written down: plan-first, extended, closed-short, thin-record."""

import re
from collections.abc import Sequence
from datetime import date

from schemas import Amendment, Run, Trial
from trials.fairness.evidence import Check, Evidence
from trials.fairness.remark import Remark, not_recorded, remark
from trials.fairness.thresholds import EXTENDED_FALSE_ALARMS
from trials.wording.lists import and_list, capital, count_of

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


def plan_first(evidence: Evidence) -> Sequence[Remark]:
    """Was the plan locked before the first run, and left as it was?"""
    days = [day for run in evidence.runs if (day := session_day(run)) is not None]
    changed = _changed_since(evidence.trial, min(days)) if days else []
    if evidence.trial.locked is None:
        return changed or not_recorded("Plan date not known")
    if not days:
        return not_recorded("The day of the first run is not known")
    late = (evidence.trial.locked - min(days)).days
    if late <= 0:
        return changed
    when = f"locked {count_of(late, 'day')} after the first run"
    said = f"Plan {when}. A hunch only; plan a new trial."
    return [*remark("WEAKENS", (), str, said, but=f"the plan was {when}"), *changed]


def _changed_since(trial: Trial, first: date) -> list[Remark]:
    """What of the plan was changed on the day of the first run or later: the day can't say which came first in it.

    Limits of costs, and pairs raised (of which `extended` judges), do not make a gain of gold: small print. But limits
    may make the keep.
    """
    return [
        one
        for amendment in trial.amended
        if amendment.when >= first
        for small in [amendment.what.startswith("limits") or _raises_pairs(amendment)]
        for said in [_changed_late(amendment, first)]
        for but in ["" if _raises_pairs(amendment) else said]
        for one in remark("NOTE" if small else "WEAKENS", (), str, f"{capital(said)}. {AMENDED_LATE[small]}", but=but)
    ]


AMENDED_LATE = ("A hunch only; plan a new trial.", "Fix it before the first run next time.")


def _changed_late(amendment: Amendment, first: date) -> str:
    after = count_of((amendment.when - first).days, "day") + " after" if amendment.when > first else "on the day of"
    return f"{amendment.what} was changed from {amendment.was} to {amendment.now} {after} the first run"


def _raises_pairs(amendment: Amendment) -> bool:
    was, now = amendment.was, amendment.now
    return amendment.what == "pairs" and was.isdigit() and now.isdigit() and int(now) > int(was)


def amended_late(trial: Trial, runs: Sequence[Run]) -> int:
    """Pairs added by an amendment made once the pairs planned until then were in; `runs` were made and not struck."""
    added = 0
    for amendment in trial.amended:
        if amendment.what != "pairs" or not (amendment.was.isdigit() and amendment.now.isdigit()):
            continue
        was, now = int(amendment.was), int(amendment.now)
        days = [day for run in runs if run.pair <= was and (day := session_day(run)) is not None]
        # A day can't say which came first within it, so the same day counts as too late.
        if now > was and (not days or amendment.when >= max(days)):
            added += now - was
    return added


def extended(evidence: Evidence) -> Sequence[Remark]:
    """Were pairs added after the planned end?"""
    if not evidence.ended:
        return []
    return added_late("pair", [pair.number for pair in evidence.pairing.beyond], evidence.trial, evidence.runs)


def added_late(what: str, beyond: Sequence[int], trial: Trial, runs: Sequence[Run]) -> Sequence[Remark]:
    """Tell of pairs, or blocks, past the plan and of those that an amendment added too late."""
    count = len(beyond) + amended_late(trial, runs)
    if not count:
        return []
    added = f"{count_of(count, what)} {'was' if count == 1 else 'were'} added after the planned end"
    said = f"{added}; real false alarms {EXTENDED_FALSE_ALARMS}. Fix the number of {what}s before the first run."
    return remark("WEAKENS", beyond, str, said, but=added)


def closed_short(evidence: Evidence) -> Sequence[Remark]:
    """Did the trial end with fewer pairs than planned, because no spare was left?"""
    pairing, planned = evidence.pairing, evidence.trial.pairs
    if not evidence.ended or pairing.standing >= planned:
        return []
    void = [pair.number for pair in pairing.void]
    struck = "one was void" if len(void) == 1 else f"{len(void)} were void"
    done = f"{pairing.standing} of {planned}"
    said = f"{done} pairs: {struck} and no spare was left. Plan a spare or two."
    return remark("WEAKENS", void, str, said, but=f"only {done} planned pairs count")


def thin_record(evidence: Evidence) -> Sequence[Remark]:
    """Are turn, mass fed and who knew the set-up recorded? One remark stands for all that are not."""
    gaps = {
        "turn": any(run.turn is None for run in evidence.runs),
        "fed mass": any(run.fed_g is None for run in evidence.runs),
        "who knew": evidence.trial.knew is None,
    }
    missing = [name for name, is_gap in gaps.items() if is_gap]
    if not missing or not evidence.runs:
        return []
    unjudged = and_list([JUDGED_BY[name] for name in missing]).capitalize()
    said = f"Not recorded: {', '.join(missing)}. {unjudged} cannot be judged; write them on the sheet next time."
    but = f"{and_list(missing)} {'was' if len(missing) == 1 else 'were'} not recorded"
    return remark("WEAKENS", (), str, said, but=but)


JUDGED_BY = {"turn": "order", "fed mass": "like halves", "who knew": "hand"}
PLAN_FIRST = Check("plan-first", "day of the lock, and of changes to the plan, against the first run", plan_first)
EXTENDED = Check(
    "extended",
    "pairs past the plan",
    extended,
    "Armitage, McPherson and Rowe, JRSS A 132, 1969, on repeated looks; the rate is our own simulation",
)
CLOSED_SHORT = Check("closed-short", "void pairs without a spare", closed_short)
THIN_RECORD = Check("thin-record", "turn, mass fed, who knew the set-up", thin_record)
