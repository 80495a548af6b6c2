"""A graded trial and its runs in, one verdict out."""

from collections.abc import Sequence

from schemas import Correction, Finding, Interval, LevelResult, LevelsAnswer, PairResult, Run, Trend, Trial, Verdict
from schemas.verdict import Code, PairStatus
from trials.fairness.graded import BlockEvidence, gather_blocks, judge_levels
from trials.measures.blocks import Block
from trials.measures.measure import Measure
from trials.statistics.blocks_needed import smallest_findable_in_blocks
from trials.statistics.pairs_needed import pairs_needed
from trials.verdicts import level_words, sentences
from trials.verdicts.fill import OnRecord, Said, tally_of, voids_told, written
from trials.verdicts.last_word import WHY_RETEST, Conclusion, conclude_at_gate, if_better, leans, weakened
from trials.verdicts.level_outcome import LEVEL
from trials.verdicts.levels import JudgedLevel, LevelsAnalysis, analyse_levels
from trials.verdicts.spoken import speak, weaknesses
from trials.wording.lists import and_list

METHODS = {
    "points": "blocks and levels by least squares in points, joint limits against the baseline (Dunnett)",
    "ln ratio": "blocks and levels by least squares on natural logs, joint limits against the baseline (Dunnett)",
}


def reach_levels(trial: Trial, runs: Sequence[Run], corrections: Sequence[Correction]) -> Verdict:
    """Which level catches more gold than the baseline, and from where on does more stop paying?"""
    evidence = gather_blocks(trial, runs)
    findings = judge_levels(evidence)
    said = _said(evidence, findings)
    shows_runs = evidence.ended
    record = OnRecord(
        trial=trial,
        runs=evidence.runs,
        findings=findings,
        corrections=tuple(corrections),
        tally=tally_of(trial, evidence.blocking),
        results=tuple(_result(evidence, block, shows_runs=shows_runs) for block in evidence.blocking.blocks),
        voids=voids_told(
            (run for block in evidence.blocking.void for run in block.on_record if run.is_void), names_arms=shows_runs
        ),
    )
    return written(record, said, METHODS[evidence.blocking.measure.scale])


def _said(evidence: BlockEvidence, findings: Sequence[Finding]) -> Said:
    trial, blocking = evidence.trial, evidence.blocking
    stops = [finding for finding in findings if finding.severity == "STOP"]
    if stops:
        return _at_gate("blocked", sentences.blocked_sentence(stops))
    if not evidence.ended:
        waits = (
            level_words.unfinished_sentence(trial, blocking)
            if evidence.runs
            else sentences.not_started_sentence(trial, "block")
        )
        return _at_gate("incomplete", waits)
    found = analyse_levels(evidence)
    if found is None:
        return _at_gate("too_few", level_words.too_few_blocks_sentence(blocking.informative))
    return _decided(evidence, found, findings)


def _at_gate(code: Code, sentence: str) -> Said:
    return Said(code, sentence, conclude_at_gate(code))


def _decided(evidence: BlockEvidence, found: LevelsAnalysis, findings: Sequence[Finding]) -> Said:
    trial, measure = evidence.trial, evidence.blocking.measure
    leaning = leans(found.code, findings)
    sentence = level_words.levels_sentence(found, measure, trial, weaknesses(findings))
    needed = found.blocks_for_new_trial()
    pairs_alone = None if found.line is None or not found.scatter else pairs_needed(found.line / found.scatter)
    answer = _answer(found, measure, trial, needed)
    more = (
        level_words.new_trial_sentence(found, trial, needed, pairs_alone),
        *level_words.other_levels_sentences(found, measure, trial),
        level_words.stops_paying_words(answer, measure, trial.worth_having, level_words.blocks_would_tell(found)),
        level_words.still_rising_sentence(found),
        level_words.trend_sentence(found, measure),
        level_words.worth_testing_sentence(found),
        level_words.price_sentence(found, measure, trial),
        level_words.READS_HIGH if found.pick is not None and len(found.judged) > 1 else None,
        sentences.base_sentence(trial),
        *sentences.cost_sentences(found.named.costs, found.named.code),
        level_words.few_blocks_sentence(
            found, smallest_findable_in_blocks(max(found.blocks, 2), len(found.judged) + 1)
        ),
    )
    return Said(
        code=found.code,
        sentence=sentences.leaning_text(sentence) if leaning else sentence,
        conclusion=weakened(_firmly(found), findings, leaning=leaning),
        more=tuple(line for line in more if line),
        answer=answer,
        leaning=leaning,
        costs=found.named.costs,
    )


def _firmly(found: LevelsAnalysis) -> Conclusion:
    """What would follow if nothing weakened it: as of pairs, read for the level it names."""
    named = found.named
    match found.code:
        case "not_settled":
            return Conclusion("retest", WHY_RETEST["not_settled"])
        case "worse":
            return Conclusion("revert", f"{named.name} catches less gold, and no level more")
        case "better":
            if named.net is not None and named.net <= 0:
                return Conclusion("your call", f"with {named.name} more gold, and by your price no more than it costs")
            word = if_better(named.costs, named, found.line)
            return Conclusion(word.word, f"with {named.name}, {word.why}")
        case _:
            over = [level.name for level in found.judged if level.has_a_cost_over]
            cost = f", and a cost over its limit at {and_list(over)}" if over else ""
            return Conclusion("revert" if over else "your call", f"no level gains what is worth having{cost}")


def _answer(found: LevelsAnalysis, measure: Measure, trial: Trial, needed: int | None) -> LevelsAnswer:
    named = found.named
    return LevelsAnswer(
        named=named.name,
        pick=None if found.pick is None else found.pick.name,
        estimate=named.gain,
        interval=named.interval,
        p=named.p,
        worth_having=found.line,
        levels=(_baseline(found), *(_level(level, measure, trial) for level in found.levels)),
        sd=float(found.fit.sd),
        df=found.fit.df,
        reach=found.reach,
        floor=found.floor,
        trend=_trend(found, measure),
        first_could_be_best=found.could_be_best,
        first_enough=found.enough,
        blocks_for_new_trial=needed,
    )


def _baseline(found: LevelsAnalysis) -> LevelResult:
    return LevelResult(
        level=found.baseline,
        runs=found.baseline_runs,
        mean=float(found.fit.means[0]),
        code=None,
        estimate=None,
        interval=None,
        floored=None,
        p=None,
        shown=None,
        differences=(),
        could_be_best=bool(found.short.could_be_best[0]),
        short_of_best=float(found.short.atmost[0]),
    )


def _level(level: JudgedLevel, measure: Measure, trial: Trial) -> LevelResult:
    return LevelResult(
        level=level.name,
        runs=level.runs,
        mean=level.mean,
        code=level.code,
        estimate=level.estimate,
        interval=level.interval,
        floored=level.floored,
        p=level.p,
        shown=None if level.estimate is None else level_words.spoken_of(level, measure, trial).shown,
        differences=level.differences,
        net=level.net,
        could_be_best=level.could_be_best,
        short_of_best=level.short_of_best,
        costs=level.costs,
    )


def _trend(found: LevelsAnalysis, measure: Measure) -> Trend | None:
    trend = found.trend
    if trend is None:
        return None
    is_told = float(found.fit.sd) > 0
    interval = Interval(low=float(trend.low), high=float(trend.high), level=LEVEL) if is_told else None
    return Trend(
        slope=float(trend.slope),
        interval=interval,
        t=float(trend.t) if is_told else None,
        p=float(trend.p) if is_told else None,
        shown=speak(measure, float(trend.slope), interval, None).shown,
    )


def _result(evidence: BlockEvidence, block: Block, *, shows_runs: bool) -> PairResult:
    blocking = evidence.blocking
    return PairResult(
        pair=block.number,
        status=_status(evidence, block),
        values=tuple(blocking.measure.number_of(run) for run in block.runs) if shows_runs else (),
        session=next((run.session for run in block.on_record if run.session), None),
        note=_note(evidence, block, names_levels=shows_runs),
    )


def _status(evidence: BlockEvidence, block: Block) -> PairStatus:
    blocking = evidence.blocking
    if block in blocking.informative:
        return "counted"
    if block in blocking.counted:
        return "empty"
    return "open" if block.state == "open" else "void"


def _note(evidence: BlockEvidence, block: Block, *, names_levels: bool) -> str:
    words = (evidence.trial.change.baseline, *evidence.trial.arms[1:]) if evidence.trial.change else evidence.trial.arms
    struck = [
        f"{words[at]} void: {run.void}" if names_levels else f"a run void: {run.void}"
        for at, run in enumerate(block.runs)
        if run is not None and run.is_void
    ]
    beyond = ["beyond the plan"] if block in evidence.blocking.beyond else []
    return "; ".join([*struck, *beyond])
