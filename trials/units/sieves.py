"""Size classes and single openings, as they are typed: "+20", "20/30", "-100", "0.3/0.6 mm", "30:ASTM"."""

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

from trials.units.kinds import Kind
from trials.units.quantity import read_quantity
from trials.units.sieve_series import APERTURES_MM, aperture_mm, read_series, series_question
from trials.units.typed_number import LONGEST_TYPED
from trials.units.unit_error import UnitError, refusal, shortened

_NUMBER = r"[0-9]+(?:\.[0-9]+)?|\.[0-9]+"
_UNIT = r"\s*(?P<unit>mm|um|µm|μm|micron|microns)"
_ONE_SIDED = re.compile(r"(?P<sign>[+-])\s*(?P<size>[^\s+-].*)")
_MESH = re.compile(r"(?P<mesh>[0-9]{1,9})(?:\s*mesh)?", re.IGNORECASE)
_MESH_RANGE = re.compile(
    r"(?:(?P<a>[0-9]{1,9})\s*/\s*(?P<b>[0-9]{1,9})|-\s*(?P<c>[0-9]{1,9})\s*/?\s*\+\s*(?P<d>[0-9]{1,9}))(?:\s*mesh)?",
    re.IGNORECASE,
)
_LENGTH_RANGE = re.compile(rf"(?P<a>{_NUMBER})\s*/\s*(?P<b>{_NUMBER}){_UNIT}", re.IGNORECASE)
_INCH_SIEVE = re.compile(r'(?P<mesh>[0-9]+/[0-9]+)\s*(?:in|inch|")', re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class SizeClass:
    """One size class: what passes the upper opening and is held on the lower one; None where a side is open."""

    label: str
    lower_mm: float | None
    upper_mm: float | None


def read_size_class(text: str, series: str | None = None) -> SizeClass:
    """Which sizes does a typed class take in, and how is it labelled in the one form we write?

    "+20" is held on 20, "-100" passes 100, "20/30" or "-20+30" passes 20 and is held on 30; lengths, as "+0.85 mm" or
    "0.3/0.6 mm", need no series. Mesh numbers run coarse to fine, lengths small to large. An inch size is the sieve of
    that name where the series has one (ASTM 1/4 in: 6.3 mm), else the length (6.35 mm). Openings: `aperture_mm`. A
    UnitError: no class; a mesh without its series; an unknown one; limits in the other order or equal.

    >>> read_size_class("20/30", "ASTM")
    SizeClass(label='20/30', lower_mm=0.6, upper_mm=0.85)
    >>> read_size_class("+30")
    Traceback (most recent call last):
    trials.units.unit_error.UnitError: 30 mesh: ASTM, Tyler or hobby? Write series = "ASTM" (0.600 mm).
    """
    plain = " ".join(text.replace("−", "-").split())  # noqa: RUF001 - the minus sign of typesetting
    if len(plain) > LONGEST_TYPED:
        raise _no_class(text)
    if found := _MESH_RANGE.fullmatch(plain):
        return _mesh_range(text, found["a"] or found["c"], found["b"] or found["d"], series)
    if found := _LENGTH_RANGE.fullmatch(plain):
        return _length_range(text, found["a"], found["b"], found["unit"])
    if found := _ONE_SIDED.fullmatch(plain):
        size, limit = _one_limit(text, found["size"], series)
        label = f"{found['sign']}{size}"
        return SizeClass(label, limit, None) if found["sign"] == "+" else SizeClass(label, None, limit)
    raise _no_class(text)


def overlapping(classes: Iterable[SizeClass]) -> list[tuple[str, str]]:
    """Which classes of a table claim the same grains? Labels of each pair, in the order given; to touch is allowed.

    >>> classes = [read_size_class(text, "ASTM") for text in ("+20", "20/50", "30/50", "-50")]
    >>> overlapping(classes)
    [('20/50', '30/50')]
    """
    return [(a.label, b.label) for a, b in combinations(classes, 2) if max(_low(a), _low(b)) < min(_high(a), _high(b))]


def coarse_first(size_class: SizeClass) -> tuple[float, float]:
    """Sort key that puts coarse classes before fine ones.

    >>> classes = [read_size_class(text, "ASTM") for text in ("-100", "20/30", "+20", "50/100")]
    >>> [size_class.label for size_class in sorted(classes, key=coarse_first)]
    ['+20', '20/30', '50/100', '-100']
    """
    return -_high(size_class), -_low(size_class)


def _low(size_class: SizeClass) -> float:
    return size_class.lower_mm or 0.0


def _high(size_class: SizeClass) -> float:
    return math.inf if size_class.upper_mm is None else size_class.upper_mm


def _mesh_range(text: str, coarse: str, fine: str, series: str | None) -> SizeClass:
    upper, lower = _mesh(coarse, series), _mesh(fine, series)
    coarse, fine = str(int(coarse)), str(int(fine))
    if lower == upper:
        raise refusal(text, "both limits are the same opening. Write the coarse number, then the fine one, as 20/30.")
    if lower > upper:
        raise refusal(text, f"the coarse number stands first. Write {fine}/{coarse}.")
    return SizeClass(f"{coarse}/{fine}", lower, upper)


def _length_range(text: str, small: str, large: str, unit: str) -> SizeClass:
    lower, upper = (_opening(text, f"{size} {unit}") for size in (small, large))
    if lower == upper:
        raise refusal(text, "both limits are the same opening. Write the small one, then the large, as 0.3/0.6 mm.")
    if lower > upper:
        raise refusal(text, f"the small length stands first. Write {large}/{small} {unit}.")
    return SizeClass(f"{lower:.12g}/{upper:.12g} mm", lower, upper)


def _one_limit(text: str, size: str, series: str | None) -> tuple[str, float]:
    """Read a single limit: how it is written, and how wide it is in mm."""
    if found := _MESH.fullmatch(size):
        return str(int(found["mesh"])), _mesh(found["mesh"], series)
    inch = _INCH_SIEVE.fullmatch(size)
    name = f"{inch['mesh']} in" if inch else ""
    if series is not None and name in APERTURES_MM[read_series(series)]:
        return name, aperture_mm(name, series)
    limit = _opening(text, size)
    return f"{limit:.12g} mm", limit


def _mesh(mesh: str, series: str | None) -> float:
    if series is None:
        raise series_question(str(int(mesh)))
    return aperture_mm(mesh, read_series(series))


def _opening(text: str, size: str) -> float:
    limit = read_quantity(size, Kind.LENGTH)
    if limit <= 0:
        raise refusal(text, "an opening is wider than 0. Write it as 0.6 mm.")
    return limit


def _no_class(text: str) -> UnitError:
    return UnitError(
        f"{shortened(text) or 'nothing'}: not a size class. Write it as +20, 20/30 or -100, or as 0.3/0.6 mm."
    )
