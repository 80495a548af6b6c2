"""One trial and its runs in, one verdict out: the heart of the program."""

from collections.abc import Sequence
from dataclasses import replace

from schemas import Correction, Run, Trial, Verdict
from schemas.verdict import Code
from trials.errors import Refused
from trials.fairness.checklist import judge_all
from trials.fairness.evidence import gather
from trials.fairness.missing import measures_missing
from trials.measures.classes import of_class
from trials.measures.pairing import Pair
from trials.records.cross_check import cross_check
from trials.statistics.pairs_needed import pairs_needed
from trials.verdicts import sentences
from trials.verdicts.analysis import LEVEL, LEVEL_AFTER_LOOK, LOOK_LEVEL, Analysis, analyse
from trials.verdicts.class_words import class_sentences
from trials.verdicts.classes import BySize, by_size
from trials.verdicts.costs import reckon_costs
from trials.verdicts.fill import Case, Said, pairs_answer, scatter_answer, verdict_of
from trials.verdicts.last_word import Conclusion, conclude, conclude_at_gate, leans, weakened
from trials.verdicts.nothing_changed import scatter_more, scatter_sentence
from trials.verdicts.outcome import Outcome
from trials.verdicts.spoken import Spoken, speak, weaknesses
from trials.verdicts.tails_found import tails_found_sentence

FEWEST_PAIRS = 3


def reach_verdict(trial: Trial, runs: Sequence[Run], corrections: Sequence[Correction] = ()) -> Verdict:
    """Did the change to the gear catch more gold, or was it luck?

    The plan has one main measure, of all sizes or of one class; its runs come in any order, each pair and arm at most
    once; `corrections`, values changed since they were stored, are told and not used. The verdict is frozen, with all
    that is needed to check it by hand, and holds finite numbers alone. Where a gate stands (blocked, incomplete,
    too_few) the `estimate`, `interval` and `p` of its answer are None. Refused is what `load` refuses too, with every
    problem: two runs of one pair and arm, an arm the trial does not have.

    Paired t on the measure's scale decides (Student, Biometrika 6, 1908); the exact sign-flip check by the draw stands
    beside it (Fisher, The Design of Experiments, 1935, section 21).

    >>> from schemas import Change, Gear, Lot
    >>> trial = Trial(name="rough-bed", measure="grain_counts", worth_having=20.0, pairs=6, knew="nobody",
    ...     lots=(Lot(kind="table tailings"),), gear=Gear(kind="finishing table"),
    ...     change=Change(variable="texture", baseline="smooth", changed=("rough",)))
    >>> smooth, rough = (31, 44, 26, 38, 29, 40), (47, 49, 45, 44, 52, 48)
    >>> runs = [Run(pair=i + 1, arm=arm, turn=2 * i + 1 + (i + k) % 2, fed_g=350.0, grains=grains[i])
    ...         for i in range(6) for k, (arm, grains) in enumerate((("baseline", smooth), ("changed", rough)))]
    >>> print(reach_verdict(trial, runs).sentence)
    Better beyond luck: 39 % more grains than smooth (11 to 73), 6 pairs, your 20 % line lies inside the range.
    """
    problems = cross_check(trial, runs)
    if problems:
        raise Refused(problems)
    # Few ask for the other kinds, whose statistics load slowly.
    if trial.kind == "audit":
        from trials.verdicts.audit_verdict import reach_audit

        return reach_audit(trial, runs, corrections)
    main = trial.sizes.main
    of_main = runs if main is None else [of_class(run, main) for run in runs]
    if trial.kind == "graded":
        from trials.verdicts.level_verdict import reach_levels

        return reach_levels(trial, of_main, corrections)
    evidence = gather(trial, of_main)
    whole = {run.key: run for run in runs}
    return _of_pairs(Case(evidence, judge_all(evidence), tuple(corrections), whole))


def _of_pairs(case: Case) -> Verdict:
    evidence, trial = case.evidence, case.evidence.trial
    stops = [finding for finding in case.findings if finding.severity == "STOP"]
    if stops:
        return _at_gate(case, "blocked", sentences.blocked_sentence(stops), sentences.only_changed_sentence(stops))
    if not evidence.ended:
        return _before_the_end(case)
    informative = evidence.pairing.informative if evidence.pairing.counted else ()
    if len(informative) < FEWEST_PAIRS:
        return _at_gate(case, "too_few", sentences.too_few_sentence(len(informative)))
    analysis = analyse(evidence, level=LEVEL if trial.look_after is None else LEVEL_AFTER_LOOK)
    if trial.kind == "nothing-changed check":
        return _nothing_changed(case, analysis)
    return _decided(case, analysis)


def _at_gate(case: Case, code: Code, sentence: str, *more: str | None) -> Verdict:
    is_check = case.evidence.trial.kind == "nothing-changed check"
    conclusion = Conclusion(None) if is_check else conclude_at_gate(code)
    return verdict_of(case, Said(code, sentence, conclusion, more=tuple(line for line in more if line)))


def _before_the_end(case: Case) -> Verdict:
    """No mean, interval or word before the planned end, but for one early look where the plan has it."""
    trial, pairing = case.evidence.trial, case.evidence.pairing
    at_look = trial.look_after is not None and pairing.standing == trial.look_after
    if at_look and trial.kind == "pairs" and len(pairing.informative) >= FEWEST_PAIRS:
        analysis = analyse(case.evidence, level=LOOK_LEVEL)
        if analysis.is_beyond_luck:
            # At the look nothing but better or worse is said, so a gain inside the line goes by its side.
            side: Outcome = "better" if analysis.mean > 0 else "worse"
            told = replace(case, findings=judge_all(case.evidence, names_arms=True))
            return _decided(told, replace(analysis, code=side), at_look=True)
    lacking = measures_missing(trial, [run for pair in pairing.pairs for run in pair.halves])
    return _at_gate(case, "incomplete", sentences.incomplete_sentence(trial, pairing, look_taken=at_look), *lacking)


def _decided(case: Case, analysis: Analysis, *, at_look: bool = False) -> Verdict:
    evidence = case.evidence
    trial, pairs = evidence.trial, evidence.pairing.informative
    costs = reckon_costs(trial, pairs)
    leaning, weak_in = leans(analysis.code, case.findings), weaknesses(case.findings)
    spoken, sizes = _spoken(case, analysis), _by_size(case, pairs)
    needed = _pairs_for_new_trial(analysis)
    measure, typed = evidence.pairing.measure, trial.worth_having
    at_most = "" if typed is None else f"{spoken.at_most}, inside your {measure.line_text(typed)} line"
    firm = conclude(analysis, costs, at_most, is_traded=sizes.is_traded)
    more = (
        sentences.next_trial_sentence(analysis, needed, trial.pairs),
        sentences.look_sentence(trial, at_look=at_look),
        sentences.second_pass_sentence(trial, evidence.pairing, analysis.code),
        sentences.hundred_sentence(analysis, measure),
        sentences.base_sentence(trial),
        tails_found_sentence(trial, evidence.pairing, pairs),
        *class_sentences(sizes, evidence.pairing.measure, trial, analysis.code),
        *sentences.cost_sentences(costs, analysis.code),
        sentences.one_side_sentence(analysis.differences),
        sentences.few_pairs_sentence(len(pairs)),
        sentences.order_sentence(analysis, evidence.pairing.measure, case.findings),
        sentences.draw_sentence(analysis),
    )
    said = Said(
        code=analysis.code,
        sentence=sentences.outcome_sentence(
            analysis, spoken, evidence.pairing.measure, trial, leaning=leaning, costs=costs, weak_in=weak_in
        ),
        conclusion=weakened(firm, case.findings, leaning=leaning),
        more=tuple(line for line in more if line),
        answer=pairs_answer(analysis, spoken.shown, needed),
        leaning=leaning,
        costs=costs,
        by_size=sizes,
    )
    return verdict_of(case, said)


def _by_size(case: Case, pairs: Sequence[Pair]) -> BySize:
    """What the same pairs say by size class; where one class is the main one, of the others."""
    trial = case.evidence.trial
    whole = [
        replace(pair, baseline=case.whole[pair.number, trial.arms[0]], changed=case.whole[pair.number, trial.arms[1]])
        for pair in pairs
    ]
    return by_size(trial, whole, case.evidence.pairing.measure, without=trial.sizes.main)


def _nothing_changed(case: Case, analysis: Analysis) -> Verdict:
    evidence = case.evidence
    trial, measure, pairs = evidence.trial, evidence.pairing.measure, evidence.pairing.informative
    spoken = _spoken(case, analysis)
    answer = scatter_answer(analysis, spoken.shown)
    few = sentences.few_pairs_sentence(len(pairs))
    said = Said(
        code="scatter",
        sentence=scatter_sentence(analysis, answer.sd_limits, measure, weaknesses(case.findings)),
        conclusion=Conclusion(None),
        more=(*scatter_more(answer.alike, analysis, spoken, measure, trial), *([few] if few else [])),
        answer=answer,
        costs=reckon_costs(trial, pairs),
    )
    return verdict_of(case, said)


def _spoken(case: Case, analysis: Analysis) -> Spoken:
    evidence = case.evidence
    return speak(evidence.pairing.measure, analysis.mean, analysis.interval, evidence.trial.worth_having)


def _pairs_for_new_trial(analysis: Analysis) -> int | None:
    """Pairs a new trial would need to find the line 4 times in 5; None where nothing is open or it can't be said."""
    if analysis.code != "not_settled" or analysis.line is None or analysis.scatter is None:
        return None
    return pairs_needed(analysis.line / analysis.scatter)
