"""Charts leave as files that repeat byte for byte, hold no one else's script, and need no network."""

import re
from pathlib import Path

import altair as alt
import pytest

from schemas import Run, VoidRun
from schemas.verdict import FedLot
from tests.charts.drawn import Drawn
from tests.charts.invented import rough_bed
from tests.charts.test_noise_makeup import budget
from tests.charts.test_order_strip import runs_of
from tests.charts.test_pairs_needed import GRAINS
from tests.charts.test_rehearsal_chart import AT_LINE, NOTHING
from tests.tables import every
from trials.charts import engine
from trials.charts.files import chart_html, chart_svg, save_chart
from trials.charts.habits_chart import habits_chart
from trials.charts.noise_makeup import noise_chart
from trials.charts.order_strip import order_strip
from trials.charts.pairs_needed import pairs_needed_chart
from trials.charts.price import price_chart
from trials.charts.rehearsal_chart import rehearsal_chart
from trials.charts.verdict_chart import verdict_chart

HOSTILE = "</script><img src=x onerror=alert(1)>"


@pytest.fixture(scope="module")
def hostile_page() -> str:
    """A page whose every text a person typed is hostile."""
    verdict = rough_bed(
        question=HOSTILE,
        sentence=f"Better {HOSTILE}",
        arms=(HOSTILE, "b"),
        lots=(FedLot.model_construct(name=HOSTILE, kind="natural"),),
        voids=(VoidRun(pair=1, why=HOSTILE),),
    )
    return chart_html(verdict_chart(verdict), HOSTILE, narrow=verdict_chart(verdict, narrow=True))


def test_svg_repeats_byte_for_byte():
    """The same verdict drawn twice gives the same SVG."""
    first = chart_svg(verdict_chart(rough_bed()))
    engine._drawn.cache_clear()
    assert chart_svg(verdict_chart(rough_bed())) == first
    assert first.startswith("<svg")


def charts_of_a_trial(narrow: bool) -> tuple[alt.VConcatChart, ...]:
    """The three charts that a report has."""
    verdict = rough_bed()
    runs = [Run(pair=1, arm="baseline", turn=1, grains=31), Run(pair=1, arm="changed", turn=2, grains=47)]
    return (
        verdict_chart(verdict, narrow=narrow),
        order_strip(verdict, runs, narrow=narrow),
        price_chart(verdict, narrow=narrow),
    )


@every("narrow", [False, True])
def test_pictures_fit_their_page(narrow: bool):
    """All in, a wide picture fits the print width of A4 (190 mm, 718 px), a narrow one a phone of 390 px."""
    for chart in charts_of_a_trial(narrow):
        width = float(re.search(r'width="([\d.]+)"', chart_svg(chart))[1])
        assert width <= (374 if narrow else 718)


@every("narrow", [False, True])
def test_every_chart_fits_its_schema(narrow: bool):
    """Charts are written unchecked, for speed; here each is held against the published schema of its form."""
    of_a_plan = (
        pairs_needed_chart(**GRAINS, narrow=narrow),
        noise_chart([budget("recovery", ("run to run", 1.0))], narrow=narrow),
        rehearsal_chart(NOTHING, AT_LINE, narrow=narrow),
        habits_chart([("looking", 0.2)], 0.05, 10, narrow=narrow),
    )
    for chart in (*charts_of_a_trial(narrow), *of_a_plan):
        assert chart.to_dict(validate=True)["vconcat"]


def test_svg_escapes_what_was_typed():
    """Markup in a text stays text in the SVG."""
    svg = chart_svg(verdict_chart(rough_bed(question=HOSTILE)))
    assert "<img" not in svg
    assert "&lt;img" in svg


def test_html_lets_no_text_out(hostile_page: str):
    """No typed text begins a tag, and the page has no script at all."""
    assert "<script" not in hostile_page
    assert "</script>" not in hostile_page
    assert "<img src=x" not in hostile_page
    assert "<title>&lt;/script&gt;" in hostile_page


def test_html_fetches_nothing(hostile_page: str):
    """Nothing in the page's own markup names an address to fetch, and the page forbids it."""
    assert not re.search(r"(src|href)\s*=\s*[\"']?http", hostile_page)
    assert "<link" not in hostile_page
    assert "default-src 'none'" in hostile_page


def test_html_is_small_enough_to_send(hostile_page: str):
    """A page holds its pictures and no engine that draws them."""
    assert len(hostile_page.encode()) < 250_000


def test_html_reads_on_a_phone(hostile_page: str):
    """The page has a wide and a narrow form and shows the one that fits."""
    assert 'class="wide"' in hostile_page
    assert 'class="narrow"' in hostile_page
    assert "max-width:700px" in hostile_page
    assert 'name="viewport"' in hostile_page


def test_each_kind_of_file_is_written(tmp_path: Path):
    """The ending of the name says what is written."""
    chart = price_chart(rough_bed())
    for suffix, start in ((".svg", b"<svg"), (".png", b"\x89PNG"), (".html", b"<!DOCTYPE html>")):
        path = tmp_path / f"chart{suffix}"
        save_chart(chart, path)
        assert path.read_bytes().startswith(start)


@pytest.mark.parametrize(("name", "told"), [("chart.pdf", r"\.pdf"), ("chart", "no ending")])
def test_other_endings_are_refused(tmp_path: Path, name: str, told: str):
    """An ending that can't be written is refused with what can be."""
    with pytest.raises(ValueError, match=rf"{told} is not a kind of picture.*\.html, \.svg or \.png"):
        save_chart(price_chart(rough_bed()), tmp_path / name)
    assert not list(tmp_path.iterdir())


def test_no_number_told_at_a_mark_is_long_or_has_an_exponent() -> None:
    """Each is written in a few figures by d3's `r`; its `g` would make 1.23e+3 of 1234."""
    charts = [verdict_chart(rough_bed()), order_strip(rough_bed(), runs_of()), pairs_needed_chart(**GRAINS)]
    charts.append(noise_chart([budget("recovery", ("run to run", 1.0))]))
    told = [tip for chart in charts for layer in Drawn(chart).layers for tip in layer["encoding"].get("tooltip", [])]
    formats = {tip["field"]: tip.get("format", "") for tip in told if tip["type"] == "quantitative"}
    assert {"baseline", "difference", "ratio", "value", "gain", "share"} <= set(formats)
    assert all(form.endswith("~r") for form in formats.values())
