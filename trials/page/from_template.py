"""The templates of the page, filled with values."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from zlib import crc32

from jinja2 import Environment, FileSystemLoader, StrictUndefined

HERE = Path(__file__).parent


@cache
def _templates() -> Environment:
    made = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["lasting"] = lasting
    return made


@cache
def lasting(name: str) -> str:
    """The address of a file of our own, another where the file is another: a browser may keep what it got there.

    >>> lasting("icon.svg").startswith("/icon.svg?")
    True
    """
    return f"/{name}?{crc32((HERE / name).read_bytes()):08x}"


def bare(title: str, said: str, *, asks_for_code: bool = False, leads_home: bool = False) -> str:
    """A page that says one thing, with nothing of a logbook in it."""
    return from_template(
        "bare.html", {"title": title, "said": said, "asks_for_code": asks_for_code, "leads_home": leads_home}
    )


def from_template(template: str, values: Mapping[str, object]) -> str:
    """Fill a template; every text is escaped, and a name left out is an error."""
    return _templates().get_template(template).render(values)
