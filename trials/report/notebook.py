"""A verdict as a notebook shows it: its sentence, and its chart as a picture that needs no network."""

from html import escape

from schemas import Verdict
from trials.charts.files import chart_svg
from trials.charts.verdict_chart import verdict_chart


def verdict_html(verdict: Verdict) -> str:
    """Write the sentence, the last word and the chart as static HTML; of other than two arms the words alone."""
    last = "" if verdict.last_word is None else f"{verdict.last_word.capitalize()}: {verdict.last_word_why}."
    words = "".join(f"<p>{escape(text)}</p>" for text in (verdict.sentence, *verdict.more, last) if text)
    # Vega escapes all text in its SVG, so it may stand in the page as it is.
    return words + (chart_svg(verdict_chart(verdict)) if len(verdict.arms) == 2 else "")
