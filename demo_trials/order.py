"""In which order the runs were made, and the tags on their buckets: drawn from the seed of the trial."""

import numpy as np
import numpy.typing as npt

TAG_LETTERS = "CDFHJKLNPRTVX"


def changed_first(pairs: int, seed: int, spares: int = 0) -> npt.NDArray[np.bool_]:
    """Draw which pairs run the changed half first: balanced, every balanced order as likely.

    Parameters
    ----------
    pairs : int
        How many pairs, 1 or more; of an odd number the half more goes to either side by a coin.
    seed : int
        Seed of the trial.
    spares : int
        How many spare pairs after them; each is a coin of its own, so that the planned ones stay balanced.

    Returns
    -------
    ndarray of bool, shape (pairs + spares,)
        True where the changed half runs first.

    Examples
    --------
    >>> int(changed_first(6, 41).sum())
    3
    """
    rng = np.random.default_rng([seed, 0])
    first = np.arange(pairs) < pairs // 2 + (pairs % 2 and int(rng.integers(2)))
    return np.concatenate([rng.permutation(first), rng.integers(2, size=spares) == 1])


def tags(count: int, seed: int) -> tuple[str, ...]:
    """Draw tags of three letters; the last checks the first two, so that a wrong letter or a swap is caught.

    Parameters
    ----------
    count : int
        How many, up to 169.
    seed : int
        Seed of the trial.

    Returns
    -------
    tuple of str
        All different. Check letter: (first + 8 x second) mod 13, letters counted from C = 0.

    Examples
    --------
    >>> tags(2, 41)
    ('LXV', 'PDH')
    """
    size = len(TAG_LETTERS)
    drawn = np.random.default_rng([seed, 1]).choice(size * size, count, replace=False)
    firsts, seconds = np.divmod(drawn, size)
    checks = (firsts + 8 * seconds) % size
    return tuple("".join(TAG_LETTERS[i] for i in letters) for letters in zip(firsts, seconds, checks, strict=True))
