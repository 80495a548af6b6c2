"""A trial as one self-contained HTML page: charts inside, nothing fetched, everything escaped."""

from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType

from altair import VConcatChart
from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template
from markupsafe import Markup

from schemas import Cost, LevelsAnswer, Record, Verdict
from schemas.cost import Part
from trials.charts.answers.chosen import answer_chart
from trials.charts.files import begin_svg
from trials.charts.order_strip import order_strip
from trials.charts.price import price_chart
from trials.files.whole import write_whole
from trials.papers.cautions import ENDING, cautions_for
from trials.papers.readings import held_settings
from trials.records.columns import became
from trials.report.answer_tables import answer_tables
from trials.report.by_hand import by_hand
from trials.report.run_tables import SHORT, every_run
from trials.report.tables import picture_rows, what_was_done
from trials.verdicts.reach import reach_verdict
from trials.verdicts.spoken import last_words, ratio_texts, void_words
from trials.wording.numbers import figures
from trials.wording.steps import Reader, said_for

TEMPLATES = Path(__file__).parent
FORMS = ("wide", "narrow")
LONGEST_WHOLE = 12  # a table of more rows may run on to the next page


def write_report(record: Record, path: str | Path, off: Mapping[str, str] = MappingProxyType({})) -> Path:
    """Write the report of a trial to a file; `off` is what is wrong with pictures of it, by their path."""
    return write_whole(Path(path), report_html(record, off))


@said_for(Reader.AT_TERMINAL)
def report_html(record: Record, off: Mapping[str, str] = MappingProxyType({})) -> str:
    """Make the report of a trial: sentence, charts, every run, checks, how to verify by hand, cautions.

    It is kept and sent, so that its steps are for a terminal wherever it is made.
    """
    trial = record.trial
    verdict = reach_verdict(trial, record.runs, record.corrections)
    return _template().render(
        trial=trial,
        verdict=verdict,
        last_words=last_words(verdict),
        charts=_charts(record, verdict),
        done=what_was_done(trial),
        held=held_settings(trial),
        costs=[] if verdict.answer.kind == "scatter" else [row for cost in verdict.costs for row in _cost_rows(cost)],
        costly=verdict.answer.named if isinstance(verdict.answer, LevelsAnswer) else verdict.arms[-1],
        tables=answer_tables(verdict),
        runs=every_run(trial, record.runs, verdict.arms),
        pictures=picture_rows(trial, off),
        found=[(one.check, one.severity, one.message) for one in verdict.checks if one.severity != "ok"],
        hand=by_hand(verdict),
        became=became,
        voids=[void_words(one) for one in verdict.voids],
        cautions=cautions_for(trial, record.runs),
        ending=ENDING,
        short=SHORT,
        longest=LONGEST_WHOLE,
    )


@cache
def _template() -> Template:
    """The page with its gaps, read once."""
    environment = Environment(loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined)
    return environment.get_template("page.html")


def _cost_cells(cost: Cost) -> tuple[str, ...]:
    """The cells of a cost: both means, their ratio, its limits, the most it may be, and how it stands to that."""
    limit = "" if cost.limit is None else f"{figures(cost.limit)}{' (our default)' if cost.limit_is_ours else ''}"
    return (f"{cost.name}, {cost.unit}", *_ratio_cells(cost), limit, cost.status)


def _cost_rows(cost: Cost) -> list[tuple[str, ...]]:
    """A row for a cost, and one for each part of it by itself: run and clean-up of all minutes."""
    return [
        _cost_cells(cost),
        *((f"{part.name} alone, {cost.unit}", *_ratio_cells(part), "", "") for part in cost.parts),
    ]


def _ratio_cells(cost: Cost | Part) -> tuple[str, ...]:
    means = ("" if mean is None else figures(mean) for mean in (cost.baseline_mean, cost.changed_mean))
    ratio, low, high = ratio_texts(cost)
    return (*means, ratio, f"{low} to {high}" if low else "")


def _charts(record: Record, verdict: Verdict) -> dict[str, dict[str, object] | None]:
    """Each chart wide and narrow, as SVG; the page says their sentence once and shows the one that fits."""
    runs = record.runs

    def begun(draw: Callable[..., VConcatChart], **more: object) -> dict[str, Callable[[], str]]:
        return {form: begin_svg(draw(verdict, narrow=form == "narrow", headed=False, **more)) for form in FORMS}

    has_price = verdict.answer.kind in ("pairs", "levels") and verdict.answer.interval is not None
    charts = {
        "verdict": ("Did the change beat luck?", begun(answer_chart, runs=runs)),
        "order": ("Did the day drift?", begun(order_strip, runs=runs)),
        "price": ("The price of the gain", begun(price_chart) if has_price else {}),
    }
    # Vega escapes all text in its SVG, so it may stand in the page as it is.
    return {
        name: {"title": title, **{form: Markup(svg()) for form, svg in forms.items()}} if forms else None  # noqa: S704
        for name, (title, forms) in charts.items()
    }
