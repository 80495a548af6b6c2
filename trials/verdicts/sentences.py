"""The sentences of a verdict."""

from collections.abc import Sequence

from schemas import Cost, Finding, Trial, is_made
from schemas.cost import Part
from trials.fairness.missing import first_steps
from trials.measures.catalogue import measure_named
from trials.measures.measure import Measure
from trials.measures.pairing import Pairing
from trials.statistics.pairs_needed import smallest_findable
from trials.verdicts.analysis import Analysis
from trials.verdicts.costs import LESS_OF
from trials.verdicts.outcome import Outcome
from trials.verdicts.spoken import Spoken, against_line, but_clause, line_words, ratio_texts
from trials.wording.lists import capital, count_of, in_pairs
from trials.wording.numbers import decimals_apart, decimals_for, figures, half_minutes, on_its_side, one_in, plain


def outcome_sentence(
    analysis: Analysis,
    spoken: Spoken,
    measure: Measure,
    trial: Trial,
    *,
    leaning: bool,
    costs: Sequence[Cost],
    weak_in: Sequence[str] = (),
) -> str:
    """Write the verdict in one sentence, with what weakens it (`weak_in`) in it."""
    pairs = len(analysis.differences)
    base = "" if trial.change is None or not spoken.joins else f" {spoken.joins} {trial.change.baseline}"
    in_class = "" if trial.sizes.main is None else f" in {trial.sizes.main}"
    number = f"{spoken.estimate}{base}{in_class}{spoken.limits}"
    typed = trial.worth_having
    line = None if typed is None else measure.line_text(typed)
    both_ends = "" if typed is None else line_words(measure, typed, spoken.decimals)
    but = but_clause(weak_in)
    match analysis.code:
        case "better":
            head = "Better beyond luck" + (", with a cost" if any(c.status == "over" for c in costs) else "")
            stands = against_line(analysis.interval, analysis.mean, analysis.line, line)
            sentence = f"{head}: {number}, {count_of(pairs, 'pair')}, {stands}{but}."
        case "worse":
            sentence = f"Worse beyond luck: {number}, {count_of(pairs, 'pair')}{but}."
        case "no_difference" if analysis.is_small:
            where = f"under your {line} line" if analysis.mean > 0 else f"inside {both_ends}"
            sentence = f"Real but small: {number}, {count_of(pairs, 'pair')}, {where}{but}."
        case "no_difference":
            sentence = f"No difference worth having: {number}, {count_of(pairs, 'pair')}, inside {both_ends}{but}."
        case _:
            sentence = f"Not settled: {number}, {count_of(pairs, 'pair')}{but}. {_why_not_settled(analysis)}"
    return leaning_text(sentence) if leaning else sentence


def leaning_text(sentence: str) -> str:
    """A sentence of a trial that several things weaken."""
    return f"Leaning {sentence[0].lower()}{sentence[1:]}"


def _why_not_settled(analysis: Analysis) -> str:
    if analysis.interval is None:
        return "All pairs agree exactly and no scale division is known, so luck can't be judged."
    if analysis.line is None:
        return "Could be a loss or a gain."
    is_good, is_bad = analysis.interval.high >= analysis.line, analysis.interval.low <= -analysis.line
    if is_good:
        return "Could be a loss or a good gain." if is_bad else "Could be no gain or a good one."
    if is_bad:
        return "Could be a loss, or no gain worth having."
    return "The range lies inside your line; counting and weighing luck alone allow more than that."


def next_trial_sentence(analysis: Analysis, pairs_needed: int | None, planned: int) -> str | None:
    """Say how many pairs a new trial would need, where nothing was settled."""
    if analysis.code != "not_settled":
        return None
    if pairs_needed is None or pairs_needed <= planned:
        side = "gain" if analysis.mean > 0 else "loss"
        return no_number_sentence("pair", analysis.line, analysis.scatter, pairs_needed, side)
    return f"A new trial would need about {count_of(pairs_needed, 'pair')} at this scatter."


def no_number_sentence(what: str, line: float | None, scatter: float | None, needed: int | None, side: str) -> str:
    """Say why no number is told of what a new trial needs, pairs or blocks: none can be, or as many were run.

    side: the gain, or loss, that was not settled.

    >>> no_number_sentence("block", 1.0, 2.0, None, "gain"), no_number_sentence("pair", 3.0, 2.0, 6, "loss")
    ('A new trial would need more blocks than can be run, at this scatter.', 'Your scatter was low enough; the loss \
lies near your line.')
    """
    if line is None:
        return f"No line was set for what is worth having, so the {what}s a new trial needs can't be said."
    if not scatter:
        return "Give the division of the scale, so that luck can be judged."
    if needed is None:
        return f"A new trial would need more {what}s than can be run, at this scatter."
    return f"Your scatter was low enough; the {side} lies near your line."


def one_side_sentence(differences: Sequence[float]) -> str | None:
    """Say how rare it is for luck to put every pair on one side; from 6 pairs."""
    count = len(differences)
    if count < 6 or not (all(d > 0 for d in differences) or all(d < 0 for d in differences)):
        return None
    return f"Luck alone would put all {count} pairs on one side {one_in(2.0 / 2**count)}."


GOLD_WORDS = {
    "better": "More gold",
    "worse": "Less gold",
    "no_difference": "No difference worth having",
    "not_settled": "Gold not settled",
}


def cost_sentences(costs: Sequence[Cost], code: str) -> list[str]:
    """Say what each cost came to, where it was recorded; of minutes, what run and clean-up took by themselves too."""
    told = [cost for cost in costs if cost.status != "not recorded"]
    return [f"{_cost_sentence(cost, GOLD_WORDS[code])}{_parts_text(cost)}" for cost in told]


def _cost_sentence(cost: Cost, gold: str) -> str:
    ratio, low, high = ratio_texts(cost)
    if not ratio:
        return f"{cost.name.capitalize()}: not enough pairs to compare."
    change = f"{ratio} times the {cost.name} ({low} to {high}){_amounts(cost)}"
    whose = "our default" if cost.limit_is_ours else "your"
    limit = "" if cost.limit is None else f"{whose} limit of {figures(cost.limit)}"
    if cost.status == "over":
        return f"{gold}, but {change}, over {limit}."
    if cost.saves:
        return f"{capital(LESS_OF[cost.name])}: {change}."
    end = f", within {limit}" if cost.status == "within" else f": not shown to stay within {limit}"
    return f"{change}{end if limit else ''}."


def _amounts(cost: Cost) -> str:
    if cost.baseline_mean is None or cost.changed_mean is None:
        return ""
    return f", {_from_to(cost.baseline_mean, cost.changed_mean, cost.unit)} a run"


def _from_to(before: float, after: float, unit: str) -> str:
    """Two means, as finely as it takes to tell them apart."""
    usual = half_minutes if unit == "min" else figures
    for write in (usual, figures):
        texts = write(before), write(after)
        if texts[0] != texts[1]:
            return f"from {texts[0]} to {texts[1]} {unit}"
    return f"{usual(before)} {unit} in both arms"


def _parts_text(cost: Cost) -> str:
    """What the parts of a cost came to, each by itself.

    >>> from schemas.cost import Part
    >>> run, cleanup = (Part(name=name, ratio=r, low=0.9 * r, high=1.1 * r, baseline_mean=b, changed_mean=b * r)
    ...                 for name, r, b in (("run", 1.0, 20.0), ("clean-up", 1.5, 12.0)))
    >>> _parts_text(Cost(name="minutes", unit="min", limit=1.2, limit_is_ours=True, status="within",
    ...                  parts=(run, cleanup)))
    ' Run alone 20 min in both arms, clean-up alone from 12 to 18 min (1.50 times, 1.35 to 1.65).'
    """
    told = [
        f"{part.name} alone {_from_to(part.baseline_mean, part.changed_mean, cost.unit)}{_part_ratio(part)}"
        for part in cost.parts
    ]
    return f" {capital(', '.join(told))}." if told else ""


def _part_ratio(part: Part) -> str:
    ratio, low, high = ratio_texts(part)
    beyond_luck = bool(ratio) and not (part.low or 0.0) <= 1.0 <= (part.high or 0.0)
    return f" ({ratio} times, {low} to {high})" if beyond_luck else ""


def look_sentence(trial: Trial, *, at_look: bool) -> str | None:
    """Say that the plan had an early look, and at which level that leaves the verdict."""
    if at_look:
        pairs = count_of(trial.pairs, "pair")
        return f"Reached at the planned early look, {trial.look_after} of {pairs}, at the 99 % bar; you may stop here."
    return None if trial.look_after is None else "The plan had an early look, so the limits are at 96 %."


def order_sentence(analysis: Analysis, measure: Measure, findings: Sequence[Finding]) -> str | None:
    """Give the limits with the effect of going first taken out, where such an effect was seen."""
    seen = any(finding.check == "order-effect" and finding.severity == "NOTE" for finding in findings)
    if not seen or analysis.order_adjusted is None:
        return None
    ends = [measure.shown(end) for end in (analysis.order_adjusted.low, analysis.order_adjusted.high)]
    decimals = decimals_apart(ends, [0.0], decimals_for(abs(ends[1] - ends[0]) / 2.0))
    told = [on_its_side(end, [0.0], decimals) for end in ends]
    low, high = measure.signed_limits(told[0], told[1], decimals)
    return f"With the effect of going first taken out, the limits are {low} to {high} {measure.words.signed}."


def draw_sentence(analysis: Analysis) -> str | None:
    """Warn where the exact check by the draw does not bear the interval out."""
    if not analysis.draw_disagrees:
        return None
    return "Caution: the exact check by the draw does not leave zero out; take this as weaker than it reads."


ADDED = {
    "better": "only what is more than that is the change's",
    "worse": "the change found less",
    "no_difference": "the change added none worth having",
    "not_settled": "whether the change added any is not settled",
}


def second_pass_sentence(trial: Trial, pairing: Pairing, code: Outcome) -> str | None:
    """Say what the unchanged gear found in the same tails, where tails were re-run.

    Means are those of the runs. Only of a gain beyond luck is the rest called the change's.
    """
    if not trial.feeds_tails or trial.change is None or pairing.measure.side != "kept":
        return None
    baseline, changed = pairing.readings(pairing.informative)
    unit = pairing.measure.words.unit
    before, after = (float(pairing.measure.value(half).mean()) for half in (baseline, changed))
    found = f"The unchanged gear found {figures(before)} {unit} a run in these tails too"
    if code == "better" and after > before:
        return (
            f"{found}: so {figures(before)} of the {figures(after)} would have come with any second pass, and only the "
            "rest is the change's."
        )
    return f"{found}, against {figures(after)} with the change: any second pass finds gold, and {ADDED[code]}."


def only_changed_sentence(findings: Sequence[Finding]) -> str | None:
    """Say what runs without any unchanged half can still be used for."""
    if not any(finding.check == "control-there" and finding.severity == "STOP" for finding in findings):
        return None
    return (
        "Runs without an unchanged half can still tell how far runs alike scatter, to plan the next trial with; and "
        "with grains counted in, what the gear keeps and loses (an audit)."
    )


def hundred_sentence(analysis: Analysis, measure: Measure) -> str | None:
    """Say points that are beyond luck as so many more of every hundred."""
    said = measure.of_every_hundred(measure.shown(analysis.mean)) if analysis.is_beyond_luck else None
    return None if said is None else f"That is about {said}."


def base_sentence(trial: Trial) -> str | None:
    """Say what the percentage or the points are of."""
    return measure_named(trial.measure).base_text(trial)


def few_pairs_sentence(pairs: int) -> str | None:
    """Say how large a difference so few pairs can find at all; for 3 to 5 pairs."""
    if pairs > 5:
        return None
    over = f"{plain(float(smallest_findable(pairs)), 1)} times the scatter"
    return f"With {count_of(pairs, 'pair')} only a difference over {over} is likely to be found."


def blocked_sentence(stops: Sequence[Finding]) -> str:
    """Say why there is no verdict, with the remedy of the first stop."""
    more = f" ({count_of(len(stops) - 1, 'more stop')} below.)" if len(stops) > 1 else ""
    return f"No verdict: {stops[0].message[0].lower()}{stops[0].message[1:]}{more}"


def not_started_sentence(trial: Trial, what: str) -> str:
    """Say that nothing was run yet, and what is next; `what` is planned: pairs, blocks, runs."""
    planned = count_of(trial.pairs, f"planned {what}")
    return f"Not started: none of {planned} is in. Next: {first_steps(trial.name, is_locked=trial.locked is not None)}."


def incomplete_sentence(trial: Trial, pairing: Pairing, *, look_taken: bool) -> str:
    """Say how many pairs are in, and that the call waits."""
    if all(pair.state == "open" and not any(map(is_made, pair.halves)) for pair in pairing.pairs):
        return not_started_sentence(trial, "pair")
    done = f"{pairing.standing} of {count_of(trial.pairs, 'planned pair')}"
    if look_taken:
        return f"Not finished: {done}. Planned look: not settled, go on."
    waiting = [pair.number for pair in pairing.pairs if pair.state == "open" and pair.number <= trial.pairs]
    spare = "" if waiting else " A spare stands in for the void pair; run it."
    last = f" for {in_pairs(waiting)}" if waiting else ""
    return f"Not finished: {done}. The call waits{last}.{spare}"


def too_few_sentence(pairs: int) -> str:
    """Say that one or two pairs answer nothing."""
    return f"Too few: {count_of(pairs, 'pair')} to judge by. The runs are listed; a verdict needs 3 pairs at least."
