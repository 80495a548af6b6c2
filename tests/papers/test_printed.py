import re
import shutil
import subprocess
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import ceil
from pathlib import Path
from typing import Any

import pytest

from schemas import Record
from tests.papers.plans import PLANS, crowded, every_box, rough_bed, two_mats
from tests.papers.reading import codes
from trials.papers.write import write_papers

MM = 96 / 25.4  # px of the screen in a millimetre
POINTS = {"A4": (595.3, 841.9), "Letter": (612.0, 792.0)}
LYING = ("creek", "panner")
MARGIN_POINTS = 9 / 25.4 * 72

LOOK = """() => {
  const all = [...document.querySelectorAll('body, body *')], style = e => getComputedStyle(e);
  const own = e => [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim());
  const blocks = all.filter(e => e.clientWidth > 0 && style(e).display !== 'inline');
  return {
    wide: blocks.filter(e => e.scrollWidth > e.clientWidth).map(e => e.className + ': ' + e.innerText),
    high: blocks.filter(e => e.scrollHeight > e.clientHeight).map(e => e.className + ': ' + e.innerText),
    rows: [...document.querySelectorAll('.row')].map(e => e.getBoundingClientRect().height),
    ticks: [...document.querySelectorAll('.tick i')].map(e => e.getBoundingClientRect().width),
    code: [...document.querySelectorAll('.mark')].map(e => parseFloat(style(e).fontSize)),
    smallest: Math.min(...all.filter(own).map(e => parseFloat(style(e).fontSize))),
  };
}"""


@pytest.fixture(scope="module")
def screen(browser: Any) -> Iterator[Any]:
    """One page for all papers; at the end, it asked for nothing but them and complained of nothing."""
    page = browser.new_page()
    asked: list[str] = []
    said: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    yield page
    page.close()
    assert [url for url in asked if not url.endswith("-two-mats.html")] == [] and said == []


@dataclass(frozen=True)
class Bound:
    """The papers of one kind of several plans in one file, sheet after sheet: their heads are the same."""

    kind: str
    bodies: tuple[str, ...]
    whole: str


def bound(folder: Path, records: Sequence[Record]) -> list[Bound]:
    """All papers of some plans, bound by their kind: creek sheets, panner sheets, tags, keys."""
    pages: dict[str, list[str]] = {}
    for at, record in enumerate(records):
        for path in write_papers(record, folder / str(at)):
            pages.setdefault(path.name.split("-")[0], []).append(path.read_text(encoding="utf-8"))
    return [bound_as(kind, papers) for kind, papers in pages.items()]


def bound_as(kind: str, papers: Sequence[str]) -> Bound:
    """Papers of one kind, bound."""
    heads, bodies = zip(*(re.sub("<title>.*?</title>", "", paper).split("<body>") for paper in papers), strict=True)
    assert len(set(heads)) == 1
    bodies = tuple(body.partition("</body>")[0] for body in bodies)
    return Bound(kind, bodies, f"{heads[0]}<body>{''.join(bodies)}</body></html>")


@pytest.fixture
def open_page(screen: Any) -> Callable[[Bound], Any]:
    """Open papers as they are printed."""

    def opener(papers: Bound) -> Any:
        screen.emulate_media(media="print")
        screen.set_content(papers.whole)
        return screen

    return opener


def lay_out(page: Any, kind: str, paper: str) -> None:
    """Lay an open paper out as it lies on a sheet of that size."""
    short, long = (side - 2 * MARGIN_POINTS for side in POINTS[paper])
    width = long if kind in LYING else short
    page.set_viewport_size({"width": int(width * 96 / 72), "height": 700})


def sheets_planned(name: str, runs: int) -> int:
    """How many sheets a paper of pairs has: six runs a page, and the front."""
    return {
        "creek": 1 + ceil(runs / 6),
        "panner": 1 + ceil(max(0, runs - 6) / 8),
        "tags": ceil(runs / 8),
        "key": ceil(runs / 32),
    }[name]


def printed(page: Any, paper: str, pdf: Path) -> list[tuple[float, float, list[tuple[str, list[float]]]]]:
    """Print to PDF; of each page its width and height in points, and its words with their places."""
    page.pdf(path=str(pdf), format=paper, prefer_css_page_size=False)
    if shutil.which("pdftotext") is None:
        pytest.skip("no pdftotext here: printed pages are not read (install poppler-utils to run this test)")
    said = subprocess.run(["pdftotext", "-bbox", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    pages = []
    for width, height, inside in re.findall(r'<page width="([\d.]+)" height="([\d.]+)">(.*?)</page>', said, re.DOTALL):
        places = re.findall(
            r'<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>', inside
        )
        pages.append((float(width), float(height), [(word, [float(p) for p in box]) for *box, word in places]))
    return pages


def assert_inside(pages: list[tuple[float, float, list[tuple[str, list[float]]]]]) -> None:
    """Every word lies inside the margins."""
    for width, height, words in pages:
        for word, (left, top, right, foot) in words:
            inside = min(left, top) >= MARGIN_POINTS - 1 and right <= width - MARGIN_POINTS + 1
            assert inside and foot <= height - MARGIN_POINTS + 1, word


CROWDED = crowded()
PRINTED = (
    *(every_box(pairs=pairs, spares=0, look_after=None) for pairs in (3, 6, 16)),
    rough_bed(pairs=60, spares=5),
    CROWDED,
)


def test_papers_print_on_the_pages_they_are_laid_out_for(open_page: Callable[[Bound], Any], tmp_path: Path) -> None:
    """6, 12, 32 and 130 runs, and long words, which take a second front page of a creek sheet and lose nothing.

    As many pages as sheets, each the right way round, every code and word inside the margins.
    """
    for papers in bound(tmp_path, PRINTED):
        page = open_page(papers)
        for paper in POINTS:
            pages = printed(page, paper, tmp_path / "paper.pdf")
            assert all((width > height) == (papers.kind in LYING) for width, height, _ in pages)
            assert_inside(pages)
            for record, body in zip(PRINTED, papers.bodies, strict=True):
                sheets, where = body.count('<section class="sheet'), (papers.kind, paper, len(record.runs))
                if record is not CROWDED:
                    assert sheets == sheets_planned(papers.kind, len(record.runs)), where
                elif papers.kind == "creek":
                    sheets += 1
                own, pages = pages[:sheets], pages[sheets:]
                words = [word for *_, found in own for word, _ in found]
                times = 1 if papers.kind != "tags" else 3 if record.trial.tails.caught else 2
                assert all(words.count(code) == times for code in codes(record)), where
            assert pages == [], (papers.kind, paper)


def test_nothing_is_clipped_and_rows_are_high_enough_for_a_pencil(
    open_page: Callable[[Bound], Any], tmp_path: Path
) -> None:
    """Rows of 14 mm, boxes of 3.9 mm or more, text of 9 pt or more, and no box smaller than what stands in it."""
    for papers in bound(tmp_path, [plan() for plan in PLANS]):
        page = open_page(papers)
        assert all(('class="row' in body) == (papers.kind in LYING) for body in papers.bodies)
        for paper in POINTS:
            lay_out(page, papers.kind, paper)
            seen, where = page.evaluate(LOOK), (papers.kind, paper)
            assert seen["wide"] == [] and seen["high"] == [], where
            assert seen["smallest"] >= 12, where  # 9 pt
            assert all(14 * MM - 0.01 <= height <= 14 * MM + 1 for height in seen["rows"]), where
            assert bool(seen["rows"]) == (papers.kind in LYING)
            assert all(width >= 3.9 * MM - 0.5 for width in seen["ticks"])
            assert all(size >= 40 / 72 * 96 - 0.1 for size in seen["code"])


def test_a_paper_reads_on_a_small_screen(screen: Any, tmp_path: Path) -> None:
    """On a tablet held upright nothing stands outside its box."""
    screen.emulate_media(media="screen")
    screen.set_viewport_size({"width": 1100, "height": 800})
    for path in write_papers(two_mats(), tmp_path):
        screen.goto(path.as_uri())
        assert screen.evaluate("document.documentElement.scrollWidth") <= 1100
