"""What all tests share: how large the long ones are, and a clean place to run the program in."""

import os
import shutil
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

TESTS = Path(__file__).parent
SIZE = float(os.environ.get("SAMEDIRT_TEST_SIZE", "0.1"))


def pytest_report_header() -> str:
    """Say how large the long tests are in this run."""
    return f"long tests at {SIZE:g} of their full size (SAMEDIRT_TEST_SIZE)"


@pytest.fixture(scope="session")
def sized() -> Callable[[int], int]:
    """Scale the number of repeats of a long test; at least 10."""
    return lambda full: max(10, round(full * SIZE))


@dataclass(frozen=True)
class Said:
    """What one call of the program printed, and its exit code."""

    code: int
    out: str
    err: str


@pytest.fixture
def samedirt(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., Said]:
    """Run the program through its one door, in an empty folder."""
    from trials.commands.main import main

    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("SAMEDIRT_LOGBOOK", raising=False)

    def run(*words: object) -> Said:
        monkeypatch.setattr(sys, "argv", ["samedirt", *map(str, words)])
        code = 0
        try:
            main()
        except SystemExit as stop:
            code = int(stop.code or 0)
        said = capsys.readouterr()
        return Said(code, said.out, said.err)

    return run


@pytest.fixture(scope="session")
def chromium() -> str:
    """The browser that looks at pages; tests that need it skip where there is none."""
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if found is None:
        pytest.skip("no Chromium here: pages are not looked at (install the package chromium to run this test)")
    return found
