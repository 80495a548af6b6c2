"""The four papers of a trial as files."""

from collections.abc import Callable
from pathlib import Path

from schemas import Record
from trials.files.whole import write_all
from trials.papers.creek import creek_html
from trials.papers.key import key_html
from trials.papers.panner import panner_html
from trials.papers.tags import tags_html

PAPERS = (("creek", creek_html), ("panner", panner_html), ("tags", tags_html), ("key", key_html))


def write_papers(record: Record, folder: Path, settle: Callable[[], None] = lambda: None) -> tuple[Path, ...]:
    """Write the four papers of a trial into a folder, made where there is none; old ones are replaced.

    They are `creek-NAME.html`, `panner-NAME.html`, `tags-NAME.html` and `key-NAME.html`. `settle` is what is to be done
    once all are on the disk, before the first is in its place. Raises Refused where there are no runs, or one has no
    turn or tag, and then writes nothing; OSError where a file can't be written.
    """
    made = {folder / f"{name}-{record.trial.name}.html": page(record) for name, page in PAPERS}
    folder.mkdir(parents=True, exist_ok=True)
    return write_all(made, settle=settle)
