"""How often does luck alone put so many pairs on one side? The exact sign test."""

from math import comb


def sign_test(one: int, other: int) -> float:
    """How often would luck alone split these pairs as unevenly, or more so, to either side? Two-sided, exact.

    `one` and `other` are how many pairs went each way; ties are left out before. None at all: 1.

    Source: Arbuthnott, Phil. Trans. 27, 1710, and Fisher, Statistical Methods for Research Workers, 1925 (both from
    memory): twice the binomial tail at one half, 1 at the most.

    >>> sign_test(6, 0), sign_test(1, 5), sign_test(3, 3)
    (0.03125, 0.21875, 1.0)
    """
    pairs = one + other
    tail = sum(comb(pairs, k) for k in range(max(one, other), pairs + 1))
    return min(1.0, 2.0 * tail / 2.0**pairs)
