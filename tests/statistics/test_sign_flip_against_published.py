"""The sign flips count what Fisher and others counted by hand."""

import numpy as np
import pytest
from scipy.stats import rankdata

from trials.statistics.sign_flip import sign_flip

# Invented differences; their answers are own calculations, not published, that scipy.stats gives too.
V1 = [2.1, 0.4, 3.0, 1.2, -0.5, 2.6]
V2 = [*V1, 0.9, 1.7]


def _signed_midranks(differences):
    """Signed ranks of the sizes, ties shared, zeros left out: flipping these is Wilcoxon's test."""
    differences = np.asarray(differences, dtype=float)
    differences = np.round(differences[differences != 0], 9)
    return np.sign(differences) * rankdata(np.abs(differences))


def test_fishers_maize():
    """Of 32,768 flips of Darwin's maize 863 reach the sum that happened, on either side; 28 of them are ties."""
    # Fisher, The Design of Experiments (1935) sec. 21: 863 of 32,768, 2.634 % and 5.267 %; values from memory.
    # Darwin 1876 in eighths of an inch.
    eighths = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48]
    assert sum(eighths) == 314
    check = sign_flip(eighths)
    assert check.flips == 32768
    assert check.p == 2 * 863 / 32768
    assert check.exact
    # In inches the differences are the same eighths; in hundreds of inches they are no longer exact in a float.
    assert sign_flip([e / 800 for e in eighths]).p == 2 * 863 / 32768


def test_boys_shoes():
    """Of 1,024 flips of the shoes 7 reach the sum that happened on one side, though tenths are not exact floats."""
    # Box, Hunter & Hunter, Statistics for Experimenters (1978) p. 97-101: 7 with ties, 3 beyond; values from memory.
    a = np.array([13.2, 8.2, 10.9, 14.3, 10.7, 6.6, 9.5, 10.8, 8.8, 13.3])
    b = np.array([14.0, 8.8, 11.2, 14.2, 11.8, 6.4, 9.8, 11.3, 9.3, 13.6])
    check = sign_flip(b - a)
    assert (check.flips, check.p) == (1024, 14 / 1024)


def test_lamp_wire_welds(published_rows):
    """Of 4,096 flips of the welds 6 reach the sum that happened on one side."""
    # Sheesley, in Snee, Hare & Trout, Experiments in Industry (1985) p. 54-57 (data seen); count: computed.
    rows = published_rows("J_sheesley_weld.csv")
    old, new = (np.array([float(r["defects_per_hour"]) for r in rows if r["weld"] == weld]) for weld in ("1", "2"))
    check = sign_flip(old - new)
    assert (check.flips, check.p) == (4096, 12 / 4096)


def test_depression_scale_ranks(printed):
    """Flips of signed ranks are Wilcoxon's exact test."""
    # Hollander & Wolfe, Nonparametric Statistical Methods (1973) p. 29; R wilcox.test output, one-sided, seen.
    x = np.array([1.83, 0.50, 1.62, 2.48, 1.68, 1.88, 1.55, 3.06, 1.30])
    y = np.array([0.878, 0.647, 0.598, 2.05, 1.06, 1.29, 1.06, 3.14, 1.29])
    ranks = _signed_midranks(x - y)
    assert ranks[ranks > 0].sum() == 40
    assert sign_flip(ranks).p / 2 == printed("0.01953")


def test_twins_with_ties_and_a_zero(printed):
    """Flips of midranks stay exact with ties and after dropping a zero."""
    # Conover, Practical Nonparametric Statistics, 3rd ed. (1999) p. 355: n 11, signed ranks add to -17, squares to 505
    # (values from memory, data seen); p: library consensus.
    first = np.array([86, 71, 77, 68, 91, 72, 77, 91, 70, 71, 88, 87])
    second = np.array([88, 77, 76, 64, 96, 72, 65, 90, 65, 80, 81, 72])
    ranks = _signed_midranks(second - first)
    assert (len(ranks), ranks.sum(), (ranks**2).sum()) == (11, -17, 505)
    assert sign_flip(ranks).p == printed("0.475586")


def test_twins_and_tracer_particles(published_rows, printed):
    """Flips of the ranks of seven twin pairs give the consensus p."""
    # Camner & Philipson (1973), R Stat2Data TwinsLungs (data seen); Wilcoxon p: library consensus.
    rows = published_rows("J_twinslungs.csv")
    urban, rural = (
        np.array([float(r["Percent"]) for r in rows if r["Environ"] == place]) for place in ("Urban", "Rural")
    )
    assert sign_flip(_signed_midranks(urban - rural)).p == printed("0.21875")


def test_worked_differences(printed):
    """Invented differences give the p that scipy.stats.permutation_test gives, and limits reckoned apart."""
    # Limits: own calculation, not published, the m-th smallest and largest of all subset means.
    one, two = sign_flip(V1), sign_flip(V2)
    assert (one.p, one.low, one.high) == (printed(".0938"), -0.5, 3.0)
    assert (two.p, two.low, two.high) == (printed(".0234"), printed(".3667"), printed("2.4333"))
    assert sign_flip(_signed_midranks(V1)).p == printed(".0938")
    assert sign_flip(_signed_midranks(V2)).p == printed(".0234")


@pytest.mark.parametrize(("pairs", "smallest"), [(3, ".25"), (4, ".125"), (5, ".0625"), (6, ".031")])
def test_smallest_possible_p(printed, pairs, smallest):
    """With few pairs p can't get small, and there are no limits to give."""
    # 2 of 2^k flips, by counting.
    check = sign_flip(list(range(1, pairs + 1)))
    assert check.p == check.smallest_p == printed(smallest)
    assert (check.low is None) == (check.high is None) == (pairs < 6)
