"""Colour is never the only thing that tells two marks apart."""

from itertools import combinations
from typing import get_args

from schemas.verdict import Code
from tests.tables import every
from trials.charts import palette
from trials.charts.rows import ARM_LOOKS


def test_arms_differ_without_colour():
    """Circle and diamond differ in shape and in fill, so black and white carries them."""
    baseline, changed = ARM_LOOKS
    assert baseline.shape != changed.shape
    assert baseline.fill == palette.PAPER != changed.fill


@every(("one", "other"), list(combinations(["better", "worse", "no_difference", "not_settled"], 2)))
def test_outcomes_differ_without_colour(one: Code, other: Code):
    """Any two outcomes differ in shape or fill, and in words."""
    a, b = palette.outcome_look(one), palette.outcome_look(other)
    assert (a.shape, a.filled) != (b.shape, b.filled)
    assert a.words != b.words


@every("code", get_args(Code))
def test_every_code_has_a_look(code: Code):
    """Every code a verdict may have is drawn somehow."""
    assert palette.outcome_look(code).words


@every("colour", [palette.INK, palette.QUIET, palette.BASELINE, palette.BETTER, palette.WORSE])
def test_dark_enough_to_read(colour: str):
    """Text and marks stand out from white at 4.5 to 1 (WCAG 2.1, success criterion 1.4.3)."""
    assert 1.05 / (_luminance(colour) + 0.05) >= 4.5


def test_text_is_at_least_9_point():
    """No type in the shared settings is under 9 pt, which is 12 px."""
    sizes = [
        v
        for part in palette.chart_config().values()
        if isinstance(part, dict)
        for k, v in part.items()
        if k.endswith("ontSize")
    ]
    assert min(sizes) >= 12


def _luminance(colour: str) -> float:
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
