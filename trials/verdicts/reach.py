"""One trial and its runs in, one verdict out: the heart of the program."""

import sys
from collections.abc import Sequence

import numpy as np
import scipy

from schemas import (
    Correction,
    Cost,
    Finding,
    Interval,
    PairResult,
    PairTally,
    Run,
    Trial,
    Verdict,
)
from schemas.verdict import Code
from trials import __version__
from trials.errors import NotYet
from trials.fairness.checklist import judge_all
from trials.fairness.evidence import Evidence, gather
from trials.measures.pairing import Pair
from trials.statistics.pairs_needed import pairs_needed, smallest_findable
from trials.verdicts.analysis import LEVEL, LEVEL_AFTER_LOOK, LOOK_LEVEL, Analysis, analyse
from trials.verdicts.costs import reckon_costs
from trials.verdicts.last_word import advise
from trials.verdicts.nothing_changed import scatter_more, scatter_of, scatter_sentence
from trials.verdicts.sentences import (
    base_sentence,
    blocked_sentence,
    cost_sentences,
    few_pairs_sentence,
    incomplete_sentence,
    next_trial_sentence,
    one_side_sentence,
    outcome_sentence,
    second_pass_sentence,
    speak,
    too_few_sentence,
)
from trials.wording.lists import count_of

FEWEST_PAIRS = 3
LEANS_AT = 3
CAN_LEAN = ("better", "worse", "no_difference")


def reach_verdict(trial: Trial, runs: Sequence[Run], corrections: Sequence[Correction] = ()) -> Verdict:
    """Did the change to the gear catch more gold, or was it luck?

    Parameters
    ----------
    trial
        The plan: two arms, one main measure, no main size class.
    runs
        Its runs, in any order; each pair and arm at most once.
    corrections
        Values changed since they were stored; told, not used.

    Returns
    -------
    Verdict
        Frozen, with all that is needed to check it by hand. Where a gate stands (blocked, incomplete, too_few)
        `estimate`, `interval` and `p` are None. Only finite numbers appear.

    Raises
    ------
    NotYet
        A graded trial, an audit, or one whose main measure is a size class.

    Notes
    -----
    Paired t on the measure's scale decides (Student, Biometrika 6, 1908); the exact sign-flip check by the draw
    stands beside it (Fisher, The Design of Experiments, 1935, section 21).

    Examples
    --------
    >>> from schemas import Change, Gear, Lot
    >>> trial = Trial(name="rough-bed", measure="grain_counts", worth_having=20.0, pairs=6, knew="nobody",
    ...     lots=(Lot(kind="table tailings"),), gear=Gear(kind="finishing table"),
    ...     change=Change(variable="texture", baseline="smooth", changed=("rough",)))
    >>> smooth, rough = (31, 44, 26, 38, 29, 40), (47, 49, 45, 44, 52, 48)
    >>> runs = [Run(pair=i + 1, arm=arm, turn=2 * i + 1 + (i + k) % 2, fed_g=350.0, grains=grains[i])
    ...         for i in range(6) for k, (arm, grains) in enumerate((("baseline", smooth), ("changed", rough)))]
    >>> print(reach_verdict(trial, runs).sentence)
    Better beyond luck: 39 % more grains than smooth (11 to 73), 6 pairs, past your 20 % line, not certain to be.
    """
    refuse_what_comes_later(trial)
    evidence = gather(trial, runs)
    findings = judge_all(evidence)
    stops = [finding for finding in findings if finding.severity == "STOP"]
    informative = evidence.pairing.informative() if evidence.pairing.counted else ()
    if stops:
        return _gated(evidence, findings, corrections, "blocked", blocked_sentence(stops))
    if not evidence.ended:
        return _before_the_end(evidence, findings, corrections)
    if len(informative) < FEWEST_PAIRS:
        return _gated(evidence, findings, corrections, "too_few", too_few_sentence(len(informative)))
    level = LEVEL if trial.look_after is None else LEVEL_AFTER_LOOK
    analysis = analyse(evidence, level=level)
    if trial.kind == "nothing-changed check":
        return _scatter(evidence, findings, corrections, analysis)
    return _settled(evidence, findings, corrections, analysis)


def refuse_what_comes_later(trial: Trial) -> None:
    """Say in one line which questions this version stores but does not answer yet."""
    if trial.kind in ("graded", "audit"):
        kind = "A graded trial" if trial.kind == "graded" else "An audit"
        raise NotYet(
            f"{trial.name}: {kind.lower()} is stored and checked, but this version reaches no verdict on it yet; "
            f"samedirt export {trial.name} gives its runs as plain files"
        )
    if trial.sizes.main is not None:
        raise NotYet(
            f"{trial.name}: main size class {trial.sizes.main} is stored and checked, but this version reaches a "
            "verdict on the total only; take `main` out of [sizes] for that"
        )


def _before_the_end(
    evidence: Evidence, findings: Sequence[Finding], corrections: Sequence[Correction]
) -> Verdict:
    """No mean, interval or word before the planned end, but for one early look where the plan has it."""
    trial, pairing = evidence.trial, evidence.pairing
    at_look = trial.look_after is not None and pairing.standing == trial.look_after
    if at_look and trial.kind == "pairs" and len(pairing.informative()) >= FEWEST_PAIRS:
        analysis = analyse(evidence, level=LOOK_LEVEL)
        if analysis.interval is not None and (analysis.interval.low > 0 or analysis.interval.high < 0):
            return _settled(evidence, findings, corrections, _better_or_worse_only(analysis), at_look=True)
    sentence = incomplete_sentence(trial, pairing, look_taken=at_look)
    return _gated(evidence, findings, corrections, "incomplete", sentence)


def _better_or_worse_only(analysis: Analysis) -> Analysis:
    """At the early look nothing else is said, so a gain inside the line is still called by its side."""
    from dataclasses import replace

    assert analysis.interval is not None  # noqa: S101 - the caller looked
    return replace(analysis, code="better" if analysis.interval.low > 0 else "worse")


def _settled(
    evidence: Evidence,
    findings: Sequence[Finding],
    corrections: Sequence[Correction],
    analysis: Analysis,
    *,
    at_look: bool = False,
) -> Verdict:
    trial, measure = evidence.trial, evidence.pairing.measure
    pairs = evidence.pairing.informative()
    costs = reckon_costs(trial, pairs)
    leaning = _leans(analysis.code, findings)
    spoken = speak(analysis, measure, trial)
    needed = _needed(analysis)
    advice = advise(
        analysis.code,
        leaning=leaning,
        estimate=analysis.mean,
        is_small=analysis.is_small,
        has_line=analysis.line is not None,
        costs=costs,
    )
    gain = {"better": "More gold", "worse": "Less gold", "no_difference": "The same gold"}.get(
        analysis.code, "Gold not settled"
    )
    more = [
        next_trial_sentence(analysis, needed, trial.pairs) if analysis.code == "not_settled" else None,
        _look_sentence(trial, at_look=at_look),
        second_pass_sentence(trial, evidence.pairing),
        base_sentence(trial),
        *cost_sentences(costs, gain),
        one_side_sentence(analysis.differences),
        few_pairs_sentence(len(pairs), smallest_findable(len(pairs))),
        _draw_sentence(analysis),
    ]
    sentence = outcome_sentence(analysis, spoken, trial, len(pairs), leaning=leaning, costs=costs)
    return _verdict(
        evidence,
        findings,
        corrections,
        code=analysis.code,
        leaning=leaning,
        sentence=sentence,
        more=[line for line in more if line],
        last_word=advice.word,
        last_word_why=advice.why,
        shown=spoken.shown,
        pairs_for_new_trial=needed if analysis.code == "not_settled" else None,
        costs=costs,
        **_numbers(analysis),
    )


def _scatter(
    evidence: Evidence, findings: Sequence[Finding], corrections: Sequence[Correction], analysis: Analysis
) -> Verdict:
    trial, measure = evidence.trial, evidence.pairing.measure
    pairs = evidence.pairing.informative()
    scatter = scatter_of(analysis)
    spoken = speak(analysis, measure, trial)
    few = few_pairs_sentence(len(pairs), smallest_findable(len(pairs)))
    return _verdict(
        evidence,
        findings,
        corrections,
        code="scatter",
        sentence=scatter_sentence(scatter, measure, len(pairs)),
        more=[*scatter_more(scatter, spoken, measure, trial), *([few] if few else [])],
        shown=spoken.shown,
        scatter=scatter,
        costs=reckon_costs(trial, pairs),
        **_numbers(analysis),
    )


def _gated(
    evidence: Evidence, findings: Sequence[Finding], corrections: Sequence[Correction], code: Code, sentence: str
) -> Verdict:
    advice = advise(code, leaning=False, estimate=None, is_small=False, has_line=False, costs=())
    scatter_only = evidence.trial.kind == "nothing-changed check"
    return _verdict(
        evidence,
        findings,
        corrections,
        code=code,
        sentence=sentence,
        last_word=None if scatter_only else advice.word,
        last_word_why="" if scatter_only else advice.why,
    )


def _leans(code: Code, findings: Sequence[Finding]) -> bool:
    weakening = {finding.check for finding in findings if finding.severity == "WEAKENS"}
    return code in CAN_LEAN and len(weakening) >= LEANS_AT


def _needed(analysis: Analysis) -> int | None:
    if analysis.line is None or analysis.scatter is None:
        return None
    return pairs_needed(analysis.line / analysis.scatter)


def _look_sentence(trial: Trial, *, at_look: bool) -> str | None:
    if at_look:
        return (
            f"Reached at the planned early look, {trial.look_after} of {count_of(trial.pairs, 'pair')}, at the "
            "99 % bar; you may stop here."
        )
    return None if trial.look_after is None else "The plan had an early look, so the limits are at 96 %."


def _draw_sentence(analysis: Analysis) -> str | None:
    if not analysis.draw_disagrees:
        return None
    return "Caution: the exact check by the draw does not leave zero out; take this as weaker than it reads."


def _numbers(analysis: Analysis) -> dict[str, object]:
    return {
        "estimate": analysis.mean,
        "interval": analysis.interval,
        "floored": analysis.floored,
        "worth_having": analysis.line,
        "differences": analysis.differences,
        "sd": analysis.sd,
        "df": len(analysis.differences) - 1,
        "t": analysis.t,
        "p": analysis.p,
        "floor": analysis.floor,
        "check_by_draw": analysis.draw,
        "order_adjusted": analysis.order_adjusted,
    }


def _verdict(
    evidence: Evidence,
    findings: Sequence[Finding],
    corrections: Sequence[Correction],
    *,
    code: Code,
    sentence: str,
    **rest: object,
) -> Verdict:
    """Fill in what every verdict carries, whatever its code."""
    trial, measure = evidence.trial, evidence.pairing.measure
    shows_runs = evidence.ended or code in CAN_LEAN
    whole: dict[str, object] = {
        "trial": trial.name,
        "question": trial.question,
        "kind": trial.kind,
        "code": code,
        "leaning": False,
        "sentence": sentence,
        "last_word": None,
        "measure": measure.name,
        "measure_words": measure.words.axis,
        "scale": measure.scale,
        "arms": arm_words(trial),
        "estimate": None,
        "interval": None,
        "floored": None,
        "shown": None,
        "worth_having": None if trial.worth_having is None else measure.line(trial.worth_having),
        "pairs": _tally(evidence),
        "pair_results": _pair_results(evidence, shows_runs=shows_runs),
        "differences": (),
        "sd": None,
        "df": None,
        "t": None,
        "p": None,
        "floor": None,
        "method": METHODS[measure.scale],
        "check_by_draw": None,
        "order_adjusted": None,
        "pairs_for_new_trial": None,
        "scatter": None,
        "costs": (),
        "checks": tuple(findings),
        "amendments": trial.amended,
        "corrections": tuple(corrections),
        "voids": _voids(evidence),
        "stand_in": trial.grains.stuff if trial.measure == "tracers" and trial.grains.stuff != "gold" else None,
        "lots": ", ".join(lot.kind if lot.name == "lot" else f"{lot.name} ({lot.kind})" for lot in trial.lots),
        "dates": _dates(evidence.runs),
        "seed": trial.seed,
        "versions": versions(),
    }
    whole |= rest
    whole["more"] = tuple(rest.get("more", ()))  # type: ignore[call-overload]
    return Verdict.model_validate(whole)


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
    informative = {pair.number for pair in pairing.informative()} if pairing.counted else set()
    counted = {pair.number for pair in pairing.counted}
    differences = dict(zip(sorted(informative), pairing.differences(), strict=True)) if informative else {}
    results = []
    for pair in pairing.pairs:
        status = "counted" if pair.number in informative else "empty" if pair.number in counted else pair.state
        difference = differences.get(pair.number)
        session = next((run.session for run in pair.halves if run.session), None)
        results.append(
            PairResult(
                pair=pair.number,
                status="open" if status == "complete" else status,  # type: ignore[arg-type]
                baseline=_value(evidence, pair.baseline) if shows_runs else None,
                changed=_value(evidence, pair.changed) if shows_runs else None,
                difference=float(difference) if shows_runs and _finite(difference) else None,
                first=pair.first,
                session=session,
                note=_pair_note(pair, beyond=pair in pairing.beyond),
            )
        )
    return tuple(results)


def _finite(value: float | None) -> bool:
    return value is not None and bool(np.isfinite(value))


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


def _voids(evidence: Evidence) -> tuple[str, ...]:
    return tuple(
        f"pair {pair.number}, {run.arm}: {run.void}"
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
