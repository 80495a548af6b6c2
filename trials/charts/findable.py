"""The smallest gain that each number of pairs usually finds, and which part of it is drawn."""

from dataclasses import dataclass, replace
from functools import lru_cache

from trials.measures.measure import Measure
from trials.measures.scales import MOST_LOG
from trials.plans.power import FEWEST_PLANNED, MOST_PLANNED, pairs_for
from trials.statistics.blocks_needed import blocks_needed, smallest_findable_in_blocks
from trials.statistics.pairs_needed import smallest_findable

LEAST_SHOWN = 12  # pairs the axis always holds
SHARE_OF_AXIS = 0.62  # how far along the axis the larger of planned and needed pairs stands, where there is room
STEEPEST = 12.0  # the top of the axis is at most so many times the end of the curve
PAIR = 2
LINE_ROOM = 1.5  # a line so far past the top of the curve still stretches the axis


@lru_cache(maxsize=1024)
def _findable(pairs: int, arms: int) -> float:
    return float(smallest_findable(pairs)) if arms == PAIR else smallest_findable_in_blocks(pairs, arms)


def _shown(difference: float, measure: Measure) -> float:
    """A gain in the unit that is drawn; a ratio never over a thousandfold."""
    return measure.shown(min(difference, MOST_LOG) if measure.is_ratio else difference)


@dataclass(frozen=True, slots=True)
class Findable:
    """What is asked of a plan, and what the statistics answer; `sd` and `line` are on the scale of `measure`.

    needed: pairs that usually find the line, 3 or more; None without a line, or where a million are too few.
    last: the last number of pairs on the axis.
    top: the end of the axis of gains, in the unit that is drawn.
    arms: runs of a block; 2 of a pair, more in a graded trial, where all that is said of pairs goes for blocks.
    """

    measure: Measure
    sd: float
    line: float | None
    pairs: int
    needed: int | None
    last: int
    top: float
    arms: int = PAIR

    @property
    def what(self) -> str:
        """What is counted along the axis."""
        return "pair" if self.arms == PAIR else "block"

    def found(self, pairs: int) -> float:
        """The smallest gain that so many pairs usually find, on the measure's scale."""
        return self.sd * _findable(pairs, self.arms)

    def gain(self, pairs: float) -> float:
        """The smallest gain that so many pairs usually find, as drawn; between whole pairs along the line."""
        low = int(pairs)
        ends = [_shown(self.found(k), self.measure) for k in (low, low + 1)]
        return ends[0] + (pairs - low) * (ends[1] - ends[0])

    @property
    def line_shown(self) -> float | None:
        """The line in the unit that is drawn."""
        return None if self.line is None else _shown(self.line, self.measure)

    @property
    def line_words(self) -> str:
        """The line as the sentences name it; blank without one."""
        return "" if self.line is None else f"your {self.measure.line_text(self.measure.shown(self.line))} line"

    @property
    def is_crossed(self) -> bool:
        """Whether the curve meets the line on the axis."""
        return self.needed is not None and self.needed <= self.last

    @property
    def leaves(self) -> float:
        """At how many pairs, seldom whole, the curve comes below the top of the axis."""
        inside = next(k for k in range(FEWEST_PLANNED, self.last + 1) if self.gain(k) <= self.top)
        if inside == FEWEST_PLANNED:
            return float(inside)
        above, below = self.gain(inside - 1), self.gain(inside)
        return inside - (self.top - below) / (above - below)


def findable_of(sd: float, measure: Measure, line: float | None, pairs: int, arms: int = PAIR) -> Findable:
    """What do 3 or more pairs find, and how many does the line need? `sd` and `line`, on its scale, are over 0.

    Of more than 2 `arms`, blocks: what they find of one level, by limits that are joint for all.

    >>> from trials.measures.catalogue import measure_named
    >>> plan = findable_of(1.0, measure_named("recovery"), 1.0, 8)
    >>> plan.needed, round(plan.gain(8), 3), plan.last
    (10, 1.156, 16)
    """
    for_line = pairs_for if arms == PAIR else lambda effect: blocks_needed(effect, arms)
    needed = None if line is None else for_line(line / sd)
    most = max(MOST_PLANNED, pairs)
    wanted = pairs if line is None else max(pairs, most if needed is None else needed)
    last = min(most, max(LEAST_SHOWN, round(wanted / SHARE_OF_AXIS)))
    bare = Findable(measure, sd, line, pairs, needed, last, top=0.0, arms=arms)
    return replace(bare, top=_top(bare))


def _top(plan: Findable) -> float:
    """Where the axis of gains ends: it holds the planned pairs, and 4 pairs; 3 are too high to share it."""
    highest = min(max(plan.gain(plan.pairs), plan.gain(4)), STEEPEST * plan.gain(plan.last))
    line = plan.line_shown
    return 1.08 * (max(highest, line) if line is not None and line <= LINE_ROOM * highest else highest)
