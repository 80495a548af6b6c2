"""Files written whole or not at all, and never over one that is not of their own kind."""

import os
import stat
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from glob import escape
from pathlib import Path

from trials.errors import Problem, Refused

HEAD_BYTES = 2048
STALE_S = 3600.0
PART = ".part"


@dataclass(frozen=True, slots=True)
class FileKind:
    """A kind of file that is written here and may be written again.

    called, ending: what it is, and how its name ends.
    begins: how every file of that form begins, ours or not, in small letters.
    signs: one of these stands at the head of every one that is ours.
    """

    called: str
    ending: str
    begins: bytes
    signs: tuple[bytes, ...]

    def holds(self, head: bytes) -> bool:
        """Whether a file with this head is one of ours."""
        return self.is_form_of(head) and any(sign in head[:HEAD_BYTES] for sign in self.signs)

    def is_form_of(self, head: bytes) -> bool:
        """Whether a file with this head is of that form."""
        return head[: len(self.begins)].lower() == self.begins


KINDS = (
    FileKind(
        "an HTML page",
        ".html",
        b"<!doctype html>",
        (
            b'<meta name="generator" content="samedirt">',
            # How the pages of 0.1.0 are told: charts, reports, papers.
            b"content=\"default-src 'none'; style-src 'unsafe-inline'\"",
            b'<meta name="color-scheme" content="light dark">\n<title>',
            b"<style>\n@page { size: ",
        ),
    ),
    FileKind("an SVG drawing", ".svg", b"<svg", (b'class="marks"',)),
    FileKind("a PNG picture", ".png", b"\x89png\r\n\x1a\n", (b"Software\0samedirt",)),
    FileKind("a JSON file", ".json", b"{", (b'{\n "trial": {',)),
    FileKind("a Parquet table", ".parquet", b"par1", (b"PAR1",)),
    FileKind("a draft", ".toml", b"# answers so far; ", (b"# Answers so far; ",)),
)


def write_whole(path: Path, content: str | bytes, *, over: bool = False) -> Path:
    r"""Write one file; see `write_all`.

    >>> from tempfile import mkdtemp
    >>> write_whole(Path(mkdtemp()) / "note.txt", "one\\n").read_bytes()
    b'one\\n'
    """
    write_all({path: content}, over=over)
    return path


def write_all(
    contents: Mapping[Path, str | bytes], *, over: bool = False, settle: Callable[[], None] = lambda: None
) -> tuple[Path, ...]:
    """Write files so that of each, at every moment, the old one or the new one is there, whole, and on the disk.

    Text is written as UTF-8, its line ends as they are. `over`: any plain file may give way, since the caller has seen
    to what is there. Otherwise one gives way only to a file of its own kind (`KINDS`) that was written here. A file
    that is equal is left untouched either way. `settle` is done once all are on the disk, before the first takes its
    place.

    Refused: what is there may not give way, or the ending is another than that of the kind; nothing was written.
    OSError: no room, or no right to write; what was there stays, but for files that took their place already.
    """
    wanted = {path: text if isinstance(text, bytes) else text.encode() for path, text in contents.items()}
    problems = [
        problem
        for path, content in wanted.items()
        for problem in _in_the_way(path, _kind_of(content), over=over or is_equal(path, content))
    ]
    if problems:
        raise Refused(problems)
    parts: dict[Path, Path] = {}
    try:
        for path, content in wanted.items():
            if not is_equal(path, content):
                parts[path] = _write_part(path, content)
        settle()
        for path, part in parts.items():
            os.replace(part, os.path.realpath(path))  # noqa: PTH105 - the one call that swaps a file in whole on every system
    finally:
        for part in parts.values():
            with suppress(OSError):
                part.unlink(missing_ok=True)
    return tuple(wanted)


def is_equal(path: Path, content: bytes) -> bool:
    """Whether a plain file with these very bytes is there."""
    try:
        there = path.stat()
        return stat.S_ISREG(there.st_mode) and there.st_size == len(content) and path.read_bytes() == content
    except OSError:
        return False


def refuse_in_the_way(path: Path, ending: str) -> None:
    """Look at where a file of a kind is to go before it is made, where making it takes long.

    Raises Refused: what is there may not give way to one, or the ending is another.
    """
    if problems := _in_the_way(path, next(kind for kind in KINDS if kind.ending == ending), over=False):
        raise Refused(problems)


def _kind_of(content: bytes) -> FileKind | None:
    return next((kind for kind in KINDS if kind.is_form_of(content)), None)


def _in_the_way(path: Path, kind: FileKind | None, *, over: bool) -> list[Problem]:
    """Why a file of a kind can't be written to a path, if so."""
    if kind is not None and path.suffix.lower() != kind.ending:
        return [Problem(str(path), f"{kind.called} would be written there", f"end the name in {kind.ending}")]
    try:
        mode = path.stat().st_mode
    except FileNotFoundError:
        return []
    if stat.S_ISDIR(mode):
        return [Problem(str(path), "is a folder", "name a file in it, or another")]
    if not stat.S_ISREG(mode):
        return [Problem(str(path), "is no plain file", "name another")]
    if over or (kind is not None and kind.holds(_head(path))):
        return []
    what = "is there already" if kind is None else f"is there already, and is not {kind.called} that samedirt wrote"
    return [Problem(str(path), what, "name another, or move it away")]


def _head(path: Path) -> bytes:
    with path.open("rb") as file:
        return file.read(HEAD_BYTES)


def _write_part(path: Path, content: bytes) -> Path:
    """Write what a file is to be beside it, down to the disk; parts that a killed program left there go."""
    target = Path(os.path.realpath(path))
    for left in target.parent.glob(f".{escape(target.name)}.*{PART}"):
        with suppress(OSError):
            if time.time() - left.stat().st_mtime > STALE_S:
                left.unlink()
    part = target.with_name(f".{target.name}.{os.getpid()}{PART}")
    try:
        with part.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
    except OSError:
        with suppress(OSError):
            part.unlink(missing_ok=True)
        raise
    return part
