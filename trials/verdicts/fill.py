"""The whole Verdict, from the answer reached and the evidence it was reached on."""

import sys
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy

from schemas import Correction, Cost, Finding, PairResult, PairTally, Run, Scatter, Shown, Trial, Verdict
from schemas.verdict import Code, PairStatus
from trials import __version__
from trials.fairness.evidence import Evidence
from trials.measures.pairing import Pair
from trials.verdicts.analysis import Analysis
from trials.verdicts.last_word import Advice


@dataclass(frozen=True, slots=True)
class Case:
    """One trial before the verdict: its evidence, what the checks found, and the corrections made."""

    evidence: Evidence
    findings: tuple[Finding, ...]
    corrections: tuple[Correction, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """What was decided of a case; all but the code and its sentence may be absent."""

    code: Code
    sentence: str
    advice: Advice
    more: tuple[str, ...] = ()
    leaning: bool = False
    analysis: Analysis | None = None
    shown: Shown | None = None
    costs: tuple[Cost, ...] = ()
    scatter: Scatter | None = None
    pairs_for_new_trial: int | None = None


def verdict_of(case: Case, answer: Answer) -> Verdict:
    """Write the verdict: the answer, and everything that is needed to check it by hand.

    Before the planned end the runs' own numbers are left out, unless an early look settled the trial.
    """
    evidence, analysis = case.evidence, answer.analysis
    trial, measure = evidence.trial, evidence.pairing.measure
    shows_runs = evidence.ended or analysis is not None
    return Verdict(
        trial=trial.name,
        question=trial.question,
        kind=trial.kind,
        code=answer.code,
        leaning=answer.leaning,
        sentence=set_aside_words(trial) + answer.sentence,
        more=answer.more,
        last_word=answer.advice.word if trial.set_aside is None else None,
        last_word_why=answer.advice.why if trial.set_aside is None else "",
        measure=measure.name,
        measure_words=measure.words.axis,
        scale=measure.scale,
        arms=arm_words(trial),
        estimate=analysis.mean if analysis else None,
        interval=analysis.interval if analysis else None,
        floored=analysis.floored if analysis else None,
        shown=answer.shown,
        worth_having=None if trial.worth_having is None else measure.line(trial.worth_having),
        pairs=_tally(evidence),
        pair_results=_pair_results(evidence, shows_runs=shows_runs),
        differences=analysis.differences if analysis else (),
        sd=analysis.sd if analysis else None,
        df=len(analysis.differences) - 1 if analysis else None,
        t=analysis.t if analysis else None,
        p=analysis.p if analysis else None,
        floor=analysis.floor if analysis else None,
        method=METHODS[measure.scale],
        check_by_draw=analysis.draw if analysis else None,
        order_adjusted=analysis.order_adjusted if analysis else None,
        pairs_for_new_trial=answer.pairs_for_new_trial,
        scatter=answer.scatter,
        costs=answer.costs,
        checks=case.findings,
        amendments=trial.amended,
        corrections=case.corrections,
        voids=_voids(evidence, names_arms=shows_runs),
        stand_in=trial.grains.stuff if evidence.pairing.measure.is_seeded and trial.grains.stuff != "gold" else None,
        lots=", ".join(lot.kind if lot.name == "lot" else f"{lot.name} ({lot.kind})" for lot in trial.lots),
        dates=_dates(evidence.runs),
        seed=trial.seed,
        versions=versions(),
    )


def set_aside_words(trial: Trial) -> str:
    """What stands before every sentence on a trial that was set aside; nothing before that of another.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="t", measure="recovery", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="pan"),
    ...     set_aside="wrong dirt.")
    >>> set_aside_words(trial)
    'Set aside (wrong dirt), so nothing of it counts. '
    """
    return "" if trial.set_aside is None else f"Set aside ({trial.set_aside.rstrip('.')}), so nothing of it counts. "


METHODS = {
    "points": "paired t on differences in points, changed less baseline",
    "ln ratio": "paired t on natural logs of the ratio, more gold positive",
}


def arm_words(trial: Trial) -> tuple[str, ...]:
    """What the arms are called: by the words of the change where there is one."""
    if trial.change is None:
        return trial.arms
    return (trial.change.baseline, *trial.change.changed)


def versions() -> dict[str, str]:
    """What computed a verdict."""
    python = ".".join(map(str, sys.version_info[:3]))
    return {"samedirt": __version__, "numpy": np.__version__, "scipy": scipy.__version__, "python": python}


def _tally(evidence: Evidence) -> PairTally:
    pairing = evidence.pairing
    empty = len(pairing.counted) - len(pairing.informative()) if pairing.counted else 0
    return PairTally(
        planned=evidence.trial.pairs,
        complete=len(pairing.counted),
        void=len(pairing.void),
        empty=empty,
        beyond=len(pairing.beyond),
    )


def _pair_results(evidence: Evidence, *, shows_runs: bool) -> tuple[PairResult, ...]:
    pairing = evidence.pairing
    informative = pairing.informative() if pairing.counted else ()
    found = pairing.differences() if informative else ()
    differences = {pair.number: float(d) for pair, d in zip(informative, found, strict=True) if np.isfinite(d)}
    counted = {pair.number for pair in pairing.counted}
    numbers = {pair.number for pair in informative}
    return tuple(
        PairResult(
            pair=pair.number,
            status=_status(pair, counted=pair.number in counted, informative=pair.number in numbers),
            baseline=_value(evidence, pair.baseline) if shows_runs else None,
            changed=_value(evidence, pair.changed) if shows_runs else None,
            difference=differences.get(pair.number) if shows_runs else None,
            first=pair.first if shows_runs else None,
            session=next((run.session for run in pair.halves if run.session), None),
            note=_pair_note(pair, beyond=pair in pairing.beyond),
        )
        for pair in pairing.pairs
    )


def _status(pair: Pair, *, counted: bool, informative: bool) -> PairStatus:
    if informative:
        return "counted"
    if counted:
        return "empty"
    return "void" if pair.state == "void" else "open"


def _value(evidence: Evidence, run: Run | None) -> float | None:
    readings = None if run is None else evidence.pairing.measure.readings(run)
    if readings is None:
        return None
    value = float(evidence.pairing.measure.value(np.array(readings)))
    return value if np.isfinite(value) else None


def _pair_note(pair: Pair, *, beyond: bool) -> str:
    if pair.state == "void":
        return next(run.void for run in pair.halves if run.void) or ""
    return "beyond the plan" if beyond else ""


def _voids(evidence: Evidence, *, names_arms: bool) -> tuple[str, ...]:
    return tuple(
        f"pair {pair.number}{f', {run.arm}' if names_arms else ''}: {run.void}"
        + ("" if run.void_gold_known is None else f", gold {'known' if run.void_gold_known else 'not known'} then")
        for pair in evidence.pairing.void
        for run in pair.halves
        if run.void
    )


def _dates(runs: Sequence[Run]) -> str:
    sessions = sorted({run.session for run in runs if run.session})
    if not sessions:
        return "dates not recorded"
    return sessions[0] if len(sessions) == 1 else f"{sessions[0]} to {sessions[-1]}"
