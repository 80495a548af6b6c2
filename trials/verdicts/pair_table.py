"""Each pair of a verdict as a line: its two numbers, their difference, and why it does not count."""

from schemas import PairResult, Verdict
from trials.measures.catalogue import measure_named
from trials.wording.numbers import figures, signed


def rows_of_pairs(verdict: Verdict) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """The head and the rows of a table of pairs; the reason of a void one stands with its run, not here."""
    rows = [
        (
            str(pair.pair),
            *("" if value is None else figures(value) for value in (pair.baseline, pair.changed)),
            difference_text(pair, verdict),
            pair.note if pair.status == "counted" else pair.status,
        )
        for pair in verdict.pair_results
    ]
    return ("pair", *verdict.arms[:2], measure_named(verdict.measure).words.difference, ""), rows


def difference_text(pair: PairResult, verdict: Verdict) -> str:
    """The difference of a pair in the unit a person reads, with its sign; blank where there is none."""
    if pair.difference is None:
        return ""
    return signed(measure_named(verdict.measure).shown(pair.difference), 1 if verdict.scale == "points" else 0)
