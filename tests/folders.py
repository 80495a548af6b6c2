"""Small trial folders for tests, written as a person would write them."""

import os
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

LEAST = """
name = "mat"
measure = "gold_mass"
pairs = 3
[lot]
kind = "natural"
[gear]
kind = "sluice"
[change]
variable = "mat"
baseline = "ribbed"
changed = "looped"
"""

# The walk of a tinkerer who roughens the bed of a finishing table: six pairs of grain counts, invented.
ROUGH_TRIAL = """
name = "rough-bed"
question = "Does the roughened bed keep more fine gold than the painted one?"
measure = "grain_counts"
worth_having = "20 %"
pairs = 6
seed = 41
knew = "feeder"
locked = 2026-05-02
[lot]
kind = "table tailings"
mass = "7.5 kg"
size = "-30"
mixing = "tarp"
splitting = "riffle splitter"
[gear]
kind = "finishing table"
width = "250 mm"
[change]
variable = "texture"
baseline = "smooth"
changed = "180 grit"
reversible = "no"
twin = "second insert, cut and painted together"
[held]
pitch = "4 deg"
water = "8 L/min"
[limits]
black_sand = 1.5
minutes = 1.2
[scales]
gold = "0.001 g"
sand = "0.1 g"
[sizes]
series = "ASTM"
"""
SMOOTH, ROUGH = (31, 44, 26, 38, 29, 40), (47, 49, 45, 44, 52, 48)
SAND = ((6.4, 12.1), (6.0, 11.5), (6.3, 12.4), (5.9, 11.0), (6.5, 12.0), (6.1, 11.9))


def rough_runs() -> str:
    """The runs of the roughened bed, as a CSV."""
    lines = ["pair,arm,turn,tag,session,minutes,fed_g,grains,black_sand_g,water_l_min,temp_c,stripped"]
    turn = 0
    for i in range(6):
        halves = [("baseline", SMOOTH[i], SAND[i][0], 9.5), ("changed", ROUGH[i], SAND[i][1], 10.5)]
        for k, (arm, grains, sand, minutes) in enumerate(halves if i % 2 == 0 else halves[::-1]):
            turn += 1
            tag = f"T{'ABCDEF'[i]}{'XY'[k]}"
            lines.append(f"{i + 1},{arm},{turn},{tag},2026-05-03 am,{minutes},350,{grains},{sand},8.0,12,yes")
    return "\n".join(lines) + "\n"


def write(folder: Path, trial: str = LEAST, runs: str | bytes | None = None, changes: str | None = None) -> Path:
    """Write a trial folder."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "trial.toml").write_text(trial, encoding="utf-8")
    if runs is not None:
        content = runs if isinstance(runs, bytes) else runs.encode()
        (folder / "runs.csv").write_bytes(content)
    if changes is not None:
        (folder / "changes.csv").write_text(changes, encoding="utf-8")
    return folder


def rough_bed(folder: Path) -> Path:
    """The roughened bed, whole."""
    return write(folder, ROUGH_TRIAL, rough_runs())


Files = dict[Path, tuple[bytes, int]]
_LOADED: dict[tuple[str, str, str], Files] = {}


def files_of(folder: Path, paths: Iterable[Path]) -> Files:
    """Content and date of files of a folder, by their way from it."""
    return {path.relative_to(folder): (path.read_bytes(), path.stat().st_mtime_ns) for path in paths}


def put_files(folder: Path, files: Files) -> None:
    """Put files into a folder, each where it lay, with its date: by that a copy is known."""
    for path, (content, date) in files.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(content)
        os.utime(folder / path, ns=(date, date))


def loaded(samedirt: Callable[..., Any], folder: Path, name: str, trial: str, runs: str) -> None:
    """A trial folder beside the logbook it was loaded into: by the program once, for the next tests as files."""
    key = (name, trial, runs)
    if key not in _LOADED:
        write(folder / name, trial, runs)
        assert samedirt("load", name).code == 0
        made = (folder / name, folder / "logbook-copies")
        _LOADED[key] = files_of(folder, [folder / "logbook.duckdb", *(one for at in made for one in at.iterdir())])
    put_files(folder, _LOADED[key])


def rough_loaded(samedirt: Callable[..., Any], folder: Path) -> None:
    """The roughened bed, loaded."""
    loaded(samedirt, folder, "rough-bed", ROUGH_TRIAL, rough_runs())
