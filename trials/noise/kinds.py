"""The kinds of luck, in words of the trade."""

from typing import Final

FEED: Final = "luck of the grains fed"
KEPT: Final = "luck of which grains are kept"
GRAIN_MASS: Final = "light and heavy grains of a size"
SPLITTING: Final = "splitting"
HALVES: Final = "halves of unlike weight"
SCALE: Final = "scale"
COUNTING: Final = "counting the grains"
WORK_UP: Final = "work-up of the tails"
RUN_TO_RUN: Final = "run to run"
DRIFT: Final = "drift between the halves"
LEFT_OVER: Final = "gold left by the run before"
