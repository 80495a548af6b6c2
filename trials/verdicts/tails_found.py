"""What a recovery comes to once what the tails method misses is put in."""

from collections.abc import Sequence

from schemas import Trial
from trials.measures.pairing import Pair, Pairing
from trials.measures.recovery import RECOVERY, true_recovery
from trials.statistics.arrays import Numbers
from trials.statistics.exact_limits import proportion_limits
from trials.units.quantity import counted_share
from trials.wording.numbers import plain

FINDS = "[tails] finds"


def tails_found_sentence(trial: Trial, pairing: Pairing, pairs: Sequence[Pair]) -> str | None:
    """Both arms' mean recovery of all gold, where the share that the tails method finds is known; else None.

    Where it was typed as grains found of those seeded into washed tails, at the ends of its exact 95 % limits too.
    """
    finds = trial.tails.finds_percent
    if finds is None or pairing.measure is not RECOVERY or not pairs:
        return None
    counted = counted_share(trial.typed.get(FINDS, ""))
    if finds >= 100.0 and counted is None:
        return None
    halves = [RECOVERY.value(half) / 100.0 for half in pairing.readings(pairs)]
    shown = [plain(100.0 * float(half.mean()), 1) for half in halves]
    truly = [_truly(half, finds / 100.0) for half in halves]
    names = (trial.change.baseline if trial.change else "the baseline", "the changed set-up")
    if counted is not None:
        limits = proportion_limits(*counted)
        ends = [[_truly(half, max(float(end), 1e-9)) for end in (limits.low, limits.high)] for half in halves]
        truly = [f"{each} % ({low} to {high})" for each, (low, high) in zip(truly, ends, strict=True)]
        known = f", the limits being those of {counted[0]} of {counted[1]} grains found"
    else:
        truly, known = [f"{each} %" for each in truly], ""
    return (
        f"With what the tails method misses put in, {names[0]} kept {truly[0]} of all gold and {names[1]} {truly[1]}"
        f"{known}; of what was found they kept {shown[0]} and {shown[1]} %. This takes the method to find as large a "
        "share of either's tails."
    )


def _truly(recovery: Numbers, found: float) -> str:
    return plain(100.0 * float(true_recovery(recovery, found).mean()), 1)
