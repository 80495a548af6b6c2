"""The whole Verdict, from what was decided and the evidence it was decided on."""

import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import scipy

from schemas import (
    Answer,
    Correction,
    Cost,
    FedLot,
    Finding,
    Gate,
    PairResult,
    PairsAnswer,
    PairTally,
    Run,
    ScatterAnswer,
    Shown,
    Trial,
    Verdict,
    VoidRun,
)
from schemas.verdict import Code, PairStatus
from trials import __version__
from trials.fairness.evidence import Evidence
from trials.measures.blocks import Blocking
from trials.measures.catalogue import measure_named
from trials.measures.pairing import Pair, Pairing
from trials.verdicts.analysis import Analysis
from trials.verdicts.classes import NO_SIZES, BySize
from trials.verdicts.last_word import Conclusion
from trials.verdicts.nothing_changed import are_alike, sd_limits
from trials.wording.lists import and_list

NO_ANSWER = Gate()


@dataclass(frozen=True, slots=True)
class Case:
    """One trial before the verdict: its evidence, what the checks found, and the corrections made.

    whole: every run by its key with all its size classes; the evidence has but the main one, where the plan names one.
    """

    evidence: Evidence
    findings: tuple[Finding, ...]
    corrections: tuple[Correction, ...]
    whole: Mapping[tuple[int, str], Run]


@dataclass(frozen=True, slots=True)
class Said:
    """What is said of a case."""

    code: Code
    sentence: str
    conclusion: Conclusion
    more: tuple[str, ...] = ()
    answer: Answer = NO_ANSWER
    leaning: bool = False
    costs: tuple[Cost, ...] = ()
    by_size: BySize = NO_SIZES


def pairs_answer(analysis: Analysis, shown: Shown, pairs_for_new_trial: int | None) -> PairsAnswer:
    """The numbers of a trial that compares two set-ups."""
    return PairsAnswer(**_compared(analysis, shown), pairs_for_new_trial=pairs_for_new_trial)


def scatter_answer(analysis: Analysis, shown: Shown) -> ScatterAnswer:
    """The numbers of a nothing-changed check."""
    return ScatterAnswer(**_compared(analysis, shown), sd_limits=sd_limits(analysis), alike=are_alike(analysis))


def _compared(analysis: Analysis, shown: Shown) -> dict[str, Any]:
    return {
        "estimate": analysis.mean,
        "interval": analysis.interval,
        "floored": analysis.floored,
        "worth_having": analysis.line,
        "shown": shown,
        "differences": analysis.differences,
        "sd": analysis.sd,
        "df": len(analysis.differences) - 1,
        "t": analysis.t,
        "p": analysis.p,
        "floor": analysis.floor,
        "check_by_draw": analysis.draw,
        "order_adjusted": analysis.order_adjusted,
    }


@dataclass(frozen=True, slots=True)
class OnRecord:
    """What a verdict tells of a trial whatever it says: runs, findings, and what was changed or struck.

    runs: those that were made and not struck.
    """

    trial: Trial
    runs: tuple[Run, ...]
    findings: tuple[Finding, ...]
    corrections: tuple[Correction, ...]
    tally: PairTally
    results: tuple[PairResult, ...]
    voids: tuple[VoidRun, ...]


def verdict_of(case: Case, said: Said) -> Verdict:
    """Write the verdict on a trial of pairs.

    Before the planned end the runs' own numbers are left out, unless an early look settled the trial.
    """
    evidence = case.evidence
    shows_runs = evidence.ended or said.answer.kind != "gate"
    record = OnRecord(
        trial=evidence.trial,
        runs=evidence.runs,
        findings=case.findings,
        corrections=case.corrections,
        tally=tally_of(evidence.trial, evidence.pairing),
        results=_pair_results(evidence, shows_runs=shows_runs),
        voids=voids_told(
            (run for pair in evidence.pairing.void for run in pair.halves if run.is_void), names_arms=shows_runs
        ),
    )
    return written(record, said, METHODS[evidence.pairing.measure.scale])


def written(record: OnRecord, said: Said, method: str) -> Verdict:
    """Write a verdict: what was said, and everything that is needed to check it by hand."""
    trial, measure = record.trial, measure_named(record.trial.measure)
    return Verdict(
        trial=trial.name,
        question=trial.question,
        trial_kind=trial.kind,
        code=said.code,
        leaning=said.leaning,
        sentence=set_aside_words(trial) + said.sentence,
        more=said.more,
        last_word=said.conclusion.word if trial.set_aside is None else None,
        last_word_why=said.conclusion.why if trial.set_aside is None else "",
        measure=measure.name,
        measure_words=measure.words.axis,
        scale=measure.scale,
        method=method,
        arms=arm_words(trial),
        line_typed=trial.worth_having,
        answer=said.answer,
        pairs=record.tally,
        pair_results=record.results,
        size_class=trial.sizes.main,
        classes=said.by_size.classes,
        one_size_mix=said.by_size.one_mix,
        costs=said.costs,
        checks=record.findings,
        amendments=trial.amended,
        corrections=record.corrections,
        voids=record.voids,
        stand_in=trial.grains.stuff if measure.is_seeded and trial.grains.stuff != "gold" else None,
        grain_sizes=_grain_sizes(trial, record.runs),
        lots=tuple(FedLot(name=lot.name, kind=lot.kind) for lot in trial.lots),
        dates=tuple(sorted({run.session for run in record.runs if run.session})),
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


def _grain_sizes(trial: Trial, runs: Sequence[Run]) -> str | None:
    """The size classes of the tracer grains, as the plan names them, or else the counts of the runs."""
    if not measure_named(trial.measure).is_seeded:
        return None
    counted = (part.label for run in runs for part in run.classes if part.kept is not None)
    labels = [trial.grains.size] if trial.grains.size else list(dict.fromkeys(counted))
    return " ".join(filter(None, (and_list(labels), trial.sizes.series))) if labels else None


def tally_of(trial: Trial, found: Pairing | Blocking) -> PairTally:
    """How many pairs, or blocks, there are of each sort."""
    empty = len(found.counted) - len(found.informative) if found.counted else 0
    counts = {"complete": len(found.counted), "void": len(found.void), "beyond": len(found.beyond)}
    return PairTally(planned=trial.pairs, empty=empty, **counts)


def _pair_results(evidence: Evidence, *, shows_runs: bool) -> tuple[PairResult, ...]:
    pairing = evidence.pairing
    informative = pairing.informative if pairing.counted else ()
    found = pairing.differences if informative else ()
    differences = {pair.number: float(d) for pair, d in zip(informative, found, strict=True) if np.isfinite(d)}
    counted = {pair.number for pair in pairing.counted}
    numbers = {pair.number for pair in informative}
    return tuple(
        PairResult(
            pair=pair.number,
            status=_status(pair, counted=pair.number in counted, informative=pair.number in numbers),
            baseline=evidence.pairing.measure.number_of(pair.baseline) if shows_runs else None,
            changed=evidence.pairing.measure.number_of(pair.changed) if shows_runs else None,
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


def _pair_note(pair: Pair, *, beyond: bool) -> str:
    if pair.state == "void":
        return next(run.void for run in pair.halves if run.void) or ""
    return "beyond the plan" if beyond else ""


def voids_told(struck: Iterable[Run], *, names_arms: bool) -> tuple[VoidRun, ...]:
    """The runs that were struck, each with its reason."""
    return tuple(
        VoidRun(pair=run.pair, arm=run.arm if names_arms else None, why=run.void or "", gold_known=run.void_gold_known)
        for run in struck
    )
