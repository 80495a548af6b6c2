"""A fault: which pitfall it plants, how, how large, in which shapes of trial, and what should stand against it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal
from zlib import crc32

from tests.examination.judged import Told, told_of
from tests.examination.planted import Block, Planted
from tests.examination.shapes import Shape

Way = Literal["told", "shared out", "unseen"]
"""What should stand against it: whoever reads the verdict is told; the balanced draw; nothing that data can show."""
Makes = Callable[[Shape, Block, int, float], Planted]


@dataclass(frozen=True)
class Fault:
    """One way to plant one pitfall.

    Attributes
    ----------
    pitfall, how
        Which, and how it is planted.
    sizes
        Three or more, as they are written and as they are planted.
    shapes
        Three or more.
    makes
        Draws a block: shape, block, seed, size.
    way
        What should stand against it.
    blanks
        The columns, or places of the plan, that would tell it; a careless person leaves them blank.
    costs
        Whether a cost over its limit tells it.
    """

    pitfall: str
    how: str
    sizes: tuple[tuple[str, float], ...]
    shapes: tuple[Shape, ...]
    makes: Makes
    way: Way = "told"
    blanks: tuple[str, ...] = ()
    costs: bool = False

    @property
    def told(self) -> Told:
        """What counts as being told."""
        return told_of(self.pitfall, costs=self.costs)

    def block(self, shape: Shape, size: float, block: Block, *, blank: bool = False) -> Planted:
        """One block of trials with the fault in them; with `blank`, told by nobody."""
        seed = crc32(f"{self.pitfall}|{self.how}|{size}|{shape.name}".encode())
        planted = self.makes(shape, block, seed, size)
        if blank:
            planted.blank(*(name for name in self.blanks if name in planted.columns or "." in name or name == "knew"))
        return planted


def sizes(words: str, *values: float) -> tuple[tuple[str, float], ...]:
    """Sizes with their words: `{}` is the number."""
    return tuple((words.format(f"{value:g}"), value) for value in values)


def fault(
    pitfall: str,
    how: str,
    these: tuple[tuple[str, float], ...],
    shapes: tuple[Shape, ...],
    way: Way = "told",
    blanks: tuple[str, ...] = (),
    costs: bool = False,
) -> Callable[[Makes], Fault]:
    """Make a fault of the function that plants it."""
    return lambda makes: Fault(pitfall, how, these, shapes, makes, way, blanks, costs)


def in_module(names: Mapping[str, object]) -> tuple[Fault, ...]:
    """All faults that a module plants, in their order."""
    return tuple(value for value in names.values() if isinstance(value, Fault))
