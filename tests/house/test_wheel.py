import subprocess
import sys
import zipfile
from importlib.util import find_spec
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    """The wheel, built from this tree; skipped where its build parts can't be had."""
    out = tmp_path_factory.mktemp("wheel")
    at_hand = ["--no-build-isolation"] if find_spec("hatchling") else []  # else pip fetches it for this alone
    build = [sys.executable, "-m", "pip", "wheel", "--no-deps", "-q", *at_hand, "-w", str(out), str(ROOT)]
    done = subprocess.run(build, capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.skip(f"no wheel can be built here: {done.stderr[-200:]}")
    return zipfile.ZipFile(next(out.glob("*.whl")))


def test_the_wheel_carries_what_the_program_reads(wheel: zipfile.ZipFile) -> None:
    """Demo trials, page, migrations and types are package data that must not be lost on the way."""
    held = set(wheel.namelist())
    read = [
        *ROOT.glob("demo_trials/*/*"),
        *ROOT.glob("trials/logbook/migrations/*.sql"),
        ROOT / "trials" / "report" / "page.html",
        ROOT / "trials" / "report" / "pitfalls.toml",
        *ROOT.glob("trials/papers/*.html"),
        *ROOT.glob("trials/page/**/*.html"),
        *ROOT.glob("trials/page/*.css"),
        *ROOT.glob("trials/page/*.svg"),
        *ROOT.glob("trials/page/*.js"),
        *(ROOT / package / "py.typed" for package in ("schemas", "trials", "demo_trials")),
    ]
    for path in read:
        if path.is_file() and "__pycache__" not in path.parts:
            assert path.relative_to(ROOT).as_posix() in held


def test_the_wheel_carries_nothing_else(wheel: zipfile.ZipFile) -> None:
    """Three packages and their metadata."""
    tops = {name.split("/")[0] for name in wheel.namelist()}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"schemas", "trials", "demo_trials"}
