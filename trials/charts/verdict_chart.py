"""The verdict chart: did the change beat luck?"""

from collections.abc import Sequence

import altair as alt

from schemas import Compared, Cost, Run, ScatterAnswer, Verdict
from trials.charts import palette
from trials.charts.answers.classes_panel import classes_panel
from trials.charts.bars import bar_key, difference_panel
from trials.charts.costs import cost_key, cost_panel
from trials.charts.frame import WORD, footer_lines, framed, heading_of, outer_px, simulated_band
from trials.charts.layout import Layout, layout_for
from trials.charts.marks import Part, parts_beside, stacked_parts, unchecked, word_band, words_block
from trials.charts.nuggets import nuggets_in
from trials.charts.reading import read_answer
from trials.charts.rows import arm_key, has_notes, has_values, pair_rows, shown_pairs
from trials.verdicts.spoken import last_words


@unchecked
def verdict_chart(
    verdict: Verdict, *, narrow: bool = False, runs: Sequence[Run] = (), simulated: bool = False, headed: bool = True
) -> alt.VConcatChart:
    """Did the change beat luck?

    From the top: the whole sentence; what to do; one row a pair; each pair's difference and their mean with its
    interval; what it costs, unless nothing was changed; pairs, checks, lot, dates and seed. Behind a gate the rows
    stand alone, without mean or interval. On a phone (`narrow`) plots are smaller, and the costs below. Where `runs`
    are given, a large piece is a star beside its row. Of `simulated` runs the title begins with it, a dark band says
    so, and it stands in pale letters behind the rows; nothing is advised, and what was not simulated costs nothing. Not
    `headed` on a page that has said the sentence and the last word above the chart. ValueError where the verdict does
    not compare two arms.

    Every pair's two values above, their differences and the mean difference with its interval below on an axis of its
    own, is the usual form in print: Gardner, Altman, "Confidence intervals rather than P values: estimation rather than
    hypothesis testing", BMJ 292 (1986), 746-750; Cumming, "Understanding the New Statistics" (2012), the paired design;
    Ho, Tumkaya, Aryal, Choi, Claridge-Chang, "Moving beyond P values: data analysis with estimation graphics", Nature
    Methods 16 (2019), 565-566. Costs, limits and last word beside it are ours.
    """
    if len(verdict.arms) != 2:
        raise ValueError(f"trial {verdict.trial} has {len(verdict.arms)} arms; the verdict chart compares two")
    costs = () if simulated or isinstance(verdict.answer, ScatterAnswer) else verdict.costs
    layout = layout_for(narrow=narrow, has_costs=bool(costs), has_notes=has_notes(verdict, runs))
    picture: Part = _pairs_and_differences(verdict, layout, runs, simulated=simulated)
    if layout.costs:
        picture = parts_beside([picture, _costs(costs, layout.costs)], spacing=24)
    left = -palette.LABELS_PX
    width = outer_px(narrow=narrow) + left
    said = last_words(verdict) if headed and not simulated else ""
    parts = [
        *([simulated_band(width, left=left)] if simulated else []),
        *([word_band(said, width, left, ground=palette.LAST_WORD, colour=palette.INK)] if said else []),
        picture,
        *([classes_panel(verdict, layout.plot, layout.notes)] if verdict.classes else []),
        *([_costs(costs, layout.plot)] if costs and not layout.costs else []),
        words_block(footer_lines(verdict, width - left), width, left=left),
    ]
    sentence = f"{WORD}. {verdict.sentence}" if simulated else verdict.sentence
    heading = heading_of(sentence, verdict, narrow=narrow, headed=headed)
    return framed(parts, heading, spacing=14, padded=headed)


def _pairs_and_differences(
    verdict: Verdict, layout: Layout, runs: Sequence[Run], *, simulated: bool
) -> alt.VConcatChart:
    told = has_values(shown_pairs(verdict))
    nuggets = nuggets_in(runs) if told else []
    parts: list[Part] = [arm_key(verdict, layout, with_star=bool(nuggets))] if told else []
    parts.append(pair_rows(verdict, layout, nuggets, simulated=simulated))
    if isinstance(verdict.answer, Compared):
        reading = read_answer(verdict, verdict.answer)
        parts += [bar_key(verdict, reading, layout), difference_panel(verdict, reading, layout)]
    return stacked_parts(parts, spacing=10)


def _costs(costs: Sequence[Cost], width: int) -> alt.VConcatChart:
    heading = words_block(["What it costs"], width)
    return stacked_parts([heading, cost_panel(costs, width), cost_key(width)], spacing=10)
