import pytest

from schemas import Change, Gear, Lot, Trial, is_made
from trials.measures.pairing import pair_up
from trials.plans.draw import planned_runs, shares_of_lot


def plan(*levels: str, pairs: int = 6, spares: int = 0, seed: int | None = 41, audit: bool = False) -> Trial:
    """A plan with so many levels; none: a nothing-changed check."""
    change = Change(variable="texture", baseline="painted", changed=levels) if levels else None
    return Trial(
        name="bed",
        measure="tracers",
        pairs=pairs,
        spares=spares,
        seed=seed,
        audit=audit,
        lots=(Lot(kind="made up"),),
        gear=Gear(kind="finishing table"),
        change=change,
    )


@pytest.mark.parametrize("levels", [(), ("180 grit",), ("320", "220", "120", "80")])
def test_every_block_holds_every_arm_once(levels: tuple[str, ...]) -> None:
    """Turns run on pair after pair, and each pair holds each arm once."""
    trial = plan(*levels, pairs=5, spares=2)
    runs = planned_runs(trial)
    assert [run.turn for run in runs] == [*range(1, 7 * len(trial.arms) + 1)]
    assert [run.pair for run in runs] == sorted(run.pair for run in runs)
    assert {run.key for run in runs} == {(pair, arm) for pair in range(1, 8) for arm in trial.arms}
    assert len({run.tag for run in runs}) == len(runs)
    assert not any(is_made(run) for run in runs)


def test_the_draw_is_balanced_as_pairs_see_it() -> None:
    """Half of the planned pairs have the changed half first."""
    trial = plan("180 grit", pairs=8)
    pairs = pair_up(trial, planned_runs(trial)).pairs
    assert sum(pair.first == "changed" for pair in pairs) == 4


def test_another_seed_another_order_the_same_seed_the_same() -> None:
    """The seed is all there is to it."""
    one, same, other = (planned_runs(plan("180 grit", pairs=12, seed=seed)) for seed in (41, 41, 42))
    assert one == same
    assert [run.arm for run in one] != [run.arm for run in other]


def test_an_audit_has_one_run_a_number() -> None:
    """Runs of the one arm, numbered, with tags and no share of a lot."""
    trial = plan(pairs=4, audit=True)
    assert [run.key for run in planned_runs(trial)] == [(1, ""), (2, ""), (3, ""), (4, "")]
    assert shares_of_lot(trial) == {}


def test_each_half_goes_to_one_arm() -> None:
    """Of every pair one arm is fed half 1 and the other half 2, and not always the same."""
    shares = shares_of_lot(plan("180 grit", pairs=12))
    assert all({shares[(pair, "baseline")], shares[(pair, "changed")]} == {1, 2} for pair in range(1, 13))
    assert {shares[(pair, "baseline")] for pair in range(1, 13)} == {1, 2}


def test_no_seed_and_too_many_runs_are_said() -> None:
    """There is nothing to draw from, or there are not tags enough."""
    with pytest.raises(ValueError, match="no seed"):
        planned_runs(plan("180 grit", seed=None))
    with pytest.raises(ValueError, match="fewer pairs, spares or levels"):
        planned_runs(plan("a", "b", "c", pairs=60))
