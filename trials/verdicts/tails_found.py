"""What a recovery comes to once what the tails method misses is put in."""

from collections.abc import Sequence

from schemas import Trial
from trials.measures.pairing import Pair, Pairing
from trials.measures.recovery import RECOVERY, true_recovery
from trials.wording.numbers import plain


def tails_found_sentence(trial: Trial, pairing: Pairing, pairs: Sequence[Pair]) -> str | None:
    """Both arms' mean recovery of all gold, where the share that the tails method finds is known; else None."""
    finds = trial.tails.finds_percent
    if finds is None or finds >= 100.0 or pairing.measure is not RECOVERY or not pairs:
        return None
    shown, truly = [], []
    for half in pairing.readings(pairs):
        found = RECOVERY.value(half) / 100.0
        shown.append(plain(100.0 * float(found.mean()), 1))
        truly.append(plain(100.0 * float(true_recovery(found, finds / 100.0).mean()), 1))
    return (
        f"With what the tails method misses put in, {trial.change.baseline if trial.change else 'the baseline'} kept "
        f"{truly[0]} % of all gold and the changed set-up {truly[1]} %; of what was found they kept {shown[0]} and "
        f"{shown[1]} %. This takes the method to find as large a share of either's tails."
    )
