"""Invented dirt: how much gold a run is fed, in grains of which sizes. Assumed, not measured."""

import math
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Literal, TypeAlias

import numpy as np
import numpy.typing as npt

from trials.simulation.arrays import require_within
from trials.statistics.arrays import Numbers

SizeSet: TypeAlias = Literal["coarse", "medium", "fine"]

CLASS_EDGES_MM = (2.0, 1.4, 0.85, 0.6, 0.425, 0.3, 0.212, 0.15, 0.106, 0.075, 0.053)
"""Sieve openings that bound the 10 size classes, coarsest first (ASTM E11 openings)."""

CLASS_COUNT = len(CLASS_EDGES_MM) - 1

MOST_GOLD_MG = 100_000.0
"""Gold that one run can be fed, mg."""

GOLD_SHARES = MappingProxyType(
    {
        "coarse": (0.25, 0.25, 0.18, 0.12, 0.09, 0.05, 0.03, 0.02, 0.007, 0.003),
        "medium": (0.05, 0.12, 0.17, 0.20, 0.18, 0.13, 0.08, 0.04, 0.02, 0.01),
        "fine": (0.0, 0.0, 0.02, 0.06, 0.14, 0.22, 0.24, 0.18, 0.10, 0.04),
    }
)
"""Share of the gold mass in each class, coarsest first; assumed for simulation, no source."""


@dataclass(frozen=True)
class Dirt:
    """What one run is fed; assumed, not measured.

    gold_mg: Gold expected in one run's half, mg, 0 to 100,000.
    size_set: How that gold is spread over the classes.
    split_vmr: Variance over mean of the grain counts a split gives, 1 to 50: 1 is pure luck, shovel halves 1 to 2,
        scoops up to 19. A riffle splitter can do a little better than 1 (0.77 to 0.93); that is not modelled.
    grain_cv: CV of grain mass within a class, 0 to 3.
    csf: Corey shape factor, thickness over sqrt(length x breadth), above 0 to 1.
    density: Density of the gold, g/cm3, 1 to 22.
    lot_cv: CV of richness between lots, one lot a pair, 0 to 5; both halves of a pair share it.
    fed_g: Dirt fed to one run, g, above 0.
    fed_cv: CV of the mass of one half, 0 to 1; its gold goes with it.

    Sources: splitting, Minnitt, "Scoop vs riffle", Sampling Science & Technology, doi 10.62178/sst.005.002; Wells,
    Placer Examination, BLM Technical Bulletin 4, 1969; shape, Macdonald, Handbook of Gold Exploration and Evaluation,
    2007. The rest is assumed for simulation, no source.

    >>> Dirt(gold_mg=9, size_set="coarse").expected_grains().round(2)
    array([ 0.17,  0.63,  1.62,  3.05,  6.47, 10.21, 17.32, 32.66, 32.33,
           39.19])
    """

    gold_mg: float = 90.0
    size_set: SizeSet = "medium"
    split_vmr: float = 1.0
    grain_cv: float = 0.5
    csf: float = 0.3
    density: float = 17.5
    lot_cv: float = 0.0
    fed_g: float = 10_000.0
    fed_cv: float = 0.0

    def __post_init__(self) -> None:
        if self.size_set not in GOLD_SHARES:
            known = ", ".join(GOLD_SHARES)
            raise ValueError(f"Dirt.size_set is {self.size_set!r}; it must be one of {known}. Choose one.")
        require_within("Dirt.gold_mg", self.gold_mg, 0.0, MOST_GOLD_MG)
        require_within("Dirt.split_vmr", self.split_vmr, 1.0, 50.0)
        require_within("Dirt.grain_cv", self.grain_cv, 0.0, 3.0)
        require_within("Dirt.csf", self.csf, 0.001, 1.0)
        require_within("Dirt.density", self.density, 1.0, 22.0)
        require_within("Dirt.lot_cv", self.lot_cv, 0.0, 5.0)
        require_within("Dirt.fed_g", self.fed_g, 0.001, 1e9)
        require_within("Dirt.fed_cv", self.fed_cv, 0.0, 1.0)

    def expected_grains(self) -> Numbers:
        """Grains expected in one run's half, by class: see the function of this name."""
        return expected_grains(self.gold_mg, self.size_set, csf=self.csf, density=self.density)

    def grain_masses_mg(self) -> Numbers:
        """Mean grain mass by class, mg."""
        return class_grain_masses_mg(csf=self.csf, density=self.density)


def grain_mass_mg(d_mm: npt.ArrayLike, csf: float = 0.3, density: float = 17.5) -> Numbers:
    """Weigh a grain of a given sieve size: an ellipsoid of length and breadth d, thickness CSF d; mg, pi/6 d^3 CSF rho.

    Sieve sizes of any shape, 0 or more; `csf` is the Corey shape factor, 1 a sphere; density in g/cm3, which is mg/mm3:
    placer gold alloy about 17.5, pure gold 19.3. Source: volume of an ellipsoid; shape factor after Macdonald, Handbook
    of Gold Exploration and Evaluation, 2007.

    >>> float(grain_mass_mg(2.0, csf=1.0).round(1)), float(grain_mass_mg(0.3, csf=0.2).round(4))
    (73.3, 0.0495)
    """
    d = np.asarray(d_mm, dtype=np.float64)
    mass: Numbers = np.asarray(math.pi / 6 * d**3 * csf * density)
    return mass


@lru_cache
def class_grain_masses_mg(csf: float = 0.3, density: float = 17.5) -> Numbers:
    """Weigh the middle grain of each of the 10 size classes, mg, coarsest first.

    The middle is the geometric mean of the edges: assumed for simulation, no source.

    >>> class_grain_masses_mg()[:5].round(4)
    array([12.8794,  3.5684,  1.0012,  0.354 ,  0.1251])
    """
    edges = np.asarray(CLASS_EDGES_MM)
    return _fixed(grain_mass_mg(np.sqrt(edges[:-1] * edges[1:]), csf, density))


@lru_cache(maxsize=1_024)
def expected_grains(gold_mg: float, size_set: SizeSet, *, csf: float = 0.3, density: float = 17.5) -> Numbers:
    """Count the grains of each class that make up so much gold: gold x share / grain mass, coarsest first, not rounded.

    >>> expected_grains(90, "medium")[:5].round(1)
    array([  0.3,   3. ,  15.3,  50.9, 129.4])
    """
    return _fixed(gold_mg * np.asarray(GOLD_SHARES[size_set]) / class_grain_masses_mg(csf, density))


def _fixed(values: Numbers) -> Numbers:
    """The same values, which whoever has them from the cache can't change."""
    values.flags.writeable = False
    return values
