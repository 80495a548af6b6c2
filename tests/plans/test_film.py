"""Film on a flat table, against the table of the textbook formula worked out apart from the program."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trials.plans.film import film_on, viscosity_mm2_s, water_holding_depth

# width m, L/min, pitch deg, depth mm at 20 C and at 5 C, mean speed mm/s, Re: worked by hand from
# h = (3 nu q/(g sin a))^(1/3) (Southard, Introduction to Fluid Motions and Sediment Transport, LibreTexts, section 4.2)
TABLE = [
    (0.25, 4, 2, 1.33, 1.53, 201, 266),
    (0.25, 4, 6, 0.92, 1.06, 289, 266),
    (0.25, 8, 4, 1.33, 1.53, 401, 531),
    (0.25, 15, 4, 1.64, 1.88, 610, 996),
    (0.30, 6, 4, 1.14, 1.30, 293, 332),
    (0.30, 12, 4, 1.43, 1.64, 466, 664),
    (0.30, 20, 8, 1.35, 1.55, 824, 1107),
]


@pytest.mark.parametrize(("width_m", "water", "pitch", "depth", "depth_cold", "speed", "reynolds"), TABLE)
def test_film_table(
    width_m: float, water: float, pitch: float, depth: float, depth_cold: float, speed: float, reynolds: float
) -> None:
    """Depth, speed and Reynolds number to the last printed digit."""
    film = film_on(1000 * width_m, water, pitch)
    assert film.depth_mm == pytest.approx(depth, abs=0.0051)
    assert film.speed_mm_s == pytest.approx(speed, abs=0.51)
    assert film.reynolds == pytest.approx(reynolds, abs=0.51)
    assert film_on(1000 * width_m, water, pitch, temp_c=5).depth_mm == pytest.approx(depth_cold, abs=0.0051)


def test_what_doubling_water_and_pitch_do() -> None:
    """Twice the water: 26 % deeper, 59 % faster. Pitch 2 to 4 deg: 21 % thinner. 20 to 5 C: 15 % thicker."""
    one, two = film_on(250, 4, 4), film_on(250, 8, 4)
    assert two.depth_mm / one.depth_mm == pytest.approx(2 ** (1 / 3), rel=1e-12)
    assert two.speed_mm_s / one.speed_mm_s == pytest.approx(2 ** (2 / 3), rel=1e-12)
    assert film_on(250, 4, 4).depth_mm / film_on(250, 4, 2).depth_mm == pytest.approx(0.79, abs=0.005)
    assert film_on(250, 4, 4, temp_c=5).depth_mm / one.depth_mm == pytest.approx(1.15, abs=0.005)


@given(
    width=st.floats(50, 5000),
    water=st.floats(0.1, 1000),
    pitch=st.floats(0.5, 25),
    other=st.floats(0.5, 25),
    temp=st.floats(0, 40),
)
def test_water_that_holds_the_depth_does(width: float, water: float, pitch: float, other: float, temp: float) -> None:
    """With the water that is named, the film at the new pitch is as deep as it was; it goes with the sine of pitch."""
    film = film_on(width, water, pitch, temp_c=temp)
    held = water_holding_depth(width, film.depth_mm, other, temp_c=temp)
    assert film_on(width, held, other, temp_c=temp).depth_mm == pytest.approx(film.depth_mm, rel=1e-9)
    ratio = math.sin(math.radians(other)) / math.sin(math.radians(pitch))
    assert held == pytest.approx(water * ratio, rel=1e-9)


def test_speed_is_a_third_of_gravity_times_depth_squared_over_viscosity() -> None:
    """The same film from its force balance: mean speed = g sin(a) h^2 / (3 nu)."""
    film = film_on(300, 10, 5, temp_c=10)
    slope = 9806.65 * math.sin(math.radians(5))
    assert film.speed_mm_s == pytest.approx(slope * film.depth_mm**2 / (3 * 1.307), rel=1e-9)


@pytest.mark.parametrize(("temp", "nu"), [(5, 1.519), (10, 1.307), (15, 1.139), (20, 1.004), (25, 0.893), (30, 0.801)])
def test_viscosity_is_the_handbook_s(temp: float, nu: float) -> None:
    """Kinematic viscosity of water (CRC-type handbook values, from memory)."""
    assert viscosity_mm2_s(temp) == pytest.approx(nu, abs=1e-9)


def test_viscosity_past_the_table() -> None:
    """0 C 1.787 and 40 C 0.658 (handbook values, from memory): the ends of the table carried on, within 3 %."""
    assert viscosity_mm2_s(0) == pytest.approx(1.787, rel=0.03)
    assert viscosity_mm2_s(40) == pytest.approx(0.658, rel=0.03)


@pytest.mark.parametrize(("reynolds_at", "says"), [(4, "laminar"), (8, "partly turbulent"), (40, "turbulent")])
def test_the_regime_is_said(reynolds_at: float, says: str) -> None:
    """Laminar to Re 500, then partly turbulent, from 2,000 turbulent."""
    assert film_on(250, reynolds_at, 4).regime.split(" (")[0] == says


@pytest.mark.parametrize("asked", [(0, 8, 4), (250, 0, 4), (250, 8, 0), (250, 8, 90)])
def test_no_film_without_slope_width_or_water(asked: tuple[float, float, float]) -> None:
    """A level table holds no running film."""
    with pytest.raises(ValueError, match="no film"):
        film_on(*asked)
