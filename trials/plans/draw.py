"""A plan -> the runs it asks for, in the order drawn, each with its tag and its share of the lot."""

from collections.abc import Mapping, Sequence

from schemas import Run, Trial
from trials.plans.tags import MOST_TAGS, draw_tags
from trials.statistics.balanced_draw import Stream, draw_places, draw_shares


def planned_runs(trial: Trial) -> tuple[Run, ...]:
    """Which runs does a plan with a seed ask for, in which order?

    In order of turn: pair after pair, the arms of each as drawn, spares last. Each has pair, arm, turn and tag, and
    nothing else: a run not yet made. The same seed gives the same runs.

    Raises
    ------
    ValueError
        No seed, or more runs than there are tags (169).

    Examples
    --------
    >>> from schemas import Change, Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=4, seed=41, lots=(Lot(kind="natural"),),
    ...     gear=Gear(kind="sluice"), change=Change(variable="mat", baseline="ribbed", changed=("looped",)))
    >>> runs = planned_runs(trial)
    >>> [run.turn for run in runs] == list(range(1, 9)), sorted({run.arm for run in runs})
    (True, ['baseline', 'changed'])
    """
    if trial.seed is None:
        raise ValueError(f"trial {trial.name} has no seed to draw from")
    blocks = trial.pairs + trial.spares
    keys = _keys(trial, blocks)
    if len(keys) > MOST_TAGS:
        raise ValueError(f"{len(keys)} runs, and there are {MOST_TAGS} tags; plan fewer pairs, spares or levels")
    tags = draw_tags(len(keys), trial.seed)
    return tuple(
        Run(pair=pair, arm=arm, turn=turn, tag=tag)
        for turn, ((pair, arm), tag) in enumerate(zip(keys, tags, strict=True), start=1)
    )


def _keys(trial: Trial, blocks: int) -> list[tuple[int, str]]:
    if trial.kind == "audit":
        return [(number, "") for number in range(1, blocks + 1)]
    places = draw_places(trial.pairs, len(trial.arms), trial.seed or 0, trial.spares)
    return [(block, trial.arms[int(arm)]) for block, order in enumerate(places, start=1) for arm in order]


def added_runs(trial: Trial, runs: Sequence[Run]) -> tuple[Run, ...]:
    """Which runs does an amended plan ask for beyond those laid out or made already, which stay as they are?

    The arms of each new block, drawn balanced among themselves, with turns and tags after those there are.

    Raises
    ------
    ValueError
        No seed, or more runs than there are tags.
    """
    if trial.seed is None:
        raise ValueError(f"trial {trial.name} has no seed to draw from")
    laid_out = {run.pair for run in runs}
    new = [block for block in range(1, trial.pairs + trial.spares + 1) if block not in laid_out]
    if not new:
        return ()
    if trial.kind == "audit":
        keys = [(block, "") for block in new]
    else:
        places = draw_places(len(new), len(trial.arms), trial.seed, stream=Stream.ADDED)
        keys = [(block, trial.arms[int(arm)]) for block, order in zip(new, places, strict=True) for arm in order]
    used = {run.tag for run in runs}
    free = [tag for tag in draw_tags(MOST_TAGS, trial.seed) if tag not in used]
    if len(keys) > len(free):
        raise ValueError(f"{len(keys)} more runs, and {len(free)} tags are left; add fewer pairs")
    first = max((run.turn or 0 for run in runs), default=0) + 1
    return tuple(
        Run(pair=pair, arm=arm, turn=turn, tag=tag)
        for turn, ((pair, arm), tag) in enumerate(zip(keys, free, strict=False), start=first)
    )


def shares_of_lot(trial: Trial) -> Mapping[tuple[int, str], int]:
    """Which share of its split lot is each run fed, by pair and arm, counted from 1?

    For pairs half 1 or 2, by a coin of its own for every pair. Empty without a seed and for an audit.
    """
    if trial.seed is None or trial.kind == "audit":
        return {}
    shares = draw_shares(trial.pairs + trial.spares, len(trial.arms), trial.seed)
    return {
        (block, arm): int(share) + 1
        for block, row in enumerate(shares, start=1)
        for arm, share in zip(trial.arms, row, strict=True)
    }
