"""One change on several lots, of what the logbook remembers and, where sizes were told apart, of its runs."""

from collections.abc import Sequence

from trials.listing.joint import FEWEST_LOTS, joint_of, measure_of
from trials.listing.joint_words import ToldChange
from trials.listing.same_change import SameChange
from trials.logbook.logbook import Logbook


def told_over_lots(book: Logbook, changes: Sequence[SameChange]) -> list[ToldChange]:
    """What each change comes to over its lots; recoveries told apart by size in every trial are taken at one mix."""
    return [_told(book, same) for same in changes]


def _told(book: Logbook, same: SameChange) -> ToldChange:
    mixed = _at_one_mix(book, same) if len(same.lots) >= FEWEST_LOTS and same.newest.measure == "recovery" else None
    return ToldChange(same, joint_of(same, mixed), is_at_one_mix=mixed is not None)


def _at_one_mix(book: Logbook, same: SameChange) -> dict[str, float] | None:
    from trials.measures.pairing import pair_up
    from trials.verdicts.classes import at_one_mix

    with book.reading() as pages:
        records = pages.records([line.trial for line in same.trials])
    pairs = [(record.trial, pair_up(record.trial, record.runs).informative) for record in records]
    means = at_one_mix(pairs, measure_of(same))
    return None if means is None else dict(zip((trial.name for trial, _ in pairs), means, strict=True))
