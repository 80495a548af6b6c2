"""A record as `export --as json` writes it, read back."""

from pathlib import Path

from pydantic import ValidationError

from schemas import Record
from trials.errors import Problem
from trials.records.cross_check import cross_check
from trials.records.faults import problems_of


def read_json(path: Path) -> tuple[Record | None, list[Problem]]:
    """Read the JSON of a trial: its record, or None with every problem found."""
    try:
        content = path.read_bytes()
    except OSError as error:
        return None, [Problem(str(path), f"can't be read ({error.strerror}); it must be a file that you may read")]
    try:
        record = Record.model_validate_json(content)
    except ValidationError as error:
        if any(fault["type"] == "json_invalid" for fault in error.errors(include_url=False)):
            return None, [Problem(str(path), "is no JSON", "samedirt export NAME --as json writes what can be loaded")]
        return None, list(problems_of(error, lambda loc: f"{path}, {'.'.join(map(str, loc))}" if loc else str(path)))
    problems = cross_check(record.trial, record.runs, str(path))
    return (None, problems) if problems else (record, [])
