"""What the files of this room share: the array type, and the smallest scatter that counts as scatter."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]

# Differences of equal decimals may differ in the last bits of a float; so much of the largest is still equal.
EQUAL_SHARE = 1e-12


def number_or_array(values: NDArray[Any]) -> Any:  # noqa: ANN401 - float, int or bool of one trial, or the array of many
    """Give the one number of a single trial as a plain Python number, and leave arrays as they are.

    >>> number_or_array(np.array(1.5)), number_or_array(np.array([1.5, 2.0]))
    (1.5, array([1.5, 2. ]))
    """
    values = np.asarray(values)
    return values.item() if values.ndim == 0 else values


def scatter_or_zero(sd: Numbers, differences: Numbers) -> Numbers:
    """Turn the scatter (...) of differences (..., pairs) that is only float noise, to 1e-12 of the largest, into 0."""
    largest = np.abs(differences).max(axis=-1)
    return np.where(sd <= EQUAL_SHARE * largest, 0.0, sd)


def ratio_or_nan(above: Numbers, below: Numbers) -> Numbers:
    """Divide, with NaN where there is nothing to divide by.

    >>> ratio_or_nan(np.array([3.0, 3.0]), np.array([2.0, 0.0]))
    array([1.5, nan])
    """
    above, below = np.broadcast_arrays(above, below)
    ratio = np.full(above.shape, np.nan)
    np.divide(above, below, out=ratio, where=below > 0)
    return ratio
