"""Words are strict where something could be mistaken, and frozen to the bottom."""

import copy
import datetime as dt
import pickle

import numpy as np
import pytest
from pydantic import ValidationError

from schemas import Amendment, Gear, Lot, Run, Sizes, Trial


def plan(**more: object) -> Trial:
    """A small plan."""
    values = {"name": "mat", "measure": "recovery", "pairs": 6, "lots": [Lot(kind="natural")], "gear": Gear(kind="pan")}
    return Trial.model_validate(values | {"typed": {"worth_having": "1 point"}} | more)


@pytest.mark.parametrize("six", [6, 6.0, np.int64(6), np.int8(6), np.float64(6.0), np.float32(6.0), np.array(6)])
def test_a_whole_number_is_one_however_it_is_held(six: object) -> None:
    """A whole float and any number of numpy count as the plain number, and are stored as it."""
    trial = plan(pairs=six)
    assert trial == plan() and type(trial.pairs) is int
    run = Run(pair=six, arm="baseline", gold_mg=six)
    assert run.gold_mg == 6.0 and type(run.gold_mg) is float


@pytest.mark.parametrize("count", ["31.0", "31", True, 31.5, np.bool_(True), np.float64(31.5), float("inf"), [31]])
def test_nothing_else_is_a_count(count: object) -> None:
    """A text, a yes, a broken number: refused."""
    with pytest.raises(ValidationError, match="valid integer"):
        Run(pair=1, arm="baseline", grains=count)


def test_a_list_serves_where_a_tuple_is_stored() -> None:
    """And nowhere else: a text stays a text."""
    assert plan(lots=[Lot(kind="natural")]) == plan(lots=(Lot(kind="natural"),))
    for wrong in ({"name": ["mat"]}, {"lots": "natural"}, {"lots": {Lot(kind="natural")}}):
        with pytest.raises(ValidationError):
            plan(**wrong)


def test_a_word_has_a_hash_and_can_not_be_changed() -> None:
    """Equal trials are one key of a dict, after a copy too; what was typed stays as it was."""
    trial = plan()
    for same in (plan(), trial.model_copy(), copy.deepcopy(trial), pickle.loads(pickle.dumps(trial))):  # noqa: S301 - our own
        assert same == trial and hash(same) == hash(trial)
    told = trial.model_copy(update={"typed": {"pairs": "six"}, "lots": [Lot(kind="concentrate")]})
    assert hash(told) != hash(trial) and isinstance(told.lots, tuple)
    with pytest.raises(TypeError, match="can't be changed"):
        told.typed["pairs"] = "7"  # type: ignore[index]
    with pytest.raises(TypeError, match="can't be changed"):
        told.typed |= {"pairs": "7"}  # type: ignore[operator]
    with pytest.raises(ValidationError, match="frozen"):
        trial.sizes = Sizes()


def test_a_word_goes_out_and_comes_back() -> None:
    """As a plain dict and as JSON."""
    trial = plan(amended=[Amendment(when=dt.date(2026, 5, 2), what="pairs", was="4", now="6", why="dirt left")])
    assert type(trial.model_dump()["typed"]) is dict
    assert Trial.model_validate(trial.model_dump()) == trial
    assert Trial.model_validate_json(trial.model_dump_json()) == trial
