"""A trial as one self-contained HTML page: charts inside, nothing fetched, everything escaped."""

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from schemas import Record, Verdict
from trials.charts.files import chart_svg
from trials.charts.order_strip import order_strip
from trials.charts.price import price_chart
from trials.charts.verdict_chart import verdict_chart
from trials.files.whole import write_whole
from trials.measures.catalogue import measure_named
from trials.papers.cautions import ENDING, cautions_for
from trials.report.by_hand import by_hand
from trials.report.tables import held_settings, picture_rows, run_table, what_was_done
from trials.verdicts.reach import reach_verdict
from trials.verdicts.spoken import void_words
from trials.wording.numbers import signed

TEMPLATES = Path(__file__).parent
SEVERITIES = ("STOP", "WEAKENS", "NOTE", "not recorded", "ok")


def write_report(record: Record, path: str | Path, off: Mapping[str, str] = MappingProxyType({})) -> Path:
    """Write the report of a trial to a file.

    Parameters
    ----------
    record
        The trial.
    path
        The file.
    off
        What is wrong with pictures of it, by their path.

    Raises
    ------
    NotYet
        This version reaches no verdict on such a trial.
    OSError
        The file can't be written.
    """
    return write_whole(Path(path), report_html(record, off))


def report_html(record: Record, off: Mapping[str, str] = MappingProxyType({})) -> str:
    """Make the report of a trial: sentence, charts, every run, checks, how to verify by hand, cautions."""
    trial = record.trial
    verdict = reach_verdict(trial, record.runs, record.corrections)
    measure = measure_named(verdict.measure)
    decimals = 1 if verdict.scale == "points" else 0
    pairs = [
        (pair, "" if pair.difference is None else signed(measure.shown(pair.difference), decimals))
        for pair in verdict.pair_results
    ]
    environment = Environment(loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined)
    return environment.get_template("page.html").render(
        trial=trial,
        verdict=verdict,
        pairs=pairs,
        difference_head=measure.words.difference,
        charts=_charts(record, verdict),
        done=what_was_done(trial),
        held=held_settings(trial),
        runs=run_table(trial, record.runs, verdict.arms),
        pictures=picture_rows(trial, off),
        hand=by_hand(verdict),
        voids=[void_words(one) for one in verdict.voids],
        severities=SEVERITIES,
        cautions=cautions_for(trial, record.runs),
        ending=ENDING,
    )


def _charts(record: Record, verdict: Verdict) -> list[dict[str, object]]:
    """Each chart wide and narrow, as SVG; the page shows the one that fits."""
    runs = record.runs
    made = [
        ("Did the change beat luck?", [verdict_chart(verdict, runs=runs, narrow=narrow) for narrow in (False, True)]),
        ("Did the day drift?", [order_strip(verdict, runs, narrow=narrow) for narrow in (False, True)]),
    ]
    if verdict.answer.kind == "pairs" and verdict.answer.interval is not None:
        made.append(("The price of the gain", [price_chart(verdict, narrow=narrow) for narrow in (False, True)]))
    return [
        # Vega escapes all text in its SVG, so it may stand in the page as it is.
        {"title": title, "wide": Markup(chart_svg(wide)), "narrow": Markup(chart_svg(narrow))}  # noqa: S704
        for title, (wide, narrow) in made
    ]
