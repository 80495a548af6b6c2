"""How people write where on the map a place lies, told by its form, so that a name with a number in it stays a name."""

import re
from functools import cache

# ruff: noqa: RUF001 - signs as people type them
_DEGREES = r"\d{1,3}(?:[.,]\d+)?(?:\s*[°º:'’′\s]\s*\d{1,2}(?:[.,]\d+)?){0,2}\s*[°º\"”″'’′]*"
_FINE = r"[+\-−]?\d{1,3}[.,]\d{2,}"
_SIXTIETHS = r"[+\-−]?\d{1,3}[\s:]\d{2}[:\s.,]\d{2,}(?:[.,]\d+)?"
_APART = r"\s*[\s,;/|]\s*"
_IN_HALVES = r"\d{3}\s\d{3}|\d{4}\s\d{4}|\d{5}\s\d{5}"
_NO_DATE = r"(?!(?:19|20)\d\d[01]\d)"

IN_ANY_CASE = (
    rf"{_FINE}\s*[°º]?\s*[NSEW]?{_APART}{_FINE}",  # 47.123, -110.456
    r"\d\s*(?:°|º|deg\b|degrees?\b)\s*(?:\d|[NSEW]\b)",  # 47° 12; 47.1 deg N
    rf"{_DEGREES}\s*[NS]\b[\s,;/]*{_DEGREES}\s*[EW]\b",  # 47 12 34 N 110 45 56 W
    rf"\b[NS]\s*{_DEGREES}[\s,;/]*[EW]\s*\d",  # N 47 12.3 W 110 4.5
    rf"{_SIXTIETHS}{_APART}{_SIXTIETHS}",  # 47:12:34, -110:45:56
    r"\b(?:lat|latitude|lon|lng|longitude|easting|northing)\b\.?\s*[:=]?\s*[+\-−]?\d",
    r"\b\d{6,7}(?:[.,]\d+)?\s*(?:m?\s*E)?[\s,;/]+\d{7}",  # metres east and north
    r"\bT\.?\s*\d{1,3}\s*[NS]\b\.?[\s,;/]*R\.?\s*\d{1,3}\s*[EW]\b",  # township and range
    r"///\s*\w+\.\w+\.\w+|://|\bgeo:",  # three words, links
)
IN_CAPITALS = (
    rf"\b\d{{1,2}}\s?[C-HJ-NP-X]\s?[A-HJ-NP-Z]{{2}}\s?(?:{_IN_HALVES}|\d\d\s?\d\d|\d{{6}}|\d{{8}}|\d{{10}})\b",
    rf"\b[A-HJ-Z]{{2}}\s?(?:{_IN_HALVES}|{_NO_DATE}(?:\d{{6}}|\d{{8}}|\d{{10}}))\b",  # national grids
    r"\b[2-9CFGHJMPQRVWX]{4,8}\+[2-9CFGHJMPQRVWX]{2,3}\b",  # grid codes with a plus
)


@cache
def _forms() -> tuple[re.Pattern[str], ...]:
    return (*(re.compile(form, re.IGNORECASE) for form in IN_ANY_CASE), *(re.compile(form) for form in IN_CAPITALS))


def holds_coordinates(text: str) -> bool:
    """Whether a text looks like it says where on the map a place lies.

    >>> holds_coordinates("47.1234, -110.4321"), holds_coordinates("N 47° 12.3' W 110° 4.5'")
    (True, True)
    >>> holds_coordinates("upper bar, hole 12, 3.5 m down")
    False
    """
    return any(form.search(text) for form in _forms())
