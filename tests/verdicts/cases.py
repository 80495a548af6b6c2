"""Small trials built in code for the tests of verdicts."""

from collections.abc import Iterable, Sequence
from typing import Any

from schemas import Change, Gear, Lot, Run, Trial

Halves = Sequence[tuple[Any, Any]]


def trial(measure: str = "recovery", pairs: int = 6, **more: Any) -> Trial:
    """A plan of one change on a sluice, everything known that the checks ask for."""
    values: dict[str, Any] = {
        "name": "mat",
        "measure": measure,
        "pairs": pairs,
        "knew": "nobody",
        "lots": (Lot(kind="natural"),),
        "gear": Gear(kind="sluice"),
        "change": Change(variable="mat", baseline="ribbed", changed=("looped",)),
        "tails": {"caught": "all"},
    }
    values |= more
    return Trial.model_validate(values)


def run(pair: int, arm: str, **more: Any) -> Run:
    """A run with its turn and mass fed; odd pairs run the baseline first."""
    second = (arm == "baseline") == (pair % 2 == 0)
    values: dict[str, Any] = {"pair": pair, "arm": arm, "turn": 2 * pair - 1 + second, "fed_g": 350.0}
    return Run(**(values | more))


def recovery_runs(points: Iterable[float], base: float = 80.0, **more: Any) -> list[Run]:
    """Runs whose recoveries differ by the points given, pair by pair."""
    runs = []
    for pair, gain in enumerate(points, start=1):
        for arm, kept in (("baseline", base), ("changed", base + gain)):
            runs.append(run(pair, arm, gold_mg=kept, tails_gold_mg=100.0 - kept, **more))
    return runs


def counts(halves: Halves, second: str = "changed", **more: Any) -> list[Run]:
    """Runs of native grain counts, baseline and the other half."""
    return [
        run(pair, arm, grains=grains, **more)
        for pair, both in enumerate(halves, start=1)
        for arm, grains in zip(("baseline", second), both, strict=True)
    ]


def masses(halves: Halves, field: str = "gold_mg", second: str = "changed", **more: Any) -> list[Run]:
    """Runs of gold masses in mg."""
    return [
        run(pair, arm, **{field: float(mg)}, **more)
        for pair, both in enumerate(halves, start=1)
        for arm, mg in zip(("baseline", second), both, strict=True)
    ]
