"""The lines of tables: each pair, each block, and each set-up of a graded trial with its costs and its word."""

from schemas import Cost, LevelResult, LevelsAnswer, PairResult, Verdict
from trials.measures.catalogue import measure_named
from trials.verdicts.outcome import OUTCOME_WORDS
from trials.verdicts.spoken import speak
from trials.wording.numbers import figures, signed, times

LEVEL_WORDS = {**OUTCOME_WORDS, "too_few": "too few runs"}


def block_rows(verdict: Verdict) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """The head and the rows of a table of blocks, each with the number of every run."""
    rows = [
        (
            str(block.pair),
            *("" if value is None else figures(value) for value in block.values or [None] * len(verdict.arms)),
            ": ".join(word for word in ("" if block.status == "counted" else block.status, block.note) if word),
        )
        for block in verdict.pair_results
    ]
    return ("block", *verdict.arms, ""), rows


def cost_of(level: LevelResult, name: str) -> Cost | None:
    """One cost of a level; None where it was not recorded or could not be compared."""
    return next((cost for cost in level.costs if cost.name == name and cost.ratio is not None), None)


def level_word(answer: LevelsAnswer, level: LevelResult) -> str:
    """What is said of a set-up in a few words."""
    if level.code is None:
        return "baseline" if answer.pick is not None else "baseline: keep it"
    return f"{LEVEL_WORDS[level.code]}{': the one to use' if level.level == answer.pick else ''}"


def level_rows(verdict: Verdict, answer: LevelsAnswer) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """The head and the rows of a table of set-ups, in scale order; costs in times the baseline."""
    measure = measure_named(verdict.measure)
    costs = list(dict.fromkeys(c.name for level in answer.levels for c in level.costs if c.ratio is not None))
    rows = []
    for level in answer.levels:
        spoken = None if level.estimate is None else speak(measure, level.estimate, level.interval, verdict.line_typed)
        found = [cost_of(level, name) for name in costs]
        rows.append(
            (
                level.level,
                "" if spoken is None else spoken.estimate,
                "" if spoken is None or spoken.shown.low is None else f"{spoken.low} to {spoken.high}",
                *("" if cost is None or cost.ratio is None else times(cost.ratio) for cost in found),
                level_word(answer, level),
            )
        )
    return ("set-up", f"against {verdict.arms[0]}", "joint 95 % limits", *costs, ""), rows


def rows_of_pairs(verdict: Verdict) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """The head and the rows of a table of pairs; the reason of a void one stands with its run, not here."""
    rows = [
        (
            str(pair.pair),
            *("" if value is None else figures(value) for value in (pair.baseline, pair.changed)),
            difference_text(pair, verdict),
            pair.note if pair.status == "counted" else pair.status,
        )
        for pair in verdict.pair_results
    ]
    return ("pair", *verdict.arms[:2], measure_named(verdict.measure).words.difference, ""), rows


def difference_text(pair: PairResult, verdict: Verdict) -> str:
    """The difference of a pair in the unit a person reads, with its sign; blank where there is none."""
    if pair.difference is None:
        return ""
    return signed(measure_named(verdict.measure).shown(pair.difference), 1 if verdict.scale == "points" else 0)
