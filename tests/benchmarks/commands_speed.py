"""How long the commands take, against the bare floor of a process that opens the logbook and asks it one thing.

Run as `python tests/benchmarks/commands_speed.py`. It prints ratios and passes no judgement.
"""

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

FLOOR = """
import typer, duckdb
con = duckdb.connect("logbook.duckdb", read_only=True)
con.execute("SELECT count(*) FROM trials").fetchall()
"""
ROUNDS = 11
COMMANDS = (
    (["--help"], 1.5),
    ([], 1.5),
    (["logbook"], 1.5),
    (["export", "two-mats", "--to", "out"], 1.5),
    (["verdict", "two-mats", "--no-chart"], 2.6),
    (["verdict", "two-mats", "--json"], 2.6),
)


def seconds(command: list[str], folder: Path) -> float:
    """The median time of a whole process."""
    times = []
    for _ in range(ROUNDS):
        started = time.perf_counter()
        subprocess.run(command, cwd=folder, stdout=subprocess.DEVNULL, check=True)
        times.append(time.perf_counter() - started)
    return statistics.median(times)


def main() -> None:
    """Print a line for the floor and one for each command."""
    program = str(Path(sys.executable).with_name("samedirt"))
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        subprocess.run([program, "demo", "."], cwd=folder, stdout=subprocess.DEVNULL, check=True)
        floor = seconds([sys.executable, "-c", FLOOR], folder)
        print(f"floor: typer, duckdb, one query      {1000 * floor:6.0f} ms")  # noqa: T201 - a script that prints
        for words, aim in COMMANDS:
            took = seconds([program, *words], folder)
            line = f"samedirt {' '.join(words):<28}{1000 * took:6.0f} ms   {took / floor:4.2f} times (aim {aim})"
            print(line)  # noqa: T201 - a script that prints


if __name__ == "__main__":
    main()
