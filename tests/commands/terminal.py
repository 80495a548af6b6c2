"""A terminal that a test types into: the program runs in it as it does under a person's hands."""

import contextlib
import os
import pty
import re
import select
import signal
import struct
import sys
import termios
import time
from fcntl import ioctl
from pathlib import Path
from typing import Self

ROOT = Path(__file__).parents[2]
PATIENCE = 60.0
COLUMNS = 80


class Terminal:
    """`samedirt` in a pseudo-terminal of 80 columns.

    What it prints is gathered in `seen`; `at` is how far `expect` has read it.
    """

    def __init__(self, *words: str, cwd: Path) -> None:
        self.seen, self.at = "", 0
        self.code: int | None = None
        self.pid, self.fd = pty.fork()
        if self.pid == 0:
            try:
                os.chdir(cwd)
                environment = {key: text for key, text in os.environ.items() if key != "SAMEDIRT_LOGBOOK"}
                environment |= {"PYTHONUTF8": "1", "TERM": "dumb", "COLUMNS": str(COLUMNS), "PYTHONPATH": str(ROOT)}
                start = "import sys; sys.argv[0] = 'samedirt'; from trials.commands.main import main; main()"
                os.execve(sys.executable, [sys.executable, "-c", start, *words], environment)  # noqa: S606 - our own words
            finally:
                os._exit(127)
        with contextlib.suppress(OSError):
            ioctl(self.fd, termios.TIOCSWINSZ, struct.pack("HHHH", 50, COLUMNS, 0, 0))

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self.code is None:
            self.kill()
        os.close(self.fd)

    def expect(self, text: str) -> str:
        """Wait until a text is printed, however its lines fall; give back what was printed before it."""
        found = re.compile(r"\s+".join(map(re.escape, text.split(" "))))
        end = time.monotonic() + PATIENCE
        while (match := found.search(self.seen, self.at)) is None:
            if not self._read(end):
                raise AssertionError(f"{text!r} was not printed; seen: {self.seen[self.at :]!r}")
        between = self.seen[self.at : match.start()]
        self.at = match.end()
        return between

    def send(self, text: str) -> None:
        """Type a line and press Enter."""
        os.write(self.fd, f"{text}\n".encode())

    def answer(self, prompt: str, text: str) -> None:
        """Wait for a prompt, then type a line."""
        self.expect(prompt)
        self.expect("> ")
        self.send(text)

    def press(self, key: str) -> None:
        """Type without Enter."""
        os.write(self.fd, key.encode())

    def interrupt(self, key: str) -> int:
        """Press Ctrl-C or Ctrl-D; once more if it came before the program was listening. Give back the exit code."""
        end = time.monotonic() + PATIENCE
        while "Stopped." not in self.seen[self.at :] and time.monotonic() < end:
            self.press(key)
            again = time.monotonic() + 3.0
            while "Stopped." not in self.seen[self.at :] and self._read(again):
                pass
        return self.finish()

    def finish(self) -> int:
        """Wait for the end; give back the exit code."""
        end = time.monotonic() + PATIENCE
        while self._read(end):
            pass
        self._reap(end)
        assert self.code is not None, f"still running; seen: {self.seen[-500:]!r}"
        return self.code

    def kill(self) -> None:
        """End it at once, as a dead battery would."""
        with contextlib.suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGKILL)
        self._reap(time.monotonic() + PATIENCE)

    def _reap(self, end: float) -> None:
        while self.code is None and time.monotonic() < end:
            done, status = os.waitpid(self.pid, os.WNOHANG)
            if done:
                self.code = os.waitstatus_to_exitcode(status)
            else:
                time.sleep(0.01)

    def _read(self, end: float) -> bool:
        """Read what there is; False at the end of the program, or of our patience."""
        left = end - time.monotonic()
        if left <= 0 or not select.select([self.fd], [], [], left)[0]:
            return False
        try:
            more = os.read(self.fd, 65536)
        except OSError:  # how the end of the program shows on a pseudo-terminal
            return False
        self.seen += more.decode("utf-8", "replace").replace("\r\n", "\n")
        return bool(more)
