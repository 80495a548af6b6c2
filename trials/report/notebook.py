"""A verdict as a notebook shows it: its sentence, and its chart as a picture that needs no network."""

from html import escape

from schemas import Verdict
from trials.charts.answers.chosen import answer_chart
from trials.charts.files import chart_svg
from trials.verdicts.spoken import last_words


def verdict_html(verdict: Verdict) -> str:
    """Write the sentence, the last word and the chart as static HTML."""
    said = (verdict.sentence, *verdict.more, last_words(verdict))
    words = "".join(f"<p>{escape(text)}</p>" for text in said if text)
    # Vega escapes all text in its SVG, so it may stand in the page as it is.
    return words + chart_svg(answer_chart(verdict))
