"""What all tests share: their workers, how large the long ones are, and a clean place to run the program in."""

import os
import shutil
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from tests.sizes import SIZE, scaled

TESTS = Path(__file__).parent
# Programs that tests start, and workers, keep what they compiled, so that the next one need not compile it again.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False
# The same drawn examples every time, so that a change is judged by itself; SAMEDIRT_TEST_SEEK=1 draws new ones.
SEEKS = bool(os.environ.get("SAMEDIRT_TEST_SEEK"))
settings.register_profile("samedirt", max_examples=scaled(100), deadline=None, derandomize=not SEEKS)
settings.load_profile("samedirt")


@pytest.hookimpl(tryfirst=True)
def pytest_cmdline_main(config: pytest.Config) -> None:
    """Run the whole suite on all cores, and what is named by a path in this process; -n says otherwise."""
    option = config.option
    alone = hasattr(config, "workerinput") or option.usepdb or option.collectonly  # a worker starts no workers
    whole = config.args_source is pytest.Config.ArgsSource.TESTPATHS
    if whole and not alone and config.getoption("numprocesses", 0) is None:
        option.numprocesses = config.hook.pytest_xdist_auto_num_workers(config=config)
        option.dist = "worksteal"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests that wait for other programs begin first, so that no worker waits for them at the end."""
    items.sort(key=lambda item: item.get_closest_marker("waits") is None)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how large the long tests were in this run; a quiet run shows no header."""
    terminalreporter.write_line(f"long tests at {SIZE:g} of their full size (SAMEDIRT_TEST_SIZE)")


@pytest.fixture(scope="session")
def sized() -> Callable[[int], int]:
    """Scale the number of repeats of a long test; at least 10."""
    return scaled


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
    """Run the program through its one door, in an empty folder; its charts are drawn in this process, once each."""
    import vl_convert  # noqa: F401 - read already, so that no process is started to draw in

    from trials.commands.main import main
    from trials.rehearsal import proposal

    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("SAMEDIRT_LOGBOOK", raising=False)
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.setattr(proposal, "QUICK_REHEARSALS", scaled(proposal.QUICK_REHEARSALS))

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


@pytest.fixture(scope="session")
def browser(chromium: str) -> Iterator[Any]:
    """A headless browser with no network, started once: in few processes, and without what nobody looks at."""
    playwright = pytest.importorskip("playwright.sync_api")
    flags = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
    flags += ["--in-process-gpu", "--enable-features=NetworkServiceInProcess2"]
    # Those named here take the place of those that Playwright turns off, of which the first two cost most.
    flags.append("--disable-features=RenderDocument,PaintHolding,WebUIOmniboxPopup,WebUIOmniboxAimPopup")
    flags.append("--js-flags=--no-opt")  # no page lives long enough for its scripts to repay it
    with playwright.sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=chromium, args=flags)
        yield opened
        opened.close()
