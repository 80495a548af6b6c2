"""A file written whole or not at all."""

import os
from pathlib import Path


def write_whole(path: Path, content: str | bytes) -> Path:
    r"""Write a file so that at every moment the old one or the new one is there, whole, and on the disk.

    Text is written as UTF-8, its line ends as they are. An OSError leaves what was there.

    >>> from tempfile import mkdtemp
    >>> write_whole(Path(mkdtemp()) / "note.txt", "one\\n").read_bytes()
    b'one\\n'
    """
    part = path.with_name(path.name + ".part")
    try:
        with part.open("wb") as file:
            file.write(content if isinstance(content, bytes) else content.encode())
            file.flush()
            os.fsync(file.fileno())
        os.replace(part, path)  # noqa: PTH105 - the one call that swaps a file in whole on every system
    except OSError:
        part.unlink(missing_ok=True)
        raise
    return path
