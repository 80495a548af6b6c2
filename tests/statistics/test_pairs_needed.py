"""Power, pairs needed and the smallest findable difference are those of the tables, and undo each other."""

import math
import warnings

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tables import every
from trials.statistics.limits import critical_t
from trials.statistics.pairs_needed import pairs_needed, power, smallest_findable

few = settings(max_examples=60, deadline=None)


@every(
    ("effect", "pairs", "level", "published"),
    [
        (1.0, 30, 0.95, 0.9995636009612725),
        (0.2, 20, 0.95, 0.1359562887679666),
        # One-sided .05: the far tail of the two-sided test at .10 is empty at this size.
        (1.0, 30, 0.90, 0.999892010204909),
    ],
)
def test_power_against_pwr(effect, pairs, level, published):
    """Power is that of the R package pwr."""
    # pwr.t.test, one sample or paired; results kept in statsmodels test_power.py, seen.
    assert power(effect, pairs, level=level) == pytest.approx(published, abs=1e-8)


def test_power_against_gpower(printed):
    """The matched-pairs example of the G*Power manual."""
    # Faul et al., Behavior Research Methods 39 (2007), G*Power 3 manual; values from memory.
    assert 0.421637 * math.sqrt(50) == printed("2.981424")
    assert critical_t(49, 0.95) == printed("2.009575")
    assert power(0.421637, 50) == printed("0.832114")


@every(("effect", "pairs"), [(0.2, 199), (0.5, 34), (0.8, 15)])
def test_pairs_against_gpower(effect, pairs):
    """Small, middling and large effects need as many pairs as the G*Power users' guide says."""
    # Faul et al., G*Power users' guide, paired, two-sided .05, power .80; values from memory.
    assert pairs_needed(effect) == pairs


def test_pairs_against_handbook(printed):
    """One SD, one-sided 5 %, power 90 %: eleven."""
    # NIST/SEMATECH e-Handbook 7.2.2.2 iterates t values from 8.567 (normal) over 10.6 to 10.1, so 11; values from memory.
    # Power at 10 and 11 pairs: scipy.stats.nct, computed.
    assert pairs_needed(1.0, power=0.90, level=0.90) == 11
    assert (power(1.0, 10, level=0.90), power(1.0, 11, level=0.90)) == (printed("0.8975"), printed("0.9245"))


@pytest.mark.parametrize(
    ("pairs", "at_80", "at_90"),
    [
        (3, "3.264", "3.923"),
        (4, "2.128", "2.507"),
        (5, "1.682", "1.966"),
        (6, "1.435", "1.670"),
        (7, "1.273", "1.479"),
        (8, "1.156", "1.342"),
        (10, ".996", "1.155"),
        (12, ".889", "1.029"),
        (16, ".749", ".868"),
        (20, ".660", ".764"),
    ],
)
def test_smallest_findable_table(printed, pairs, at_80, at_90):
    """The planning table: own calculation, not published, from the noncentral t of scipy.stats."""
    assert smallest_findable(pairs) == printed(at_80)
    assert smallest_findable(pairs, power=0.9) == printed(at_90)


@every(
    ("effect", "at_80", "at_90"),
    [(2, 5, 5), (1.25, 8, 9), (1, 10, 13), (2 / 3, 20, 26), (0.5, 34, 44), (1 / 3, 73, 97)],
)
def test_pairs_needed_table(effect, at_80, at_90):
    """The pairs-needed table: own calculation, not published, from the noncentral t of scipy.stats."""
    assert (pairs_needed(effect), pairs_needed(effect, power=0.9)) == (at_80, at_90)


@pytest.mark.parametrize(("effect", "pairs", "tabled"), [(1, 8, ".6808"), (1.5, 6, ".8325"), (2, 4, ".7550")])
def test_power_table(printed, effect, pairs, tabled):
    """Power values: own calculation, not published, from the noncentral t of scipy.stats."""
    assert power(effect, pairs) == printed(tabled)


def test_power_against_reference():
    """Power is that of statsmodels, wherever that has an answer."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # what another package warns of while it loads is not ours
        from statsmodels.stats.power import TTestPower

    reference = TTestPower()
    for effect in (0.1, 0.3, 0.5, 1.0, 1.5, 2.0):
        for pairs in (3, 5, 8, 12, 40, 300):
            expected = reference.power(effect, pairs, 0.05, alternative="two-sided")
            if math.isfinite(expected):
                assert power(effect, pairs) == pytest.approx(expected, abs=1e-8)


def test_power_against_simulation():
    """Power is how often simulated trials find the difference."""
    from trials.statistics.paired_t import paired_t

    fit = paired_t(np.random.default_rng(1).normal(1.0, 1.0, (40_000, 6)))
    found = ((fit.low > 0) | (fit.high < 0)).mean()
    assert found == pytest.approx(power(1.0, 6), abs=4 * math.sqrt(0.25 / 40_000))


def test_no_gaps():
    """Power rises with the effect and with the pairs to 1, also where the noncentral t has no answer for a tail."""
    effects = np.concatenate([np.linspace(0, 30, 3001), [1e3, 1e8, 1e300]])
    for pairs in (2, 3, 4, 5, 8, 10, 16, 200, 1_000_000):
        powers = power(effects, pairs)
        assert np.isfinite(powers).all()
        assert (np.diff(powers) > -1e-12).all()
        assert powers[-1] == pytest.approx(1.0, abs=1e-9)
    assert (np.diff(power(0.5, np.arange(2, 400))) > -1e-12).all()


@few
@given(st.floats(0.05, 5), st.sampled_from([0.5, 0.8, 0.9]), st.sampled_from([0.9, 0.95, 0.99]))
def test_pairs_needed_is_the_smallest(effect, target, level):
    """So many pairs are enough, one fewer is not."""
    pairs = pairs_needed(effect, power=target, level=level)
    assert power(effect, pairs, level=level) >= target
    assert pairs == 2 or power(effect, pairs - 1, level=level) < target


@few
@given(st.integers(2, 5000), st.sampled_from([0.5, 0.8, 0.95]), st.sampled_from([0.9, 0.95, 0.99]))
def test_smallest_findable_undoes_power(pairs, target, level):
    """The smallest findable difference is found as often as asked."""
    effect = smallest_findable(pairs, power=target, level=level)
    assert power(effect, pairs, level=level) == pytest.approx(target, abs=1e-9)


@few
@given(st.floats(-5, 5), st.integers(2, 100))
def test_sign_does_not_matter(effect, pairs):
    """A loss is found as often as a gain of its size."""
    assert power(effect, pairs) == power(-effect, pairs)


def test_broadcasting():
    """Effects and pairs of any like shapes go together, cell by cell."""
    powers = power([[0.5], [1.0]], [4, 8, 12])
    assert powers.shape == (2, 3)
    assert powers[1, 1] == power(1.0, 8)
    smallest = smallest_findable([[3, 4], [8, 12]])
    assert smallest.shape == (2, 2)
    assert smallest[1, 0] == pytest.approx(smallest_findable(8), rel=1e-12)
    assert (type(power(1, 8)), type(smallest_findable(8)), type(pairs_needed(1))) == (float, float, int)


def test_degenerate_no_effect():
    """With nothing to find, what is found are the false alarms."""
    assert power(0.0, 8) == pytest.approx(0.05, rel=1e-9)


def test_degenerate_huge_and_tiny_effects():
    """Two pairs at least, a million at most, None beyond."""
    assert pairs_needed(1e9) == 2
    # z-values: (1.959964 + .841621)^2 / effect^2 (normal theory, exact at such numbers).
    assert pairs_needed(0.0029) == pytest.approx(7.848879 / 0.0029**2, abs=3)
    assert pairs_needed(0.0028) is None


@every("effect", [0, 0.0, [1.0, 2.0]])
def test_refused_effects_to_plan_for(effect):
    """Nothing can be planned for no difference, or for several at once."""
    with pytest.raises(ValueError, match="cannot be planned for; give one difference that is not 0"):
        pairs_needed(effect)


@every("effect", [math.nan, math.inf])
def test_refused_effects(effect):
    """An effect is a finite number."""
    for ask in (pairs_needed, lambda e: power(e, 8)):
        with pytest.raises(ValueError, match=r"^effect: (nan|inf) is not a finite number"):
            ask(effect)


@every("target", [0.0, 0.05, 1.0, 80, math.nan])
def test_refused_powers(target):
    """A power lies between what luck gives and 1."""
    for ask in (lambda p: pairs_needed(1.0, power=p), lambda p: smallest_findable(8, power=p)):
        with pytest.raises(ValueError, match=r"^power: .* does not lie between 0\.05 .* write 80 % as 0\.8\.$"):
            ask(target)


def test_refused_pairs_and_levels():
    """Pairs are whole numbers from 2, levels shares up to .9999."""
    with pytest.raises(ValueError, match=r"^pairs: 1 is not a whole number"):
        power(1.0, 1)
    with pytest.raises(ValueError, match=r"^pairs: 2\.5 is not a whole number"):
        smallest_findable(2.5)
    with pytest.raises(ValueError, match=r"^level: 95 does not lie"):
        pairs_needed(1.0, level=95)
    with pytest.raises(ValueError, match=r"^level: 0\.99999 is over 0\.9999"):
        power(1.0, 8, level=0.99999)
