"""How to check a verdict with paper and a table: what was compared, the formula, the numbers put in."""

from math import sqrt

from schemas import AuditAnswer, Compared, DrawCheck, Gate, Interval, LevelResult, LevelsAnswer, Verdict
from trials.measures.catalogue import measure_named
from trials.wording.lists import count_of
from trials.wording.numbers import figures, plain

DIGITS = 5
FLOOR = "Floor (SD of d by counting and weighing luck alone)"
NO_DIFFERENCE = '"No difference worth having" is judged with {}.'


def by_hand(verdict: Verdict) -> tuple[str, ...]:
    """Write out the arithmetic of a verdict with its numbers, step by step; nothing where a gate stands."""
    answer = verdict.answer
    if isinstance(answer, Gate):
        return ()
    if isinstance(answer, AuditAnswer):
        return _audit_by_hand(answer)
    if isinstance(answer, LevelsAnswer):
        return _levels_by_hand(verdict, answer)
    k = len(answer.differences)
    lines = [
        f"For each pair: {measure_named(verdict.measure).words.by_hand}.",
        "d: " + ", ".join(figures(d, DIGITS) for d in answer.differences),
        f"Mean of d: {figures(answer.estimate, DIGITS)}. SD, with {k} - 1 below: s = {figures(answer.sd, DIGITS)}.",
    ]
    if answer.interval is not None:
        lines.append(_interval_line(answer, answer.interval, k))
    lines += [
        *_back_to_percent(verdict, answer, "the mean and both limits"),
        *_floor_lines(answer),
        _draw_line(answer.check_by_draw),
    ]
    if answer.t is not None and answer.p is not None:
        lines.append(f"t = mean / (s / sqrt k) = {plain(answer.t, 4)}, df {answer.df}, p = {figures(answer.p, 3)}.")
    if answer.order_adjusted is not None:
        adjusted = answer.order_adjusted
        lines.append(
            "With the effect of going first taken out: "
            f"{figures(adjusted.low, DIGITS)} to {figures(adjusted.high, DIGITS)} on the same scale."
        )
    return tuple(lines)


def _interval_line(answer: Compared, interval: Interval, k: int) -> str:
    level = f"{100 * interval.level:g} %"
    spread = answer.sd or answer.floor or 0.0
    half = (interval.high - interval.low) / 2.0
    factor = half / (spread / sqrt(k))
    stands = "s" if answer.sd else "the floor (s is 0)"
    return (
        f"{level} interval: mean +/- t x {stands} / sqrt k = {figures(answer.estimate, DIGITS)} +/- "
        f"{plain(factor, 4)} x {figures(spread, DIGITS)} / sqrt {k} = {figures(interval.low, DIGITS)} to "
        f"{figures(interval.high, DIGITS)}. (t for {level} and {k - 1} df, from any table.)"
    )


def _back_to_percent(verdict: Verdict, answer: Compared | LevelsAnswer, of_what: str) -> list[str]:
    turned = measure_named(verdict.measure).shown_by_hand
    if not turned:
        return []
    line = "" if answer.worth_having is None else f" Your line on this scale: {figures(answer.worth_having, DIGITS)}."
    return [f"Back to %: {turned}, for {of_what}.{line}"]


def _floor_lines(answer: Compared) -> list[str]:
    if answer.floor is None:
        return [f"{FLOOR}: not known, since no scale division was given."]
    larger = f"the larger of s and floor, {figures(max(answer.floor, answer.sd), DIGITS)}"
    return [_floor_words(answer.floor), NO_DIFFERENCE.format(larger)]


def _floor_words(floor: float) -> str:
    return f"{FLOOR}: {figures(floor, DIGITS)}."


def _draw_line(check: DrawCheck) -> str:
    how = "all" if check.exact else "a seeded sample of"
    ways = f"of {how} {check.flips:,} ways to flip the signs of d"
    line = f"Check by the draw: {ways}, {figures(check.p, 4)} give a sum as far from 0 (this one and ties counted)."
    if check.low is None or check.high is None:
        return f"{line} Too few pairs for limits; {figures(check.smallest_p, 3)} is the least they can give."
    return f"{line} Its limits: {figures(check.low, DIGITS)} to {figures(check.high, DIGITS)}."


def _levels_by_hand(verdict: Verdict, answer: LevelsAnswer) -> tuple[str, ...]:
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
    return (*lines, *_floor_of_levels(answer), *_back_to_percent(verdict, answer, "every mean and limit"))


def _audit_by_hand(answer: AuditAnswer) -> tuple[str, ...]:
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


def _floor_of_levels(answer: LevelsAnswer) -> list[str]:
    larger = "the larger of the scatter and floor / sqrt 2"
    return [] if answer.floor is None else [_floor_words(answer.floor), NO_DIFFERENCE.format(larger)]
