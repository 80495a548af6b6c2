"""An audit and its runs in, one verdict out: no before and after, and no last word."""

from collections.abc import Sequence

from schemas import Correction, Finding, PairResult, PairTally, Run, Trial, Verdict
from trials.fairness.audited import AuditEvidence, gather_audit, judge_audit
from trials.measures.audited import size_grid
from trials.measures.catalogue import measure_named
from trials.verdicts.audit import audited
from trials.verdicts.audit_words import audit_more, audit_sentence, unfinished_audit
from trials.verdicts.fill import OnRecord, Said, value_of, voids_told, written
from trials.verdicts.last_word import Conclusion
from trials.verdicts.sentences import base_sentence, blocked_sentence, not_started_sentence
from trials.verdicts.spoken import weaknesses

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
            values=(value_of(measure, run),),
            session=run.session,
            note=run.void or ("beyond the plan" if run in seen.beyond else ""),
        )
        for run in seen.runs
    )
