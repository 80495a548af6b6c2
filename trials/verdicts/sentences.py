"""The sentences of a verdict."""

from collections.abc import Sequence

from schemas import Cost, Finding, Trial
from trials.measures.catalogue import measure_named
from trials.measures.measure import Measure
from trials.measures.pairing import Pairing
from trials.verdicts.analysis import Analysis
from trials.verdicts.outcome import Outcome
from trials.verdicts.spoken import Spoken
from trials.wording.lists import count_of, in_pairs
from trials.wording.numbers import (
    decimals_apart,
    decimals_for,
    figures,
    half_minutes,
    one_in,
    plain,
    times,
)


def outcome_sentence(
    analysis: Analysis, spoken: Spoken, measure: Measure, trial: Trial, *, leaning: bool, costs: Sequence[Cost]
) -> str:
    """Write the verdict in one sentence."""
    pairs = len(analysis.differences)
    base = "" if trial.change is None else f" than {trial.change.baseline}"
    in_class = "" if trial.sizes.main is None else f" in {trial.sizes.main}"
    number = f"{spoken.estimate}{base if _compares(analysis, measure) else ''}{in_class}{spoken.limits}"
    line = None if trial.worth_having is None else measure.line_text(trial.worth_having)
    match analysis.code:
        case "better":
            head = "Better beyond luck" + (", with a cost" if any(c.status == "over" for c in costs) else "")
            sentence = f"{head}: {number}, {count_of(pairs, 'pair')}, {_against_line(analysis, line)}."
        case "worse":
            sentence = f"Worse beyond luck: {number}, {count_of(pairs, 'pair')}."
        case "no_difference" if analysis.is_small:
            sentence = f"Real but small: {number}, {count_of(pairs, 'pair')}, under your {line} line."
        case "no_difference":
            sentence = f"No difference worth having: {number}, {count_of(pairs, 'pair')}, inside your {line} line."
        case _:
            sentence = f"Not settled: {number}, {count_of(pairs, 'pair')}. {_why_not_settled(analysis)}"
    return leaning_text(sentence) if leaning else sentence


def leaning_text(sentence: str) -> str:
    """A sentence of a trial that several things weaken."""
    return f"Leaning {sentence[0].lower()}{sentence[1:]}"


def _compares(analysis: Analysis, measure: Measure) -> bool:
    """Whether the estimate is told as "more" or "less", so that "than" can follow."""
    return analysis.code != "not_settled" and measure.is_ratio and analysis.is_beyond_luck


def _against_line(analysis: Analysis, line: str | None) -> str:
    if analysis.line is None or analysis.interval is None or line is None:
        return "no line was set for what is worth having"
    if analysis.interval.low >= analysis.line:
        return f"by at least your {line} line"
    if analysis.interval.high < analysis.line:
        return f"under your {line} line at this scatter"
    if analysis.mean >= analysis.line:
        return f"past your {line} line, not certain to be"
    return f"short of your {line} line, and may be past it"


def _why_not_settled(analysis: Analysis) -> str:
    if analysis.interval is None:
        return "All pairs agree exactly and no scale division is known, so luck can't be judged."
    if analysis.line is not None and analysis.interval.high < analysis.line:
        return "Could be a loss, or no gain worth having."
    if analysis.line is not None and analysis.interval.low > -analysis.line:
        return "Could be no gain or a good one."
    return "Could be a loss or a good gain." if analysis.line is not None else "Could be a loss or a gain."


def next_trial_sentence(analysis: Analysis, pairs_needed: int | None, planned: int) -> str | None:
    """Say how many pairs a new trial would need, where nothing was settled."""
    if analysis.code != "not_settled":
        return None
    if analysis.line is None:
        return "No line was set for what is worth having, so the pairs a new trial needs can't be said."
    if pairs_needed is None:
        return "Give the division of the scale, so that luck can be judged."
    if pairs_needed <= planned:
        return "Your scatter was low enough; the gain lies near your line."
    return f"A new trial would need about {count_of(pairs_needed, 'pair')} at this scatter."


def one_side_sentence(differences: Sequence[float]) -> str | None:
    """Say how rare it is for luck to put every pair on one side; from 6 pairs."""
    count = len(differences)
    if count < 6 or not (all(d > 0 for d in differences) or all(d < 0 for d in differences)):
        return None
    return f"Luck alone would put all {count} pairs on one side {one_in(2.0 / 2**count)}."


GOLD_WORDS = {
    "better": "More gold",
    "worse": "Less gold",
    "no_difference": "The same gold",
    "not_settled": "Gold not settled",
}


def cost_sentences(costs: Sequence[Cost], code: str) -> list[str]:
    """Say what each cost came to, where it was recorded."""
    return [_cost_sentence(cost, GOLD_WORDS[code]) for cost in costs if cost.status != "not recorded"]


def _cost_sentence(cost: Cost, gold: str) -> str:
    if cost.ratio is None or cost.low is None or cost.high is None:
        return f"{cost.name.capitalize()}: not enough pairs to compare."
    change = f"{times(cost.ratio)} the {cost.name} ({plain(cost.low, 2)} to {plain(cost.high, 2)}){_amounts(cost)}"
    whose = "our default" if cost.limit_is_ours else "your"
    limit = "" if cost.limit is None else f"{whose} limit of {figures(cost.limit)}"
    if cost.status == "over":
        return f"{gold}, but {change}, over {limit}."
    if cost.high < 1:
        return f"{gold} with {LESS_OF.get(cost.name, 'less ' + cost.name)}: {change}."
    start = f"{change[0].upper()}{change[1:]}"
    return f"{start}, within {limit}." if cost.status == "within" else f"{start}: not shown to stay within {limit}."


LESS_OF = {"minutes": "fewer minutes"}


def _amounts(cost: Cost) -> str:
    if cost.baseline_mean is None or cost.changed_mean is None:
        return ""
    write = half_minutes if cost.name == "minutes" else figures
    return f", {write(cost.baseline_mean)} to {write(cost.changed_mean)} {cost.unit} a run"


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
    low, high = (measure.signed_text(end, decimals) for end in ends)
    return f"With the effect of going first taken out, the limits are {low} to {high}."


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
    baseline, changed = pairing.readings(pairing.informative())
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


def base_sentence(trial: Trial) -> str | None:
    """Say what the percentage or the points are of."""
    return measure_named(trial.measure).base_text(trial)


def few_pairs_sentence(pairs: int, smallest: float) -> str | None:
    """Say how large a difference so few pairs can find at all; for 3 to 5 pairs."""
    if pairs > 5:
        return None
    over = f"{plain(smallest, 1)} times the scatter"
    return f"With {count_of(pairs, 'pair')} only a difference over {over} is likely to be found."


def blocked_sentence(stops: Sequence[Finding]) -> str:
    """Say why there is no verdict, with the remedy of the first stop."""
    more = f" ({count_of(len(stops) - 1, 'more stop')} below.)" if len(stops) > 1 else ""
    return f"No verdict: {stops[0].message[0].lower()}{stops[0].message[1:]}{more}"


def incomplete_sentence(trial: Trial, pairing: Pairing, *, look_taken: bool) -> str:
    """Say how many pairs are in, and that the call waits."""
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
