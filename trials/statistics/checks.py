"""What every file of this room asks of its input, apart from the arithmetic."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from trials.statistics.arrays import Numbers

# Squares of larger numbers leave the range of floats; no measure of a trial comes near.
LARGEST_DIFFERENCE = 1e100
MOST_PAIRS = 1_000_000


def checked_differences(differences: ArrayLike, *, at_least: int) -> Numbers:
    """Refuse differences no statistic can be made of: no axis of pairs, too few pairs, NaN, infinite or beyond 1e100.

    >>> checked_differences([2.1], at_least=2)
    Traceback (most recent call last):
    ValueError: differences: 1 pair is too few, this needs at least 2; add pairs.
    """
    values = np.asarray(differences, dtype=float)
    if values.ndim == 0:
        raise ValueError(
            f"differences: {values.item()} is a single number, this needs a list with one number per pair; "
            "put it in a list."
        )
    pairs = values.shape[-1]
    if pairs < at_least:
        noun = "1 pair is" if pairs == 1 else f"{pairs} pairs are"
        raise ValueError(f"differences: {noun} too few, this needs at least {at_least}; add pairs.")
    # One pass over the data: NaN and infinity carry through the maximum, and NaN fails every comparison.
    if not np.abs(values).max(initial=0.0) <= LARGEST_DIFFERENCE:
        raise ValueError(_unfit_differences(values))
    return values


def _unfit_differences(values: Numbers) -> str:
    place = tuple(int(i) for i in np.argwhere(~(np.abs(values) <= LARGEST_DIFFERENCE))[0])
    where = place[0] if len(place) == 1 else place
    return (
        f"differences: {values[place]} at index {where} is not a number between -1e100 and 1e100; "
        "leave the whole pair out."
    )


def checked_level(level: float, *, name: str = "level") -> float:
    """Refuse a coverage, or another share, that does not lie between 0 and 1.

    >>> checked_level(95)
    Traceback (most recent call last):
    ValueError: level: 95 does not lie between 0 and 1; write 95 % as 0.95.
    """
    if not 0 < level < 1:
        raise ValueError(f"{name}: {level} does not lie between 0 and 1; write 95 % as 0.95.")
    return float(level)


def checked_pairs(pairs: ArrayLike) -> NDArray[np.int64]:
    """Refuse numbers of pairs that are not whole, under 2 or over a million.

    >>> checked_pairs(1)
    Traceback (most recent call last):
    ValueError: pairs: 1 is not a whole number from 2 to 1000000; give the number of pairs.
    """
    values = np.asarray(pairs, dtype=float)
    fit = (values >= 2) & (values <= MOST_PAIRS) & (np.floor(values) == values)
    if not fit.all():
        raise ValueError(
            f"pairs: {values[~fit].flat[0]:g} is not a whole number from 2 to {MOST_PAIRS}; give the number of pairs."
        )
    return values.astype(np.int64)


def checked_counts(counts: ArrayLike, name: str, *, at_least: int = 0) -> Numbers:
    """Refuse counts that are not whole numbers of at least `at_least`.

    >>> checked_counts([12, -1], "found")
    Traceback (most recent call last):
    ValueError: found: -1 is not a whole number from 0 up; count again or leave the whole pair out.
    """
    values = np.asarray(counts, dtype=float)
    fit = np.isfinite(values) & (values >= at_least) & (np.floor(values) == values)
    if not fit.all():
        raise ValueError(
            f"{name}: {values[~fit].flat[0]:g} is not a whole number from {at_least} up; "
            "count again or leave the whole pair out."
        )
    return values


def checked_share(found: ArrayLike, fed: ArrayLike, *, found_name: str, fed_name: str) -> tuple[Numbers, Numbers]:
    """Refuse counts found that pass the counts fed, and feeds of none.

    >>> checked_share([31], [30], found_name="found", fed_name="fed")
    Traceback (most recent call last):
    ValueError: found: 31 of 30 fed; no more can be found than was fed. Count both again.
    """
    found_counts = checked_counts(found, found_name)
    fed_counts = checked_counts(fed, fed_name, at_least=1)
    found_counts, fed_counts = np.broadcast_arrays(found_counts, fed_counts)
    over = found_counts > fed_counts
    if over.any():
        raise ValueError(
            f"{found_name}: {found_counts[over].flat[0]:g} of {fed_counts[over].flat[0]:g} {fed_name}; "
            "no more can be found than was fed. Count both again."
        )
    return found_counts, fed_counts
