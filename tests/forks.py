"""New programs for tests, forked from a server that has read every library and started the store.

They take milliseconds each instead of a second.
"""

import functools
import multiprocessing
import multiprocessing.forkserver
import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.context import ForkServerContext, ForkServerProcess
from pathlib import Path

ROOT = Path(__file__).parents[1]


@functools.cache
def forks() -> ForkServerContext:
    """The server, started at the first program; one thread, so that no lock is held where a program begins."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["tests.read_ahead"])
    ours = {"PYTHONPATH": str(ROOT), "PYTHONUTF8": "1", "OPENBLAS_NUM_THREADS": "1"}
    before = {key: os.environ.get(key) for key in ours}
    os.environ.update(ours)
    multiprocessing.forkserver.ensure_running()
    for key, text in before.items():
        if text is None:
            del os.environ[key]
        else:
            os.environ[key] = text
    return context


def start(work: Callable[..., None], *arguments: object) -> ForkServerProcess:
    """Start a program of its own."""
    program = forks().Process(target=_begin, args=(work, *arguments), daemon=True)
    program.start()
    return program


def _begin(work: Callable[..., None], *arguments: object) -> None:
    """Go on with the store that was forked with the program: no thread of it was left behind."""
    from trials.logbook import attached

    if (store := attached._STORES.get(os.getppid())) is not None:
        attached._STORES[os.getpid()] = store
    work(*arguments)


@dataclass(frozen=True)
class Ended:
    """What a program printed by its end, and its exit code."""

    returncode: int | None
    stdout: str
    stderr: str


@dataclass(frozen=True)
class Program:
    """`samedirt` called in a program of its own, where no file may grow past so many bytes if that is said."""

    running: ForkServerProcess
    out: Path

    @classmethod
    def begun(cls, cwd: Path, *words: str, out: Path, most: int | None = None) -> "Program":
        """Start it in a folder; what it prints goes to two files of that name."""
        return cls(start(_be_samedirt, cwd, words, out, most), out)

    def ended(self) -> Ended:
        """Wait for its end."""
        self.running.join()
        said = (self.out.with_suffix(end).read_text("utf-8") for end in (".out", ".err"))
        return Ended(self.running.exitcode, *said)


def _be_samedirt(cwd: Path, words: tuple[str, ...], out: Path, most: int | None) -> None:
    """Be `samedirt`, as a shell starts it."""
    for number, end in ((1, ".out"), (2, ".err")):
        file = os.open(out.with_suffix(end), os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(file, number)
        os.close(file)
    os.chdir(cwd)
    os.environ.pop("SAMEDIRT_LOGBOOK", None)
    if most is not None:
        import resource

        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
    sys.argv = ["samedirt", *words]
    from trials.commands.main import main

    main()
