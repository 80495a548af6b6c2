"""A verdict on the screen, and its chart in a file."""

from pathlib import Path
from typing import Any

from schemas import Record, Verdict
from trials.commands.options import refusing_unwritable
from trials.commands.printing import say, say_table
from trials.errors import Refused
from trials.fairness.checklist import SEVERITY_HEADS
from trials.measures.catalogue import measure_named
from trials.verdicts.spoken import last_words, void_words
from trials.wording.numbers import figures, signed


def write_verdict_chart(reached: Verdict, record: Record, path: Path) -> Path:
    """Draw the verdict chart into a file."""
    from trials.charts.answers.chosen import answer_chart
    from trials.charts.files import save_chart

    try:
        with refusing_unwritable(path, "name another with --chart"):
            narrow = answer_chart(reached, record.runs, narrow=True) if path.suffix == ".html" else None
            save_chart(answer_chart(reached, record.runs), path, narrow=narrow)
    except ValueError as error:
        raise Refused(str(error)) from error
    return path


def verdict_schema() -> dict[str, Any]:
    """The JSON Schema of what `verdict --json` prints: every key of it is always there."""
    return Verdict.model_json_schema(mode="serialization") | {"$schema": "https://json-schema.org/draft/2020-12/schema"}


def print_verdict(reached: Verdict) -> None:
    """Print a verdict as a person reads it."""
    say(f"{reached.trial}: {reached.question}" if reached.question else reached.trial)
    say()
    say(reached.sentence)
    for line in reached.more:
        say(line)
    if reached.last_word is not None:
        say(last_words(reached))
    say()
    if reached.trial_kind == "graded":
        _print_levels(reached)
    else:
        _print_pairs(reached)
    if reached.classes:
        _print_classes(reached)
    _print_findings(reached)
    for amendment in reached.amendments:
        say(f"Amended on {amendment.when}: {amendment.what} was {amendment.was}, now {amendment.now}; {amendment.why}.")
    for struck in reached.voids:
        say(f"Void: {void_words(struck)}.")
    corrected = [one for one in reached.corrections if one.old is not None]  # the rest only added a strike or a picture
    if corrected:
        history = f"samedirt logbook {reached.trial} --history"
        say(f"Values corrected after they were stored: {len(corrected)}; {history} lists them.")
    say("The numbers behind it: add --json, or samedirt report " + reached.trial)


def _print_pairs(reached: Verdict) -> None:
    measure = measure_named(reached.measure)
    if all(pair.baseline is None and pair.changed is None for pair in reached.pair_results):
        return
    first, second = reached.arms[0], reached.arms[1]
    rows = [
        (
            str(pair.pair),
            "" if pair.baseline is None else figures(pair.baseline),
            "" if pair.changed is None else figures(pair.changed),
            signed(measure.shown(pair.difference), 1 if reached.scale == "points" else 0)
            if pair.difference is not None
            else "",
            ": ".join(word for word in ("" if pair.status == "counted" else pair.status, pair.note) if word),
        )
        for pair in reached.pair_results
    ]
    say(f"Each pair ({reached.measure_words}):")
    say_table(("pair", first, second, measure.words.difference, ""), rows)
    say()


def _print_levels(reached: Verdict) -> None:
    """Each set-up with its limits and its costs, and each block with all its runs."""
    from trials.verdicts.level_table import block_rows, level_rows

    if reached.answer.kind == "levels":
        say("Each set-up; black sand and the like in times the baseline:")
        say_table(*level_rows(reached, reached.answer))
        say()
    if any(block.values for block in reached.pair_results):
        say(f"Each block ({reached.measure_words}):")
        say_table(*block_rows(reached))
        say()


def _print_classes(reached: Verdict) -> None:
    """Each size class, coarse to fine; the total stands in the sentence above."""
    from trials.verdicts.class_words import class_rows

    say("By size, coarse to fine:")
    say_table(*class_rows(reached))
    say()


def _print_findings(reached: Verdict) -> None:
    for severity, head in SEVERITY_HEADS.items():
        for finding in (one for one in reached.checks if one.severity == severity):
            say(f"{head} ({finding.check}): {finding.message}")
    unknown = [finding.check for finding in reached.checks if finding.severity == "not recorded"]
    if unknown:
        say(f"Not recorded, so not checked: {', '.join(unknown)}.")
    good = [finding.check for finding in reached.checks if finding.severity == "ok" and not finding.message]
    if good:
        say(f"Checked and found well: {', '.join(good)}.")
