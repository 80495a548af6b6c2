"""The word on one trial with its numbers, as the logbook remembers it."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from schemas import AuditAnswer, Compared, Gate, LevelsAnswer, PairsAnswer, Record
from trials import __version__
from trials.changes.decide import last_decision
from trials.logbook.pages import SET_ASIDE, Remembered
from trials.wording.steps import Reader, said_for

if TYPE_CHECKING:  # a listing of what is remembered needs no verdicts
    from schemas import Answer, Cost, Verdict
    from schemas.answer import LevelResult


@said_for(Reader.AT_TERMINAL)
def word_of(record: Record) -> Remembered:
    """Reach the verdict of a trial, to be stored: its sentence is for a terminal, wherever it is reached."""
    from trials.verdicts.reach import reach_verdict

    name, is_aside = record.trial.name, record.trial.set_aside is not None
    told = _dates(record) | _decision(record)
    reached = reach_verdict(record.trial, record.runs, record.corrections)
    if is_aside:
        return Remembered(name, __version__, SET_ASIDE, reached.sentence, None, **told)
    numbers = _numbers(reached) | _costs(record, reached)
    return Remembered(
        trial=name,
        version=__version__,
        code=reached.code,
        sentence=reached.sentence,
        last_word=reached.last_word,
        last_word_why=reached.last_word_why,
        **told,
        **numbers,
    )


def _dates(record: Record) -> dict[str, Any]:
    sessions = sorted(run.session for run in record.runs if run.session)
    return {"first_session": sessions[0], "last_session": sessions[-1]} if sessions else {}


def _decision(record: Record) -> dict[str, Any]:
    told = last_decision(record.corrections)
    if told is None:
        return {}
    return {"decided": told.new, "decided_on": told.when.date(), "decided_note": told.why}


def _numbers(reached: "Verdict") -> dict[str, Any]:
    """Estimate and limits, on the scale and as they are shown; of a graded trial those of the level named."""
    answer = reached.answer
    counts = {"pairs_planned": reached.pairs.planned, "pairs": reached.pairs.complete, "leaning": reached.leaning}
    if isinstance(answer, Gate | AuditAnswer):
        return counts | ({"losses_start": answer.losses_start} if isinstance(answer, AuditAnswer) else {})
    named = _named(answer)
    shown = answer.shown if isinstance(answer, Compared) else None if named is None else named.shown
    interval = answer.interval
    return {
        **counts,
        "pairs_for_new_trial": _new_trial(answer),
        "level_named": None if named is None else named.level,
        "size_class": reached.size_class,
        "scale": reached.scale,
        "estimate": answer.estimate,
        "low": None if interval is None else interval.low,
        "high": None if interval is None else interval.high,
        "level": None if interval is None else interval.level,
        "worth_having": answer.worth_having,
        "unit": None if shown is None else shown.unit,
        "shown": None if shown is None else shown.estimate,
        "shown_low": None if shown is None else shown.low,
        "shown_high": None if shown is None else shown.high,
    }


def _new_trial(answer: "Answer") -> int | None:
    """How many pairs, or blocks, a new trial would need."""
    match answer:
        case PairsAnswer():
            return answer.pairs_for_new_trial
        case LevelsAnswer():
            return answer.blocks_for_new_trial
    return None


def _named(answer: "Answer") -> "LevelResult | None":
    """The level that the verdict on a graded trial names; none of any other."""
    if not isinstance(answer, LevelsAnswer):
        return None
    return next(one for one in answer.levels if one.level == answer.named)


def _costs(record: Record, reached: "Verdict") -> dict[str, Any]:
    """Black sand and minutes as ratios with their limits; of cleaning up, how many minutes more a run."""
    from trials.worth.measured import extras_of

    if isinstance(reached.answer, Gate | AuditAnswer):
        return {}
    named = _named(reached.answer)
    costs = reached.costs if named is None else named.costs
    cleanup = extras_of(record.trial, record.runs, None if named is None else named.level).cleanup_minutes
    found = {name: _cost(costs, words, name) for name, words in (("black_sand", "black sand"), ("minutes", "minutes"))}
    return {
        **found["black_sand"],
        **found["minutes"],
        "cleanup_minutes": None if cleanup is None else cleanup.a_run,
        "costs_over": [cost.name for cost in costs if cost.status == "over"],
    }


def _cost(costs: Sequence["Cost"], words: str, name: str) -> dict[str, float | None]:
    cost = next((one for one in costs if one.name == words), None)
    return {} if cost is None else {name: cost.ratio, f"{name}_low": cost.low, f"{name}_high": cost.high}
