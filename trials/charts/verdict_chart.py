"""The verdict chart: did the change beat luck?"""

from collections.abc import Sequence

import altair as alt

from schemas import Run, Verdict
from trials.charts import palette
from trials.charts.bars import bar_key, difference_panel
from trials.charts.costs import cost_key, cost_panel
from trials.charts.footer import footer_lines
from trials.charts.frame import framed, outer_px, subtitles_of, title_of
from trials.charts.layout import Layout, layout_for
from trials.charts.marks import Part, parts_beside, stacked_parts, words_block
from trials.charts.nuggets import nuggets_in
from trials.charts.reading import read_verdict
from trials.charts.rows import arm_key, has_notes, has_values, pair_rows, shown_pairs
from trials.charts.simulated import simulated_band, simulated_title


def verdict_chart(
    verdict: Verdict, *, narrow: bool = False, runs: Sequence[Run] = (), simulated: bool = False
) -> alt.VConcatChart:
    """Did the change beat luck?

    Parameters
    ----------
    verdict
        Of any code. Its whole sentence is the title.
    narrow
        For a phone: smaller plots, and the costs below.
    runs
        Where they are given, a large piece is a star beside its row.
    simulated
        The runs were simulated: the title begins with it, a dark band says so, and it stands in pale letters behind
        the rows.

    Returns
    -------
    VConcatChart
        From the top: one row a pair; each pair's difference and their mean with its interval; what it costs;
        pairs, checks, lot, dates and seed. Behind a gate the rows stand alone, without mean or interval.

    Raises
    ------
    ValueError
        The verdict does not compare two arms.
    """
    if len(verdict.arms) != 2:
        raise ValueError(f"trial {verdict.trial} has {len(verdict.arms)} arms; the verdict chart compares two")
    layout = layout_for(narrow=narrow, has_costs=bool(verdict.costs), has_notes=has_notes(verdict, runs))
    left = _pairs_and_differences(verdict, layout, runs, simulated=simulated)
    parts: list[Part] = [left]
    if verdict.costs and layout.costs:
        parts = [parts_beside([left, _costs(verdict, layout.costs)], spacing=24)]
    elif verdict.costs:
        parts.append(_costs(verdict, layout.plot))
    pixels = outer_px(narrow=narrow)
    left_edge = -palette.LABELS_PX
    parts.append(words_block(footer_lines(verdict, pixels), pixels + left_edge, left=left_edge))
    sentence = verdict.sentence
    if simulated:
        parts.insert(0, simulated_band(pixels + left_edge, left=left_edge))
        sentence = simulated_title(sentence)
    return framed(parts, title_of(sentence, subtitles_of(verdict), narrow=narrow), spacing=14)


def _pairs_and_differences(
    verdict: Verdict, layout: Layout, runs: Sequence[Run], *, simulated: bool
) -> alt.VConcatChart:
    told = has_values(shown_pairs(verdict))
    nuggets = nuggets_in(runs) if told else []
    parts: list[Part] = [arm_key(verdict, layout, with_star=bool(nuggets))] if told else []
    parts.append(pair_rows(verdict, layout, nuggets, simulated=simulated))
    if verdict.differences:
        reading = read_verdict(verdict)
        parts += [bar_key(verdict, reading, layout), difference_panel(verdict, reading, layout)]
    return stacked_parts(parts, spacing=10)


def _costs(verdict: Verdict, width: int) -> alt.VConcatChart:
    heading = words_block(["What it costs"], width)
    return stacked_parts([heading, cost_panel(verdict.costs, width), cost_key(width)], spacing=10)
