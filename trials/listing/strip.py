"""The strip of the logbook out of its list: panels by unit, one change over its lots by itself."""

from collections.abc import Sequence

from trials.charts.reading import ends_of_line
from trials.charts.strip.strip import StripLots, StripPanel, StripRow
from trials.listing.joint import OverLots, measure_of
from trials.listing.joint_words import ToldChange, change_title, joint_lines, joint_range
from trials.listing.lines import CODE_WORDS, DAY, change_words, gain_words
from trials.listing.same_change import SameChange, name_of_lots
from trials.logbook.pages import ListedTrial
from trials.measures.catalogue import measure_named
from trials.verdicts.outcome import OUTCOMES
from trials.wording.lists import and_list, count_of

AXES = {"points": "gain, points", "%": "gain, %"}


def strip_panels(lines: Sequence[ListedTrial], told: Sequence[ToldChange]) -> list[StripPanel]:
    """Panels of trials, the newest first: each change of several trials that was asked for, then all others by unit."""
    joined = [one for one in told if len(one.same.trials) > 1]
    panels = [_of_change(one, headed=len(told) > 1) for one in joined]
    shown = {line.trial for one in joined for line in _all_of(one.same)}
    others = [line for line in lines if line.trial not in shown]
    for unit in ("points", "%"):
        own = [line for line in others if _unit(line) == unit]
        if own:
            heading = f"All others, in {unit}" if joined else ""
            panels.append(StripPanel(heading, AXES[unit], [_row(line) for line in own]))
    return panels


def strip_title(lines: Sequence[ListedTrial], told: Sequence[ToldChange]) -> str:
    """What the strip is of: one change as it stands over its lots, or how many trials."""
    if len(told) == 1 and told[0].joint is not None:
        return f"{change_title(told[0].same)}. {joint_lines(told[0])[0]}"
    return f"{count_of(len(lines), 'trial')}, the newest first"


def strip_said(told: Sequence[ToldChange]) -> list[str]:
    """What stands under the strip."""
    said = [line for one in told if len(one.same.trials) > 1 for line in joint_lines(one)[len(told) == 1 :]]
    return [*said, "Each bar is the range of its own trial, on its own ground; all marks are one size."]


def _all_of(same: SameChange) -> list[ListedTrial]:
    return [*same.trials, *(line for line, _ in same.left_out)]


def _of_change(told: ToldChange, *, headed: bool) -> StripPanel:
    same, measure = told.same, measure_of(told.same)
    shared = [lot for lot in same.lots if len(lot.trials) > 1]
    lot_of = {line.trial: number for number, lot in enumerate(shared) for line in lot.trials}
    why = {line.trial: text for line, text in same.left_out}
    rows = sorted(_all_of(same), key=lambda line: line.last_session or "", reverse=True)
    word = same.newest.word
    return StripPanel(
        heading=change_title(same) if headed or told.joint is None else "",
        axis=AXES["%" if measure.is_ratio else "points"],
        rows=[_row(line, why.get(line.trial), lot_of.get(line.trial), of_change=True) for line in rows],
        line_ends=tuple(ends_of_line(None if word is None else word.worth_having, measure)),
        lots=None if told.joint is None else _lots(told, told.joint),
    )


def _lots(told: ToldChange, joint: OverLots) -> StripLots | None:
    if joint.interval is None or joint.next_lot is None:
        return None
    measure = measure_of(told.same)
    limits, further = ((measure.shown(one.low), measure.shown(one.high)) for one in (joint.interval, joint.next_lot))
    mean_told, next_told = joint_range(measure, joint)
    return StripLots(joint.code, measure.shown(joint.mean), limits, further, mean_told, next_told)


def _unit(line: ListedTrial) -> str:
    return "%" if measure_named(line.measure).is_ratio else "points"


def _row(line: ListedTrial, why_out: str | None = None, lot: int | None = None, *, of_change: bool = False) -> StripRow:
    word = line.word
    day = (line.last_session or "not run")[:DAY]
    about = name_of_lots(line) and f"on {name_of_lots(line)}" if of_change else change_words(line)
    under = f"{day} {about}".rstrip()
    code = None if word is None else next((one for one in OUTCOMES if one == word.code), None)
    if why_out is not None or word is None or code is None or word.shown is None:
        return StripRow(line.trial, under, None, None, (), why_out or _why_no_gain(line), _costs_and_decision(line))
    low, high = word.shown_low, word.shown_high
    limits = () if low is None or high is None else (low, high)
    told = f"leaning: {gain_words(word)}" if word.leaning else gain_words(word)
    return StripRow(line.trial, under, code, word.shown, limits, told, _costs_and_decision(line), lot)


def _why_no_gain(line: ListedTrial) -> str:
    if line.word is None:
        return ""
    if line.word.losses_start:
        return f"audit: losses start at {line.word.losses_start}"
    return CODE_WORDS[line.word.code]


def _costs_and_decision(line: ListedTrial) -> str:
    """Which costs are over their limits, and what was decided, or what the verdict's last word is."""
    word = line.word
    if word is None:
        return ""
    flags = f"{and_list(word.costs_over)} over" if word.costs_over else ""
    if word.decided is not None:
        return f"{flags}; decided: {word.decided}" if flags else f"decided: {word.decided}"
    if word.last_word is None:
        return flags
    return f"{flags}: {word.last_word}" if flags else f"last word: {word.last_word}"
