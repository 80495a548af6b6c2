"""The nothing-changed check: how much do pairs differ by luck, and are the two halves alike?"""

from collections.abc import Sequence

from schemas import Interval, Trial
from schemas.answer import Alike
from trials.measures.measure import Measure
from trials.statistics.pairs_needed import smallest_findable
from trials.statistics.scatter import scatter_limits
from trials.verdicts.analysis import Analysis
from trials.verdicts.spoken import Spoken, but_clause, line_words
from trials.wording.lists import count_of
from trials.wording.numbers import figures

NEXT_TRIAL_PAIRS = 8


def sd_limits(analysis: Analysis) -> Interval:
    """Within which limits lies the SD of pairs that differ by luck alone?"""
    limits = scatter_limits(analysis.sd, len(analysis.differences), level=analysis.level)
    return Interval(low=float(limits.low), high=float(limits.high), level=analysis.level)


def are_alike(analysis: Analysis) -> Alike:
    """Do the two halves differ?

    differ: the interval of the mean leaves zero out; alike: a line was given and the interval with the floor lies
    inside it; not shown: neither.
    """
    if analysis.code == "no_difference" and not analysis.is_small:
        return "alike"
    return "differ" if analysis.is_beyond_luck else "not shown"


def scatter_sentence(analysis: Analysis, limits: Interval, measure: Measure, weak_in: Sequence[str] = ()) -> str:
    """Say how much pairs differed with nothing changed, and what weakens that."""
    sd = _spread_words(analysis.sd, measure)
    low, high = (_spread_words(end, measure, bare=True) for end in (limits.low, limits.high))
    pairs = count_of(len(analysis.differences), "pair")
    return (
        f"Nothing changed, and pairs still differed by about {sd} (SD, {pairs}; {low} to {high}){but_clause(weak_in)}."
    )


def _spread_words(sd: float, measure: Measure, *, bare: bool = False) -> str:
    """An SD in the unit a person reads; of a ratio, the factor it stands for less one, in %."""
    shown = measure.spread_shown(sd)
    if bare and measure.as_times((shown,), ()) is None:
        return figures(shown, 2)
    told = measure.spread_text(sd)
    return told if bare or not measure.is_ratio else f"{told} in {measure.words.counted}"


def scatter_more(alike: Alike, analysis: Analysis, spoken: Spoken, measure: Measure, trial: Trial) -> list[str]:
    """What the scatter means for the next trial, and whether the halves are alike."""
    findable = _spread_words(float(smallest_findable(NEXT_TRIAL_PAIRS)) * (analysis.scatter or 0.0), measure)
    next_trial = f"A trial of {NEXT_TRIAL_PAIRS} pairs at this scatter can usually find a change of about {findable}"
    lines = [f"{next_trial}; smaller gains need more pairs."]
    mean = f"repeat against baseline {spoken.estimate}{spoken.limits}"
    match alike:
        case "differ":
            lines.append(f"The two already differ: mend that first ({mean}).")
        case "alike":
            line = line_words(measure, trial.worth_having or 0.0, spoken.decimals)
            lines.append(f"The two are alike, inside {line}: {mean}.")
        case _:
            lines.append(f"Not yet shown alike ({mean}){_why_not_shown(analysis)}.")
    return lines


def _why_not_shown(analysis: Analysis) -> str:
    """Why an interval that may look narrow enough does not show two halves alike."""
    if analysis.line is None:
        return "; set a line to be able to"
    interval = analysis.interval
    fits = interval is not None and interval.low > -analysis.line and interval.high < analysis.line
    return "; counting and weighing luck alone allow more than that" if fits else ""
