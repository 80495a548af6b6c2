"""Invented trials as plain files, to open, edit and load.

All lie at Cinder Bend on Ossel Creek, a place that does not exist. Each folder holds a `trial.toml` written by hand,
a `runs.csv` drawn by `demo_trials.draw` from the assumed noise model (no source), and a `README.md` with its story.
Each seed of luck was chosen so that its story ends as it is told: these are illustrations, not evidence.
"""

from pathlib import Path

IN_READING_ORDER = (
    "rough-bed",
    "twin-inserts",
    "tails-second-pass",
    "two-mats",
    "finer-screen",
    "steeper-pitch",
    "lean-buckets",
    "four-grits",
    "shallow-mat",
    "finer-screen-bench",
    "finer-screen-flat",
    "sluice-audit",
)


def folders() -> tuple[Path, ...]:
    """Name the folders of the shipped trials, in the order in which they are best read.

    Returns
    -------
    tuple of Path
        Real folders on disk, beside this file.

    Examples
    --------
    >>> [folder.name for folder in folders()][:2]
    ['rough-bed', 'twin-inserts']
    """
    here = Path(__file__).parent
    return tuple(here / name for name in IN_READING_ORDER)
