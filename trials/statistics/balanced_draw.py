"""In which order the arms of each block are run: drawn balanced from a seed, the same on every machine and version."""

from enum import IntEnum
from functools import lru_cache

import numpy as np
import numpy.typing as npt

Whole = npt.NDArray[np.int64]


class Stream(IntEnum):
    """What a seed is drawn for; each purpose has words of its own."""

    ORDER = 0
    TAGS = 1
    SHARES = 2
    ADDED = 3


def seeded_words(seed: int, stream: Stream, count: int) -> npt.NDArray[np.uint64]:
    """Draw so many random words of 64 bits from a seed, 0 or more, for one purpose.

    The raw output of the PCG-64 generator (O'Neill, PCG: A family of simple fast space-efficient statistically good
    algorithms for random number generation, 2014), seeded by `numpy.random.SeedSequence([seed, stream])`. NumPy keeps
    both the same across versions and platforms (NEP 19); its shuffles it may change, so none is used.

    >>> seeded_words(41, Stream.ORDER, 2).tolist() == seeded_words(41, Stream.ORDER, 3)[:2].tolist()
    True
    """
    raw: npt.NDArray[np.uint64] = np.random.PCG64(np.random.SeedSequence([seed, int(stream)])).random_raw(count)
    return raw


def ranking(words: npt.NDArray[np.uint64]) -> Whole:
    """Turn words on the last axis into a random order of 0, 1, 2, ...: every order is as likely.

    The odds of two equal words, which would keep their order, are under 1 in 10^16 for 60 of them.
    """
    return np.argsort(words, kind="stable").astype(np.int64)


@lru_cache(maxsize=1_024)
def draw_places(blocks: int, arms: int, seed: int, spares: int = 0, stream: Stream = Stream.ORDER) -> Whole:
    """In which order do the arms of each block run?

    Pairs, or blocks of a graded trial, 1 or more, of 2 or more arms each. The `spares`, kept in hand for void ones,
    come after the planned ones and are drawn each by itself, so that the planned ones stay balanced. Blocks added to a
    plan later are drawn from a `stream` of their own, and leave the first draw as it was. Row by row, shape (blocks +
    spares, arms), come the arms as they run, first to last; 0 is the baseline.

    Balanced: over the planned blocks every arm stands in every place equally often, or once more or less where the
    numbers don't divide. For pairs that is k/2 with either half first, the odd one to either side alike, every such
    sequence as likely. For more arms the blocks are the rows of Latin squares with rows, columns and letters in random
    order, and the rows of all squares are mixed.

    Source: Fisher and Yates, Statistical Tables for Biological, Agricultural and Medical Research, 1938, on drawing a
    Latin square by permuting rows, columns and letters (cited from memory).

    >>> places = draw_places(6, 2, seed=41)
    >>> places.shape, int(places[:, 0].sum())
    ((6, 2), 3)
    """
    if blocks < 1 or arms < 2 or seed < 0 or spares < 0:
        raise ValueError(f"no draw for {blocks} blocks, {arms} arms, seed {seed}, {spares} spares; see the docstring")
    planned = words_of_blocks(blocks, arms)
    words = seeded_words(seed, stream, planned + spares * arms)
    own = ranking(words[planned:].reshape(spares, arms))
    places = np.concatenate([balanced_blocks(words[:planned], blocks, arms), own])
    places.flags.writeable = False  # whoever has them from the cache can't change them
    return places


def words_of_blocks(blocks: int, arms: int) -> int:
    """How many words does `balanced_blocks` take?"""
    return 4 * arms * -(-blocks // arms)


def balanced_blocks(words: npt.NDArray[np.uint64], blocks: int, arms: int) -> Whole:
    """Turn words into the planned blocks of one trial, or of many (leading axes): rows of Latin squares, mixed.

    >>> words = np.random.default_rng(1).integers(2**63, size=(2, words_of_blocks(4, 4)), dtype=np.uint64)
    >>> np.sort(balanced_blocks(words, 4, 4), axis=1)[:, :, 0].tolist()
    [[0, 1, 2, 3], [0, 1, 2, 3]]
    """
    squares, lead = -(-blocks // arms), words.shape[:-1]
    dealt, mixing = words[..., : 3 * arms * squares], words[..., 3 * arms * squares :][..., :blocks]
    rows = _latin_square(dealt.reshape(*lead, squares, 3, arms)).reshape(*lead, squares * arms, arms)
    return np.take_along_axis(rows, ranking(mixing)[..., np.newaxis], axis=-2)


def _latin_square(words: npt.NDArray[np.uint64]) -> Whole:
    """Cyclic Latin squares with their rows, columns and letters in random order; words of shape (..., 3, arms)."""
    rows, columns, letters = np.moveaxis(ranking(words), -2, 0)
    at = (rows[..., :, np.newaxis] + columns[..., np.newaxis, :]) % words.shape[-1]
    return np.take_along_axis(letters[..., np.newaxis, :], at, axis=-1)


def draw_shares(blocks: int, arms: int, seed: int) -> Whole:
    """Which half of a split lot goes to which arm? The share, 0 for the first, that each arm of each block is fed.

    An independent draw for every block, spares too; for pairs a coin, which is what the sign flips are exact for.

    >>> sorted(draw_shares(1, 2, seed=41)[0].tolist())
    [0, 1]
    """
    words = seeded_words(seed, Stream.SHARES, blocks * arms).reshape(blocks, arms)
    return np.stack([ranking(part) for part in words])
