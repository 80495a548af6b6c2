"""The ways into a plan: flags, a file, a conversation, a blank folder, an amendment."""

import sys
from collections.abc import Mapping, Sequence
from datetime import date
from functools import partial
from pathlib import Path

import tomlkit

from schemas import MeasureName, Trial
from trials.commands.asking import Stopped, converse
from trials.commands.plan_talk import DRAFT, read_draft, talk
from trials.commands.planning import Plan, as_json, make_plan, refuse_unsound, store_plan
from trials.commands.printing import say, say_json
from trials.commands.show_plan import print_plan
from trials.entry.answers import put_answer, read_answers, unknown_keys
from trials.entry.trial_file import FILE, read_trial
from trials.errors import Problem, Refused
from trials.logbook.logbook import Logbook

__all__ = ["Stopped", "as_json", "print_plan"]

Answers = dict[str, str]


def answers_of(flags: Mapping[str, str | None], settings: Sequence[str]) -> Answers:
    """Bring flags and every --set together, by key.

    Raises
    ------
    Refused
        A --set without a = sign, or with a key that no plan has.
    """
    answers = {key: text for key, text in flags.items() if text is not None}
    problems = []
    for setting in settings:
        key, equals, text = setting.partition("=")
        if not equals:
            problems.append(Problem(f"--set {setting}", 'has no = sign; write it as --set "lot.mass=120 kg"'))
        answers[key.strip()] = text.strip()
    problems += unknown_keys(answers, "--set")
    if problems:
        raise Refused(problems)
    return answers


def trial_of(answers: Answers) -> Trial:
    """Read a plan out of answers, or refuse with every problem."""
    trial, problems = read_answers(answers)
    if trial is None:
        raise Refused(problems)
    return trial


def trial_from_file(path: Path, answers: Answers) -> Trial:
    """Read a plan out of a `trial.toml`, with what flags change in it."""
    file = path / FILE if path.is_dir() else path
    if not file.is_file():
        raise Refused([Problem(str(path), f"is no {FILE} and holds none; samedirt plan --blank NAME makes one")])
    try:
        text = file.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise Refused([Problem(str(file), f"byte {error.start} is not UTF-8 text; save it as UTF-8")]) from error
    except OSError as error:
        raise Refused([Problem(str(file), f"can't be read ({error.strerror}); check who may read it")]) from error
    trial, problems = read_trial(text, str(file))
    if answers and (trial is not None or not _is_unparsed(problems, file)):
        document = tomlkit.parse(text)
        for key, answer in answers.items():
            put_answer(document, key, answer)
        trial, problems = read_trial(tomlkit.dumps(document), str(file))
    if trial is None:
        raise Refused(problems)
    return trial


def _is_unparsed(problems: Sequence[Problem], file: Path) -> bool:
    return any(problem.place == str(file) and "--schema" in problem.says for problem in problems)


def complete(answers: Answers, folder: Path, *, asks: bool | None) -> Answers:
    """Ask for what a plan still needs, where there is someone to ask.

    Parameters
    ----------
    answers
        Those given by flags.
    folder
        Where the draft is kept.
    asks
        Whether to ask; None: where a terminal is there and something is missing.
    """
    if asks is None:
        asks = sys.stdin.isatty() and read_answers(answers)[0] is None
    if not asks:
        return answers
    draft = draft_path(folder)
    begun = _begun(draft)
    given = talk({**begun, **answers}, draft)
    draft.unlink(missing_ok=True)
    return given


def _begun(draft: Path) -> Answers:
    """The answers of an earlier sitting, if there are any and the person goes on with them."""
    begun = read_draft(draft)
    if not begun:
        return {}
    from trials.commands.plan_questions import GO_ON

    name = begun.get("name", "without a name")
    say(f"A plan begun earlier is here: {name}, {len(begun)} answers.")
    goes_on = converse((GO_ON,), {}, lambda *_: (), lambda _: None)[GO_ON.key] == "yes"
    return begun if goes_on else {}


def draft_path(folder: Path) -> Path:
    """Where answers are kept while a plan is talked over."""
    return folder / DRAFT


def plan_and_store(book: Logbook, trial: Trial) -> Plan:
    """Make a plan and store it, or refuse it with every reason."""
    made = make_plan(book, trial)
    refuse_unsound(made)
    store_plan(book, made)
    return made


def show_ways(trial: Trial, *, tracers: int | None, json: bool) -> None:
    """Print the ways compared for a plan's own line; nothing is stored."""
    from trials.commands.ways_shown import say_ways, ways_as_json
    from trials.planning.asked import TypedLine, asked_for, gain_words
    from trials.planning.levers import levers_of
    from trials.planning.ways import compare_ways

    if trial.worth_having is None:
        raise Refused([Problem(trial.name, 'has no line to compare ways for; --worth-having "20 %" sets one')])
    line = TypedLine(trial.measure, trial.worth_having)
    asked = asked_for(trial, line, tails_kept=trial.tails.caught != "none", tracers=tracers)
    if asked is None:
        says = f"no change could bring {line.words}: what is kept already leaves less than that; lower the line"
        raise Refused([Problem(trial.name, says)])
    comparison = compare_ways(asked)
    levers = levers_of(asked, comparison, partial(gain_words, asked, line))
    if json:
        say_json(ways_as_json(comparison, levers, line.words))
    else:
        say_ways(comparison, levers, line.words)


def write_blank(folder: str, measure: str | None, pairs: str | None) -> Path:
    """Make a folder with both files of a trial, ready to fill."""
    from trials.entry.blank import write_blank_folder

    return write_blank_folder(Path(folder), measure, pairs)


def amend_stored(book: Logbook, name: str, setting: str, why: str | None, today: date) -> str:
    """Change a stored plan with a reason; says what was done."""
    from trials.commands.amending import amended
    from trials.commands.loading import remember_words

    key, equals, text = setting.partition("=")
    if not equals:
        raise Refused([Problem(f"--amend {setting}", "has no = sign; write it as --amend pairs=8")])
    with book.writing() as pages:
        found = pages.records([name])
        if not found:
            raise Refused([Problem(name, f"is not in {book.path}; samedirt logbook lists what is")])
        record, said = amended(found[0], key.strip(), text.strip(), why, today)
        pages.store([record])
        remember_words(pages, [record])
    return said


def write_plan_charts(made: Plan) -> list[Path]:
    """Write the chart of pairs needed and the chart of the noise, as far as they can be drawn."""
    from trials.charts.files import save_chart
    from trials.charts.noise_makeup import noise_chart
    from trials.charts.pairs_needed import pairs_needed_chart
    from trials.planning.budget import noise_budget

    outlook, name, written = made.outlook, made.trial.name, []
    if outlook.scatter is not None:
        charts = [
            pairs_needed_chart(
                sd=outlook.scatter.sd,
                measure=made.trial.measure,
                line=outlook.line,
                pairs=made.trial.pairs,
                narrow=narrow,
            )
            for narrow in (False, True)
        ]
        path = Path(f"pairs-{name}.html")
        save_chart(charts[0], path, narrow=charts[1])
        written.append(path)
    measures = _reckoned(made)
    if measures:
        budgets = [noise_budget(measure, outlook.situation) for measure in measures]
        path = Path(f"noise-{name}.html")
        save_chart(noise_chart(budgets), path, narrow=noise_chart(budgets, narrow=True))
        written.append(path)
    return written


def _reckoned(made: Plan) -> list[MeasureName]:
    """The measures whose noise can be told: the plan's own first."""
    situation, own = made.outlook.situation, made.trial.measure
    native: list[MeasureName] = ["recovery", "gold_mass", "grain_counts", "tails_gold"]
    known: list[MeasureName] = [*(native if situation.dirt.gold_mg > 0 else [])]
    if situation.tracers.fed:
        known.append("tracers")
    return sorted(known, key=lambda measure: measure != own)
