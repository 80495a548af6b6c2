"""The tables of a report that its answer stands on: every pair, or every set-up and every block."""

from schemas import LevelsAnswer, PairResult, Verdict
from trials.measures.catalogue import measure_named
from trials.report.run_tables import RunTable
from trials.verdicts.class_words import class_rows
from trials.verdicts.level_table import block_rows, level_rows
from trials.wording.numbers import figures, signed


def answer_tables(verdict: Verdict) -> tuple[RunTable, ...]:
    """Lay out what was compared, pair by pair or block by block."""
    void = tuple(pair.status == "void" for pair in verdict.pair_results)
    if verdict.trial_kind == "graded":
        head, rows = block_rows(verdict)
        blocks = RunTable("Every block", head, tuple(rows), void)
        return (*_set_ups(verdict), blocks)
    words = measure_named(verdict.measure).words
    head = ("pair", verdict.arms[0], verdict.arms[1], words.difference, "ran first", "session", "")
    pairs = RunTable("Every pair", head, tuple(_pair_cells(pair, verdict) for pair in verdict.pair_results), void)
    return (*_sizes(verdict), pairs)


def _sizes(verdict: Verdict) -> tuple[RunTable, ...]:
    if not verdict.classes:
        return ()
    head, rows = class_rows(verdict)
    return (RunTable("By size, coarse to fine", head, tuple(rows), (False,) * len(rows)),)


def _set_ups(verdict: Verdict) -> tuple[RunTable, ...]:
    if not isinstance(verdict.answer, LevelsAnswer):
        return ()
    head, rows = level_rows(verdict, verdict.answer)
    return (RunTable("Every set-up, costs in times the baseline", head, tuple(rows), (False,) * len(rows)),)


def _pair_cells(pair: PairResult, verdict: Verdict) -> tuple[str, ...]:
    """The cells of a pair: its two numbers, their difference as it is spoken of, who went first, when, why not."""
    measure = measure_named(verdict.measure)
    decimals = 1 if verdict.scale == "points" else 0
    return (
        str(pair.pair),
        *("" if value is None else figures(value, 4) for value in (pair.baseline, pair.changed)),
        "" if pair.difference is None else signed(measure.shown(pair.difference), decimals),
        pair.first or "",
        pair.session or "",
        ": ".join(filter(None, ("" if pair.status == "counted" else pair.status, pair.note))),
    )
