"""How long the commands take, against the bare floor of a process that opens the logbook and asks it one thing.

Run as `python tests/benchmarks/commands_speed.py`. It prints ratios of processor time, all threads together, and
passes no judgement. The lines in brackets are what the libraries alone take that such a command can't do without.
"""

import os
import resource
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path

FLOOR = """
import typer, duckdb
con = duckdb.connect("logbook.duckdb", read_only=True)
con.execute("SELECT count(*) FROM trials").fetchall()
"""
ROUNDS = 7
PROGRAM = str(Path(sys.executable).with_name("samedirt"))


def python(code: str) -> list[str]:
    """A process that runs this code and nothing else."""
    return [sys.executable, "-c", code]


# What is timed, the command, and the aim in times of the floor (none where it is only for comparison).
CASES: tuple[tuple[str, list[str], float | None], ...] = (
    ("floor: typer, duckdb, one query", python(FLOOR), None),
    ("(+ what typer imports for a call)", python(FLOOR + "import typer._adapters"), None),
    ("(+ scipy.special and the words)", python(FLOOR + "import typer._adapters, scipy.special, schemas"), None),
    ("samedirt --help", [PROGRAM, "--help"], 1.5),
    ("samedirt", [PROGRAM], 1.5),
    ("samedirt logbook", [PROGRAM, "logbook"], 1.5),
    ("samedirt export NAME", [PROGRAM, "export", "two-mats", "--to", "out"], 1.5),
    ("samedirt verdict NAME --no-chart", [PROGRAM, "verdict", "two-mats", "--no-chart"], 2.6),
    ("samedirt verdict NAME --json", [PROGRAM, "verdict", "two-mats", "--json"], 2.6),
    ("samedirt verdict NAME", [PROGRAM, "verdict", "two-mats"], 11.5),
    ("samedirt report NAME", [PROGRAM, "report", "two-mats"], 9.5),
)


def seconds(command: list[str], folder: Path, environment: Mapping[str, str]) -> float:
    """The processor time of a whole process."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, cwd=folder, env=environment, stdout=subprocess.DEVNULL, check=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    """Print a line for each case, the median of several rounds that take turns."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        # As after an installation: compiled files are kept, wherever this runs.
        environment = os.environ | {"PYTHONDONTWRITEBYTECODE": "", "PYTHONPYCACHEPREFIX": str(folder / "compiled")}
        subprocess.run([PROGRAM, "demo", "."], cwd=folder, env=environment, stdout=subprocess.DEVNULL, check=True)
        rounds = [[seconds(command, folder, environment) for _, command, _ in CASES] for _ in range(ROUNDS + 1)]
    medians = [statistics.median(times) for times in zip(*rounds[1:], strict=True)]  # the first round only compiles
    for (title, _, aim), took in zip(CASES, medians, strict=True):
        against = "" if aim is None else f" (aim {aim})"
        print(f"{title:<36}{1000 * took:6.0f} ms   {took / medians[0]:4.2f} times{against}")  # noqa: T201 - a script that prints


if __name__ == "__main__":
    main()
