"""The tags: each code for the feed half, the jar and, where tails are kept, the tub; nothing else on them."""

from schemas import Record, Trial
from trials.papers.gear_parts import tails_box
from trials.papers.names import stand_in
from trials.papers.pages import dealt, render, sorted_codes

ROWS_A_PAGE = 8


def tags_html(record: Record) -> str:
    """Make the tags, standing, to be cut out, by the alphabet; no arm, pair or order.

    Raises Refused where there are no runs, or one has no turn or tag.
    """
    trial = record.trial
    return render(
        "tags.html",
        trial,
        short_stand_in=stand_in(trial).split(",")[0],
        places=tag_places(trial),
        where=_where(trial),
        pages=dealt(sorted_codes(record), ROWS_A_PAGE),
    )


def tag_places(trial: Trial) -> tuple[str, ...]:
    """What the tags of a run go on.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="mat", measure="recovery", pairs=6, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"))
    >>> tag_places(trial), tag_places(trial.model_copy(update={"measure": "gold_mass"}))
    (('FEED', 'JAR', 'TAILS'), ('FEED', 'JAR'))
    """
    return ("FEED", "JAR", "TAILS") if tails_box(trial) else ("FEED", "JAR")


def _where(trial: Trial) -> str:
    tails = ", one on the tails" if tails_box(trial) else ""
    return f"One on the feed, one on the jar{tails}."
