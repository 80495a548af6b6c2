"""A second pass finds gold whatever the gear: what is said of it holds in numbers, and a pass alone gets no verdict."""

import csv
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.folders import ROUGH_TRIAL, rough_runs
from tests.verdicts.cases import counts, masses, trial
from trials.verdicts.reach import reach_verdict

TAILS = ({"kind": "sluice tailings"},)


def said_of(verdict: Any) -> str:
    """The sentence on the second pass."""
    (sentence,) = [line for line in verdict.more if "any second pass" in line]
    return sentence


FOUND = "The unchanged gear found {} mg of gold a run in these tails too"
AGAINST = FOUND + ", against {} with the change: any second pass finds gold, and {}."
TAKEN_OFF = FOUND + ": so {} of the {} would have come with any second pass, and only the rest is the change's."
MEASURED: list[tuple[Any, str, str]] = [
    (
        [(58, 71), (55, 73), (71, 78), (67, 78), (63, 71), (63, 79), (60, 74), (69, 68)],
        "better",
        TAKEN_OFF.format("63.2", "63.2", "74"),
    ),
    (
        [(71, 58), (73, 55), (78, 71), (78, 67), (71, 63), (79, 63), (74, 60), (68, 66)],
        "worse",
        AGAINST.format("74", "62.9", "the change found less"),
    ),
    (
        [(70, 71), (72, 70), (71, 72), (69, 70), (70, 69), (72, 72), (71, 71), (70, 70)],
        "no_difference",
        AGAINST.format("70.6", "70.6", "the change added none worth having"),
    ),
    (
        [(58, 91), (85, 53), (71, 98), (67, 48), (63, 91), (63, 59), (60, 84), (69, 58)],
        "not_settled",
        AGAINST.format("67", "72.8", "whether the change added any is not settled"),
    ),
]


@pytest.mark.parametrize(("halves", "code", "words"), MEASURED, ids=[code for _, code, _ in MEASURED])
def test_the_sentence_gives_the_means_and_claims_no_more(halves: Any, code: str, words: str) -> None:
    """Means are those of the runs, by hand; only of a gain beyond luck is the rest called the change's."""
    plan = trial("gold_mass", pairs=8, lots=TAILS, worth_having=10.0, scales={"gold_g": 0.001})
    verdict = reach_verdict(plan, masses(halves))
    assert verdict.code == code
    assert said_of(verdict) == words
    before, after = np.mean(halves, axis=0)
    assert f"{before:.3g}" in words and f"{after:.3g}" in words


def test_grains_are_called_grains() -> None:
    """Counts of a table's tails."""
    verdict = reach_verdict(
        trial("grain_counts", lots=TAILS), counts([(31, 47), (44, 49), (26, 45), (38, 44), (29, 52)] * 2)[:12]
    )
    assert said_of(verdict).startswith(
        "The unchanged gear found 33.2 grains a run in these tails too: so 33.2 of the 47.3"
    )


def test_a_gain_in_most_pairs_with_less_in_all_takes_nothing_away() -> None:
    """One rich unchanged half can hold more than all the gain: then nothing is subtracted."""
    halves = [(10, 14), (11, 15), (9, 13), (10, 15), (12, 16), (300, 305), (10, 13), (450, 410)]
    plan = trial("gold_mass", pairs=8, lots=TAILS, scales={"gold_g": 0.001})
    verdict = reach_verdict(plan, masses(halves))
    assert verdict.code == "better" and np.mean(halves, axis=0)[0] > np.mean(halves, axis=0)[1]
    assert said_of(verdict).endswith("any second pass finds gold, and only what is more than that is the change's.")


def test_dirt_that_is_no_tails_says_nothing_of_it() -> None:
    """Natural dirt has its first pass; a share of tails is no mass."""
    assert not any("second pass" in line for line in reach_verdict(trial("gold_mass"), masses([(50, 60)] * 3)).more)


def changed_only(runs: str) -> str:
    """The rows of the changed arm alone."""
    rows = list(csv.reader(io.StringIO(runs)))
    arm = rows[0].index("arm")
    return "\n".join(",".join(row) for row in rows if row[arm] in ("arm", "changed")) + "\n"


def test_a_folder_of_changed_re_runs_alone_gets_no_verdict(samedirt: Callable[..., Any]) -> None:
    """It loads; the verdict is refused with its remedy, and what such runs can still tell is said. Exit 1."""
    Path("rough-bed").mkdir()
    Path("rough-bed/trial.toml").write_text(ROUGH_TRIAL, encoding="utf-8")
    Path("rough-bed/runs.csv").write_text(changed_only(rough_runs()), encoding="utf-8")
    loaded = samedirt("load", "rough-bed")
    assert loaded.code == 0, loaded.err
    said = samedirt("verdict", "rough-bed", "--no-chart")
    words = " ".join(said.out.split())
    assert said.code == 1
    assert "No verdict: no unchanged half in pairs 1, 2, 3, 4 and 5." in words  # the sixth may still come
    assert "Any second pass finds gold; run the other half unchanged." in words
    assert "can still tell how far runs alike scatter, to plan the next trial with" in words
    assert "better" not in words.lower()
    checked = " ".join(samedirt("check", "rough-bed").out.split())
    assert "6 runs are not made yet: pairs 1, 2, 3, 4, 5 and 6." in checked


def test_one_half_missing_is_enough(samedirt: Callable[..., Any]) -> None:
    """Five whole pairs and one without its unchanged half: the remedy names the pair."""
    rows = rough_runs().splitlines(keepends=True)
    lost = [row for row in rows if not row.startswith("2,baseline")]
    assert len(lost) == len(rows) - 1
    Path("rough-bed").mkdir()
    Path("rough-bed/trial.toml").write_text(ROUGH_TRIAL, encoding="utf-8")
    Path("rough-bed/runs.csv").write_text("".join(lost), encoding="utf-8")
    assert samedirt("load", "rough-bed").code == 0
    said = samedirt("verdict", "rough-bed", "--no-chart")
    assert said.code == 1 and "no unchanged half in pair 2." in said.out
