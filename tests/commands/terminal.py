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
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Self

from tests.forks import forks, start

PATIENCE = 60.0
COLUMNS = 80


def _run(tty: str, words: tuple[str, ...], cwd: Path, told: Connection, fresh: bool) -> None:
    """Be `samedirt` at that terminal, in a new process; tell when it is open, and the seconds of work at the end."""
    signal.signal(signal.SIGINT, signal.default_int_handler)  # also where tests were started in the background
    os.setsid()
    theirs = os.open(tty, os.O_RDWR)
    for number in range(3):
        os.dup2(theirs, number)
    os.close(theirs)
    with contextlib.suppress(OSError):
        ioctl(0, termios.TIOCSCTTY, 0)
    told.send(None)
    os.chdir(cwd)
    os.environ.pop("SAMEDIRT_LOGBOOK", None)
    os.environ |= {"PYTHONUTF8": "1", "TERM": "dumb", "COLUMNS": str(COLUMNS)}
    if fresh:
        script = "import sys; sys.argv[0] = 'samedirt'; from trials.commands.main import main; main()"
        os.execv(sys.executable, [sys.executable, "-c", script, *words])  # noqa: S606 - our own words
    sys.stdin, sys.stdout, sys.stderr = (
        open(number, mode, encoding="utf-8", buffering=1, closefd=False)  # noqa: SIM115 - as Python opens its own
        for number, mode in enumerate("rww")
    )
    sys.argv = ["samedirt", *words]
    from trials.commands.main import main

    try:
        main()
    finally:
        told.send(time.process_time())


class Terminal:
    """`samedirt` in a pseudo-terminal of 80 columns; `fresh` begins it as a shell would, libraries unread.

    What it prints is gathered in `seen`; `at` is how far `expect` has read it.
    """

    def __init__(self, *words: str, cwd: Path, fresh: bool = False, rows: int = 50) -> None:
        self.seen, self.at = "", 0
        self.code: int | None = None
        self.fd, theirs = pty.openpty()
        ioctl(self.fd, termios.TIOCSWINSZ, struct.pack("HHHH", rows, COLUMNS, 0, 0))
        self.told, telling = forks().Pipe(duplex=False)
        self.program = start(_run, os.ttyname(theirs), words, cwd, telling, fresh)
        telling.close()
        self.told.recv()
        os.close(theirs)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        if self.code is None:
            self.kill()
        os.close(self.fd)
        self.told.close()
        self.program.close()

    @property
    def seconds(self) -> float:
        """Of work until its end."""
        return float(self.told.recv())

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
        while "Stopped." not in self.seen[self.at :] and self._is_running() and time.monotonic() < end:
            self.press(key)
            again = time.monotonic() + 3.0
            while "Stopped." not in self.seen[self.at :] and self._read(again):
                pass
        return self.finish()

    def finish(self) -> int:
        """Wait for the end; give back the exit code."""
        end = time.monotonic() + PATIENCE
        while self._read(min(end, time.monotonic() + 1.0)) or (self._is_running() and time.monotonic() < end):
            pass
        self._reap(end)
        assert self.code is not None, f"still running; seen: {self.seen[-500:]!r}"
        return self.code

    def kill(self) -> None:
        """End it at once, as a dead battery would."""
        self.program.kill()
        self._reap(time.monotonic() + PATIENCE)

    def _is_running(self) -> bool:
        """Whether it has not ended; its terminal may stay open longer, where another program has it too."""
        self.program.join(0.05)
        return self.program.exitcode is None

    def _reap(self, end: float) -> None:
        self.program.join(max(0.0, end - time.monotonic()))
        self.code = self.program.exitcode

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
