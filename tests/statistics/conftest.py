"""What the tests of this room share: published data sets, and numbers as they were printed.

Where a number is called an own simulation or an own calculation, it was made before this code and apart from it, and is
not published; what was simulated, or which library gave it, stands beside it.
"""

import csv
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

PUBLISHED = Path(__file__).parents[1] / "published"


@pytest.fixture(scope="session")
def published_rows() -> Callable[[str], list[dict[str, str]]]:
    """Read a published data set; its first line names the source."""

    def read(name: str) -> list[dict[str, str]]:
        source, *lines = (PUBLISHED / name).read_text(encoding="utf-8").splitlines()
        assert source.startswith("# ")
        return list(csv.DictReader(lines))

    return read


@pytest.fixture(scope="session")
def printed() -> Callable[[str], Any]:
    """Expect a number as it was printed: right to half a unit of its last digit."""

    def expect(text: str) -> Any:
        digits, _, exponent = text.lower().partition("e")
        decimals = len(digits.partition(".")[2])
        half_unit = 0.5 * 10.0 ** (int(exponent or 0) - decimals)
        return pytest.approx(float(text), rel=0, abs=half_unit * (1 + 1e-9))

    return expect
