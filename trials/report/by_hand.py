"""How to check a verdict with paper and a table of t: the pairs, the formula, the numbers put in."""

from math import sqrt

from schemas import Interval, Verdict
from trials.measures.catalogue import measure_named
from trials.wording.numbers import figures, plain

DIGITS = 5


def by_hand(verdict: Verdict) -> tuple[str, ...]:
    """Write out the arithmetic of a verdict, step by step; nothing where a gate stands.

    Returns
    -------
    tuple of str
        Lines to be read from top to bottom, each with its numbers.
    """
    if verdict.estimate is None or verdict.sd is None:
        return ()
    k = len(verdict.differences)
    lines = [
        f"For each pair: {measure_named(verdict.measure).words.by_hand}.",
        "d: " + ", ".join(figures(d, DIGITS) for d in verdict.differences),
        f"Mean of d: {figures(verdict.estimate, DIGITS)}. SD, with {k} - 1 below: s = {figures(verdict.sd, DIGITS)}.",
    ]
    if verdict.interval is not None:
        lines.append(_interval_line(verdict, verdict.interval, k))
    lines += [*_back_to_percent(verdict), *_floor_lines(verdict), *_draw_lines(verdict)]
    if verdict.t is not None and verdict.p is not None:
        lines.append(f"t = mean / (s / sqrt k) = {plain(verdict.t, 4)}, df {verdict.df}, p = {figures(verdict.p, 3)}.")
    if verdict.order_adjusted is not None:
        adjusted = verdict.order_adjusted
        lines.append(
            "With the effect of going first taken out: "
            f"{figures(adjusted.low, DIGITS)} to {figures(adjusted.high, DIGITS)} on the same scale."
        )
    return tuple(lines)


def _interval_line(verdict: Verdict, interval: Interval, k: int) -> str:
    level = f"{100 * interval.level:g} %"
    spread = verdict.sd or verdict.floor or 0.0
    half = (interval.high - interval.low) / 2.0
    factor = half / (spread / sqrt(k))
    stands = "s" if verdict.sd else "the floor (s is 0)"
    return (
        f"{level} interval: mean +/- t x {stands} / sqrt k = {figures(verdict.estimate or 0.0, DIGITS)} +/- "
        f"{plain(factor, 4)} x {figures(spread, DIGITS)} / sqrt {k} = {figures(interval.low, DIGITS)} to "
        f"{figures(interval.high, DIGITS)}. (t for {level} and {k - 1} df, from any table.)"
    )


def _back_to_percent(verdict: Verdict) -> list[str]:
    turned = measure_named(verdict.measure).shown_by_hand
    if not turned or verdict.shown is None:
        return []
    line = "" if verdict.worth_having is None else f" Your line on this scale: {figures(verdict.worth_having, DIGITS)}."
    return [f"Back to %: {turned}, for the mean and both limits.{line}"]


def _floor_lines(verdict: Verdict) -> list[str]:
    if verdict.floor is None:
        return ["Floor (counting and weighing luck alone): not known, since no scale division was given."]
    larger = max(verdict.floor, verdict.sd or 0.0)
    return [
        f"Floor (SD of d by counting and weighing luck alone): {figures(verdict.floor, DIGITS)}.",
        f'"No difference worth having" is judged with the larger of s and floor, {figures(larger, DIGITS)}.',
    ]


def _draw_lines(verdict: Verdict) -> list[str]:
    check = verdict.check_by_draw
    if check is None:
        return []
    how = "all" if check.exact else "a seeded sample of"
    ways = f"of {how} {check.flips:,} ways to flip the signs of d"
    line = f"Check by the draw: {ways}, {figures(check.p, 4)} give a sum as far from 0 (this one and ties counted)."
    if check.low is None or check.high is None:
        return [f"{line} Too few pairs for limits; {figures(check.smallest_p, 3)} is the least they can give."]
    return [f"{line} Its limits: {figures(check.low, DIGITS)} to {figures(check.high, DIGITS)}."]
