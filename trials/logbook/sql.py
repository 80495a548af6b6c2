"""Names and paths as they stand in an SQL text."""

from collections.abc import Sequence
from pathlib import Path


def quoted_name(name: str) -> str:
    """Write one name as SQL takes it, whatever is in it."""
    return '"' + name.replace('"', '""') + '"'


def quoted_names(names: Sequence[str]) -> str:
    """Write names of columns as a list that SQL takes.

    >>> quoted_names(["pair", "when"])
    '"pair", "when"'
    """
    return ", ".join(quoted_name(name) for name in names)


def sql_path(path: Path) -> str:
    """Write a path as it stands between the quotes of an SQL text.

    >>> sql_path(Path("it's a logbook.duckdb"))
    "it''s a logbook.duckdb"
    """
    return str(path).replace("'", "''")
