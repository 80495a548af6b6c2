"""Everything that can go wrong in a way a person can mend.

TrialsError                 the base: one exit door, one line a problem, an exit code
├── Refused                 input can't be taken as it is (exit 2)
├── Interrupted             the person stopped it (exit 130)
└── LogbookError            the logbook file can't be used (exit 2)
    └── DamagedLogbook      the file is damaged (exit 1)

A `Problem` is one thing wrong with what was handed in: place, value and rule, next step.
"""

from collections.abc import Iterable
from dataclasses import dataclass

MOST_TOLD = 50
MORE = "more"


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with what was handed in.

    place: where it stands: file, row, column or key. what: the value and the rule it broke. next_step: what to do about
    it; blank where `what` says it. code: what kind of problem it is, where something is done about it; never read out
    of the words. times: how many problems it stands for, where the rest of many is not told one by one (`capped`).

    >>> print(Problem("runs.csv row 4, minutes", "-3 is under 0.2", "check the value and its unit"))
    runs.csv row 4, minutes: -3 is under 0.2; check the value and its unit
    """

    place: str
    what: str
    next_step: str = ""
    code: str = ""
    times: int = 1

    @property
    def says(self) -> str:
        """The value, the rule it broke and the next step, in one line."""
        return f"{self.what}; {self.next_step}" if self.next_step else self.what

    def __str__(self) -> str:
        """Write the problem as the one line a person reads."""
        return one_line(f"{self.place}: {self.says}" if self.place else self.says)


def capped(problems: Iterable[Problem]) -> list[Problem]:
    """The first `MOST_TOLD` of some problems, and one that says how many more there are; the rest are only counted.

    >>> found = capped(Problem(f"row {n}", "is bad") for n in range(50_051))
    >>> len(found), str(found[-1]), len(capped([*found, *found]))
    (51, 'and 50,001 more', 51)
    """
    told: list[Problem] = []
    more = 0
    for problem in problems:
        if problem.code != MORE and len(told) < MOST_TOLD:
            told.append(problem)
        else:
            more += problem.times
    return [*told, Problem("", f"and {more:,} more", code=MORE, times=more)] if more else told


def one_line(text: str) -> str:
    r"""Write what a terminal would act on, or not show, as its code: line ends, escapes, marks that turn text round.

    >>> print(one_line("base\x1b[31mline\u2028"))
    base\x1b[31mline\u2028
    """
    if text.isprintable():
        return text
    return "".join(char if char.isprintable() else char.encode("unicode_escape").decode() for char in text)


class TrialsError(Exception):
    """The base of all errors that leave as one clear line and an exit code."""

    exit_code = 2

    @property
    def lines(self) -> tuple[str, ...]:
        """The lines to print, one a problem."""
        return tuple(one_line(line) for line in str(self).split("\n"))


class Refused(TrialsError):
    """Input that can't be taken as it is; carries every problem found, the first `MOST_TOLD` of them in words.

    >>> Refused([Problem("runs.csv row 4, minutes", "-3 is under 0.2; write the minutes of the run")]).lines
    ('runs.csv row 4, minutes: -3 is under 0.2; write the minutes of the run',)
    """

    def __init__(self, problems: Iterable[Problem] | str) -> None:
        self.problems = () if isinstance(problems, str) else tuple(capped(problems))
        super().__init__(problems if isinstance(problems, str) else "\n".join(map(str, self.problems)))


class Interrupted(TrialsError):
    """The person stopped it in the middle, by Ctrl-C."""

    exit_code = 130  # what a shell says of an interrupt

    def __init__(self) -> None:
        super().__init__("stopped")


class LogbookError(TrialsError):
    """The logbook can't be used: held by another process, not a logbook, or newer than this version."""


class DamagedLogbook(LogbookError):
    """The logbook file is damaged."""

    exit_code = 1

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        super().__init__(f"{problem.place} {problem.says}")
