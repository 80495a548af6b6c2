"""Which stretch of an axis is drawn, and what lies past its ends."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

FAR = 5.0  # a difference so many times what two thirds of the pairs keep within is drawn at the edge
INTERVAL_ROOM = 0.6  # how far past the pairs an interval may stretch the axis, in widths of the pairs
LINE_ROOM = 3.0  # a worth-having line is on the axis if it is within so many times the largest difference


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of an axis; low is under high."""

    low: float
    high: float

    @property
    def width(self) -> float:
        """From end to end."""
        return self.high - self.low

    @property
    def ends(self) -> list[float]:
        """The ends as an axis takes them."""
        return [self.low, self.high]

    def clamp(self, value: float) -> float:
        """The value, or the nearer end where it lies past it."""
        return min(max(value, self.low), self.high)

    def side(self, value: float) -> int:
        """-1 past the low end, 1 past the high end, 0 inside.

        >>> [Span(0, 10).side(value) for value in (-1, 10, 11)]
        [-1, 0, 1]
        """
        return (value > self.high) - (value < self.low)


def span_around(values: Iterable[float], share: float = 0.08) -> Span:
    """Which stretch holds all values with a margin at both ends?

    Values all equal get a margin of a tenth of their size; with no value at all it is 0 to 1.

    >>> span_around([10.0, 20.0], 0.1), span_around([]), span_around([0.0])
    (Span(low=9.0, high=21.0), Span(low=0.0, high=1.0), Span(low=-1.0, high=1.0))
    """
    known = list(values)
    if not known:
        return Span(0.0, 1.0)
    low, high = min(known), max(known)
    margin = (high - low) * share or abs(high) * 0.1 or 1.0
    return Span(low - margin, high + margin)


def difference_span(
    differences: Sequence[float], limits: Sequence[float] = (), line_ends: Sequence[float] = (), mean: float = 0.0
) -> Span:
    """Which stretch shows the pairs' differences, zero, the mean, and as much of the interval as leaves them readable?

    One far past the others does not stretch the axis. What lies past it is drawn at the edge, with an arrow and its
    number.

    >>> difference_span([1.0, 2.0, 4.0], [-30.0, 35.0], [-1.0, 1.0])
    Span(low=-4.55, high=7.55)
    """
    sizes = sorted(map(abs, differences))
    usual = sizes[-(-2 * len(sizes) // 3) - 1] if sizes else 0.0
    near = [d for d in differences if not usual or abs(d) <= FAR * usual]
    reach = max(map(abs, near), default=0.0)
    drawn_line = [end for end in line_ends if not reach or abs(end) <= LINE_ROOM * reach]
    core = Span(min([0.0, mean, *near, *drawn_line]), max([0.0, mean, *near, *drawn_line]))
    room = core.width * INTERVAL_ROOM
    widest = Span(core.low - room, core.high + room)
    return span_around([core.low, core.high, *map(widest.clamp, limits)], 0.05)


def stacked(values: Sequence[float], apart: float) -> list[int]:
    """At which level, 0 the lowest, does each value's mark stand, so that marks of one level are `apart` or further?

    >>> stacked([1.0, 1.1, 5.0, 1.05], 1.0)
    [0, 2, 0, 1]
    """
    levels = [0] * len(values)
    last: list[float] = []
    for index in sorted(range(len(values)), key=lambda i: (values[i], i)):
        value = values[index]
        level = next((k for k, end in enumerate(last) if value - end >= apart), len(last))
        if level == len(last):
            last.append(value)
        last[level] = value
        levels[index] = level
    return levels
