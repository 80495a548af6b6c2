"""How much room each part of a chart gets: on a page, or on a phone."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Layout:
    """Widths in pixels.

    plot: of the stretch that carries values.
    notes: of the words at its right edge.
    costs: of the cost bars; 0 where they stand below.
    """

    plot: int
    notes: int
    costs: int
    narrow: bool


def layout_for(*, narrow: bool, has_costs: bool, has_notes: bool = True) -> Layout:
    """Which widths fit a page or a phone? On a page there are always words, at least the estimate.

    >>> layout_for(narrow=False, has_costs=True).plot, layout_for(narrow=True, has_costs=True).costs
    (310, 0)
    """
    if narrow:
        plot, notes = (214, 72) if has_notes else (274, 12)
        return Layout(plot, notes, costs=0, narrow=True)
    plot, notes, costs = (310, 124, 150) if has_costs else (430, 170, 0)
    return Layout(plot, notes, costs, narrow=False)


def row_px(rows: int) -> float:
    """How high is one row? Roomy for few pairs, 5 mm for a dozen, less for many.

    >>> row_px(3), row_px(12), row_px(40), row_px(200)
    (26.0, 19.0, 9.0, 4.5)
    """
    if rows <= 6:
        return 26.0
    return 19.0 if rows <= 14 else max(4.5, min(19.0, 360.0 / rows))


def every_nth(height: float, needed: float = 13.0) -> int:
    """Which rows get a label, so that labels never touch: every first, second, third ...

    >>> every_nth(26.0), every_nth(9.0)
    (1, 2)
    """
    nth = 1
    while nth * height < needed:
        nth += 1
    return nth if nth <= 2 else 5 * -(-nth // 5)
