"""A page as a person reads it: its text, and the cells of its rows."""

from html.parser import HTMLParser

from schemas import Record
from trials.papers.creek import creek_html
from trials.papers.key import key_html
from trials.papers.panner import panner_html
from trials.papers.tags import tags_html

MAKERS = (creek_html, panner_html, tags_html, key_html)


class _Page(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []
        self.rows: list[tuple[str, list[str]]] = []
        self.in_style = False
        self.in_cell = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.in_style = self.in_style or tag == "style"
        if tag == "tr":
            self.rows.append((dict(attrs).get("class") or "", []))
        if tag in ("td", "th"):
            self.rows[-1][1].append("")
            self.in_cell = True

    def handle_endtag(self, tag: str) -> None:
        self.in_style = self.in_style and tag != "style"
        self.in_cell = self.in_cell and tag not in ("td", "th")

    def handle_data(self, data: str) -> None:
        if self.in_style:
            return
        self.said.append(data)
        if self.in_cell:
            cells = self.rows[-1][1]
            cells[-1] = " ".join(f"{cells[-1]} {data}".split())


def _read(page: str) -> _Page:
    parser = _Page()
    parser.feed(page)
    return parser


def text_of(page: str) -> str:
    """All text of a page in one line."""
    return " ".join(" ".join(_read(page).said).split())


def rows_of(page: str, kind: str | None = None) -> list[list[str]]:
    """The cells of the rows of a page; of those of one class where it is given."""
    return [cells for name, cells in _read(page).rows if cells and (kind is None or kind in name.split())]


def heads_of(page: str) -> list[str]:
    """What stands over the columns of the first table, its last line of heads."""
    heads = [cells for name, cells in _read(page).rows if not name]
    first_row = next(at for at, (name, _) in enumerate(_read(page).rows) if name)
    return heads[len([1 for name, _ in _read(page).rows[:first_row] if not name]) - 1]


def codes(record: Record) -> list[str]:
    """The codes of a plan in the order of its runs."""
    return [run.tag or "" for run in record.runs]
