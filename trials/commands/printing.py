"""How lines, tables and progress go to the screen."""

import os
import shutil
import sys
import textwrap
from collections.abc import Callable, Generator, Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any, TypeVar

import typer

from trials.wording.columns import HARD_SPACE, folded, table_lines

T = TypeVar("T")
WIDEST, NARROWEST = 100, 40
WIDE_FROM = 92
SHOWS_PROGRESS_FROM = 25


def line_width() -> int:
    """How many characters a line may have here."""
    return max(NARROWEST, min(WIDEST, shutil.get_terminal_size((WIDEST, 24)).columns))


def screen_lines() -> int | None:
    """How many lines a person sees at once; None where nobody looks at a screen."""
    return os.get_terminal_size(sys.stdout.fileno()).lines if sys.stdout.isatty() else None


def say(text: str = "", *, indent: int = 0, hanging: int = 0) -> int:
    """Print a sentence, wrapped, later lines set in so much more, a % sign by its number; how many lines it took."""
    space = " " * indent
    wrapped = textwrap.fill(
        text.replace(" %", f"{HARD_SPACE}%"),
        line_width(),
        initial_indent=space,
        subsequent_indent=space + " " * hanging,
        break_on_hyphens=False,
        break_long_words=False,
    )
    typer.echo(wrapped.replace(HARD_SPACE, " "))
    return wrapped.count("\n") + 1


def say_error(line: str) -> None:
    """Print what went wrong: where a person looks at it folded between words, elsewhere as one line."""
    typer.echo(folded(line, line_width()) if sys.stderr.isatty() else line, err=True)


def say_table(header: Sequence[str], rows: Iterable[Sequence[str]], *, indent: int = 2) -> int:
    """Print rows under a header, in columns that fit the screen; the answer is how many lines that took."""
    lines = table_lines([header, *rows], line_width() - indent)
    typer.echo("\n".join((" " * indent + line).rstrip() for line in lines))
    return len(lines)


def say_json(value: Any) -> None:  # noqa: ANN401 - whatever JSON can hold
    """Print a value as JSON that any plain reader takes."""
    typer.echo(json_text(value))


def json_text(value: Any) -> str:  # noqa: ANN401 - whatever JSON can hold
    """A value as JSON that any plain reader takes: no NaN, no infinities."""
    import json

    return json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False)


def with_progress(items: Sequence[T], doing: str) -> Generator[T, None, None]:
    """Go through items, showing how far one is where there are many.

    On a terminal a bar, gone when done; elsewhere a line for each tenth.
    """
    if len(items) < SHOWS_PROGRESS_FROM:
        yield from items
    elif sys.stderr.isatty():
        from rich.console import Console
        from rich.progress import track

        yield from track(items, description=doing, console=Console(stderr=True), transient=True)
    else:
        step = max(1, len(items) // 10)
        for done, item in enumerate(items, start=1):
            yield item
            if done % step == 0:
                typer.echo(f"{doing}: {done:,} of {len(items):,}", err=True)


@contextmanager
def progress() -> Iterator[Callable[[str], Callable[[int, int], None]]]:
    """A bar on a terminal, gone when done; elsewhere a line at each quarter."""
    if not sys.stderr.isatty():
        yield _quarters
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:

        def begin(doing: str) -> Callable[[int, int], None]:
            task = bar.add_task(doing)
            return lambda done, total: bar.update(task, completed=done, total=total)

        yield begin


def _quarters(doing: str) -> Callable[[int, int], None]:
    told = 0

    def said(done: int, total: int) -> None:
        nonlocal told
        if (quarter := 4 * done // total) > told:
            told = quarter
            typer.echo(f"{doing}: {done:,} of {total:,}", err=True)

    return said
