"""Twenty-five ways in which gear seems to gain when nothing changed, and what stands against each: a map."""

import tomllib
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from importlib.resources import files
from typing import Final, Literal

from pydantic import TypeAdapter

Where = Literal["plan", "paper", "entry", "check", "verdict"]
"""Where in the round something stands against a pitfall."""


@dataclass(frozen=True, slots=True)
class Stand:
    """One thing that stands against a pitfall.

    what: what it does, in a few words.
    checks: the fair-run checks that do it, by name; only where that is how.
    printed: the words on the paper that do it; only where that is how.
    """

    where: Where
    what: str
    checks: tuple[str, ...] = ()
    printed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Pitfall:
    """One way to see a gain that is none.

    fakes: how it fakes a gain.
    unseen: what of it no number of the record can show, and what stands against that instead; blank where the data
        shows all of it.
    """

    name: str
    fakes: str
    stands: tuple[Stand, ...]
    unseen: str = ""


PITFALLS: Final = TypeAdapter(tuple[Pitfall, ...]).validate_python(
    tomllib.loads((files("trials.report") / "pitfalls.toml").read_text(encoding="utf-8"))["pitfalls"]
)


def pitfall_page() -> str:
    """Write the map as a page: each pitfall, what stands against it and where, and what no data can show.

    >>> pitfall_page().splitlines()[0]
    '# Twenty-five ways to see a gain that is none, and what stands against each'
    """
    return "\n".join(_page_lines()) + "\n"


def _page_lines() -> Iterator[str]:
    yield "# Twenty-five ways to see a gain that is none, and what stands against each"
    yield ""
    yield "`samedirt check --pitfalls` prints this map. Names in brackets are fair-run checks; their thresholds are"
    yield "our defaults, not findings, and what lies under them is not told."
    for number, pitfall in enumerate(PITFALLS, start=1):
        yield ""
        yield f"## {number}. {pitfall.name.capitalize()}"
        yield ""
        yield f"How it fakes: {pitfall.fakes}."
        yield ""
        for stand in pitfall.stands:
            named = f" ({', '.join(stand.checks)})" if stand.checks else ""
            yield f"- {stand.where}: {stand.what}{named}"
        if pitfall.unseen:
            yield f"- cannot be seen in the data: {pitfall.unseen}"


def pitfall_dicts() -> list[dict[str, object]]:
    """The map for a plain reader: dicts of `Pitfall`."""
    return [asdict(one) for one in PITFALLS]
