"""What the answers to a run come to, in one sentence; what is left open, and what is to be looked at again."""

from collections.abc import Iterator, Mapping, Sequence

from schemas import Run, Trial
from trials.records.columns import MEASURED
from trials.talk.asks import Ask
from trials.talk.one_run import run_of_answers
from trials.talk.run_defaults import HELD_AS
from trials.talk.shorthand import TWO_READINGS
from trials.talk.shown import HARD_SPACE, Block, Sentence
from trials.wording.numbers import figures

KEPT_TOGETHER = 40
FAR_FROM_PLAN = 2.5
FAR_FROM_RUNS = 4.0
FEWEST_RUNS = 3
COMPARED: Mapping[str, str] = {
    "minutes": "minutes",
    "cleanup_minutes": "clean-up",
    "fed_g": "fed",
    "water_l_min": "water",
    "water_end_l_min": "water at end",
    "black_sand_g": "sand",
    "concentrate_g": "concentrate",
    "gold_mg": "gold",
    "tails_gold_mg": "tails gold",
    "grains": "grains",
}
"""What is compared, as it is called. The factors are our defaults, wide enough that no change of gear is held odd."""


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
    """Which values of a run are to be looked at again before it is stored? A phrase each.

    The `others` are runs made already, of all set-ups alike, so that nothing is told of any of them.
    """
    return tuple(_odd(run, trial, others))


def _odd(run: Run, trial: Trial, others: Sequence[Run]) -> Iterator[str]:
    for field, name in COMPARED.items():
        value = getattr(run, field)
        if not value:
            continue
        unit = f" {MEASURED[field][1].stored.name}" if field in MEASURED and field != "minutes" else ""
        planned = getattr(trial.held, HELD_AS[field]) if field in HELD_AS else None
        found = [other for one in others if (other := getattr(one, field))]
        if planned and not planned / FAR_FROM_PLAN <= value <= planned * FAR_FROM_PLAN:
            yield f"{name} {figures(value, 4)}{unit}, where {figures(planned, 4)}{unit} was planned"
        elif len(found) >= FEWEST_RUNS and not min(found) / FAR_FROM_RUNS <= value <= max(found) * FAR_FROM_RUNS:
            both = f"{figures(min(found), 4)} to {figures(max(found), 4)}"
            yield f"{name} {figures(value, 4)}{unit}, where the other runs have {both}"
