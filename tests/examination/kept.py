"""The examination as it is kept in `trials/fairness/PITFALLS.md`: run, written, and read again.

Renew it after a change that moves its numbers, from the folder that holds `tests`:

    python -m tests.examination.kept                      all of it
    python -m tests.examination.kept moisture magnetics   what is planted of these pitfalls
"""

import re
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import Any

from tests.examination.choice import Choice
from tests.examination.choices import CHOICES
from tests.examination.fault import Fault
from tests.examination.faults import FAULTS
from tests.examination.judged import ENDS, ends_of, false_alarms
from tests.examination.planted import Block
from tests.examination.shapes import Shape
from trials.report.pitfalls import PITFALLS, pitfall_page

PAGE = Path(__file__).parents[2] / "trials" / "fairness" / "PITFALLS.md"
RENEW = "renew it with: python -m tests.examination.kept"
HEADING = "## Examination"
FULL = 60
"""Trials of every cell, at full size."""
MANY = 10_000
"""Trials of what the draw shares out, at full size."""
BLOCK = 10
BLANK = "the same, tell-tale left blank"
ENTRIES: tuple[Fault | Choice, ...] = tuple(
    sorted((*FAULTS, *CHOICES), key=lambda one: [p.name for p in PITFALLS].index(one.pitfall))
)
Cell = tuple[int, ...]
"""How many trials ended bare, told, leaning and stopped."""


@dataclass(frozen=True)
class Row:
    """One size of one fault, in all its shapes.

    Attributes
    ----------
    size
        In words.
    blank
        Whether the tell-tale was left blank.
    cells
        One for each shape; those not looked at are empty.
    """

    size: str
    blank: bool
    cells: tuple[Cell, ...]


@dataclass(frozen=True)
class Result:
    """What became of one fault: its rows, and for what the draw shares out the range of false alarms to either side, %."""

    rows: tuple[Row, ...]
    alarms: tuple[float, float] | None = None


def is_blanked(entry: Fault | Choice) -> bool:
    """Whether there is a tell-tale that can be left blank."""
    return bool(entry.blanks) if isinstance(entry, Fault) else entry.blank is not None


def examine(entry: Fault | Choice, trials: int, many: int, *, every: int = 1) -> Result:
    """Plant a fault in every size and shape, and see what becomes of so many trials each.

    `every`: of so many cells one is looked at, along the diagonals, so that all sizes and shapes have their turn.
    """
    first = ENTRIES.index(entry)
    rows = tuple(
        Row(
            size[0],
            blank,
            tuple(
                () if (first + row + column) % every else _cell(entry, shape, size, trials, blank=blank)
                for column, shape in enumerate(entry.shapes)
            ),
        )
        for row, size in enumerate(entry.sizes)
        for blank in ((False, True) if is_blanked(entry) else (False,))
    )
    shared = isinstance(entry, Fault) and entry.way == "shared out"
    return Result(rows, _alarms(entry, many, first, every) if isinstance(entry, Fault) and shared else None)


def _cell(entry: Fault | Choice, shape: Shape, size: Any, trials: int, *, blank: bool) -> Cell:
    ended: Counter[str] = Counter()
    for number in range(trials // BLOCK):
        block = Block(number, BLOCK)
        if isinstance(entry, Fault):
            ended.update(ends_of(entry.block(shape, size[1], block, blank=blank), entry.told, blank=blank))
        else:
            ended.update(entry.ends(shape, size, block, blank=blank))
    return tuple(ended[name] for name in ENDS)


def _alarms(fault: Fault, many: int, first: int, every: int) -> tuple[float, float]:
    """The most false betters and the most false worses of any size and shape that is looked at, %."""
    each = [
        false_alarms(fault.block(shape, size, Block(0, many)))
        for row, (_, size) in enumerate(fault.sizes)
        for column, shape in enumerate(fault.shapes)
        if not (first + row + column) % every
    ]
    return 100 * max(better for better, _ in each) / many, 100 * max(worse for _, worse in each) / many


def key_of(entry: Fault | Choice) -> tuple[str, str]:
    """What an entry is known by."""
    return entry.pitfall, entry.how


# --- writing ------------------------------------------------------------------------------------------------------

WAYS = {
    "told": "must be told",
    "shared out": "the draw must share it out",
    "unseen": "cannot be seen in the data",
}
INTRODUCTION = f"""{HEADING}

Each of these was planted in simulated trials in which nothing was truly changed, on assumed noise (no source), and
written down as an honest person would have written it; then once more by one who left the tell-tale blank. Seeded, so
that the numbers stay. Of {FULL} trials in every cell: bare / told / leaning / stopped; the rest did not look better.
Bare: called better and nobody told. Told: a finding names it, or a cost not shown to stay within its limit, or a mark
on the verdict. Stopped: it looked better and got no verdict. Luck alone leaves a fair trial bare in 2.5 %, 1 or 2 of
{FULL}; 7 would be past three standard errors. "The draw must share it out": the most false calls of any size and shape,
of {MANY:,} trials each.

The tests in tests/examination hold all of it; {RENEW}.

The most bare trials of {FULL}, of any size and shape:

| # | pitfall | written down | tell-tale blank | shared out | cannot be seen |
|---|---|---|---|---|---|"""


def section(results: Mapping[tuple[str, str], Result]) -> str:
    """Write the section of the page."""
    return "\n".join((INTRODUCTION, *_summary_lines(results), "", *_section_lines(results)))


def _summary_lines(results: Mapping[tuple[str, str], Result]) -> Iterator[str]:
    for number, pitfall in enumerate(PITFALLS, start=1):
        of = [(one, row) for one in ENTRIES if one.pitfall == pitfall.name for row in results[key_of(one)].rows]
        most = (
            _most(row for one, row in of if one.way == "told" and not row.blank),
            _most(row for one, row in of if row.blank),
            _most(row for one, row in of if one.way == "shared out"),
            _most(row for one, row in of if one.way == "unseen"),
        )
        yield f"| {number} | {pitfall.name} | {' | '.join(most)} |"


def _most(rows: Iterable[Row]) -> str:
    """The most bare trials of any cell; a dash where there are none."""
    bare = [cell[0] for row in rows for cell in row.cells]
    return str(max(bare)) if bare else "-"


def _section_lines(results: Mapping[tuple[str, str], Result]) -> Iterator[str]:
    numbers = {pitfall.name: number for number, pitfall in enumerate(PITFALLS, start=1)}
    for pitfall, entries in groupby(ENTRIES, key=lambda one: one.pitfall):
        yield f"### {numbers[pitfall]}. {pitfall.capitalize()}: planted"
        for entry in entries:
            yield ""
            result = results[key_of(entry)]
            yield f"**{entry.how}** ({WAYS[entry.way]}{_alarm_words(result)})"
            yield ""
            yield f"| size | {' | '.join(shape.name for shape in entry.shapes)} |"
            yield f"|---|{'---|' * len(entry.shapes)}"
            for row in result.rows:
                cells = " | ".join(" / ".join(map(str, cell)) for cell in row.cells)
                yield f"| {BLANK if row.blank else row.size} | {cells} |"
        yield ""


def _alarm_words(result: Result) -> str:
    if result.alarms is None:
        return ""
    return f": at most {result.alarms[0]:.2f} % called better, {result.alarms[1]:.2f} % worse"


# --- reading ------------------------------------------------------------------------------------------------------

HOW = re.compile(
    r"\*\*(?P<how>.+)\*\* \([a-z ]+(?:: at most (?P<better>[\d.]+) % called better, (?P<worse>[\d.]+) % worse)?\)"
)


def read_section(text: str) -> dict[tuple[str, str], Result]:
    """Read the kept section again."""
    names = {pitfall.name.capitalize(): pitfall.name for pitfall in PITFALLS}
    results: dict[tuple[str, str], Result] = {}
    pitfall, key = "", ("", "")
    planted = text.partition(HEADING)[2]
    for line in planted[planted.index("\n### ") :].splitlines():
        if line.startswith("### "):
            pitfall = names[line.partition(". ")[2].removesuffix(": planted")]
        elif found := HOW.fullmatch(line):
            key = (pitfall, found["how"])
            alarms = (float(found["better"]), float(found["worse"])) if found["better"] else None
            results[key] = Result((), alarms)
        elif line.startswith("| ") and not line.startswith("| size |"):
            size, *cells = [cell.strip() for cell in line.strip("|").split(" | ")]
            before = results[key]
            blank = size == BLANK
            words = before.rows[-1].size if blank else size
            row = Row(words, blank, tuple(tuple(int(n) for n in cell.split(" / ")) for cell in cells))
            results[key] = Result((*before.rows, row), before.alarms)
    return results


def page(results: Mapping[tuple[str, str], Result]) -> str:
    """The whole page: the map, and the examination."""
    return f"{pitfall_page()}\n{section(results)}"


# --- renewing -----------------------------------------------------------------------------------------------------


def examine_all(entries: Sequence[Fault | Choice] = ENTRIES) -> dict[tuple[str, str], Result]:
    """Run the whole examination at full size, on all processors."""
    with ProcessPoolExecutor() as pool:
        found: Iterable[Result] = pool.map(_in_full, [ENTRIES.index(one) for one in entries])
        return dict(zip(map(key_of, entries), found, strict=True))


def _in_full(at: int) -> Result:
    return examine(ENTRIES[at], FULL, MANY)


def renew(
    *pitfalls: str, write: Callable[[str], object] = lambda text: PAGE.write_text(text, encoding="utf-8")
) -> None:
    """Write the page anew, all of it or what is planted of these pitfalls."""
    kept = read_section(PAGE.read_text(encoding="utf-8")) if pitfalls else {}
    found = examine_all([one for one in ENTRIES if not pitfalls or one.pitfall in pitfalls])
    write(page({key: found[key] if key in found else kept[key] for key in map(key_of, ENTRIES)}))


if __name__ == "__main__":
    renew(*sys.argv[1:])
