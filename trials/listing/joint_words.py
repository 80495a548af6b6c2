"""What is said of one change on several lots."""

from dataclasses import dataclass
from typing import Any, Final

import numpy as np

from trials.listing.joint import FEWEST_LOTS, OverLots, mean_of_lot, measure_of
from trials.listing.lines import gain_words
from trials.listing.same_change import OnLot, SameChange
from trials.logbook.pages import ListedTrial
from trials.measures.measure import Measure
from trials.verdicts.spoken import Spoken, against_line, line_words, speak
from trials.wording.lists import and_list, count_of
from trials.wording.numbers import decimals_apart, decimals_for, signed

SHOWN_BY_LUCK: Final = ((3, 5.0), (4, 8.0), (5, 10.0), (6, 12.0), (8, 14.0), (12, 18.0))
"""Lots, and in how many of 100 changes that do nothing some look since the third lot has shown something: own
simulation, not published (3 to 12 pairs a lot, looked at after every lot)."""
MOST_LOTS: Final = 8
"""So many are told one by one."""


@dataclass(frozen=True, slots=True)
class ToldChange:
    """One change as it is told: its trials by lot, and what they come to together, where that can be said.

    is_at_one_mix: recoveries told apart by size are all at one mix of sizes.
    """

    same: SameChange
    joint: OverLots | None
    is_at_one_mix: bool = False


def change_title(same: SameChange) -> str:
    """What was changed, from what to what, on which gear and dirt, by which measure."""
    line = same.newest
    size = "" if line.word is None or line.word.size_class is None else f" {line.word.size_class}"
    dirt = "tails" if same.feeds_tails else "fresh dirt"
    what = f"{line.variable}, {line.baseline} to {(line.changed or ('',))[0]}"
    return f"{what} ({line.measure.replace('_', ' ')}{size}, {line.gear}, {dirt})"


def joint_lines(told: ToldChange) -> list[str]:
    """All that is said of one change, a sentence or two a line."""
    same, joint = told.same, told.joint
    if joint is not None:
        said = [joint_sentence(measure_of(same), joint), luck_sentence(len(joint.means))]
    elif len(same.lots) > 1:
        both = and_list([f"{_lot_gain(lot, measure_of(same))} on {_lot_words(lot)}" for lot in same.lots])
        said = [
            f"On {len(same.lots)} lots so far: {both}. They stand side by side; {FEWEST_LOTS} lots have a joint range."
        ]
    elif same.lots:
        said = ["One lot: it speaks for this ground."]
    else:
        said = ["No trial of it has ended with an outcome."]
    if told.is_at_one_mix:
        said.append("All trials are taken at one mix of sizes.")
    return [*said, *_lot_lines(same), *_left_lines(same)]


def joint_sentence(measure: Measure, joint: OverLots) -> str:
    """What a change comes to over its lots so far, and what a trial on the next lot may show.

    >>> from trials.listing.joint import over_lots
    >>> from trials.measures.catalogue import measure_named
    >>> print(joint_sentence(measure_named("recovery"), over_lots([2.4, 3.9, 1.1], 1.0)))
    On 3 lots so far: +2.5 points (-1.0 to +5.9), not settled. A trial on the next lot may show -4.5 to +9.4.
    """
    names_line = joint.line is not None and joint.code in ("better", "no_difference")
    typed = measure.shown(joint.line or 0.0) if names_line else None
    spoken = speak(measure, joint.mean, joint.interval, typed)
    told = f"On {count_of(len(joint.means), 'lot')} so far: {spoken.estimate}{spoken.limits}, "
    if joint.next_lot is None:
        return f"{told}not settled: all lots agree exactly, so luck can't be judged."
    told += f"{_outcome_words(measure, joint, spoken, typed)}."
    return f"{told} A trial on the next lot may show {_next(measure, joint)}."


def _outcome_words(measure: Measure, joint: OverLots, spoken: Spoken, typed: float | None) -> str:
    line = None if typed is None else measure.line_text(typed)
    inside = "" if typed is None else f"inside {line_words(measure, typed, spoken.decimals)}"
    match joint.code:
        case "better":
            return f"better beyond luck, {against_line(joint.interval, joint.mean, joint.line, line)}"
        case "worse":
            return "worse beyond luck"
        case "no_difference" if joint.is_small:
            return f"real but small, {inside}"
        case "no_difference":
            return f"no difference worth having, {inside}"
    return "not settled"


def _next(measure: Measure, joint: OverLots) -> str:
    assert joint.next_lot is not None  # noqa: S101 - asked for above
    low, high = (measure.shown(end) for end in (joint.next_lot.low, joint.next_lot.high))
    as_times = measure.as_times((low, high), [0.0])
    if as_times is not None:
        first, last = as_times if measure.side != "lost" else as_times[::-1]
        return f"{first} to {last} times the {measure.words.counted}"
    places = decimals_apart([low, high], [0.0], decimals_for((high - low) / 2))
    first, last = measure.signed_limits(low, high, places)
    return f"{first} to {last}{f' {measure.words.signed}' if measure.is_ratio else ''}"


def luck_sentence(lots: int) -> str:
    """How often luck alone has shown something by so many lots, where one looks after each.

    >>> print(luck_sentence(4))
    Looked at after every lot from the third on, luck alone shows something by now in about 8 of 100 changes that do \
nothing.
    """
    known, shares = zip(*SHOWN_BY_LUCK, strict=True)
    about = f"{'over' if lots > known[-1] else 'about'} {round(float(np.interp(lots, known, shares)))}"
    looked = "Looked at after every lot from the third on, luck alone shows something by now"
    return f"{looked} in {about} of 100 changes that do nothing."


def _lot_lines(same: SameChange) -> list[str]:
    """Which trials were on which lot; of many lots those with several trials."""
    shown = [lot for lot in same.lots if lot.name and (len(same.lots) <= MOST_LOTS or len(lot.trials) > 1)]
    told = [f"{lot.name}: {and_list([_trial_words(one) for one in lot.trials])}" for lot in shown[:MOST_LOTS]]
    more = f"; {count_of(len(shown) - MOST_LOTS, 'more lot')} with several" if len(shown) > MOST_LOTS else ""
    unnamed = [_trial_words(one) for lot in same.lots if not lot.name for one in lot.trials]
    lines = [f"By lot: {'; '.join(told)}{more}."] if told else []
    if unnamed and len(same.lots) > 1:
        names = and_list(unnamed) if len(unnamed) <= MOST_LOTS else count_of(len(unnamed), "trial")
        which = "names no lot, so it counts" if len(unnamed) == 1 else "name no lot, so each counts"
        lines.append(f"{names} {which} as ground of its own.")
    return lines


def _trial_words(line: ListedTrial) -> str:
    return f"{line.trial} (leaning)" if line.word is not None and line.word.leaning else line.trial


def _left_lines(same: SameChange) -> list[str]:
    left = "; ".join(f"{line.trial} ({why})" for line, why in same.left_out)
    return [f"Not counted: {left}."] if left else []


def _lot_words(lot: OnLot) -> str:
    return lot.name or lot.trials[0].trial


def _lot_gain(lot: OnLot, measure: Measure) -> str:
    if len(lot.trials) == 1 and lot.trials[0].word is not None:
        return gain_words(lot.trials[0].word)
    return f"{measure.signed_text(measure.shown(mean_of_lot(lot)), 1)} in {len(lot.trials)} trials"


def joint_range(measure: Measure, joint: OverLots) -> tuple[str, str]:
    """The mean over lots with its limits, and the range of the next lot, told as gains; blank without limits."""
    if joint.interval is None or joint.next_lot is None:
        return "", ""
    unit = "%" if measure.is_ratio else "points"
    ends = [[measure.shown(one.low), measure.shown(one.high)] for one in (joint.interval, joint.next_lot)]
    told = []
    for low, high in ends:
        places = decimals_apart([low, high], [0.0], decimals_for((high - low) / 2))
        told.append((signed(low, places), signed(high, places), places))
    (low_text, high_text, places), (first, last, _) = told
    return (
        f"{signed(measure.shown(joint.mean), places)} {unit} ({low_text} to {high_text})",
        f"{first} to {last} {unit}",
    )


def joint_row(told: ToldChange) -> dict[str, Any]:
    """The same by name, for plain readers; numbers on the measure's scale, more gold positive."""
    same, joint, measure = told.same, told.joint, measure_of(told.same)
    line = same.newest
    spoken = None
    if joint is not None:
        spoken = speak(measure, joint.mean, joint.interval, None if joint.line is None else measure.shown(joint.line))
    return {
        "variable": line.variable,
        "baseline": line.baseline,
        "changed": (line.changed or ("",))[0],
        "measure": line.measure,
        "gear": line.gear,
        "tails": same.feeds_tails,
        "size_class": None if line.word is None else line.word.size_class,
        "lots": [
            {"lot": lot.name or None, "trials": [one.trial for one in lot.trials], "estimate": mean}
            for lot, mean in zip(same.lots, joint.means if joint else map(mean_of_lot, same.lots), strict=True)
        ],
        "left_out": [{"trial": one.trial, "why": why} for one, why in same.left_out],
        "at_one_mix": told.is_at_one_mix,
        "scale": measure.scale,
        "code": None if joint is None else joint.code,
        "estimate": None if joint is None else joint.mean,
        "sd": None if joint is None else joint.sd,
        "interval": None if joint is None or joint.interval is None else joint.interval.model_dump(),
        "next_lot": None if joint is None or joint.next_lot is None else joint.next_lot.model_dump(),
        "p": None if joint is None else joint.p,
        "worth_having": None if joint is None else joint.line,
        "shown": None if spoken is None else spoken.shown.model_dump(),
        "said": joint_lines(told),
    }
