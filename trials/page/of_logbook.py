"""The logbook: every trial on a line, with its strip and its filters."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from starlette.responses import Response

from trials.errors import Refused
from trials.listing.choose import Sort, Wanted, chosen
from trials.listing.lines import COLUMNS, cells_of, reason_of
from trials.listing.same_change import same_changes
from trials.listing.what_next import what_next
from trials.logbook.beside import way_back
from trials.logbook.logbook import ListedTrial, Remembered
from trials.page.desk import Desk, lines_of
from trials.page.sent import Sent
from trials.page.strip import Scope, scopes_of, strip

FILTERS = (
    ("since", "Run since", "2026-05-02"),
    ("gear", "Gear", "sluice"),
    ("change", "Change", "texture"),
    ("measure", "Measure", "gold mass"),
)
HEADS = [column.head for column in COLUMNS]


@dataclass(frozen=True, slots=True)
class ListLine:
    """A trial as it is listed: the head and what stands in each column, and its gain as a strip."""

    trial: str
    code: str
    cells: tuple[tuple[str, str], ...]
    strip: str


def logbook_page(desk: Desk, sent: Sent) -> Response:
    """List every trial, or those that are wanted."""
    lines = desk.listed()
    told = {name: sent.query.get(name, "").strip() for name, *_ in FILTERS}
    sort = Sort.GAIN if sent.query.get("sort") == Sort.GAIN.value else Sort.DATE
    problems: tuple[str, ...] = ()
    try:
        wanted = Wanted(**{name: text or None for name, text in told.items()})
        shown, by_date = chosen(lines, wanted, sort), chosen(lines, wanted, Sort.DATE)
    except Refused as error:
        shown, by_date, problems = list(lines), list(lines), lines_of(error)
    scopes = scopes_of(line.word for line in lines)
    return desk.show(
        sent,
        "logbook.html",
        problems=problems,
        heads=HEADS,
        lines=_lines(shown, scopes),
        next=what_next(by_date, same_changes(lines)),
        reasons=[reason for reason in map(reason_of, shown) if reason],
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
