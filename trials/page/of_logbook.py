"""The logbook: every trial on a line, with its strip and its filters."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from starlette.responses import Response

from trials.errors import Refused
from trials.listing.choose import Sort, Wanted, chosen
from trials.listing.lines import COLUMNS, cells_of, reason_of
from trials.listing.same_change import same_changes
from trials.listing.what_next import what_next
from trials.logbook.beside import way_back
from trials.logbook.pages import ListedTrial, Remembered
from trials.page.desk import Desk
from trials.page.sent import Sent
from trials.page.strip import Scope, scopes_of, strip

FILTERS = (
    ("since", "Run since", "2026-05-02"),
    ("gear", "Gear", "sluice"),
    ("change", "Change", "texture"),
    ("measure", "Measure", "gold mass"),
)
ON_A_PAGE = 70  # in 60 KB
FROM = "from"
HEADS = [column.head for column in COLUMNS]


@dataclass(frozen=True, slots=True)
class ListLine:
    """A trial as it is listed: the head and what stands in each column, and its gain as a strip."""

    trial: str
    code: str
    cells: tuple[tuple[str, str], ...]
    strip: str


@dataclass(frozen=True, slots=True)
class Part:
    """What is shown of a list: lines from one on, counted from 0, of how many; and how the list was asked for."""

    start: int
    count: int
    asked: Mapping[str, str]

    @property
    def lines(self) -> slice:
        """Which lines these are."""
        return slice(self.start, self.start + ON_A_PAGE)

    @property
    def words(self) -> str:
        """Which lines these are; blank where they are all there are."""
        if self.count <= ON_A_PAGE:
            return ""
        return f"{self.start + 1} to {min(self.start + ON_A_PAGE, self.count)} of "

    @property
    def others(self) -> list[tuple[str, str]]:
        """What leads to the lines before and after, in words, and to where."""
        after = min(ON_A_PAGE, self.count - self.start - ON_A_PAGE)
        before = [(f"The {ON_A_PAGE} before", self._at(self.start - ON_A_PAGE))] if self.start else []
        return before + ([(f"The next {after}", self._at(self.start + ON_A_PAGE))] if after > 0 else [])

    def _at(self, start: int) -> str:
        return "/?" + urlencode({**self.asked, FROM: start + 1})


def part_of(count: int, told: str, asked: Mapping[str, str]) -> Part:
    """The part of a list in which the line that was asked for is; the first where none is.

    >>> part_of(200, "71", {}).words, part_of(200, "900", {}).words, part_of(100, "x", {"sort": "gain"}).others
    ('71 to 140 of ', '141 to 200 of ', [('The next 30', '/?sort=gain&from=71')])
    """
    line = int(told) if told.isascii() and told.isdigit() and len(told) < 7 else 1
    last = max(count - 1, 0) // ON_A_PAGE
    return Part(min(max(line - 1, 0) // ON_A_PAGE, last) * ON_A_PAGE, count, asked)


def logbook_page(desk: Desk, sent: Sent) -> Response:
    """List every trial, or those that are wanted."""
    lines = desk.listed()
    told = {name: sent.query.get(name, "").strip() for name, *_ in FILTERS}
    sort = Sort.GAIN if sent.query.get("sort") == Sort.GAIN.value else Sort.DATE
    problems: tuple[str, ...] = ()
    try:
        wanted = Wanted(**{name: text or None for name, text in told.items()})
        by_date = chosen(lines, wanted, Sort.DATE)
    except Refused as error:
        by_date, problems = list(lines), error.lines
    fitting = chosen(by_date, Wanted(), sort)
    asked = {name: text for name, text in told.items() if text} | ({"sort": sort.value} if sort is Sort.GAIN else {})
    part = part_of(len(fitting), sent.query.get(FROM, ""), asked)
    shown = fitting[part.lines]
    scopes = scopes_of(line.word for line in lines)
    return desk.show(
        sent,
        "logbook.html",
        problems=problems,
        heads=HEADS,
        lines=_lines(shown, scopes),
        next=what_next(by_date, same_changes(lines)),
        reasons=[reason for reason in map(reason_of, shown) if reason],
        part=part,
        total=len(lines),
        copies="" if desk.book.exists else way_back(desk.book.path),
        filters=[(name, label, example, told[name]) for name, label, example in FILTERS],
        sort=sort.value,
        scopes=[scope.words for scope in scopes.values()],
    )


def _lines(shown: Iterable[ListedTrial], scopes: Mapping[str, Scope]) -> list[ListLine]:
    return [
        ListLine(line.trial, line.code or "", tuple(zip(HEADS, cells_of(line), strict=True)), _strip(line.word, scopes))
        for line in shown
    ]


def _strip(word: Remembered | None, scopes: Mapping[str, Scope]) -> str:
    return "" if word is None or word.unit is None else strip(word, scopes[word.unit])
