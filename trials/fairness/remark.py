"""What a check has to say, as values. It is put into words at the end, and the arms can be left out of it before."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Generic, TypeVar, TypeVarTuple

from schemas import Finding, Run
from schemas.verdict import Severity
from trials.wording.lists import and_list, in_pairs
from trials.wording.numbers import figures

Value = TypeVar("Value", int, float, str, tuple[int, int])
Values = TypeVarTuple("Values")
CALLED = {"changed": "the changed gear", "repeat": "the repeat half"}


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
        """What the second arm is called."""
        return CALLED[self.arms[1]] if self.arms else "one set-up"

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
    """Runs as they are called: by their tags, else by pair and arm; and whether all of them are of one arm.

    runs: (pair, tag, arm) each, "" where there is none.
    among: the arms of all the runs that were looked at; "" each with the arms left out.

    >>> pairs = [Run(pair=p, arm=a, tag=t) for p, a, t in ((1, "baseline", "HTK"), (1, "changed", "NDF"),
    ...                                                    (2, "baseline", "CDT"), (2, "changed", "JCL"))]
    >>> some = NamedRuns.of(pairs[1::2], among=pairs)
    >>> print(some, some.in_short, some.without_arms(), some.without_arms().in_short, sep=" | ")
    runs NDF and JCL, all of the changed arm | both changed runs | runs NDF and JCL | 2 of 4 runs
    >>> one = NamedRuns.of([Run(pair=3, arm="changed")])
    >>> print(one, one.without_arms(), one.in_short, sep=" | ")
    the changed half of pair 3 | a half of pair 3 | the changed half of pair 3
    """

    runs: tuple[tuple[int, str, str], ...]
    among: tuple[str, ...] = ()

    @classmethod
    def of(cls, runs: Iterable[Run], among: Iterable[Run] = ()) -> "NamedRuns":
        """Name these runs, in their order."""
        return cls(tuple((run.pair, run.tag or "", run.arm) for run in runs), tuple(run.arm for run in among))

    def without_arms(self) -> "NamedRuns":
        """The same runs by pair and tag, so that not even their order tells an arm."""
        runs = tuple(sorted((pair, tag, "") for pair, tag, _ in self.runs))
        return NamedRuns(runs, ("",) * len(self.among))

    @property
    def pairs(self) -> list[int]:
        """The pairs they belong to."""
        return [pair for pair, _, _ in self.runs]

    @property
    def only_arm(self) -> str:
        """The arm that all of them are of, where they are 2 or more; blank for both arms, or where it is left out."""
        arms = {arm for _, _, arm in self.runs}
        return arms.pop() if len(arms) == 1 and len(self.runs) > 1 else ""

    @property
    def in_short(self) -> str:
        """Them in a headline: one by its name, more by how many they are, and of which arm."""
        if len(self.runs) == 1:
            return str(self)
        arm, count = self.only_arm, len(self.runs)
        of = sum(one == arm for one in self.among) if arm else len(self.among)
        many = "both" if count == of == 2 else f"all {count}" if count == of else str(count)
        share = f"{count} of {of}" if not arm and count < of else many
        return f"{share} {arm} runs" if arm else f"{share} runs"

    def __str__(self) -> str:
        if len(self.runs) == len(self.among) > 1:
            return self.in_short
        tags = [tag for _, tag, _ in self.runs if tag]
        tagged = [f"run{'' if len(tags) == 1 else 's'} {and_list(tags)}"] if tags else []
        if len(tags) == len(self.runs):
            return f"{tagged[0]}{f', all of the {self.only_arm} arm' if self.only_arm else ''}"
        untagged = [(arm, pair) for pair, tag, arm in self.runs if not tag]
        arms = list(dict.fromkeys(arm for arm, _ in untagged))
        return and_list([*tagged, *(_halves(arm, [pair for one, pair in untagged if one == arm]) for arm in arms)])


def _halves(arm: str, pairs: Sequence[int]) -> str:
    """Runs without a tag, all of one arm, or of which the arm is left out."""
    article = f"the {arm} " if arm else "a " if len(pairs) == 1 else ""
    return f"{article}{'half' if len(pairs) == 1 else 'halves'} of {in_pairs(sorted(set(pairs)))}"


@dataclass(frozen=True, slots=True)
class Remark:
    """One thing that a check has to say.

    says: makes the words of the values; `str` of a text that tells no arm. Remarks are compared, so it is a function
        of its file, or the `format` of a constant.
    values: what it is told. Whatever tells an arm is a `ByArm` or `NamedRuns`, which can leave it out.
    pairs: the pairs it is about, once each, in order.
    but: what a verdict says of it after "but": in its headline where it weakens, and beside its last word. A function
        of the values, or a text that tells no arm.
    """

    severity: Severity
    says: Callable[..., str]
    values: tuple[object, ...]
    pairs: tuple[int, ...] = ()
    but: Callable[..., str] | str = ""

    def without_arms(self) -> "Remark":
        """The same, with nothing in it that tells which arm is which."""
        if not self.values:
            return self
        kept = [one.without_arms() if isinstance(one, ByArm | NamedRuns) else one for one in self.values]
        return replace(self, values=tuple(kept))

    def in_words(self, check: str) -> Finding:
        """Put it into words, as what a check of that name found."""
        if self is _ALL_IS_WELL:
            return _well_by(check)
        return Finding(
            check=check,
            severity=self.severity,
            message=self.says(*self.values),
            in_headline=self._in_headline(),
            pairs=self.pairs,
        )

    def _in_headline(self) -> str:
        return self.but if isinstance(self.but, str) else self.but(*self.values)


_ALL_IS_WELL = Remark("ok", str, ())
NOTHING_TO_REMARK = (_ALL_IS_WELL,)
"""What most checks have to say of most trials."""


@lru_cache(maxsize=256)
def _well_by(check: str) -> Finding:
    return Finding(check=check, severity="ok", message="", in_headline="", pairs=())


def remark(
    severity: Severity,
    pairs: Iterable[int],
    says: Callable[[*Values], str],
    *values: *Values,
    but: Callable[[*Values], str] | str = "",
) -> list[Remark]:
    """Say one thing of these pairs; the values are those that the wording functions take.

    What may weaken a verdict has a `but`: a clause without a full stop, as "pair 2 spans two sessions".

    >>> [one] = remark("NOTE", [3, 1, 3], "{} pairs".format, 2)
    >>> one.pairs, one.in_words("odd-pair").message
    ((1, 3), '2 pairs')
    """
    return [Remark(severity, says, values, tuple(sorted(set(pairs))), but)]


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
    'the changed gear had 20 % more water'
    >>> more_or_less(means.without_arms(), "had", "less water", "more water")
    'one set-up had less water'
    """
    if means.arms is None:
        return f"{means.who} {did} {less}"
    percent = percent_more(means)
    return f"{means.who} {did} {figures(abs(percent), 2)} % {more if percent > 0 else less}"


def against(means: ByArm[float]) -> str:
    """Both values, that of the second arm first; with the arms left out the smaller.

    >>> against(ByArm(10.0, 12.0, ("baseline", "changed"))), against(ByArm(10.0, 12.0, None))
    ('12 against 10', '10 against 12')
    """
    first, second = (means.one, means.other) if means.arms is None else (means.other, means.one)
    return f"{figures(first)} against {figures(second)}"
