"""What all papers share: the template engine, the runs in order, and how they are dealt out over pages."""

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TypeVar

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from schemas import Record, Run, Trial
from trials.errors import Refused
from trials.papers.cautions import ENDING, Caution
from trials.papers.names import stand_in

TEMPLATES = Path(__file__).parent
Item = TypeVar("Item")


@cache
def _environment() -> Environment:
    return Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def render(template: str, trial: Trial, **values: object) -> str:
    """Fill a template of this folder for a trial; every text is escaped, and a name left out is an error."""
    page = _environment().get_template(template)
    return page.render(trial_name=trial.name, stand_in=stand_in(trial), **values)


def runs_of_plan(record: Record) -> tuple[Run, ...]:
    """The runs of a plan in the order drawn; refused where there are none, or one has no turn or tag."""
    name = record.trial.name
    if not record.runs:
        raise Refused(f"{name}: no runs to print; draw them first with samedirt plan")
    lacking = [run for run in record.runs if run.turn is None or run.tag is None]
    if lacking:
        first = lacking[0]
        raise Refused(
            f"{name}, pair {first.pair} {first.arm}".rstrip()
            + ": no turn or no tag, so it can't be put on a paper; draw the runs with samedirt plan"
        )
    return tuple(sorted(record.runs, key=lambda run: run.turn or 0))


def sorted_codes(record: Record) -> tuple[str, ...]:
    """The codes of a plan by the alphabet, an order that tells nothing."""
    return tuple(sorted(run.tag or "" for run in runs_of_plan(record)))


def dealt(items: Sequence[Item], a_page: int, first_page: int | None = None) -> list[list[Item]]:
    """Deal things out over pages, so many a page; the first may hold fewer.

    >>> dealt("abcdefgh", 3), dealt("abcdefgh", 3, 1)
    ([['a', 'b', 'c'], ['d', 'e', 'f'], ['g', 'h']], [['a'], ['b', 'c', 'd'], ['e', 'f', 'g'], ['h']])
    """
    first = a_page if first_page is None else first_page
    rest = items[first:]
    pages = [list(items[:first]), *(list(rest[at : at + a_page]) for at in range(0, len(rest), a_page))]
    return [page for page in pages if page]


def printed(cautions: Sequence[Caution]) -> list[tuple[str, str]]:
    """Each caution as it is printed: what it is about, and what is usual to say, with its ending."""
    return [(caution.about, f"{caution.says} {ENDING}") for caution in cautions]
