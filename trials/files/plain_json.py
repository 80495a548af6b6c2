"""A record as JSON: the stored values, full precision, for any plain reader."""

import json
from pathlib import Path

from schemas import Record


def write_json(record: Record, folder: Path) -> tuple[Path, ...]:
    """Write a record as `NAME.json` in a folder, which is made if it does not exist."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{record.trial.name}.json"
    text = json.dumps(record.model_dump(mode="json"), ensure_ascii=False, indent=1, allow_nan=False)
    path.write_text(text + "\n", encoding="utf-8")
    return (path,)
