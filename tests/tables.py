"""A promise held for each row of a table in one test, with every row that fails told by itself."""

import functools
import inspect
from collections.abc import Callable, Iterable
from typing import Any

import pytest


def every(
    names: str | tuple[str, ...], rows: Iterable[Any], ids: Iterable[str] | Callable[[Any], object] | None = None
) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Call a test with each row of a table, as `pytest.mark.parametrize` does, within one test.

    For promises that need no fresh folder and no clean state: fixtures of one test are shared by its rows.
    """
    keys = tuple(name.strip() for name in names.split(",")) if isinstance(names, str) else names
    table = [row if len(keys) > 1 else (row,) for row in rows]
    labels = None if ids is None or callable(ids) else list(ids)

    def label(at: int) -> str:
        if labels is not None:
            return labels[at]
        if callable(ids):
            return "-".join(str(ids(value)) for value in table[at])
        return ", ".join(f"{key}={value!r}" for key, value in zip(keys, table[at], strict=True))

    def over(test: Callable[..., None]) -> Callable[..., None]:
        asked = inspect.signature(test).parameters

        @functools.wraps(test)
        def all_rows(subtests: pytest.Subtests, **fixtures: Any) -> None:
            assert table, "a table without a row promises nothing"
            more = {"subtests": subtests} if "subtests" in asked else {}
            for at, row in enumerate(table):
                with subtests.test(label(at)):
                    test(**dict(zip(keys, row, strict=True)), **fixtures, **more)

        others = [part for name, part in asked.items() if name not in (*keys, "subtests")]
        named = [part.replace(kind=inspect.Parameter.KEYWORD_ONLY) for part in others]
        mine = inspect.Parameter("subtests", inspect.Parameter.KEYWORD_ONLY)
        all_rows.__signature__ = inspect.Signature([mine, *named])  # type: ignore[attr-defined]
        return all_rows

    return over
