"""The gain of a trial as a small drawing on one line, its limits against zero; points and % are never on one scale."""

from collections.abc import Iterable
from dataclasses import dataclass

from markupsafe import Markup, escape

from trials.logbook.pages import Remembered
from trials.wording.numbers import signed

WIDTH, HEIGHT, EDGE = 180.0, 24.0, 8.0
MARKS = {"better": "M0,-6L6,5L-6,5Z", "worse": "M0,6L6,-5L-6,-5Z", "no_difference": "M-6,-3L6,-3L6,3L-6,3Z"}
OPEN = "M-6,-3L6,-3L6,3L-6,3Z"
"""What is not settled is an open bar, as on every chart."""


@dataclass(frozen=True, slots=True)
class Scope:
    """From where to where the strips of one unit reach."""

    unit: str
    low: float
    high: float

    @property
    def words(self) -> str:
        """The scale in words."""
        return f"{signed(self.low, 0)} to {signed(self.high, 0)} {self.unit}"

    def at(self, value: float) -> float:
        """Where a value stands, in px."""
        return EDGE + (value - self.low) / (self.high - self.low) * (WIDTH - 2 * EDGE)


def scopes_of(words: Iterable[Remembered | None]) -> dict[str, Scope]:
    """The scale of each unit: all that is listed of it, and zero."""
    found: dict[str, list[float]] = {}
    for word in words:
        if word is not None and word.unit is not None:
            values = (word.shown, word.shown_low, word.shown_high)
            found.setdefault(word.unit, [0.0]).extend(value for value in values if value is not None)
    return {unit: Scope(unit, min(all_), max(all_) if max(all_) > min(all_) else 1.0) for unit, all_ in found.items()}


def strip(word: Remembered, scope: Scope) -> Markup:
    """Draw the gain of a trial: the line is its limits, the mark says the outcome, the upright is zero.

    It is no more than what stands in words beside it, so nobody who listens hears it twice.
    """
    if word.shown is None or word.code == "scatter":
        return Markup("")
    middle = HEIGHT / 2
    parts = [f'<path class="zero" d="M{scope.at(0):.1f},1V{HEIGHT - 1:g}"/>']
    if word.shown_low is not None and word.shown_high is not None:
        ends = scope.at(word.shown_low), scope.at(word.shown_high)
        parts.append(f'<path class="limits" d="M{ends[0]:.1f},{middle:g}H{ends[1]:.1f}"/>')
    shape, is_open = MARKS.get(word.code, OPEN), word.code not in MARKS
    sort = "open" if is_open else "filled"
    place = f"translate({scope.at(word.shown):.1f},{middle:g})"
    parts.append(f'<path class="{sort}" transform="{place}" d="{shape}"/>')
    frame = f'viewBox="0 0 {WIDTH:g} {HEIGHT:g}"'  # as large as the look says
    drawn = f'<svg class="strip {escape(word.code)}" aria-hidden="true" {frame}>{"".join(parts)}</svg>'
    return Markup(drawn)  # noqa: S704 - our own numbers and a code
