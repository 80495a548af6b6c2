"""The one door of the `samedirt` command. It imports next to nothing, so that an interrupt finds it open."""

import atexit
import gc
import os
import sys
from contextlib import suppress

# What libraries would start at once and is of no use here: OpenBLAS a thread for each core, which wait busily for large
# matrices, and pydantic a search of all that is installed for plug-ins. A person's own setting stands.
NOT_STARTED = {"OPENBLAS_NUM_THREADS": "1", "PYDANTIC_DISABLE_PLUGINS": "__all__"}

LOOK_FOR_CIRCLES_EVERY = 200_000  # objects made; Python's own is 700


def main() -> None:
    """Run the command; an interrupt while it still starts is one line too."""
    try:
        _open_closed_streams()
        for name, value in NOT_STARTED.items():
            os.environ.setdefault(name, value)
        _keep_what_is_made()
        from trials.commands.app import run

        run()
    except KeyboardInterrupt:
        with suppress(OSError):
            os.write(2, b"samedirt: stopped\n")
        sys.exit(130)  # what a shell says of an interrupt


def _keep_what_is_made() -> None:
    """Look less often for circles among what a command makes, and not at its end: nearly all stays till then.

    That is some hundred thousand objects, and was a fifth of the time of a verdict.
    """
    gc.set_threshold(LOOK_FOR_CIRCLES_EVERY)
    atexit.register(gc.freeze)


def _open_closed_streams() -> None:
    """Put nothing where an input or output was closed: else the next file opened, a logbook, would be taken for it."""
    for number, name, mode in ((0, "stdin", "r"), (1, "stdout", "w"), (2, "stderr", "w")):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # takes the lowest number that is free
            setattr(sys, name, open(number, mode, encoding="utf-8", closefd=False))  # noqa: SIM115 - open to the end
