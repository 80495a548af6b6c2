"""What the program says of one thing it says once, and alike in `verdict` and `check`."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.folders import ROUGH_TRIAL, rough_runs

LOTS = '[[lot]]\nname = "face-1"\nkind = "natural"\n[[lot]]\nname = "face-2"\nkind = "natural"\n'


def rows(keep: Callable[[dict[str, str]], bool] = lambda _: True, **more: Callable[[dict[str, str]], str]) -> str:
    """The runs of the table's trial as a file: those that are kept, with columns put in or blanked."""
    header, *lines = rough_runs().splitlines()
    runs = [dict(zip(header.split(","), line.split(","), strict=True)) for line in lines]
    told = [run | {name: of(run) for name, of in more.items()} for run in runs if keep(run)]
    return "\n".join([",".join(told[0]), *(",".join(run.values()) for run in told)]) + "\n"


def loaded(samedirt: Callable[..., Any], runs: str, plan: str = ROUGH_TRIAL) -> tuple[str, str, Any]:
    """What `verdict` and `check` say of a folder, each in one line, and the check for a plain reader."""
    Path("rough-bed").mkdir()
    Path("rough-bed/trial.toml").write_text(plan, encoding="utf-8")
    Path("rough-bed/runs.csv").write_text(runs, encoding="utf-8")
    load = samedirt("load", "rough-bed")
    assert load.code == 0, load.err
    verdict, check = samedirt("verdict", "rough-bed", "--no-chart"), samedirt("check", "rough-bed")
    return (
        " ".join(verdict.out.split()),
        " ".join(check.out.split()),
        json.loads(samedirt("check", "rough-bed", "--json").out),
    )


def test_twelve_halves_of_two_lots_are_one_stop(samedirt: Callable[..., Any]) -> None:
    """Every pair mixed: said once, with all pairs in it."""
    at = ROUGH_TRIAL.index("[lot]")
    plan = ROUGH_TRIAL[:at] + LOTS + ROUGH_TRIAL[ROUGH_TRIAL.index("[gear]") :]
    verdict, check, told = loaded(
        samedirt, rows(fed_lot=lambda run: "face-1" if run["arm"] == "baseline" else "face-2"), plan
    )
    assert told["stops"] == 1
    for said in (verdict, check):
        assert said.count("(same-lot): ") == said.count("Stops ") == 1, said
        assert "and from two lots in pairs 2, 3, 4, 5 and 6 too." in said


def test_a_missing_column_of_the_measure_reads_alike(samedirt: Callable[..., Any]) -> None:
    """No grains in any run: both name the runs that lack them, in the same words."""
    verdict, check, _ = loaded(samedirt, rows(grains=lambda _: ""))
    missing = "have no grains yet."
    said = check[check.index("Missing: ") + len("Missing: ") :]
    sentence = said[: said.index(missing) + len(missing)]
    assert sentence in verdict and "Not finished: 0 of 6 planned pairs." in verdict


def test_runs_without_a_row_are_counted_as_runs_to_come(samedirt: Callable[..., Any]) -> None:
    """Three pairs on record of six: 6 of 12 runs in, and 6 not made yet."""
    _, check, told = loaded(samedirt, rows(lambda run: int(run["pair"]) <= 3))
    assert "6 of 12 runs in" in check and "6 runs are not made yet: pairs 4, 5 and 6." in check
    assert (told["runs_made"], told["runs_to_come"]) == (6, 6)
