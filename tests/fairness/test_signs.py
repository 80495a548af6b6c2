"""Clay and cloud, moisture, a blank pan, a check weight: just before each speaks and just past it, and through the door."""

import csv
import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

from schemas import Scales
from tests.fairness.asking import by_arm, everywhere, good, one, weighed, with_of
from tests.folders import ROUGH_TRIAL, rough_runs
from tests.tables import every
from tests.verdicts.cases import recovery_runs, trial

MILLIGRAM = Scales(gold_g=0.001)
EVEN = (1.0, -1.2, 0.8, -0.9, 1.1, -0.7)


@every(
    ("field", "word"), [("cloud", "Cloud of the water leans one way: 1 in the changed runs, 2"), ("clay", "Clay in")]
)
def test_clay_and_cloud_by_eye(field: str, word: str) -> None:
    """One step in every pair weakens a difference beyond luck, is a note beside none; in a third of the pairs it is luck."""
    apart = {field: 2}, {field: 1}
    severity, message = one("soap-and-cloud", trial(), by_arm(good(), *apart))
    assert severity == "WEAKENS" and message.startswith(word) and "nobody knows how much" in message
    assert one("soap-and-cloud", trial(), by_arm(recovery_runs(EVEN), *apart))[0] == "NOTE"
    some = with_of(with_of(everywhere(good(), **{field: 2}), 1, "changed", **{field: 1}), 4, "changed", **{field: 1})
    assert one("soap-and-cloud", trial(), some)[0] == "not recorded"  # of the wetting aid


@every(("changed", "severity"), [(7.5, "ok"), (7.6, "NOTE"), (9.0, "WEAKENS")])
def test_moisture_of_the_halves(changed: float, severity: str) -> None:
    """From 6 %: over 1.5 points one way in every pair; 3 of them could make over a third of a gain of 4.9 %."""
    runs = by_arm(weighed(), {"moisture_percent": 6.0}, {"moisture_percent": changed})
    said = one("like-halves", trial("gold_mass"), runs)
    assert said[0] == severity, said
    wet = by_arm(good(), {"moisture_percent": 6.0}, {"moisture_percent": changed})
    assert one("like-halves", trial(), wet)[0] == "ok"  # a share of its own gold


def test_a_blank_pan_that_held_gold() -> None:
    """None found in any is well; a grain before one run is not, in a pan too."""
    clean = everywhere(good(), stripped=True, blank_pan=0)
    assert one("leftovers", trial(), clean)[0] == "ok"
    held = with_of(clean, 3, "changed", blank_pan=1)
    for plan in (trial(), trial(gear={"kind": "pan"})):
        severity, message = one("leftovers", plan, held)
        assert severity == "WEAKENS" and message.startswith("A blank pan before the changed half of pair 3 held gold.")


@every(("after", "severity"), [(20.001, "ok"), (20.002, "WEAKENS"), (19.998, "WEAKENS")])
def test_a_check_weight_reads_the_same_afterwards(after: float, severity: str) -> None:
    """One step of a 0.001 g scale may be a reading, two are a scale that wandered."""
    runs = with_of(weighed(), 2, "baseline", check_before_g=20.0, check_after_g=after)
    said = one("scale-fine-enough", trial("gold_mass", scales=MILLIGRAM), runs)
    assert said[0] == severity
    assert severity == "ok" or "0.002 g" in said[1]
    assert one("scale-fine-enough", trial("grain_counts"), runs)[0] == "ok"


SIGNS = {
    "cloud": lambda run: "2" if run["arm"] == "baseline" else "1",
    "moisture_percent": lambda _: "6.5",
    "blank_pan": lambda run: "1" if run["turn"] == "3" else "0",
    "check_before_g": lambda _: "20",
    "check_after_g": lambda _: "20.001",
    "silvery": lambda run: "yes" if run["turn"] == "5" else "no",
}


def test_they_are_loaded_checked_and_given_back(samedirt: Callable[..., Any]) -> None:
    """A file with all of them: stored, told by `check`, in the report's cautions, and the same file again."""
    rows = list(csv.DictReader(io.StringIO(rough_runs())))
    told = [row | {name: of(row) for name, of in SIGNS.items()} for row in rows]
    Path("rough-bed").mkdir()
    Path("rough-bed/trial.toml").write_text(ROUGH_TRIAL, encoding="utf-8")
    text = "\n".join([",".join(told[0]), *(",".join(row.values()) for row in told)]) + "\n"
    Path("rough-bed/runs.csv").write_text(text, encoding="utf-8")
    assert samedirt("load", "rough-bed").code == 0
    said = " ".join(samedirt("check", "rough-bed").out.split())
    assert "Cloud of the water leans one way" in said and "A blank pan before" in said
    assert samedirt("export", "rough-bed", "--to", "again").code == 0
    again = next(Path("again").rglob("runs.csv"))
    back = list(csv.DictReader(io.StringIO(again.read_text(encoding="utf-8"))))
    for row, one_back in zip(
        sorted(told, key=lambda r: int(r["turn"])), sorted(back, key=lambda r: int(r["turn"])), strict=True
    ):
        assert {name: one_back[name] for name in SIGNS} == {name: row[name] for name in SIGNS}


def test_a_value_that_cannot_be_is_refused(samedirt: Callable[..., Any]) -> None:
    """By eye from 0 to 3, moisture to 25 %: the line names column and limit."""
    header, first, *rest = rough_runs().splitlines()
    Path("rough-bed").mkdir()
    Path("rough-bed/trial.toml").write_text(ROUGH_TRIAL, encoding="utf-8")
    runs = [f"{header},cloud,moisture_percent", f"{first},4,40", *(f"{line},," for line in rest)]
    Path("rough-bed/runs.csv").write_text("\n".join(runs) + "\n", encoding="utf-8")
    refused = samedirt("load", "rough-bed")
    assert refused.code == 2 and "cloud" in refused.err and "moisture_percent" in refused.err
