"""What is read from files: plain ones alone, up to a stated size, so that no pipe or device is waited for."""

import stat
from pathlib import Path

from trials.errors import Problem, Refused
from trials.files.place import place_of

LARGEST = 50_000_000
"""Bytes that a file may have: ten times those of any trial."""


def read_plain(path: Path) -> bytes:
    """Read a file whole.

    Raises Refused: it is no plain file, has over `LARGEST` bytes, or can't be read; what is wrong and what to do.
    """
    try:
        mode = path.stat().st_mode
        if not (stat.S_ISREG(mode) or stat.S_ISDIR(mode)):
            raise Refused([Problem(place_of(path), "is no plain file; it must be a file that you may read")])
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)
    except OSError as error:
        says = f"can't be read ({error.strerror}); it must be a file that you may read"
        raise Refused([Problem(place_of(path), says)]) from error
    if len(content) > LARGEST:
        raise Refused(
            [Problem(place_of(path), f"has over {LARGEST:,} bytes, more than any sheet of runs; is it the right file?")]
        )
    return content


def read_text(path: Path) -> str:
    """Read a file of UTF-8 text whole. Raises Refused: as `read_plain`, or it is no such text."""
    try:
        return read_plain(path).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        says = f"byte {error.start} is not UTF-8 text; save the file as UTF-8"
        raise Refused([Problem(place_of(path), says)]) from error
