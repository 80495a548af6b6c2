"""Sieve numbers and their openings, by series. A mesh number means nothing without its series."""

from collections.abc import Mapping
from enum import StrEnum

from trials.units.unit_error import UnitError, refusal, shortened


class Series(StrEnum):
    """Whose mesh numbers are meant."""

    ASTM = "ASTM"
    TYLER = "Tyler"
    HOBBY = "hobby"


_ASTM_MESH = {
    "4": 4.75, "5": 4.0, "6": 3.35, "7": 2.8, "8": 2.36, "10": 2.0, "12": 1.7, "14": 1.4, "16": 1.18,
    "18": 1.0, "20": 0.85, "25": 0.71, "30": 0.6, "35": 0.5, "40": 0.425, "45": 0.355, "50": 0.3,
    "60": 0.25, "70": 0.212, "80": 0.18, "100": 0.15, "120": 0.125, "140": 0.106, "170": 0.09,
    "200": 0.075, "230": 0.063, "270": 0.053, "325": 0.045, "400": 0.038, "450": 0.032, "500": 0.025,
    "635": 0.02,
}  # fmt: skip
_TYLER = {
    "4": 4.75, "5": 4.0, "6": 3.35, "7": 2.8, "8": 2.36, "9": 2.0, "10": 1.7, "12": 1.4, "14": 1.18,
    "16": 1.0, "20": 0.85, "24": 0.71, "28": 0.6, "32": 0.5, "35": 0.425, "42": 0.355, "48": 0.3,
    "60": 0.25, "65": 0.212, "80": 0.18, "100": 0.15, "115": 0.125, "150": 0.106, "170": 0.09,
    "200": 0.075, "250": 0.063, "270": 0.053, "325": 0.045, "400": 0.038, "450": 0.032, "500": 0.025,
    "635": 0.02,
}  # fmt: skip
_HOBBY_MESH = ("8", "12", "20", "30", "50", "70", "100")

APERTURES_MM: Mapping[Series, Mapping[str, float]] = {
    Series.ASTM: {"1/2 in": 12.5, "3/8 in": 9.5, "1/4 in": 6.3, **_ASTM_MESH},
    Series.TYLER: _TYLER,
    Series.HOBBY: {"1/2 in": 12.7, "1/4 in": 6.35, **{mesh: _ASTM_MESH[mesh] for mesh in _HOBBY_MESH}},
}


def aperture_mm(mesh: int | str, series: str) -> float:
    """How wide is the opening of a sieve, mm, by its number, as 30, or as an inch sieve, as "1/4 in"?

    ASTM: nominal apertures of ASTM E11 table 1 (the same openings as ISO 3310-1); its inch sieves are rounded metric
    ones: 1/4 in is 6.3 mm. Tyler: the Tyler number beside each E11 opening. hobby: classifier pans, with no standard
    behind them: the E11 opening of the number printed on the pan, and the plain inch for inch pans; real ones are out
    by 5 to 15 %. A UnitError for another series, or a sieve that it does not have, names the nearest.

    >>> aperture_mm(30, "ASTM"), aperture_mm(65, "Tyler"), aperture_mm("1/4 in", "hobby")
    (0.6, 0.212, 6.35)
    >>> aperture_mm(30, "Tyler")
    Traceback (most recent call last):
    trials.units.unit_error.UnitError: 30: no Tyler sieve. The nearest are 28 (0.600 mm) and 32 (0.500 mm).
    """
    known = APERTURES_MM[read_series(series)]
    name = _plain(str(mesh))
    if name not in known:
        raise refusal(str(mesh), f"no {read_series(series)} sieve. {_nearest(name, known)}")
    return known[name]


def read_series(text: str) -> Series:
    """Which series of sieves is named, in any case?"""
    for series in Series:
        if text.strip().casefold() == series.casefold():
            return series
    raise refusal(text, "not a series of sieves. Write ASTM, Tyler or hobby.")


def series_question(mesh: str) -> UnitError:
    """Ask back whose mesh number this is, with the first series that has it."""
    asked = f"{shortened(mesh)} mesh: ASTM, Tyler or hobby?"
    for series, known in APERTURES_MM.items():
        if mesh in known:
            return UnitError(f'{asked} Write series = "{series}" ({known[mesh]:.3f} mm).')
    return UnitError(f"{asked} None has that number. {_nearest(mesh, APERTURES_MM[Series.ASTM], 'ASTM ')}")


def _plain(mesh: str) -> str:
    """Write a sieve as the tables do: no white space around, one before "in", no leading zeros."""
    name = " ".join(mesh.casefold().replace('"', " in").replace("inch", "in").replace("in", " in").split())
    return name.lstrip("0") if name.isascii() and name.isdigit() else name


def _nearest(name: str, known: Mapping[str, float], word: str = "") -> str:
    """Name the sieves on either side of an unknown number, or what there is where it is no number."""
    meshes = [int(mesh) for mesh in known if mesh.isdigit()]
    if not (name.isascii() and name.isdigit() and len(name) < 10):
        return f"Write one of {', '.join(known)}."
    number = int(name)
    beside = [
        max((m for m in meshes if m < number), default=None),
        min((m for m in meshes if m > number), default=None),
    ]
    told = [f"{word}{m} ({known[str(m)]:.3f} mm)" for m in beside if m is not None]
    return f"The nearest {'are' if len(told) > 1 else 'is'} {' and '.join(told)}."
