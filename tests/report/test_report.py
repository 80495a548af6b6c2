import functools
import re
import subprocess
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from schemas import Record
from tests.folders import rough_bed
from trials.files.folder import read_folder
from trials.report.by_hand import by_hand
from trials.report.page import report_html, write_report
from trials.verdicts.reach import reach_verdict

DEMO = Path(__file__).parents[2] / "demo_trials"
JUDGED = ("rough-bed", "twin-inserts", "two-mats", "finer-screen", "steeper-pitch", "lean-buckets", "tails-second-pass")


@pytest.fixture
def record(tmp_path: Path) -> Record:
    """The roughened bed."""
    return read_folder(rough_bed(tmp_path / "rough-bed"))


@functools.cache
def page_of(name: str) -> str:
    """The report of a demo trial, drawn once."""
    return report_html(read_folder(DEMO / name))


def saved(name: str, folder: Path) -> Path:
    """The same, as a file."""
    path = folder / "report.html"
    path.write_text(page_of(name), encoding="utf-8")
    return path


class Text(HTMLParser):
    """The text of a page, as a person reads it."""

    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []

    def handle_data(self, data: str) -> None:
        self.said.append(data)


def text_of(page: str) -> str:
    """All text of a page in one line."""
    parser = Text()
    parser.feed(page)
    return " ".join(" ".join(parser.said).split())


@pytest.mark.parametrize("name", JUDGED)
def test_a_report_holds_the_whole_trial(name: str) -> None:
    """Sentence, every run, every check and every caution's ending stand in it."""
    record = read_folder(DEMO / name)
    verdict = reach_verdict(record.trial, record.runs, record.corrections)
    text = text_of(page_of(name))
    assert verdict.sentence in text
    for line in verdict.more:
        assert line in text
    for finding in verdict.checks:
        assert finding.check in text
    for run in record.runs:
        assert run.tag is None or run.tag in text
        assert run.void is None or run.void in text
    assert "Local rules and licensed practice come first." in text


def test_the_numbers_by_hand_give_the_interval() -> None:
    """Mean, s, t and the number of pairs as written give the limits as written."""
    record = read_folder(DEMO / "steeper-pitch")
    verdict = reach_verdict(record.trial, record.runs)
    line = next(line for line in by_hand(verdict) if "interval" in line)
    found = re.search(r"= (\S+) \+/- (\S+) x (\S+) / sqrt (\d+) = (\S+) to (\S+?)\. ", line)
    assert found is not None, line
    mean, t, s, k, low, high = map(float, found.groups())
    assert t == pytest.approx(2.3646, abs=5e-5)  # t(.975, 7), Student's table
    assert mean - t * s / k**0.5 == pytest.approx(low, rel=1e-3)
    assert mean + t * s / k**0.5 == pytest.approx(high, rel=1e-3)


def test_text_of_a_person_is_escaped(record: Record) -> None:
    """Markup in a question or a note is shown, never run."""
    nasty = "</script><img src=x onerror=alert(1)>"
    runs = tuple(run.model_copy(update={"note": nasty, "void": None}) for run in record.runs)
    page = report_html(Record(trial=record.trial.model_copy(update={"question": nasty}), runs=runs))
    assert "<img src=x" not in page
    assert nasty in text_of(page)


@pytest.mark.parametrize("name", ["rough-bed", "finer-screen"])
def test_a_report_fetches_nothing(name: str) -> None:
    """One file: no script, no link, no address to ask."""
    page = page_of(name)
    assert not re.search(r"<script|<link|@import|url\(|src=|href=", page)
    assert not re.search(r"https?://(?!www\.w3\.org/)", page)


def test_a_void_run_is_struck_and_stays() -> None:
    """A void run is listed with its reason."""
    page = page_of("finer-screen")
    assert '<tr class="void">' in page and "Corrections" in page


@pytest.mark.parametrize("width", [1100, 390])
@pytest.mark.parametrize("name", ["finer-screen", "twin-inserts"])
def test_a_report_opens_offline_without_a_word_of_complaint(
    name: str, width: int, browser: Any, tmp_path: Path
) -> None:
    """No request, no console error, nothing wider than the screen; the chart that fits is the one shown."""
    path = saved(name, tmp_path)
    page = browser.new_page(viewport={"width": width, "height": 900})
    asked: list[str] = []
    errors: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: errors.append(message.text))
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(path.as_uri())
    assert asked == [path.as_uri()] and errors == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.locator(".wide").first.is_visible() == (width > 640)
    assert page.locator(".narrow").first.is_visible() == (width <= 640)


def test_a_report_is_dark_in_the_dark_and_light_on_paper(browser: Any, tmp_path: Path) -> None:
    """The page follows the reader's colour scheme; print is always dark on light."""
    path = write_report(read_folder(DEMO / "rough-bed"), tmp_path / "report.html")
    page = browser.new_page(color_scheme="dark")
    page.goto(path.as_uri())
    ground = "getComputedStyle(document.body).backgroundColor"
    assert page.evaluate(ground) == "rgb(29, 33, 35)"
    page.emulate_media(media="print")
    assert page.evaluate(ground) == "rgb(255, 255, 255)"


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_report_prints_on_few_pages(paper: str, browser: Any, tmp_path: Path) -> None:
    """Twelve pairs fit on at most seven pages of either paper."""
    path = saved("two-mats", tmp_path)
    page = browser.new_page()
    page.goto(path.as_uri())
    pdf = tmp_path / "report.pdf"
    page.pdf(path=str(pdf), format=paper, print_background=True)
    try:
        said = subprocess.run(["pdfinfo", str(pdf)], capture_output=True, text=True, check=True).stdout
    except FileNotFoundError:
        pytest.skip("no pdfinfo here: pages are not counted (install poppler-utils to run this test)")
    assert 2 <= int(re.search(r"Pages:\s+(\d+)", said).group(1)) <= 7  # type: ignore[union-attr]
