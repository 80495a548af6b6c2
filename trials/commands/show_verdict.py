"""A verdict on the screen, and its chart in a file."""

from pathlib import Path
from typing import Any

from schemas import Record, Verdict
from trials.changes.decide import decision_words, last_decision
from trials.commands.check import say_quiet
from trials.commands.options import refusing_unwritable
from trials.commands.printing import say, say_table, screen_lines
from trials.errors import Refused
from trials.fairness.checklist import SEVERITY_HEADS
from trials.report.answer_tables import HALVES, tables_beside
from trials.report.since import what_was_changed
from trials.verdicts.spoken import last_words
from trials.verdicts.tables import rows_of_pairs
from trials.wording.lists import count_of


def write_verdict_chart(reached: Verdict, record: Record, path: Path) -> Path:
    """Draw the verdict chart into a file."""
    from trials.charts.answers.chosen import answer_chart
    from trials.charts.files import SUFFIXES, save_chart
    from trials.files.whole import refuse_in_the_way

    try:
        with refusing_unwritable(path, "name another with --chart"):
            if path.suffix.lower() in SUFFIXES:
                refuse_in_the_way(path, path.suffix.lower())
            narrow = answer_chart(reached, record.runs, narrow=True) if path.suffix == ".html" else None
            save_chart(answer_chart(reached, record.runs), path, narrow=narrow)
    except ValueError as error:
        raise Refused(str(error)) from error
    return path


def verdict_schema() -> dict[str, Any]:
    """The JSON Schema of what `verdict --json` prints: every key of it is always there."""
    return Verdict.model_json_schema(mode="serialization") | {"$schema": "https://json-schema.org/draft/2020-12/schema"}


def print_verdict(reached: Verdict, *, everything: bool = False) -> int:
    """Print a verdict as a person reads it: the sentence and the last word first; how many lines that took.

    `everything` names the checks that passed, and says of each that could not be made why.
    """
    lines = say(f"{reached.trial}: {reached.question}" if reached.question else reached.trial)
    lines += say() + _say_answer(reached) + say()
    lines += sum(say(line) for line in reached.more) + (say() if reached.more else 0)
    lines += _print_pairs(reached) if len(reached.arms) == len(HALVES) else 0
    lines += sum(
        say(f"{table.title}:") + say_table(table.header, table.rows) + say() for table in tables_beside(reached)
    )
    lines += _print_findings(reached, everything=everything)
    lines += sum(say(line) for line in what_was_changed(reached))
    return lines + say(f"The numbers behind it: add --json, or samedirt report {reached.trial}")


def say_again(reached: Verdict, lines: int) -> None:
    """The sentence and the last word once more, where they have left the screen."""
    height = screen_lines()
    if height is not None and lines >= height:
        say()
        _say_answer(reached)


def _say_answer(reached: Verdict) -> int:
    word, decided = last_words(reached), last_decision(reached.corrections)
    lines = say(reached.sentence) + (say(word) if word else 0)
    return lines + (say(f"Decided: {decision_words(decided)}.") if decided else 0)


def _print_pairs(reached: Verdict) -> int:
    if all(pair.baseline is None and pair.changed is None for pair in reached.pair_results):
        return 0
    return say(f"Each pair ({reached.measure_words}):") + say_table(*rows_of_pairs(reached)) + say()


def _print_findings(reached: Verdict, *, everything: bool) -> int:
    lines = 0
    for severity, head in SEVERITY_HEADS.items():
        lines += sum(say(f"{head} ({one.check}): {one.message}") for one in reached.checks if one.severity == severity)
    unknown = [one for one in reached.checks if one.severity == "not recorded"]
    passed = [one.check for one in reached.checks if one.severity == "ok"]
    if everything:
        return lines + say_quiet(unknown, passed)
    missing = f", {len(unknown)} not recorded: {', '.join(one.check for one in unknown)}" if unknown else ""
    return lines + say(f"{count_of(len(passed), 'check')} passed{missing} (--all names them).")
