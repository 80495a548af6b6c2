"""New programs for tests, forked from a server that has read every library: milliseconds each instead of a second."""

import functools
import multiprocessing
import multiprocessing.forkserver
import os
from collections.abc import Callable
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
    program = forks().Process(target=work, args=arguments, daemon=True)
    program.start()
    return program
