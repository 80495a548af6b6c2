"""The film of water on a flat table: how deep and how fast it is, and what water would hold its depth."""

import math
from dataclasses import dataclass

import numpy as np

GRAVITY_MM_S2 = 9806.65
LAMINAR_TO_RE = 500.0
"""Laminar to about here; overland-flow convention, recalled and not seen."""
TURBULENT_FROM_RE = 2000.0
TEMPERATURES_C = (5.0, 10.0, 15.0, 20.0, 25.0, 30.0)
VISCOSITIES_MM2_S = (1.519, 1.307, 1.139, 1.004, 0.893, 0.801)
"""Kinematic viscosity of water, 1e-6 m2/s, at the temperatures above: handbook table, values from memory."""


@dataclass(frozen=True, slots=True)
class Film:
    """A film of water running down a wide flat bed.

    speed_mm_s: Mean speed over the depth; the surface runs 1.5 times as fast.
    reynolds: Flow per width over viscosity: laminar to about 500, in between to about 2,000.
    """

    depth_mm: float
    speed_mm_s: float
    reynolds: float

    @property
    def regime(self) -> str:
        """Say in words what sort of flow it is."""
        words = "laminar" if self.reynolds <= LAMINAR_TO_RE else "partly turbulent"
        if self.reynolds > TURBULENT_FROM_RE:
            words = "turbulent"
        return f"{words} (Re {self.reynolds:.0f})"


def viscosity_mm2_s(temp_c: float) -> float:
    """How thick is water, 0 to 40 C? Kinematic viscosity, mm2/s.

    Between the handbook values by a straight line of their logs; outside 5 to 30 C the ends of the table are carried
    on.

    >>> viscosity_mm2_s(20.0), round(viscosity_mm2_s(12.0), 2)
    (1.004, 1.24)
    """
    temps, logs = np.asarray(TEMPERATURES_C), np.log(VISCOSITIES_MM2_S)
    if temp_c < temps[0] or temp_c > temps[-1]:
        ends = slice(0, 2) if temp_c < temps[0] else slice(-2, None)
        slope, foot = np.polyfit(temps[ends], logs[ends], 1)
        return float(np.exp(foot + slope * temp_c))
    return float(np.exp(np.interp(temp_c, temps, logs)))


def film_on(width_mm: float, water_l_min: float, pitch_deg: float, *, temp_c: float = 20.0) -> Film:
    """How deep and how fast is the film on a flat table? A width, water or pitch that is not over 0 is refused.

    Laminar film of even depth: h = (3 nu q / (g sin a))^(1/3), u = q/h, Re = q/nu, q flow per width (Nusselt 1916;
    Southard, Introduction to Fluid Motions and Sediment Transport, LibreTexts, section 4.2). Past Re 500 it is a guide
    only: the film is deeper and slower than this.

    >>> film = film_on(250, 8, 4)
    >>> round(film.depth_mm, 2), round(film.speed_mm_s), round(film.reynolds)
    (1.33, 401, 531)
    """
    if width_mm <= 0 or water_l_min <= 0 or not 0 < pitch_deg < 90:
        raise ValueError(f"no film for width {width_mm} mm, water {water_l_min} L/min, pitch {pitch_deg} deg")
    flow_mm2_s = water_l_min * 1e6 / 60.0 / width_mm
    viscosity = viscosity_mm2_s(temp_c)
    depth = math.cbrt(3.0 * viscosity * flow_mm2_s / (GRAVITY_MM_S2 * math.sin(math.radians(pitch_deg))))
    return Film(depth_mm=depth, speed_mm_s=flow_mm2_s / depth, reynolds=flow_mm2_s / viscosity)


def water_holding_depth(width_mm: float, depth_mm: float, pitch_deg: float, *, temp_c: float = 20.0) -> float:
    """How much water, L/min, gives a film of this depth at this pitch? As `film_on` turned round.

    >>> round(water_holding_depth(250, film_on(250, 8, 4).depth_mm, 5), 1)
    10.0
    """
    flow_mm2_s = GRAVITY_MM_S2 * math.sin(math.radians(pitch_deg)) * depth_mm**3 / (3.0 * viscosity_mm2_s(temp_c))
    return flow_mm2_s * width_mm * 60.0 / 1e6
