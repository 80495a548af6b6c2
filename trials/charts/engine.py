"""The engine that draws a specification: in this process, or in one beside it that starts while this one reckons."""

import base64
import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

PNG_SCALE = 2
KEPT = 64  # a page shows the same charts again and again, and the demo draws one for its chart and its report
SMALLEST = '{"data": {"values": []}, "mark": "point"}'
Kind = Literal["svg", "png"]


def begin_picture(spec: str, kind: Kind = "svg") -> Callable[[], bytes]:
    """Begin to draw a Vega-Lite specification (one line of JSON); what is given back waits for the picture.

    The same specification gives the same bytes, wherever it is drawn.

    >>> begin_picture(SMALLEST)()[:4]
    b'<svg'
    """
    beside = _BESIDE.get()
    if beside is None:
        drawn = _drawn(spec, kind)
        return lambda: drawn
    begun = beside.begin(spec, kind)
    return lambda: begun.result() or _drawn(spec, kind)


@contextmanager
def drawing_beside() -> Iterator["subprocess.Popen[bytes] | None"]:
    """Draw in a second process, which is given, what is drawn inside this block; None where it is drawn in this one.

    The engine takes about a second to start, as long as a trial takes to be read and judged. A program that has drawn
    already has its engine, and goes on with it.
    """
    process = None if _is_warm() else _started()
    if process is None:
        yield None
        return
    turns = ThreadPoolExecutor(max_workers=1)
    token = _BESIDE.set(_Beside(process, turns))
    try:
        yield process
    finally:
        _BESIDE.reset(token)
        process.kill()
        turns.shutdown()
        process.communicate()  # closes both pipes


def _is_warm() -> bool:
    return "vl_convert" in sys.modules


def _started() -> "subprocess.Popen[bytes] | None":
    pipe = subprocess.PIPE
    command = [sys.executable or "python", "-P", "-m", __name__]  # -P: no file of the user's folder is a library
    with suppress(OSError):
        return subprocess.Popen(command, stdin=pipe, stdout=pipe, stderr=subprocess.DEVNULL)  # noqa: S603 - this Python
    return None


@dataclass(frozen=True)
class _Beside:
    """A process that draws, a line of JSON in and a line of base64 back, and the thread that waits for it."""

    process: "subprocess.Popen[bytes]"
    turns: ThreadPoolExecutor

    def begin(self, spec: str, kind: Kind) -> Future[bytes]:
        return self.turns.submit(self._draw, spec, kind)

    def _draw(self, spec: str, kind: Kind) -> bytes:
        """The picture; nothing where the process has ended."""
        asked, answers = self.process.stdin, self.process.stdout
        assert asked is not None and answers is not None  # noqa: PT018, S101 - both are pipes
        answer = b""
        with suppress(OSError):
            asked.write(json.dumps([spec, kind]).encode() + b"\n")
            asked.flush()
            answer = answers.readline()
        return base64.b64decode(answer) if answer.endswith(b"\n") else b""


_BESIDE: ContextVar[_Beside | None] = ContextVar("beside", default=None)


@lru_cache(maxsize=KEPT)
def _drawn(spec: str, kind: Kind) -> bytes:
    import vl_convert as vlc

    if kind == "png":
        return bytes(vlc.vegalite_to_png(spec, scale=PNG_SCALE, allowed_base_urls=[]))
    return str(vlc.vegalite_to_svg(spec, allowed_base_urls=[])).encode()


def _serve() -> None:
    """Draw what comes by standard input until it ends; the smallest picture first, so that the engine has started."""
    _drawn(SMALLEST, "svg")
    for line in sys.stdin.buffer:
        sys.stdout.buffer.write(base64.b64encode(_drawn(*json.loads(line))) + b"\n")
        sys.stdout.buffer.flush()


if __name__ == "__main__":
    _serve()
