"""How to check a verdict with paper and a table of t: the pairs, the formula, the numbers put in."""

from math import sqrt

from schemas import AuditAnswer, Compared, DrawCheck, Gate, Interval, LevelsAnswer, Verdict
from trials.measures.catalogue import measure_named
from trials.report.by_hand_levels import audit_by_hand, levels_by_hand
from trials.wording.numbers import figures, plain

DIGITS = 5


def by_hand(verdict: Verdict) -> tuple[str, ...]:
    """Write out the arithmetic of a verdict with its numbers, step by step; nothing where a gate stands."""
    answer = verdict.answer
    if isinstance(answer, Gate):
        return ()
    if isinstance(answer, AuditAnswer):
        return audit_by_hand(answer)
    if isinstance(answer, LevelsAnswer):
        return levels_by_hand(verdict, answer)
    k = len(answer.differences)
    lines = [
        f"For each pair: {measure_named(verdict.measure).words.by_hand}.",
        "d: " + ", ".join(figures(d, DIGITS) for d in answer.differences),
        f"Mean of d: {figures(answer.estimate, DIGITS)}. SD, with {k} - 1 below: s = {figures(answer.sd, DIGITS)}.",
    ]
    if answer.interval is not None:
        lines.append(_interval_line(answer, answer.interval, k))
    lines += [*_back_to_percent(verdict, answer), *_floor_lines(answer), _draw_line(answer.check_by_draw)]
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


def _back_to_percent(verdict: Verdict, answer: Compared) -> list[str]:
    turned = measure_named(verdict.measure).shown_by_hand
    if not turned:
        return []
    line = "" if answer.worth_having is None else f" Your line on this scale: {figures(answer.worth_having, DIGITS)}."
    return [f"Back to %: {turned}, for the mean and both limits.{line}"]


def _floor_lines(answer: Compared) -> list[str]:
    if answer.floor is None:
        return ["Floor (counting and weighing luck alone): not known, since no scale division was given."]
    larger = max(answer.floor, answer.sd)
    return [
        f"Floor (SD of d by counting and weighing luck alone): {figures(answer.floor, DIGITS)}.",
        f'"No difference worth having" is judged with the larger of s and floor, {figures(larger, DIGITS)}.',
    ]


def _draw_line(check: DrawCheck) -> str:
    how = "all" if check.exact else "a seeded sample of"
    ways = f"of {how} {check.flips:,} ways to flip the signs of d"
    line = f"Check by the draw: {ways}, {figures(check.p, 4)} give a sum as far from 0 (this one and ties counted)."
    if check.low is None or check.high is None:
        return f"{line} Too few pairs for limits; {figures(check.smallest_p, 3)} is the least they can give."
    return f"{line} Its limits: {figures(check.low, DIGITS)} to {figures(check.high, DIGITS)}."
