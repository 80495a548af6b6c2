"""The sentences of a graded trial's verdict."""

from collections.abc import Sequence

from schemas import LevelsAnswer, Trial
from trials.measures.blocks import Blocking
from trials.measures.measure import Measure
from trials.verdicts.level_outcome import FEWEST_BASELINE_RUNS, FEWEST_SHARED_BLOCKS
from trials.verdicts.levels import JudgedLevel, LevelsAnalysis
from trials.verdicts.sentences import no_number_sentence
from trials.verdicts.spoken import Spoken, against_line, but_clause, speak
from trials.wording.lists import and_list, capital, count_of, in_pairs
from trials.wording.numbers import decimals_for, figures, plain

FEW_BLOCKS = 6
READS_HIGH = "The best of several levels reads a little high, so expect a little less of it."


def price_sentence(found: LevelsAnalysis, measure: Measure, trial: Trial) -> str | None:
    """Say which level the plan's price of minutes and black sand names; None without one, or where none is better."""
    price = trial.price
    told = [(price.minute, "a minute"), (price.black_sand_g, "a gram of black sand")]
    prices = [f"{measure.size_text(measure.line(worth))} {of}" for worth, of in told if worth is not None]
    if not prices or found.pick is None:
        return None
    net, by = found.pick.net, f"your price of {and_list(prices)}"
    if net is None:
        return f"{capital(by)} can't be counted: a run lacks its minutes or its black sand."
    left = measure.signed_text(measure.shown(net), 1)
    if net <= 0:
        return f"By {by}, even {found.pick.name} gains nothing over {found.baseline}: {left} when that is taken off."
    return f"By {by}, {found.pick.name} is the one to use: {left} over {found.baseline} when that is taken off."


def spoken_of(level: JudgedLevel, measure: Measure, trial: Trial) -> Spoken:
    """A level's difference from the baseline and its limits in words."""
    return speak(measure, level.gain, level.interval, trial.worth_having)


def levels_sentence(found: LevelsAnalysis, measure: Measure, trial: Trial, weak_in: Sequence[str] = ()) -> str:
    """Write the verdict on a graded trial in one sentence, with what weakens it (`weak_in`) in it."""
    but = but_clause(weak_in)
    named, line = found.named, None if trial.worth_having is None else measure.line_text(trial.worth_having)
    spoken = spoken_of(named, measure, trial)
    in_class = "" if trial.sizes.main is None else f" in {trial.sizes.main}"
    against = _against_baseline(named, spoken, measure, f"{found.baseline}{in_class}")
    blocks = count_of(found.blocks, "block")
    joint = f"limits joint for {count_of(len(found.judged), 'level')}"
    match found.code:
        case "better":
            cost = ", with a cost" if named.has_a_cost_over else ""
            stands = against_line(named.interval, named.gain, found.line, line)
            return f"Better beyond luck{cost}: {against}, {blocks}, {joint}, {stands}{but}."
        case "worse":
            return f"Worse beyond luck: {against}, {blocks}, {joint}{but}."
        case "no_difference":
            which = f"all {len(found.levels)} levels" if len(found.levels) > 1 else named.name
            ends = _outer_limits(found, measure, trial)
            inside = f"{which} inside your {line} line of {found.baseline} ({ends})"
            return f"No difference worth having: {inside}, {blocks}{but}."
        case _:
            said = f"{named.name}, {spoken.estimate}{spoken.limits}, {blocks}"
            any_worse = any(level.code == "worse" for level in found.judged)
            beyond = "no level is better beyond luck" if any_worse else "no level is beyond luck"
            return f"Not settled: {beyond}; nearest {said}, {joint}{but}."


def _against_baseline(level: JudgedLevel, spoken: Spoken, measure: Measure, baseline: str) -> str:
    """A level beyond luck against the baseline: "220 keeps 5.0 points more than painted (2.8 to 7.2)"."""
    if measure.is_ratio:
        return f"{level.name} gives {spoken.estimate} {spoken.joins or 'than'} {baseline}{spoken.limits}"
    shown, places = spoken.shown, spoken.decimals
    points = f"{plain(abs(shown.estimate), places)} points {'more' if shown.estimate > 0 else 'less'}"
    ends = sorted((abs(shown.low or 0.0), abs(shown.high or 0.0)))
    return f"{level.name} keeps {points} than {baseline} ({plain(ends[0], places)} to {plain(ends[1], places)})"


def _outer_limits(found: LevelsAnalysis, measure: Measure, trial: Trial) -> str:
    """The lowest and the highest limit of all levels."""
    ends = [spoken_of(level, measure, trial) for level in found.judged]
    lowest = min(ends, key=lambda one: one.shown.low or 0.0)
    highest = max(ends, key=lambda one: one.shown.high or 0.0)
    places = max(one.decimals for one in (lowest, highest))
    low, high = measure.signed_limits(lowest.shown.low or 0.0, highest.shown.high or 0.0, places)
    return f"{low} to {high}"


def other_levels_sentences(found: LevelsAnalysis, measure: Measure, trial: Trial) -> list[str]:
    """Say what is beyond luck of the levels that the sentence does not name, and which had too few runs."""
    lines = []
    others = [level for level in found.judged if level is not found.named]
    better = [level.name for level in others if level.code == "better"]
    if better:
        lines.append(f"Also better: {and_list(better)}.")
    small = [_in_short(level, measure, trial) for level in others if level.is_small]
    if small:
        lines.append(f"Real but small: {and_list(small)}.")
    worse = [_in_short(level, measure, trial) for level in others if level.code == "worse"]
    if worse:
        lines.append(f"Worse: {and_list(worse)}.")
    few = [f"{level.name} ({count_of(level.runs, 'run')})" for level in found.levels if level.code == "too_few"]
    if few:
        lines.append(
            f"Too few runs to judge: {and_list(few)}. A level needs {FEWEST_SHARED_BLOCKS} blocks beside the baseline."
        )
    return lines


def _in_short(level: JudgedLevel, measure: Measure, trial: Trial) -> str:
    spoken = spoken_of(level, measure, trial)
    return f"{level.name} ({spoken.estimate}, {spoken.low} to {spoken.high})"


def stops_paying_words(
    answer: LevelsAnswer, measure: Measure, worth_having: float | None, tail: str = ""
) -> str | None:
    """Say from which set-up on more adds nothing worth having; None where it can't be told."""
    first, enough = answer.first_could_be_best, answer.first_enough
    if worth_having is None or first is None:
        return None
    names = [level.level for level in answer.levels]
    if enough is not None and names.index(enough) <= names.index(first):
        line = measure.line(worth_having)
        more = measure.gain_text(line) if measure.is_ratio else f"{measure.size_text(line)} more"
        return f"More stops paying at {enough}: no other set-up gives {more}."
    last = next(level.level for level in reversed(answer.levels) if level.estimate is not None)
    return f"More stops paying somewhere from {first} to {enough or last}{tail}."


def blocks_would_tell(found: LevelsAnalysis) -> str:
    """How many blocks would tell where more stops paying; blank where there are as many."""
    blocks = found.blocks_to_tell_where_it_stops()
    return "" if blocks is None or blocks <= found.blocks else f"; about {blocks} blocks would tell"


def still_rising_sentence(found: LevelsAnalysis) -> str | None:
    """Say that the best may lie past the last level, where the last is the one named and reads highest."""
    last = found.levels[-1]
    if found.trend is None or found.pick is not last or found.highest is not last:
        return None
    return f"Still rising at {last.name}, the last level: add one beyond it."


def trend_sentence(found: LevelsAnalysis, measure: Measure) -> str | None:
    """Say whether the set-ups rise or fall straight along the scale."""
    trend = found.trend
    if trend is None:
        return None
    low, high = sorted((float(trend.low), float(trend.high)))
    if trend.p != trend.p or low <= 0 <= high:
        return "No straight rise shown; a hump would not show here."
    rises = trend.slope > 0
    ends = sorted(abs(measure.shown(end)) for end in (low, high))
    places = decimals_for((ends[1] - ends[0]) / 2)
    unit = f"% {measure.words.more if rises else measure.words.less}" if measure.is_ratio else "points"
    step = f"{plain(abs(measure.shown(float(trend.slope))), places)} {unit} a step"
    way = "Rises" if rises else "Falls"
    return f"{way} along the scale by {step} ({plain(ends[0], places)} to {plain(ends[1], places)})."


def new_trial_sentence(found: LevelsAnalysis, trial: Trial, blocks: int | None, pairs: int | None) -> str | None:
    """Say how many blocks a new trial would need where nothing was settled, or pairs for the level that leads alone."""
    if found.code != "not_settled":
        return None
    if blocks is None or blocks <= trial.pairs:
        side = "gain" if found.named.gain > 0 else "loss"
        return no_number_sentence("block", found.line, found.scatter, blocks, side)
    arms = len(found.judged) + 1
    new = f"A new trial would need about {blocks} blocks at this scatter, {blocks * arms} runs"
    alone = f"{found.named.name} against {found.baseline} alone"
    return f"{new}." if pairs is None else f"{new}; one of {alone} about {count_of(pairs, 'pair')}, {2 * pairs} runs."


def few_blocks_sentence(found: LevelsAnalysis, smallest: float) -> str | None:
    """Say how large a difference so few blocks can find at all; under 6 blocks."""
    if found.blocks >= FEW_BLOCKS:
        return None
    over = f"{figures(smallest, 2)} times the scatter of a pair"
    return f"With {count_of(found.blocks, 'block')} only a difference over {over} is likely to be found."


def worth_testing_sentence(found: LevelsAnalysis) -> str | None:
    """Say which level to test next, where none is better."""
    if found.pick is not None or found.code in ("no_difference", "worse") or found.highest.gain <= 0:
        return None
    return f"Keep {found.baseline} for now; {found.highest.name} reads highest and is worth testing next."


def unfinished_sentence(trial: Trial, blocking: Blocking) -> str:
    """Say how many blocks are in, and that the call waits."""
    waiting = [block.number for block in blocking.blocks if block.state == "open" and block.number <= trial.pairs]
    done = f"{blocking.standing} of {count_of(trial.pairs, 'planned block')}"
    spare = "" if waiting else " A spare stands in for the block with a void run; run it."
    named = f" for {in_pairs(waiting, 'block')}" if waiting else ""
    return f"Not finished: {done}. The call waits{named}.{spare}"


def too_few_blocks_sentence(blocks: Sequence[object]) -> str:
    """Say that so few blocks answer nothing."""
    return (
        f"Too few: {count_of(len(blocks), 'block')} to judge by. The runs are listed; a verdict needs "
        f"{FEWEST_BASELINE_RUNS} runs of the baseline, and a level {FEWEST_SHARED_BLOCKS} blocks beside it."
    )
