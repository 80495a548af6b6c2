"""Where a file is said to be: its path, or the name it was handed in by."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

_handed: ContextVar[Path | None] = ContextVar("handed", default=None)


@contextmanager
def handed_in(folder: Path) -> Iterator[None]:
    """Say of each file of this folder, in this thread and as long as it lasts, where in the folder it is."""
    token = _handed.set(folder)
    try:
        yield
    finally:
        _handed.reset(token)


def place_of(path: Path) -> str:
    """The path of a file as it is told to a person.

    >>> with handed_in(Path("kept")):
    ...     print(place_of(Path("kept", "mats", "runs.csv")), place_of(Path("other.csv")), sep=", ")
    mats/runs.csv, other.csv
    >>> print(place_of(Path("kept", "runs.csv")))
    kept/runs.csv
    """
    folder = _handed.get()
    return str(path.relative_to(folder) if folder is not None and path.is_relative_to(folder) else path)
