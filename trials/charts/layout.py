"""How much room each part of a chart gets: on a page, or on a phone."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Layout:
    """Widths in pixels.

    Attributes
    ----------
    plot
        Of the stretch that carries values.
    notes
        Of the words at its right edge.
    costs
        Of the cost bars; 0 where they stand below.
    """

    plot: int
    notes: int
    costs: int

    @property
    def is_narrow(self) -> bool:
        """Whether it is for a phone."""
        return self.plot <= 320 and not self.costs and self.notes < 100


def layout_for(*, narrow: bool, has_costs: bool) -> Layout:
    """Which widths fit a page or a phone?

    >>> layout_for(narrow=False, has_costs=True).plot, layout_for(narrow=True, has_costs=True).costs
    (310, 0)
    """
    if narrow:
        return Layout(plot=214, notes=72, costs=0)
    return Layout(plot=310, notes=124, costs=150) if has_costs else Layout(plot=430, notes=170, costs=0)


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
