"""How to check the verdict of a graded trial or an audit with paper and a table."""

from math import sqrt

from schemas import AuditAnswer, LevelResult, LevelsAnswer, Verdict
from trials.measures.catalogue import measure_named
from trials.wording.lists import count_of
from trials.wording.numbers import figures, plain

DIGITS = 5


def levels_by_hand(verdict: Verdict, answer: LevelsAnswer) -> tuple[str, ...]:
    """Write out the arithmetic of a graded trial's verdict with its numbers, step by step."""
    told = [level for level in answer.levels if level.estimate is not None]
    blocks = max(len(level.differences) for level in told)
    gaps = any(d is None for level in told for d in level.differences)
    lines = [
        f"For each block and level, against the baseline of the block: {measure_named(verdict.measure).words.by_hand}.",
        *(f"{level.level}, d: {_numbers(level)}." for level in told),
        _scatter_line(answer, len(told), blocks, has_gaps=gaps),
        f"{_dunnett(answer, len(told))} c = {plain(answer.reach, 4)}.",
        *(_limits_line(level, answer, blocks) for level in told if not gaps and level.interval is not None),
    ]
    if answer.floor is not None:
        lines.append(
            f"Floor (SD of d by counting and weighing luck alone): {figures(answer.floor, DIGITS)}. "
            '"No difference worth having" is judged with the larger of the scatter and floor / sqrt 2.'
        )
    turned = measure_named(verdict.measure).shown_by_hand
    return (*lines, *([f"Back to %: {turned}, for every mean and limit."] if turned else []))


def audit_by_hand(answer: AuditAnswer) -> tuple[str, ...]:
    """Write out how the limits of an audit come about."""
    luck = "not known, of a single run" if answer.run_variance is None else figures(answer.run_variance, DIGITS)
    sizes = ", ".join(
        f"{size.label or 'all'}: {size.kept} of {size.seeded}, D = {figures(size.design, DIGITS)}"
        for size in answer.sizes
    )
    return (
        "Share kept of a size: kept / seeded, over all runs.",
        f"Luck from run to run, as a variance on the logit scale, one for all sizes: {luck}.",
        f"It thins the grains out by D, so that they count as seeded / D: {sizes}.",
        "Limits: exact ones (Clopper and Pearson) of share x seeded / D out of seeded / D, from any table or program.",
    )


def _scatter_line(answer: LevelsAnswer, levels: int, blocks: int, *, has_gaps: bool) -> str:
    s = figures(answer.sd, DIGITS)
    if has_gaps:
        return f"Runs are missing, so means and scatter come from least squares: s = {s}, df {answer.df}."
    return (
        "Scatter of the trial: take from each run's number (of a ratio its natural log) the mean of its block and the "
        f"mean of its level, and add the mean of all; s = sqrt(sum of squares / df) = {s}, "
        f"df = {levels} x ({blocks} - 1) = {answer.df}."
    )


def _dunnett(answer: LevelsAnswer, levels: int) -> str:
    return f"Dunnett's value for {count_of(levels, 'level')} and {answer.df} df, two-sided 5 %, from any table:"


def _numbers(level: LevelResult) -> str:
    return ", ".join("no run" if d is None else figures(d, DIGITS) for d in level.differences)


def _limits_line(level: LevelResult, answer: LevelsAnswer, blocks: int) -> str:
    known = [d for d in level.differences if d is not None]
    mean = sum(known) / len(known)
    own = sqrt(sum((d - mean) ** 2 for d in known) / (len(known) - 1) / 2)
    larger = max(own, answer.sd)
    low, high = (level.interval.low, level.interval.high) if level.interval is not None else (mean, mean)
    scatter = f"its own scatter, SD of d / sqrt 2 = {figures(own, DIGITS)}"
    used = f"{figures(larger, DIGITS)} x sqrt(2 / {blocks})"
    return (
        f"{level.level}: mean of d {figures(mean, DIGITS)}; {scatter}; with the larger of that and s, limits = mean "
        f"+/- c x {used} = {figures(low, DIGITS)} to {figures(high, DIGITS)}."
    )
