"""Sieve numbers and their openings."""

from itertools import pairwise

import pytest

from tests.tables import every
from trials.units.sieve_series import APERTURES_MM, Series, aperture_mm, read_series
from trials.units.unit_error import UnitError

# ASTM E11 table 1 (= ISO 3310-1, R20/3 and R40/3). No. 4 to 7 and the inch sieves seen in E11-01; the rest: value from memory.
ASTM_E11 = {
    "1/2 in": 12.5, "3/8 in": 9.5, "1/4 in": 6.3, 4: 4.75, 5: 4, 6: 3.35, 7: 2.8, 8: 2.36, 10: 2, 12: 1.7, 14: 1.4, 16: 1.18,
    18: 1, 20: 0.85, 25: 0.71, 30: 0.6, 35: 0.5, 40: 0.425, 45: 0.355, 50: 0.3, 60: 0.25, 70: 0.212, 80: 0.18, 100: 0.15,
    120: 0.125, 140: 0.106, 170: 0.09, 200: 0.075, 230: 0.063, 270: 0.053, 325: 0.045, 400: 0.038, 450: 0.032, 500: 0.025,
    635: 0.02,
}  # fmt: skip
# Tyler numbers beside the E11 openings. 65, 100 and 150: section 5.1 of our trade facts; the rest: value from memory.
TYLER = {
    4: 4.75, 5: 4, 6: 3.35, 7: 2.8, 8: 2.36, 9: 2, 10: 1.7, 12: 1.4, 14: 1.18, 16: 1, 20: 0.85, 24: 0.71, 28: 0.6, 32: 0.5,
    35: 0.425, 42: 0.355, 48: 0.3, 60: 0.25, 65: 0.212, 80: 0.18, 100: 0.15, 115: 0.125, 150: 0.106, 170: 0.09, 200: 0.075,
    250: 0.063, 270: 0.053, 325: 0.045, 400: 0.038, 450: 0.032, 500: 0.025, 635: 0.02,
}  # fmt: skip


@every(("mesh", "opening"), ASTM_E11.items())
def test_astm_openings(mesh: int | str, opening: float):
    """Every ASTM sieve has the nominal opening of E11."""
    assert aperture_mm(mesh, "ASTM") == opening


@every(("mesh", "opening"), TYLER.items())
def test_tyler_openings(mesh: int | str, opening: float):
    """Every Tyler number has the E11 opening it stands for: 65 is 0.212, 100 is 0.150, 150 is 0.106 mm."""
    assert aperture_mm(mesh, "Tyler") == opening


def test_no_sieve_is_in_the_tables_unseen():
    """The tables hold the sieves listed here and no others."""
    assert set(APERTURES_MM[Series.ASTM]) == {str(mesh) for mesh in ASTM_E11}
    assert set(APERTURES_MM[Series.TYLER]) == {str(mesh) for mesh in TYLER}


def test_astm_steps_by_the_fourth_root_of_two():
    """From No. 4 down each opening is 2^(1/4) smaller than the one before, within 7 % (E11, R40/3 series)."""
    openings = [opening for mesh, opening in ASTM_E11.items() if isinstance(mesh, int)]
    assert all(coarse / fine == pytest.approx(2**0.25, rel=0.07) for coarse, fine in pairwise(openings[:-2]))
    assert openings[-2] / openings[-1] == pytest.approx(2**0.25, rel=0.07)


def test_hobby_set():
    """The hobby set is 1/2 and 1/4 in, 8, 12, 20, 30, 50, 70, 100 (common practice), numbers at E11 openings."""
    hobby = {"1/2 in": 12.7, "1/4 in": 6.35, **{str(mesh): ASTM_E11[mesh] for mesh in (8, 12, 20, 30, 50, 70, 100)}}
    assert APERTURES_MM[Series.HOBBY] == hobby


@every("series", Series)
def test_openings_shrink_down_each_series(series: str):
    """In every series a higher number is a smaller opening."""
    openings = list(APERTURES_MM[series].values())
    assert openings == sorted(set(openings), reverse=True)


@every(
    ("mesh", "series", "says"),
    [
        (33, "ASTM", r"^33: no ASTM sieve\. The nearest are 30 \(0\.600 mm\) and 35 \(0\.500 mm\)\.$"),
        (65, "ASTM", r"The nearest are 60 \(0\.250 mm\) and 70 \(0\.212 mm\)\."),
        (30, "Tyler", r"^30: no Tyler sieve\. The nearest are 28 \(0\.600 mm\) and 32 \(0\.500 mm\)\.$"),
        (3, "ASTM", r"The nearest is 4 \(4\.750 mm\)\.$"),
        (1000, "ASTM", r"The nearest is 635 \(0\.020 mm\)\.$"),
        (60, "hobby", r"^60: no hobby sieve\. The nearest are 50 \(0\.300 mm\) and 70 \(0\.212 mm\)\.$"),
        ("1/3 in", "hobby", r"^1/3 in: no hobby sieve\. Write one of 1/2 in, 1/4 in, 8, 12, 20, 30, 50, 70, 100\.$"),
        ("9" * 5000, "hobby", r"Write one of 1/2 in"),
        (30, "BS", r"^BS: not a series of sieves\. Write ASTM, Tyler or hobby\.$"),
        (30, "", r"^nothing: not a series of sieves"),
    ],
)
def test_unknown_sieves_name_their_neighbours(mesh: int | str, series: str, says: str):
    """A sieve that a series has not got is refused with the ones beside it."""
    with pytest.raises(UnitError, match=says):
        aperture_mm(mesh, series)


def test_series_in_any_case_of_letters():
    """A series is known however its letters are cased, and an inch sieve however it is spaced."""
    assert [read_series(text) for text in ("astm", " TYLER ", "Hobby")] == list(Series)
    assert [aperture_mm(text, "astm") for text in ("1/4 in", "1/4in", "1/4 inch", '1/4"')] == [6.3] * 4
