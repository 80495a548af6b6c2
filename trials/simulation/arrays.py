"""The array types of this room and the order of their axes.

A value per run has shape ``(trials, pairs, arms)``: arm 0 is the baseline, arm 1 the changed gear (a graded
trial has further arms). A value per run and size class has one more axis of 10 classes, coarsest first.
"""

from typing import TypeAlias

import numpy as np
import numpy.typing as npt

IntArray: TypeAlias = npt.NDArray[np.int64]


def require_within(name: str, value: float, low: float, high: float) -> None:
    """Refuse a setting outside its range, ends included, or one that is not a number.

    >>> require_within("Noise.carry_over", 1.5, 0.0, 0.9)
    Traceback (most recent call last):
    ValueError: Noise.carry_over is 1.5; it must lie from 0.0 to 0.9. Give a value in that range.
    """
    if not low <= value <= high:
        message = f"{name} is {value}; it must lie from {low} to {high}. Give a value in that range."
        raise ValueError(message)
