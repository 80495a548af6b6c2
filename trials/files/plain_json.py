"""A record as JSON: the stored values, full precision, for any plain reader."""

import json
from pathlib import Path

from schemas import Record
from trials.files.whole import write_whole


def write_json(record: Record, folder: Path) -> tuple[Path, ...]:
    """Write a record as `NAME.json` in a folder, which is made if it does not exist."""
    folder.mkdir(parents=True, exist_ok=True)
    text = json.dumps(record.model_dump(mode="json"), ensure_ascii=False, indent=1, allow_nan=False)
    return (write_whole(folder / f"{record.trial.name}.json", f"{text}\n"),)
