"""Answers kept in a small file while a conversation goes on, so that none is lost to Ctrl-C or a dead battery."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import tomlkit
from tomlkit.exceptions import TOMLKitError

from trials.errors import Problem, Refused
from trials.files.plain import read_text
from trials.files.whole import write_whole


@dataclass(frozen=True, slots=True)
class Draft:
    """A file of answers, and the command that goes on from it."""

    path: Path
    command: str

    def read(self) -> dict[str, str]:
        """The answers kept; none where there is no draft, or it can't be read."""
        try:
            document = tomlkit.parse(read_text(self.path)).unwrap()
        except (Refused, ValueError, TOMLKitError):
            return {}
        return {str(key): str(text) for key, text in document.items()}

    def write(self, answers: Mapping[str, str]) -> None:
        """Keep all answers: the file is swapped in whole, and on the disk before the next question."""
        lines = [f"# Answers so far; {self.command} goes on from here."]
        lines += [f"{tomlkit.key(key).as_string()} = {tomlkit.item(text).as_string()}" for key, text in answers.items()]
        try:
            write_whole(self.path, "\n".join([*lines, ""]), over=True)
        except OSError as error:
            says = (
                f"can't be written ({error.strerror}), so answers can't be kept; make room, or work in another folder"
            )
            raise Refused([Problem(str(self.path), says)]) from error

    def remove(self) -> None:
        """Done with: nothing is to be gone on with."""
        self.path.unlink(missing_ok=True)
