"""Several questions at once: which p values hold when the chance that any of them is luck is to stay small?"""

import numpy as np
from numpy.typing import ArrayLike

from trials.statistics.arrays import Numbers


def holm(p: ArrayLike) -> Numbers:
    """How often does luck alone give any p of the family as small, step by step from the smallest?

    One or more p values from 0 to 1 on the last axis, in any order; the adjusted ones come back in theirs.

    Source: Holm, Scand. J. Stat. 6, 1979, p. 65.

    >>> holm([0.004, 0.03, 0.011, 0.20, 0.048]).round(3).tolist()
    [0.02, 0.09, 0.044, 0.2, 0.096]
    """
    values = np.asarray(p, dtype=float)
    if not values.ndim or not values.shape[-1] or not ((values >= 0) & (values <= 1)).all():
        raise ValueError("p: this needs a list of shares from 0 to 1; leave out what has no p.")
    order = np.argsort(values, axis=-1, kind="stable")
    steps = np.take_along_axis(values, order, axis=-1) * np.arange(values.shape[-1], 0, -1)
    stepped = np.minimum(1.0, np.maximum.accumulate(steps, axis=-1))
    adjusted = np.empty_like(values)
    np.put_along_axis(adjusted, order, stepped, axis=-1)
    return adjusted
