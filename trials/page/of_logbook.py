"""The logbook: every trial on a line, with its strip and its filters."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from starlette.responses import Response

from trials.errors import Refused
from trials.keeping.remembered import listed
from trials.listing.choose import Sort, Wanted, chosen
from trials.listing.lines import COLUMNS, cells_of, reason_of
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
NAME = next(i for i, column in enumerate(COLUMNS) if column.head == "trial")


@dataclass(frozen=True, slots=True)
class ListLine:
    """A trial as it is listed: what stands in each column, and its gain as a strip."""

    trial: str
    code: str
    cells: tuple[str, ...]
    strip: str


def logbook_page(desk: Desk, sent: Sent) -> Response:
    """List every trial, or those that are wanted."""
    lines = listed(desk.book) if desk.book.exists else []
    told = {name: sent.query.get(name, "").strip() for name, *_ in FILTERS}
    sort = Sort.GAIN if sent.query.get("sort") == Sort.GAIN.value else Sort.DATE
    problems: tuple[str, ...] = ()
    try:
        shown = chosen(lines, Wanted(**{name: text or None for name, text in told.items()}), sort)
    except Refused as error:
        shown, problems = lines, lines_of(error)
    scopes = scopes_of(line.word for line in lines)
    return desk.show(
        sent,
        "logbook.html",
        problems=problems,
        heads=[column.head for column in COLUMNS],
        lines=_lines(shown, scopes),
        name_at=NAME,
        reasons=[reason for reason in map(reason_of, shown) if reason],
        total=len(lines),
        filters=[(name, label, example, told[name]) for name, label, example in FILTERS],
        sort=sort.value,
        scopes=[scope.words for scope in scopes.values()],
    )


def _lines(shown: Iterable[ListedTrial], scopes: Mapping[str, Scope]) -> list[ListLine]:
    return [ListLine(line.trial, line.code or "", cells_of(line), _strip(line.word, scopes)) for line in shown]


def _strip(word: Remembered | None, scopes: Mapping[str, Scope]) -> str:
    return "" if word is None or word.unit is None else strip(word, scopes[word.unit])
