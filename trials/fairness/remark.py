"""What a check has to say, as values. It is put into words at the end, and the arms can be left out of it before."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Generic, TypeVar, TypeVarTuple

from schemas import Finding, Run
from schemas.verdict import Severity
from trials.wording.lists import and_list
from trials.wording.numbers import figures

Value = TypeVar("Value", int, float, str, tuple[int, int])
Values = TypeVarTuple("Values")
CALLED = {"changed": "Changed gear", "repeat": "Repeat half"}


@dataclass(frozen=True, slots=True)
class ByArm(Generic[Value]):
    """A value of each of two arms.

    one, other: of the unchanged arm and of the other; with the arms left out the smaller first, and nobody's.
    arms: what a plan calls the arms, the unchanged one first; None where they are left out.

    >>> ByArm(9.5, 8.0, ("baseline", "changed")).without_arms()
    ByArm(one=8.0, other=9.5, arms=None)
    """

    one: Value
    other: Value
    arms: tuple[str, ...] | None

    @property
    def who(self) -> str:
        """What the second arm is called where a sentence begins."""
        return CALLED[self.arms[1]] if self.arms else "One set-up"

    @property
    def most(self) -> Value:
        """The larger value."""
        return max(self.one, self.other)

    @property
    def least(self) -> Value:
        """The smaller value."""
        return min(self.one, self.other)

    @property
    def whose(self) -> str | None:
        """The arm that has the larger value, the second of equal ones; None where it is left out."""
        return self.arms[self.other >= self.one] if self.arms else None

    def without_arms(self) -> "ByArm[Value]":
        """The two values alone."""
        return ByArm(self.least, self.most, None)


@dataclass(frozen=True, slots=True)
class NamedRuns:
    """Runs as they are called: by their tags, else by pair and arm; (pair, tag, arm) each, "" where there is none.

    >>> print(NamedRuns.of([Run(pair=1, arm="baseline", tag="HTK"), Run(pair=3, arm="changed", tag="NDF")]))
    runs HTK and NDF
    >>> one = NamedRuns.of([Run(pair=3, arm="changed")])
    >>> print(one, one.without_arms(), sep=", ")
    the changed half of pair 3, a half of pair 3
    """

    runs: tuple[tuple[int, str, str], ...]

    @classmethod
    def of(cls, runs: Iterable[Run]) -> "NamedRuns":
        """Name these runs, in their order."""
        return cls(tuple((run.pair, run.tag or "", run.arm) for run in runs))

    def without_arms(self) -> "NamedRuns":
        """The same runs by pair and tag, so that not even their order tells an arm."""
        return NamedRuns(tuple(sorted((pair, tag, "") for pair, tag, _ in self.runs)))

    def __str__(self) -> str:
        tags = [tag for _, tag, _ in self.runs if tag]
        if len(tags) == len(self.runs) > 1:
            return f"runs {and_list(tags)}"
        names = [
            f"run {tag}" if tag else f"{f'the {arm}' if arm else 'a'} half of pair {p}" for p, tag, arm in self.runs
        ]
        return and_list(names)


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing that a check has to say.

    says: makes the words of the values; `str` of a text that tells no arm. Remarks are compared, so it is a function
        of its file, or the `format` of a constant.
    values: what it is told. Whatever tells an arm is a `ByArm` or `NamedRuns`, which can leave it out.
    pairs: the pairs it is about, once each, in order.
    """

    severity: Severity
    says: Callable[..., str]
    values: tuple[object, ...]
    pairs: tuple[int, ...] = ()

    def without_arms(self) -> "Remark":
        """The same, with nothing in it that tells which arm is which."""
        kept = [one.without_arms() if isinstance(one, ByArm | NamedRuns) else one for one in self.values]
        return replace(self, values=tuple(kept))

    def in_words(self, check: str) -> Finding:
        """Put it into words, as what a check of that name found."""
        return Finding(check=check, severity=self.severity, message=self.says(*self.values), pairs=self.pairs)


def remark(severity: Severity, pairs: Iterable[int], says: Callable[[*Values], str], *values: *Values) -> list[Remark]:
    """Say one thing of these pairs; the values are those that the wording function takes.

    >>> [one] = remark("NOTE", [3, 1, 3], "{} pairs".format, 2)
    >>> one.pairs, one.in_words("odd-pair").message
    ((1, 3), '2 pairs')
    """
    return [Remark(severity, says, values, tuple(sorted(set(pairs))))]


def not_recorded(what: str) -> list[Remark]:
    """Say that a check had nothing to look at; this never stops or weakens by itself."""
    return [Remark("not recorded", str, (f"{what}.",))]


def percent_more(means: ByArm[float]) -> float:
    """By how much the other arm has more, in % of the unchanged one; negative for less."""
    return 100.0 * (means.other / means.one - 1.0)


def more_or_less(means: ByArm[float], did: str, less: str, more: str) -> str:
    """Say by how much the second arm has more or less; with the arms left out, that one of them has less.

    >>> means = ByArm(10.0, 12.0, ("baseline", "changed"))
    >>> more_or_less(means, "had", "less water", "more water")
    'Changed gear had 20 % more water, 12 against 10'
    >>> more_or_less(means.without_arms(), "had", "less water", "more water")
    'One set-up had less water, 10 against 12'
    """
    if means.arms is None:
        return f"{means.who} {did} {less}, {figures(means.one)} against {figures(means.other)}"
    percent = percent_more(means)
    way = f"{figures(abs(percent), 2)} % {more if percent > 0 else less}"
    return f"{means.who} {did} {way}, {figures(means.other)} against {figures(means.one)}"
