"""Data that nobody here made, through the whole program: `samedirt load`, then `verdict --json`.

Each folder of `published_trials` names its source and how plain numbers are carried as recoveries. Beside each
number stands whether it is printed (published), recalled from the print and confirmed by computing (value from
memory), or agreed on by reference libraries with no print in reach (library consensus).
"""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import scipy.stats

FOLDERS = Path(__file__).parents[1] / "published_trials"

EXPECTED: list[tuple[str, dict[str, tuple[float, float]]]] = [
    # Student, Biometrika 6 (1908); R's paired t on `sleep` prints t -4.0621, p .002833, -2.4598858 to -0.7001142 for
    # drug 1 - drug 2: published. Here drug 2 - drug 1.
    (
        "sleep",
        {
            "t": (4.0621, 5e-5),
            "p": (0.002833, 5e-7),
            "low": (0.7001142, 5e-8),
            "high": (2.4598858, 5e-8),
            "df": (9, 0),
            "estimate": (1.58, 1e-9),
        },
    ),
    # Darwin's maize in Fisher, The Design of Experiments (1935) ch. III; t, p and limits as R prints them: published.
    # Fisher's 863 of 32,768 flips a side, section 21: value from memory.
    (
        "maize",
        {
            "t": (2.148, 5e-4),
            "p": (0.0497, 5e-5),
            "low": (0.003899165, 5e-10),
            "high": (5.229434169, 5e-10),
            "df": (14, 0),
            "draw": (2 * 863 / 32768, 1e-12),
        },
    ),
    # Box, Hunter and Hunter (1978) p. 97-101: .41, t 3.35, p .0085, and 7 of 1,024 flips a side: values from memory.
    ("shoes", {"estimate": (0.41, 1e-9), "t": (3.35, 5e-3), "p": (0.0085, 5e-5), "draw": (2 * 7 / 1024, 1e-12)}),
    # Sheesley in Snee, Hare and Trout p. 54-57: old - new 7.0667, t 3.0999, p .0101056, 2.04923 to 12.0841, 6 of 4,096
    # flips a side: library consensus. Here new - old.
    (
        "weld",
        {
            "estimate": (-7.06667, 5e-6),
            "t": (-3.09992, 5e-6),
            "p": (0.0101056, 5e-8),
            "low": (-12.0841, 5e-5),
            "high": (-2.04923, 5e-6),
            "draw": (2 * 6 / 4096, 1e-12),
        },
    ),
    # Milliken and Johnson (1992): machine means 52.356 and 60.322, so +7.967 (value from memory); t, p library consensus.
    ("machines", {"estimate": (7.967, 1e-3), "t": (3.29085, 5e-6), "p": (0.0216931, 5e-8)}),
    # Hicks, naval guns, team means: mean, t, p library consensus.
    ("gun", {"estimate": (8.51111, 5e-6), "t": (20.9275, 5e-5), "p": (2.85218e-08, 5e-13)}),
    # Camner and Philipson (1973): mean, t, p library consensus.
    ("lungs", {"estimate": (4.02857, 5e-6), "t": (1.04972, 5e-6), "p": (0.334278, 5e-7)}),
    # Hand et al. (1994), family therapy: 7.26, t 4.18, p .0007: values from memory.
    ("weight", {"estimate": (7.26, 5e-3), "t": (4.18, 5e-3), "p": (0.0007, 5e-5), "df": (16, 0)}),
]


def verdict_of(name: str, samedirt: Callable[..., Any]) -> dict[str, Any]:
    """Load one folder and take its verdict as a program would."""
    loaded = samedirt("load", FOLDERS / name)
    assert loaded.code == 0, loaded.err
    said = samedirt("verdict", name, "--json")
    assert said.code == 0, said.err
    found: dict[str, Any] = json.loads(said.out)
    return found


@pytest.mark.parametrize(("name", "expected"), EXPECTED, ids=[name for name, _ in EXPECTED])
def test_published_numbers_come_out(
    name: str, expected: dict[str, tuple[float, float]], samedirt: Callable[..., Any]
) -> None:
    """The numbers of the source come out of the program."""
    verdict = verdict_of(name, samedirt)
    answer = verdict["answer"]
    got = {
        "estimate": answer["estimate"],
        "t": answer["t"],
        "p": answer["p"],
        "df": answer["df"],
        "low": answer["interval"]["low"],
        "high": answer["interval"]["high"],
        "draw": answer["check_by_draw"]["p"],
    }
    for key, (value, tolerance) in expected.items():
        assert got[key] == pytest.approx(value, abs=tolerance, rel=0), key


def test_lifting_rods_through_the_tracer_measure(samedirt: Callable[..., Any]) -> None:
    """Keen and Engel (1997): pooled undamaged shares .198551 and .843137; t by scipy (library consensus)."""
    verdict = verdict_of("rods", samedirt)
    runs = np.loadtxt(FOLDERS / "rods" / "runs.csv", delimiter=",", skiprows=1, usecols=(2, 3))
    old, new = runs[::2], runs[1::2]
    assert old[:, 1].sum() / old[:, 0].sum() == pytest.approx(0.198551, abs=5e-7)
    assert new[:, 1].sum() / new[:, 0].sum() == pytest.approx(0.843137, abs=5e-7)
    reference = scipy.stats.ttest_rel(100 * new[:, 1] / new[:, 0], 100 * old[:, 1] / old[:, 0])
    assert verdict["answer"]["t"] == pytest.approx(reference.statistic, rel=1e-9)
    assert verdict["answer"]["p"] == pytest.approx(reference.pvalue, rel=1e-9)
    assert verdict["code"] == "better"


def test_every_published_folder_names_its_source() -> None:
    """A folder of outside data says whose it is."""
    for folder in sorted(path for path in FOLDERS.iterdir() if path.is_dir()):
        first = (folder / "trial.toml").read_text(encoding="utf-8").splitlines()[0]
        assert first.startswith("# ") and "," in first, folder
