"""The map of pitfalls as a page, and for a plain reader."""

from collections.abc import Iterator
from dataclasses import asdict

from trials.fairness.pitfalls import PITFALLS


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
    """The map for a plain reader.

    >>> sorted(pitfall_dicts()[0])
    ['fakes', 'name', 'stands', 'unseen']
    """
    return [asdict(one) for one in PITFALLS]
