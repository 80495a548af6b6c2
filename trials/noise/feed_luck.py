"""How much dirt holds enough grains, and how far the gold in two like halves differs by the luck of its grains."""

import math

from trials.simulation.dirt import Dirt, grain_mass_mg

BARE_MINIMUM = 20
"""Grains of one size: the bare minimum (Clifton et al., USGS Professional Paper 625-C, 1969, by a later note)."""


def mass_for_grains_g(
    grain_mm: float, grade_mg_kg: float, grains: int = BARE_MINIMUM, *, csf: float = 0.3, density: float = 17.5
) -> float:
    """How much dirt holds so many grains of one size?

    Parameters
    ----------
    grain_mm
        Sieve size of the grains, mm, over 0.
    grade_mg_kg
        Gold of that size in the dirt, mg/kg, over 0.
    grains
        Grains wanted on the average, 0 or more.
    csf, density
        Corey shape factor and g/cm3, as in `trials.simulation.dirt.grain_mass_mg`.

    Returns
    -------
    float
        g of dirt: grains x mass of one / grade.

    Raises
    ------
    ValueError
        A size or grade that is not over 0; grains under 0.

    References
    ----------
    Derived; flakes of shape factor 0.3 are assumed, no source.

    Examples
    --------
    >>> round(mass_for_grains_g(0.3, 0.5) / 1000, 1)
    3.0
    """
    for name, value in (("grain_mm", grain_mm), ("grade_mg_kg", grade_mg_kg)):
        if not value > 0.0:
            raise ValueError(
                f"{name} is {value}; it must be over 0. Give the size of the grains and the gold in the dirt."
            )
    if grains < 0:
        raise ValueError(f"grains is {grains}; it must be 0 or more. Give how many are wanted.")
    return 1000.0 * grains * float(grain_mass_mg(grain_mm, csf, density)) / grade_mg_kg


def feed_luck_cv(dirt: Dirt) -> float:
    """How far does the gold of one half lie from what was expected, by the luck of its grains and of the split?

    Parameters
    ----------
    dirt
        What one run is fed.

    Returns
    -------
    float
        CV: sqrt(sum n m^2 (v + cv^2)) / sum n m. Two halves differ by sqrt(2) times as much. Infinite without gold.

    References
    ----------
    Derived: variance of a sum of a random number of random grains.

    Examples
    --------
    >>> round(feed_luck_cv(Dirt(gold_mg=9, size_set="coarse", grain_cv=0.0)), 2)
    0.7
    """
    grains, mass_mg = dirt.expected_grains(), dirt.grain_masses_mg()
    if dirt.gold_mg == 0.0:
        return math.inf
    squares = float(grains @ mass_mg**2) * (dirt.split_vmr + dirt.grain_cv**2)
    return math.sqrt(squares) / float(grains @ mass_mg)
