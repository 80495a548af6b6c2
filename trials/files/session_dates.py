"""The day of a session as people write it -> as it is kept, 2026-05-03; what can be read in two ways is asked."""

import re
from datetime import date
from functools import lru_cache

from trials.files.cell_rules import CellError
from trials.records.faults import shown_value

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
FIRST_YEAR, LAST_YEAR = 1950, 2099
_FROM_ANOTHER = re.compile(
    r"(?:(?:yester|to)day|tomorrow|tonight|last night|this (?:morning|afternoon))\b.*", re.IGNORECASE
)
_MONTH = r"(?P<month>jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?"
_REST = r"(?P<rest>(?:[\sT,].*)?)"
_YEAR_FIRST = re.compile(rf"(?P<y>\d{{4}})[-/.](?P<m>\d{{1,2}})[-/.](?P<d>\d{{1,2}}){_REST}", re.DOTALL)
_YEAR_LAST = re.compile(rf"(?P<a>\d{{1,2}})(?P<s>[-/.])\s?(?P<b>\d{{1,2}})(?P=s)\s?(?P<y>\d{{4}}){_REST}", re.DOTALL)
_SHORT_YEAR = re.compile(rf"\d{{1,2}}([/.])\d{{1,2}}\1\d{{2}}{_REST}", re.DOTALL)
_DAY_MONTH = re.compile(
    rf"(?P<d>\d{{1,2}})(?:st|nd|rd|th)?[\s.-]+{_MONTH}(?:[\s,-]+(?P<y>\d{{4}}))?{_REST}", re.IGNORECASE | re.DOTALL
)
_MONTH_DAY = re.compile(
    rf"{_MONTH}[\s-]+(?P<d>\d{{1,2}})(?:st|nd|rd|th)?(?:,?\s+(?P<y>\d{{4}}))?{_REST}", re.IGNORECASE | re.DOTALL
)


@lru_cache(maxsize=4096)
def session_of(text: str) -> str:
    """Write the day at the head of a session as it is kept, 2026-05-03; words without a day stay as they are.

    A CellError says that day and month can't be told apart, the year is not whole or no year of a run, there is no such
    day, or it is told from another.

    >>> session_of("13/5/2026 am"), session_of("3 May 2026"), session_of("after the flood")
    ('2026-05-13 am', '2026-05-03', 'after the flood')
    >>> session_of("5/1/2026")
    Traceback (most recent call last):
    trials.files.cell_rules.CellError: 5/1/2026 could be 2026-01-05 or 2026-05-01; write one of these
    """
    if _FROM_ANOTHER.fullmatch(text):
        raise CellError(f"{shown_value(text)} is told from another day; write the day itself, as 2026-05-03")
    if found := _YEAR_FIRST.fullmatch(text):
        return _kept(text, found, [(int(found["y"]), int(found["m"]), int(found["d"]))])
    if found := _YEAR_LAST.fullmatch(text):
        year, one, other = int(found["y"]), int(found["a"]), int(found["b"])
        return _kept(text, found, [(year, other, one), (year, one, other)])
    if _SHORT_YEAR.fullmatch(text):
        raise CellError(f"{shown_value(text)} has no whole year; write the day as 2026-05-03")
    if found := _DAY_MONTH.fullmatch(text) or _MONTH_DAY.fullmatch(text):
        if found["y"] is None:
            raise CellError(f"{shown_value(text)} has no year; write the day as 2026-05-03")
        month = MONTHS.index(found["month"].lower()) + 1
        return _kept(text, found, [(int(found["y"]), month, int(found["d"]))])
    return text


def _kept(text: str, found: re.Match[str], readings: list[tuple[int, int, int]]) -> str:
    days = list(dict.fromkeys(day for reading in readings if (day := _day(*reading)) is not None))
    if not days:
        raise CellError(f"{shown_value(text)} is no day there is; check day and month, and write it as 2026-05-03")
    years = {day.year for day in days}
    if not all(FIRST_YEAR <= year <= LAST_YEAR for year in years):
        raise CellError(f"{shown_value(text)} has the year {years.pop()}; check it, and write the day as 2026-05-03")
    if len(days) > 1:
        raise CellError(f"{shown_value(text)} could be {days[0]} or {days[1]}; write one of these")
    return f"{days[0].isoformat()}{found['rest']}"


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
