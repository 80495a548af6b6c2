"""The room is pure: arrays in, small frozen results out, and nothing else of the project or of scipy."""

import ast
import dataclasses
import json
from pathlib import Path

import pytest

import trials.statistics
from tests.tables import every
from trials.statistics.exact_limits import count_limits
from trials.statistics.leave_one_out import leave_one_out
from trials.statistics.odd_pair import odd_pair
from trials.statistics.order_effect import order_effect
from trials.statistics.over_dispersion import split_dispersion
from trials.statistics.paired_t import paired_t
from trials.statistics.sign_flip import sign_flip

FILES = sorted(Path(trials.statistics.__file__).parent.glob("*.py"))
ALLOWED = (
    "collections.abc",
    "dataclasses",
    "enum",
    "functools",
    "math",
    "numpy",
    "numpy.typing",
    "typing",
    "trials.statistics",
)
V2 = [2.1, 0.4, 3.0, 1.2, -0.5, 2.6, 0.9, 1.7]


@every("file", FILES, ids=lambda file: file.stem)
def test_imports(file):
    """Each file takes numpy and its own room, and nothing more; SciPy is read in one of them."""
    if file.stem == "special":
        return
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            assert all(name.name in ALLOWED for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert any(node.module == a or node.module.startswith(a + ".") for a in ALLOWED)


@every(
    "result",
    [
        paired_t(V2),
        sign_flip(V2),
        order_effect(V2, [0, 1, 0, 1, 1, 0, 1, 0]),
        odd_pair(V2),
        leave_one_out(V2),
        split_dispersion([12, 5], [15, 2]),
        count_limits(20),
    ],
    ids=lambda result: type(result).__name__,
)
def test_results(result):
    """Results of one trial are frozen, small, and go into JSON as they are."""
    with pytest.raises(dataclasses.FrozenInstanceError):
        setattr(result, dataclasses.fields(result)[0].name, 0)
    assert not hasattr(result, "__dict__")
    json.dumps(dataclasses.asdict(result), allow_nan=False)
