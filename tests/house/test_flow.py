import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
# The rooms of `trials/`, line by line: each may import from rooms on lines above its own, and from `schemas`.
LINES = (
    ("errors", "units", "wording", "statistics"),
    ("measures",),
    ("simulation", "fairness"),
    ("verdicts",),
    ("planning",),
    ("papers", "entry", "charts", "logbook"),
    ("report",),
    ("commands",),
)
PURE = ("statistics", "measures", "simulation", "fairness", "verdicts", "planning")
IMPURE = {
    "duckdb",
    "altair",
    "typer",
    "rich",
    "jinja2",
    "os",
    "time",
    "datetime",
    "random",
    "pathlib",
    "sqlite3",
    "csv",
}


def _imports(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: say the whole name of what is imported"
            yield node.module or ""


def _room(path: Path) -> str:
    inside = path.relative_to(ROOT / "trials").parts
    return inside[0].removesuffix(".py")


def _files(package: str) -> list[Path]:
    return sorted(path for path in (ROOT / package).rglob("*.py"))


def _rank(room: str) -> int:
    return next(i for i, line in enumerate(LINES) if room in line)


@pytest.mark.parametrize(
    "path",
    [p for p in _files("trials") if p.name != "__init__.py" or p.parent.name != "trials"],
    ids=lambda p: str(p.relative_to(ROOT)),
)
def test_a_room_imports_only_from_rooms_above_it(path: Path) -> None:
    """Imports run one way: from the lines above, never from the same line or below."""
    own = _room(path)
    for name in _imports(path):
        parts = name.split(".")
        if parts[0] != "trials" or len(parts) == 1:
            continue
        assert parts[1] == own or _rank(parts[1]) < _rank(own), f"{path.name} of {own} imports {name}"


@pytest.mark.parametrize("path", _files("schemas"), ids=lambda p: p.name)
def test_the_words_import_nothing_of_the_work(path: Path) -> None:
    """`schemas` holds models and nothing more."""
    for name in _imports(path):
        assert name.split(".")[0] in {
            "schemas",
            "pydantic",
            "typing",
            "datetime",
            "dataclasses",
            "collections",
            "re",
        }, name


@pytest.mark.parametrize(
    "path", [p for p in _files("trials") if _room(p) in PURE], ids=lambda p: str(p.relative_to(ROOT))
)
def test_a_pure_room_touches_no_file_clock_or_store(path: Path) -> None:
    """Values in, values out: no clock, file, database or global random state."""
    allowed = {"datetime"} if path.name == "plan.py" else set()  # reads the day of a session out of its text
    tops = {name.split(".")[0] for name in _imports(path)}
    assert not tops & (IMPURE - allowed)
    text = path.read_text(encoding="utf-8")
    assert "np.random.seed" not in text
    assert "open(" not in text


@pytest.mark.parametrize("path", [p for p in _files("trials") if _room(p) == "logbook"], ids=lambda p: p.name)
def test_the_logbook_knows_the_words_alone(path: Path) -> None:
    """The store imports the words, and of the work only what an error is called."""
    names = [name for name in _imports(path) if name.startswith("trials.")]
    assert all(name == "trials.errors" or name.startswith("trials.logbook") for name in names)


def test_the_statistics_of_a_run_need_no_reference_library() -> None:
    """`scipy.stats` and statsmodels are references in tests; nothing that runs imports them."""
    for path in _files("trials") + _files("schemas") + _files("demo_trials"):
        assert not any(name.startswith(("scipy.stats", "statsmodels", "pandas")) for name in _imports(path)), path


def test_only_what_the_house_names_stands_at_the_top() -> None:
    """The top level is the table of contents."""
    seen = {path.name for path in ROOT.iterdir() if not path.name.startswith(".") and path.name != "__pycache__"}
    made = {"build", "dist", "cinder-bend"}
    named = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "schemas", "trials", "demo_trials", "tests"}
    assert seen - made == named
