"""The nothing-changed check: how much do pairs differ by luck, and are the two halves alike?"""

from typing import Literal

from schemas import Scatter, Trial
from trials.measures.measure import Measure
from trials.statistics.pairs_needed import smallest_findable
from trials.statistics.scatter import scatter_limits
from trials.verdicts.analysis import Analysis
from trials.verdicts.sentences import Spoken, line_text
from trials.wording.lists import count_of
from trials.wording.numbers import figures

NEXT_TRIAL_PAIRS = 8


def scatter_of(analysis: Analysis) -> Scatter:
    """How much do pairs differ by luck, and do the two halves differ?

    differ: the interval of the mean leaves zero out; alike: a line was given and the interval with the floor lies
    inside it; not shown: neither.
    """
    pairs = len(analysis.differences)
    limits = scatter_limits(analysis.sd, pairs, level=analysis.level)
    return Scatter(
        sd=analysis.sd,
        low=float(limits.low),
        high=float(limits.high),
        level=analysis.level,
        alike=_alike(analysis),
    )


def _alike(analysis: Analysis) -> Literal["differ", "alike", "not shown"]:
    if analysis.code == "no_difference" and not analysis.is_small:
        return "alike"
    interval = analysis.interval
    return "differ" if interval is not None and (interval.low > 0 or interval.high < 0) else "not shown"


def scatter_sentence(scatter: Scatter, measure: Measure, pairs: int) -> str:
    """Say how much pairs differed with nothing changed."""
    sd = _spread_words(scatter.sd, measure)
    limits = f"{_spread_words(scatter.low, measure, bare=True)} to {_spread_words(scatter.high, measure, bare=True)}"
    return f"Nothing changed, and pairs still differed by about {sd} (SD, {count_of(pairs, 'pair')}; {limits})."


def _spread_words(sd: float, measure: Measure, *, bare: bool = False) -> str:
    """An SD in the unit a person reads; of a ratio, the factor it stands for less one, in %."""
    shown = figures(measure.spread_shown(sd), 2)
    return (
        shown
        if bare
        else f"{shown} {'points' if measure.scale == 'points' else measure.words.signed.replace('% ', '% in ')}"
    )


def scatter_more(scatter: Scatter, analysis: Analysis, spoken: Spoken, measure: Measure, trial: Trial) -> list[str]:
    """What the scatter means for the next trial, and whether the halves are alike."""
    findable = _spread_words(float(smallest_findable(NEXT_TRIAL_PAIRS)) * (analysis.scatter or 0.0), measure)
    next_trial = f"A trial of {NEXT_TRIAL_PAIRS} pairs at this scatter can usually find a change of about {findable}"
    lines = [f"{next_trial}; smaller gains need more pairs."]
    mean = f"repeat against baseline {spoken.text}{spoken.limits}"
    match scatter.alike:
        case "differ":
            lines.append(f"The two already differ: mend that first ({mean}).")
        case "alike":
            lines.append(f"The two are alike, inside your {line_text(trial)} line ({mean}).")
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
