"""The colours, shapes and type that every chart shares. Shape, fill and words repeat each colour.

Baseline and changed, and better and worse, stay at least 60 apart in Lab under three losses of colour vision
(computed when the palette was made). Colours are plain ones, so that a PNG keeps them.
"""

from dataclasses import dataclass
from typing import Final

from schemas.verdict import Code
from trials.verdicts.outcome import OUTCOME_WORDS

BASELINE: Final = "#4F6272"
CHANGED: Final = "#B86A0C"
BETTER: Final = "#0E6E8C"
WORSE: Final = "#A63A12"
UNSETTLED: Final = "#6F6A62"
BAND: Final = "#F0E7D3"
BAND_EDGE: Final = "#A08C5B"
INK: Final = "#2B2926"
QUIET: Final = "#6F6A62"
FAINT: Final = "#A9A59E"
GRID: Final = "#EDEBE7"
LAST_WORD: Final = "#E4E1DB"
PAPER: Final = "#FFFFFF"

CIRCLE: Final = "circle"
DIAMOND: Final = "diamond"
UP: Final = "triangle-up"
DOWN: Final = "triangle-down"
OPEN_BAR: Final = "M-1.3,-0.5L1.3,-0.5L1.3,0.5L-1.3,0.5Z"
DASHES: Final = "M-1.4,0L-0.6,0M-0.4,0L0.4,0M0.6,0L1.4,0"
UPRIGHT: Final = "M-0.12,-0.7L0.12,-0.7L0.12,0.7L-0.12,0.7Z"
UPRIGHT_DASHES: Final = "M0,-1L0,-0.45M0,-0.25L0,0.25M0,0.45L0,1"
WHISKER: Final = "M-1.3,-0.5L-1.3,0.5M-1.3,0L1.3,0M1.3,-0.5L1.3,0.5"
DIAGONAL_CROSS: Final = "M-0.9,-0.9L0.9,0.9M-0.9,0.9L0.9,-0.9"
STAR: Final = (
    "M0,-1L0.235,-0.324L0.951,-0.309L0.38,0.124L0.588,0.809L0,0.4L-0.588,0.809L-0.38,0.124L-0.951,-0.309L-0.235,-0.324Z"
)

FONT: Final = "Arial, 'Liberation Sans', Helvetica, sans-serif"
TEXT_PX: Final = 12  # 9 pt, the smallest that reads on paper
TITLE_PX: Final = 16
LINE_PX: Final = 16
PADDING_PX: Final = 12
LABELS_PX: Final = 46  # room for the row labels left of a plot


@dataclass(frozen=True, slots=True)
class OutcomeLook:
    """How an outcome is drawn at the mean, an open bar staying white inside, and what it is called beside its mark."""

    colour: str
    shape: str
    filled: bool
    words: str

    @property
    def fill(self) -> str:
        """The colour inside."""
        return self.colour if self.filled else PAPER


_UNSETTLED = OutcomeLook(UNSETTLED, OPEN_BAR, filled=False, words=OUTCOME_WORDS["not_settled"])
OUTCOME_LOOKS: Final[dict[Code, OutcomeLook]] = {
    "better": OutcomeLook(BETTER, UP, filled=True, words=OUTCOME_WORDS["better"]),
    "worse": OutcomeLook(WORSE, DOWN, filled=True, words=OUTCOME_WORDS["worse"]),
    "no_difference": OutcomeLook(UNSETTLED, OPEN_BAR, filled=True, words=OUTCOME_WORDS["no_difference"]),
    "not_settled": _UNSETTLED,
    "scatter": OutcomeLook(UNSETTLED, OPEN_BAR, filled=False, words="nothing changed"),
}


def outcome_look(code: Code) -> OutcomeLook:
    """How is this outcome drawn? A code behind a gate is drawn as not settled.

    >>> outcome_look("better").shape, outcome_look("worse").shape, outcome_look("blocked").filled
    ('triangle-up', 'triangle-down', False)
    """
    return OUTCOME_LOOKS.get(code, _UNSETTLED)


def chart_config() -> dict[str, object]:
    """The settings of type, axes and background that all charts share."""
    axis: dict[str, object] = {
        "labelFontSize": TEXT_PX,
        "titleFontSize": TEXT_PX,
        "titleFontWeight": "normal",
        "labelColor": INK,
        "titleColor": INK,
        "gridColor": GRID,
        "domainColor": FAINT,
        "tickColor": FAINT,
        "labelAngle": 0,
        # A limit has each text measured again, which takes most of the drawing; no text of ours comes near one.
        "labelLimit": 0,
        "titleLimit": 0,
    }
    title: dict[str, object] = {
        "anchor": "start",
        "fontSize": TITLE_PX,
        "lineHeight": TITLE_PX + 4,
        "color": INK,
        "subtitleColor": QUIET,
        "subtitleFontSize": TEXT_PX,
        "subtitleLineHeight": LINE_PX,
        "subtitlePadding": 6,
        "offset": 14,
        "limit": 0,
    }
    return {
        "font": FONT,
        "background": PAPER,
        "padding": PADDING_PX,
        "view": {"stroke": None},
        "axis": axis,
        "title": title,
        "text": {"fontSize": TEXT_PX, "color": INK, "lineHeight": LINE_PX},
        "concat": {"spacing": 12},
    }
