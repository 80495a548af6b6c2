"""The tables an answer stands on: every pair, every set-up and block, every size."""

from schemas import AuditAnswer, LevelsAnswer, PairResult, Verdict
from trials.measures.catalogue import measure_named
from trials.report.run_tables import RunTable
from trials.verdicts.audit_words import size_rows
from trials.verdicts.class_words import class_rows
from trials.verdicts.tables import block_rows, difference_text, level_rows
from trials.wording.numbers import figures

HALVES = ("baseline", "changed")


def answer_tables(verdict: Verdict) -> tuple[RunTable, ...]:
    """Lay out what was compared: pair by pair, block by block or size by size."""
    if len(verdict.arms) != len(HALVES):
        return tables_beside(verdict)
    void = tuple(pair.status == "void" for pair in verdict.pair_results)
    words = measure_named(verdict.measure).words
    head = ("pair", verdict.arms[0], verdict.arms[1], words.difference, "ran first", "session", "")
    pairs = RunTable("Every pair", head, tuple(_pair_cells(pair, verdict) for pair in verdict.pair_results), void)
    return (*tables_beside(verdict), pairs)


def tables_beside(verdict: Verdict) -> tuple[RunTable, ...]:
    """All of them but the pairs: set-ups and blocks, the sizes of an audit, size classes."""
    void = tuple(pair.status == "void" for pair in verdict.pair_results)
    match verdict.trial_kind:
        case "graded":
            return (*_set_ups(verdict), *_blocks(verdict, void))
        case "audit":
            return _of_audit(verdict, void)
        case _:
            return _sizes(verdict)


def _blocks(verdict: Verdict, void: tuple[bool, ...]) -> tuple[RunTable, ...]:
    if not any(block.values for block in verdict.pair_results):
        return ()
    head, rows = block_rows(verdict)
    return (RunTable(f"Every block ({verdict.measure_words})", head, tuple(rows), void),)


def _sizes(verdict: Verdict) -> tuple[RunTable, ...]:
    if not verdict.classes:
        return ()
    head, rows = class_rows(verdict)
    return (RunTable("By size, coarse to fine", head, tuple(rows), (False,) * len(rows)),)


def _of_audit(verdict: Verdict, void: tuple[bool, ...]) -> tuple[RunTable, ...]:
    rows = [
        (str(one.pair), *("" if v is None else figures(v) for v in one.values), one.note)
        for one in verdict.pair_results
    ]
    runs = RunTable("Every run of the audit", ("run", verdict.measure_words, ""), tuple(rows), void)
    if not isinstance(verdict.answer, AuditAnswer):
        return (runs,)
    head, sizes = size_rows(verdict, verdict.answer)
    return (RunTable("Every size, coarse to fine", head, tuple(sizes), (False,) * len(sizes)), runs)


def _set_ups(verdict: Verdict) -> tuple[RunTable, ...]:
    if not isinstance(verdict.answer, LevelsAnswer):
        return ()
    head, rows = level_rows(verdict, verdict.answer)
    return (RunTable("Every set-up, costs in times the baseline", head, tuple(rows), (False,) * len(rows)),)


def _pair_cells(pair: PairResult, verdict: Verdict) -> tuple[str, ...]:
    """The cells of a pair: its two numbers, their difference as it is spoken of, who went first, when, why not."""
    return (
        str(pair.pair),
        *("" if value is None else figures(value, 4) for value in (pair.baseline, pair.changed)),
        difference_text(pair, verdict),
        pair.first or "",
        pair.session or "",
        ": ".join(filter(None, ("" if pair.status == "counted" else pair.status, pair.note))),
    )
