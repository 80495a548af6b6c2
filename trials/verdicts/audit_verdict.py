"""An audit and its runs in, one verdict out: no before and after, and no last word."""

from collections.abc import Sequence
from typing import Literal

import numpy as np

from schemas import AuditAnswer, Correction, Finding, Interval, PairResult, PairTally, Run, SizeKept, Trial, Verdict
from trials.fairness.audited import AuditEvidence, gather_audit, judge_audit
from trials.fairness.thresholds import FEW_GRAINS, short_of
from trials.measures.audited import SizeGrid, size_grid
from trials.measures.catalogue import measure_named
from trials.statistics.seeded_share import SeededShare, seeded_share
from trials.statistics.size_trend import size_trend
from trials.verdicts.audit_words import audit_more, audit_sentence, unfinished_audit
from trials.verdicts.fill import OnRecord, Said, voids_told, written
from trials.verdicts.last_word import Conclusion
from trials.verdicts.sentences import base_sentence, blocked_sentence, not_started_sentence
from trials.verdicts.spoken import weaknesses

LEVEL = 0.95
LOSS_LINE = 10.0
"""Points lost from which a size counts as losing, where the plan sets no line: 1 grain in 10, our default."""
State = Literal["loses", "holds", "not settled", "not judged"]


def audited(trial: Trial, runs: Sequence[Run]) -> AuditAnswer | None:
    """What do these runs keep of each size, and where do losses start? None where no size was counted in every run.

    A size loses if its upper limit lies under 100 less the line, and holds if its lower one lies over it. Losses start
    at the coarsest of the unbroken run of sizes that lose, counted from the finest; the gear holds down to the finest
    of the unbroken run of sizes that hold, from the coarsest: a fixed sequence needs no correction.

    Source: Maurer, Hothorn & Lehmacher, Biometrie in der chemisch-pharmazeutischen Industrie 6, 1995, p. 3 (from
    memory). All sizes truly at the line: a false start in 0.9 to 2.4 % (own simulation, not published).
    """
    grid = size_grid(trial, runs)
    if not grid.labels:
        return None
    line = LOSS_LINE if trial.worth_having is None else trial.worth_having
    shares = seeded_share(grid.kept, grid.seeded, level=LEVEL)
    sizes = tuple(_size(grid, shares, at, line) for at in range(len(grid.labels)))
    trend = size_trend(grid.kept, grid.seeded) if len(sizes) > 1 else None
    return AuditAnswer(
        p=None if trend is None else trend.p,
        loss_line=line,
        loss_line_is_ours=trial.worth_having is None,
        runs=len(runs),
        sizes=sizes,
        losses_start=unbroken(sizes[::-1], "loses"),
        holds_down_to=unbroken(sizes, "holds"),
        run_variance=shares.run_variance,
        trend_z=None if trend is None else trend.z,
    )


def _size(grid: SizeGrid, shares: SeededShare, at: int, line: float) -> SizeKept:
    seeded, kept = int(grid.seeded[:, at].sum()), int(grid.kept[:, at].sum())
    tails = grid.in_tails[:, at]
    in_tails = None if np.isnan(tails).any() else int(tails.sum())
    low, high = float(shares.low[at]), float(shares.high[at])
    return SizeKept(
        label=grid.labels[at],
        seeded=seeded,
        kept=kept,
        in_tails=in_tails,
        missing=None if in_tails is None else seeded - kept - in_tails,
        share=float(shares.share[at]),
        interval=Interval(low=low, high=high, level=LEVEL),
        design=float(shares.design[at]),
        state=state_of_size(100 * low, 100 * high, seeded, line),
    )


def state_of_size(low: float, high: float, seeded: int, line: float) -> State:
    """Does a size lose over the line, hold over 100 less it, or neither, by its limits in %?

    >>> [state_of_size(*size, 10.0) for size in ((58, 77, 100), (92.9, 99.8, 100), (86, 97, 100), (40, 60, 12))]
    ['loses', 'holds', 'not settled', 'not judged']
    """
    if short_of(seeded, FEW_GRAINS):
        return "not judged"
    return "loses" if high < 100 - line else "holds" if low > 100 - line else "not settled"


def unbroken(sizes: Sequence[SizeKept], state: State) -> str | None:
    """The last of the sizes that are in this state one after another from the first; None where the first is not."""
    last = None
    for size in sizes:
        if size.state != state:
            break
        last = size.label
    return last


METHOD = (
    "share of seeded grains kept by size, exact limits with the luck from run to run (Clopper and Pearson; Williams)"
)
NOTHING_COUNTED = "Too few: no run has its grains counted in and out for any size. The runs are listed."
NOT_SEEDED = "An audit counts seeded grains out again; plan it with measure tracers."


def reach_audit(trial: Trial, runs: Sequence[Run], corrections: Sequence[Correction]) -> Verdict:
    """Where do losses start?"""
    evidence = gather_audit(trial, runs)
    findings = judge_audit(evidence)
    stops = [finding for finding in findings if finding.severity == "STOP"]
    record = OnRecord(
        trial=trial,
        runs=evidence.runs,
        findings=findings,
        corrections=tuple(corrections),
        tally=_tally(evidence),
        results=_results(evidence),
        voids=voids_told((run for run in evidence.audited.runs if run.is_void), names_arms=False),
    )
    said = Said("blocked", blocked_sentence(stops), Conclusion(None)) if stops else _said(evidence, findings)
    return written(record, said, METHOD)


def _said(evidence: AuditEvidence, findings: Sequence[Finding]) -> Said:
    trial, seen = evidence.trial, evidence.audited
    if seen.waiting:
        waits = unfinished_audit(trial, seen) if evidence.runs else not_started_sentence(trial, "run")
        return Said("incomplete", waits, Conclusion(None))
    if not measure_named(trial.measure).is_seeded:
        return Said("too_few", NOT_SEEDED, Conclusion(None))
    found = audited(trial, seen.counted)
    if found is None:
        return Said("too_few", NOTHING_COUNTED, Conclusion(None))
    base = base_sentence(trial)
    more = (*audit_more(found, trial, size_grid(trial, seen.counted).left_out), *([base] if base else []))
    return Said("audit", audit_sentence(found, weaknesses(findings)), Conclusion(None), more=more, answer=found)


def _tally(evidence: AuditEvidence) -> PairTally:
    seen = evidence.audited
    void = sum(run.is_void for run in seen.runs)
    return PairTally(planned=evidence.trial.pairs, complete=len(seen.counted), void=void, beyond=len(seen.beyond))


def _results(evidence: AuditEvidence) -> tuple[PairResult, ...]:
    measure, seen = measure_named(evidence.trial.measure), evidence.audited
    return tuple(
        PairResult(
            pair=run.pair,
            status="void" if run.is_void else "counted" if run in seen.counted else "open",
            values=(measure.number_of(run),),
            session=run.session,
            note=run.void or ("beyond the plan" if run in seen.beyond else ""),
        )
        for run in seen.runs
    )
