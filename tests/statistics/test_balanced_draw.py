from collections import Counter
from collections.abc import Callable
from math import comb

import numpy as np
import pytest
from scipy import stats

from tests.tables import every
from trials.statistics.balanced_draw import Stream, draw_places, draw_shares, ranking, seeded_words


def test_the_generator_is_the_published_one() -> None:
    """PCG-64 gives the words of NumPy's own test set (numpy/random/tests/data/pcg64-testset-1.csv, seed 0xdeadbeaf)."""
    published = [0x60D24054E17A0698, 0xD5E79D89856E4F12, 0xD254972FE64BD782, 0xF1E3072A53C72571]
    assert np.random.PCG64(0xDEADBEAF).random_raw(4).tolist() == published


def test_streams_of_one_seed_differ() -> None:
    """Order, tags and shares are drawn apart."""
    assert len({tuple(seeded_words(41, stream, 4).tolist()) for stream in Stream}) == len(Stream)


@every("pairs", [3, 4, 5, 6, 7, 12, 60])
def test_pairs_are_balanced(pairs: int) -> None:
    """Half of the pairs run the changed half first; the odd one goes to either side."""
    seen = {int(draw_places(pairs, 2, seed)[:, 0].sum()) for seed in range(60)}
    assert seen == ({pairs // 2} if pairs % 2 == 0 else {pairs // 2, pairs // 2 + 1})


@every("pairs", [4, 5])
def test_every_balanced_sequence_is_as_likely(pairs: int, sized: Callable[[int], int]) -> None:
    """Chi-square over all balanced sequences of many seeds (scipy as reference); the seeds are fixed."""
    seen = Counter(tuple(draw_places(pairs, 2, seed)[:, 0].tolist()) for seed in range(sized(6_000)))
    assert len(seen) == comb(pairs, pairs // 2) * (1 if pairs % 2 == 0 else 2)
    assert stats.chisquare(list(seen.values())).pvalue > 0.001


@every(("blocks", "arms"), [(6, 3), (5, 5), (7, 5), (4, 5), (10, 3), (3, 12)])
def test_levels_stand_in_every_place_as_often_as_the_numbers_allow(blocks: int, arms: int) -> None:
    """Each block holds every level once, and over the blocks each place holds each level alike."""
    for seed in range(40):
        places = draw_places(blocks, arms, seed)
        assert (np.sort(places, axis=1) == np.arange(arms)).all()
        counts = np.array([np.bincount(place, minlength=arms) for place in places.T])
        assert counts.max() - counts.min() <= 1


def test_spares_leave_the_planned_blocks_as_they_are() -> None:
    """A spare is a draw of its own: with or without it the planned pairs stay balanced."""
    for seed in range(40):
        places = draw_places(6, 2, seed, spares=3)
        assert places.shape == (9, 2)
        assert int(places[:6, 0].sum()) == 3
    first = [int(draw_places(6, 2, seed, spares=1)[6, 0]) for seed in range(2000)]
    assert stats.binomtest(sum(first), len(first)).pvalue > 0.001


def test_which_half_goes_first_is_a_coin_apart_from_the_order() -> None:
    """The share of the lot is independent of the order (chi-square on a 2 x 2 table, scipy as reference)."""
    table = np.zeros((2, 2))
    for seed in range(3000):
        order, shares = draw_places(1, 2, seed), draw_shares(1, 2, seed)
        table[order[0, 0], shares[0, 0]] += 1
    assert stats.chi2_contingency(table).pvalue > 0.001
    assert stats.chisquare(table.sum(axis=0)).pvalue > 0.001


def test_a_seed_as_large_as_the_store_holds_draws() -> None:
    """The largest seed that can be stored."""
    assert draw_places(3, 2, 2**63 - 1).shape == (3, 2)


@every("asked", [(0, 2, 1, 0), (3, 1, 1, 0), (3, 2, -1, 0), (3, 2, 1, -1)])
def test_what_cannot_be_drawn_is_refused(asked: tuple[int, int, int, int]) -> None:
    """No blocks, one arm, a negative seed or negative spares."""
    with pytest.raises(ValueError, match="no draw for"):
        draw_places(*asked)


def test_a_ranking_is_an_order() -> None:
    """Words become each number once."""
    assert sorted(ranking(seeded_words(1, Stream.TAGS, 20)).tolist()) == list(range(20))
