"""What the answers to a run come to, in one sentence; what is left open, and what is to be looked at again."""

from collections.abc import Iterator, Mapping, Sequence

from schemas import Run, Trial
from trials.records.bounds import COMPARED, Others, like_the_rest, quantity_text
from trials.records.columns import MEASURED
from trials.talk.asks import Ask
from trials.talk.one_run import run_of_answers
from trials.talk.shorthand import TWO_READINGS
from trials.talk.shown import Block, Sentence
from trials.wording.columns import HARD_SPACE
from trials.wording.numbers import figures

KEPT_TOGETHER = 40
FAR_FROM_PLAN = 2.5
FAR_FROM_RUNS = 4.0
FEWEST_RUNS = 3
"""Our defaults, wide enough that no change of gear is held odd."""


def words_of_run(
    before: Run, trial: Trial, asks: Sequence[Ask], answers: Mapping[str, str], others: Sequence[Run]
) -> tuple[Block, ...]:
    """What is going to be stored of a run, what is left open, and what is to be looked at again beside the others."""
    run, _ = run_of_answers(answers, before, trial)
    lines = [f"{before.tag}: {answers_in_line(before, run, asks, answers) or 'nothing was answered'}."]
    blank = [ask.name for ask in asks if not answers.get(ask.key) and ask.key != "note"]
    lines += [f"Left open: {', '.join(blank)}."] if blank else []
    lines += [f"Look again: {odd}." for odd in look_again(run, trial, others)] if run is not None else []
    return tuple(map(Sentence, lines))


def answers_in_line(before: Run, run: Run | None, asks: Sequence[Ask], answers: Mapping[str, str]) -> str:
    """All answers in one line, by name, with what each comes to where that is another; hard spaces hold units."""
    spoken = []
    for ask in asks:
        text = answers.get(ask.key, "")
        if text:
            is_bare = all(part.lstrip("-").replace(".", "", 1).isdigit() for part in text.split())
            unit = _unit(ask, text) if is_bare else ""
            one = f"{ask.name} {text}{unit}{_comes_to(ask, run or before, text, is_bare=is_bare)}"
            spoken.append(one.replace(" ", HARD_SPACE) if len(one) <= KEPT_TOGETHER else one)
    return ", ".join(spoken)


def _unit(ask: Ask, text: str) -> str:
    """The unit of bare numbers, with a space before it; that of minutes is their name."""
    if ask.unit == "min":
        return ""
    unit = "g" if ask.fields[0] in TWO_READINGS and len(text.split()) == 2 else ask.unit
    return f" {unit}" if unit else ""


def _comes_to(ask: Ask, run: Run, text: str, *, is_bare: bool) -> str:
    """The values that are stored, where what was typed reads otherwise."""
    measured = [field for field in ask.fields if field in MEASURED]
    values = [figures(value, 4) for field in measured if (value := getattr(run, field)) is not None]
    if not values or (is_bare and len(text.split()) == len(values)):
        return ""
    unit = MEASURED[measured[0]][1].stored.name
    stored = f"{' to '.join(dict.fromkeys(values))} {unit}"
    return "" if stored == text else f" ({stored})"


def look_again(run: Run, trial: Trial, others: Sequence[Run]) -> tuple[str, ...]:
    """Which values of a run are to be looked at again before it is stored? A phrase each, less far off than a doubt.

    The `others` are runs made already, of all set-ups alike, so that nothing is told of any of them.
    """
    return tuple(_odd(run, trial, Others.of(trial, others)))


def _odd(run: Run, trial: Trial, others: Others) -> Iterator[str]:
    for name, called in COMPARED.items():
        value, range_of_runs = getattr(run, name), others.range_of(name, FEWEST_RUNS)
        if not value or name in run.stands:
            continue
        like = like_the_rest(trial, run, name, range_of_runs, of_plan=FAR_FROM_PLAN, of_runs=FAR_FROM_RUNS)
        if like is not None and not like.holds(value):
            yield f"{called}: {quantity_text(name, value)} {like.says()}"
