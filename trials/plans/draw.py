"""A plan -> the runs it asks for, in the order drawn, each with its tag and its share of the lot."""

from collections.abc import Mapping, Sequence

from schemas import Run, Trial
from trials.plans.tags import MOST_TAGS, draw_tags
from trials.statistics.balanced_draw import Stream, draw_places, draw_shares


def planned_runs(trial: Trial) -> tuple[Run, ...]:
    """Which runs does a plan with a seed ask for, in which order?

    In order of turn: pair after pair, the arms of each as drawn, spares last. Each has pair, arm, turn and tag, and
    nothing else: a run not yet made. The same seed gives the same runs.

    Raises ValueError at no seed, or more runs than there are tags (169).

    >>> from schemas import Change, Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=4, seed=41, lots=(Lot(kind="natural"),),
    ...     gear=Gear(kind="sluice"), change=Change(variable="mat", baseline="ribbed", changed=("looped",)))
    >>> runs = planned_runs(trial)
    >>> [run.turn for run in runs] == list(range(1, 9)), sorted({run.arm for run in runs})
    (True, ['baseline', 'changed'])
    """
    seed = _seed_of(trial)
    keys = _keys(trial, range(1, trial.pairs + trial.spares + 1), spares=trial.spares)
    if len(keys) > MOST_TAGS:
        raise ValueError(f"{len(keys)} runs, and there are {MOST_TAGS} tags; plan fewer pairs, spares or levels")
    return _laid_out(keys, draw_tags(len(keys), seed), first=1)


def added_runs(trial: Trial, runs: Sequence[Run]) -> tuple[Run, ...]:
    """Which runs does an amended plan ask for beyond those laid out or made already, which stay as they are?

    The arms of each new block, drawn balanced among themselves, with turns and tags after those there are. No seed, or
    more runs than there are tags, is refused.
    """
    seed = _seed_of(trial)
    laid_out = {run.pair for run in runs}
    new = [block for block in range(1, trial.pairs + trial.spares + 1) if block not in laid_out]
    if not new:
        return ()
    keys = _keys(trial, new, stream=Stream.ADDED)
    used = {run.tag for run in runs}
    free = [tag for tag in draw_tags(MOST_TAGS, seed) if tag not in used]
    if len(keys) > len(free):
        raise ValueError(f"{len(keys)} more runs, and {len(free)} tags are left; add fewer pairs")
    return _laid_out(keys, free, first=max((run.turn or 0 for run in runs), default=0) + 1)


def _seed_of(trial: Trial) -> int:
    if trial.seed is None:
        raise ValueError(f"trial {trial.name} has no seed to draw from")
    return trial.seed


def _keys(
    trial: Trial, blocks: Sequence[int], *, spares: int = 0, stream: Stream = Stream.ORDER
) -> list[tuple[int, str]]:
    """Block and arm of each run of these blocks, the last of which are spares, in the order drawn."""
    if trial.kind == "audit":
        return [(block, "") for block in blocks]
    places = draw_places(len(blocks) - spares, len(trial.arms), _seed_of(trial), spares, stream)
    return [(block, trial.arms[int(arm)]) for block, order in zip(blocks, places, strict=True) for arm in order]


def _laid_out(keys: Sequence[tuple[int, str]], tags: Sequence[str], *, first: int) -> tuple[Run, ...]:
    """Runs not yet made, with turns from the first on; tags may be left over."""
    return tuple(
        Run(pair=pair, arm=arm, turn=turn, tag=tag)
        for turn, ((pair, arm), tag) in enumerate(zip(keys, tags, strict=False), start=first)
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
