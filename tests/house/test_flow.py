"""The house as a whole: which way imports run, and what a room may touch."""

import ast
import functools
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
# The rooms of `trials/` in the order of the job: each may import from those before it, and from `schemas`.
ROOMS = (
    *("errors", "units", "wording", "statistics", "records"),
    *("measures", "simulation", "noise", "fairness", "verdicts", "worth", "plans", "rehearsal", "changes"),
    *("files", "sheets", "papers", "charts", "logbook", "listing", "report", "talk", "keeping", "page", "commands"),
)
PURE = ROOMS[ROOMS.index("statistics") : ROOMS.index("files")]
IMPURE = {
    *("duckdb", "altair", "typer", "rich", "jinja2", "os", "time", "datetime", "random", "secrets"),
    *("pathlib", "sqlite3", "csv"),
}
# Reading a day out of a text needs the words of the calendar and not the clock; so do changes, whose moment is handed in.
OF_THE_CALENDAR = {"fairness/plan.py", "records/flat.py", "worth/sentences.py"}
OF_THE_WORDS = {
    "schemas",
    "operator",
    "pydantic",
    "pydantic_core",
    "typing",
    "datetime",
    "dataclasses",
    "collections",
    "functools",
    "re",
}
MOST_FILES = 25
MOST_LINES_OF_A_COMMAND = 120


@functools.cache
def _imports(path: Path) -> tuple[str, ...]:
    return tuple(_read_imports(path))


def _read_imports(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: say the whole name of what is imported"
            yield node.module or ""
            yield from (f"{node.module}.{name.name}" for name in node.names)


def _files(package: str) -> list[Path]:
    return sorted((ROOT / package).rglob("*.py"))


def _room(path: Path) -> str:
    return path.relative_to(ROOT / "trials").parts[0].removesuffix(".py")


def _in_rooms() -> list[Path]:
    return [path for path in _files("trials") if path != ROOT / "trials" / "__init__.py"]


def _name(path: Path) -> str:
    return str(path.relative_to(ROOT / "trials"))


def test_a_room_imports_only_from_rooms_before_it() -> None:
    """Imports run one way, in the order of the job."""
    wrong = []
    for path in _in_rooms():
        own = _room(path)
        for name in _imports(path):
            top, _, rest = name.partition(".")
            room = rest.partition(".")[0]
            if top == "trials" and room in ROOMS and ROOMS.index(room) > ROOMS.index(own):
                wrong.append(f"{_name(path)} imports {name}")
    assert wrong == []


def test_no_files_import_each_other_in_a_circle() -> None:
    """From no file does a way of imports lead back to it."""
    modules = {".".join(path.relative_to(ROOT).with_suffix("").parts): path for path in _in_rooms()}
    leads = {module: {n for n in _imports(path) if n in modules} - {module} for module, path in modules.items()}
    done: set[str] = set()
    circles: list[str] = []

    def walk(module: str, way: tuple[str, ...]) -> None:
        if module in way:
            circles.append(" > ".join((*way[way.index(module) :], module)))
        elif module not in done:
            for onward in sorted(leads[module]):
                walk(onward, (*way, module))
            done.add(module)

    for module in modules:
        walk(module, ())
    assert circles == []


def test_the_words_import_nothing_of_the_work() -> None:
    """`schemas` holds models and nothing more."""
    for path in _files("schemas"):
        assert {name.split(".")[0] for name in _imports(path)} <= OF_THE_WORDS, path.name


def test_a_pure_room_touches_no_file_clock_or_store() -> None:
    """Values in, values out: no clock, file, database or global random state."""
    for path in _in_rooms():
        if _room(path) not in PURE:
            continue
        allowed = {"datetime"} if _name(path) in OF_THE_CALENDAR or _room(path) == "changes" else set()
        names = set(_imports(path))
        tops = {name.split(".")[0] for name in names}
        assert not tops & (IMPURE - allowed), f"{_name(path)}: {tops & IMPURE}"
        assert "importlib.resources" not in names, path
        text = path.read_text(encoding="utf-8")
        assert "np.random.seed" not in text
        assert ".now(" not in text
        assert ".today(" not in text
        assert "open(" not in text, path


def test_the_logbook_knows_the_words_alone() -> None:
    """The store imports the words, and of the work only what an error and a next step are called."""
    for path in (ROOT / "trials" / "logbook").rglob("*.py"):
        names = [name for name in _imports(path) if name.startswith("trials.")]
        assert all(name.startswith(("trials.errors", "trials.wording.steps", "trials.logbook")) for name in names), path


def test_the_talk_knows_neither_terminal_nor_browser() -> None:
    """Values in, values out: what asks prints nothing, reads nothing typed, and opens nothing."""
    for path in rooms_of("talk"):
        tops = {name.split(".")[0] for name in _imports(path)}
        assert not tops & {*IMPURE - {"datetime"}, "sys", "starlette", "duckdb"}, f"{_name(path)}: {tops}"
        calls = [node.func.id for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
                 if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)]  # fmt: skip
        assert not {"input", "print", "open"} & set(calls), _name(path)


def test_the_statistics_of_a_run_need_no_reference_library() -> None:
    """`scipy.stats` and statsmodels are references in tests; nothing that runs imports them."""
    for path in _files("trials") + _files("schemas") + _files("demo_trials"):
        assert not any(name.startswith(("scipy.stats", "statsmodels", "pandas")) for name in _imports(path)), path


def test_a_room_can_be_overlooked() -> None:
    """No room holds more files than a reader takes in, and a command only opens, calls and prints."""
    rooms = defaultdict(list)
    for path in _in_rooms():
        if path.name != "__init__.py":
            rooms[path.parent].append(path.name)
    assert {folder.name: len(names) for folder, names in rooms.items() if len(names) > MOST_FILES} == {}
    lines = {path.name: path.read_text(encoding="utf-8").count("\n") for path in rooms_of("commands")}
    assert {name: count for name, count in lines.items() if count > MOST_LINES_OF_A_COMMAND} == {}


def rooms_of(room: str) -> list[Path]:
    """The files of a room."""
    return [path for path in _in_rooms() if _room(path) == room]


def test_only_what_the_house_names_stands_at_the_top() -> None:
    """The top level is the table of contents."""
    seen = {path.name for path in ROOT.iterdir() if not path.name.startswith(".") and path.name != "__pycache__"}
    made = {"build", "dist", "cinder-bend"}
    named = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "schemas", "trials", "demo_trials", "tests"}
    assert seen - made == named
