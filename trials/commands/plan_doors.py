"""The ways into a plan: flags, a file, a conversation, a blank folder, an amendment."""

import sys
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

import tomlkit

from schemas import MeasureName, Trial
from trials.commands.asking import Stopped
from trials.commands.plan_sitting import draft_beside, talk_over
from trials.commands.printing import say, say_json
from trials.commands.show_plan import print_plan, say_what_is_next
from trials.commands.stored_plans import amend_stored, is_stored, make_plan, store_plan
from trials.errors import Problem, Refused
from trials.files.answers import put_answer, read_answers
from trials.files.trial_file import UNPARSED, read_trial
from trials.files.write import trial_text
from trials.logbook.logbook import Logbook
from trials.measures.catalogue import MEASURES
from trials.records.keys import TRIAL_FILE, unknown_keys
from trials.rehearsal.proposal import Plan, plan_as_json, refuse_unsound

__all__ = ["Stopped", "draft_beside", "plan_as_json", "print_plan", "say_what_is_next", "store_plan", "talk_over"]

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
        else:
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


def trial_given(book: Logbook, path: Path | None, answers: Answers) -> Trial:
    """Read a plan out of a file, or out of flags; what flags leave open stands as it is stored under that name."""
    if path is not None:
        return trial_from_file(path, answers)
    whole, _ = read_answers(answers)
    stored = stored_trial(book, answers.get("name"))
    if whole is not None or stored is None:
        return trial_of(answers)
    return _with_answers(trial_text(stored), stored.name, answers)


def trial_from_file(path: Path, answers: Answers) -> Trial:
    """Read a plan out of a `trial.toml`, with what flags change in it."""
    file = path / TRIAL_FILE if path.is_dir() else path
    if not file.is_file():
        raise Refused([Problem(str(path), f"is no {TRIAL_FILE} and holds none; samedirt plan --blank NAME makes one")])
    try:
        text = file.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise Refused([Problem(str(file), f"byte {error.start} is not UTF-8 text; save it as UTF-8")]) from error
    except OSError as error:
        raise Refused([Problem(str(file), f"can't be read ({error.strerror}); check who may read it")]) from error
    return _with_answers(text, str(file), answers)


def _with_answers(text: str, place: str, answers: Answers) -> Trial:
    """Read the text of a plan with answers laid over it."""
    trial, problems = read_trial(text, place)
    if answers and (trial is not None or all(problem.code != UNPARSED for problem in problems)):
        document = tomlkit.parse(text)
        for key, answer in answers.items():
            put_answer(document, key, answer)
        trial, problems = read_trial(tomlkit.dumps(document), place)
    if trial is None:
        raise Refused(problems)
    return trial


def stored_trial(book: Logbook, name: str | None) -> Trial | None:
    """The plan in the logbook of this name, if there is one."""
    return book.read(name).trial if name is not None and is_stored(book, name) else None


def is_to_be_asked(book: Logbook, answers: Answers, *, asks: bool | None) -> bool:
    """Whether to ask for a plan; where that is not said: on a terminal, when something is missing."""
    if asks is not None or not sys.stdin.isatty():
        return bool(asks)
    changes_stored = len(answers) > 1 and stored_trial(book, answers.get("name")) is not None
    return not changes_stored and read_answers(answers)[0] is None


def planned(book: Logbook, trial: Trial) -> Plan:
    """Make a plan, or refuse it with every reason."""
    made = make_plan(book, trial)
    refuse_unsound(made)
    return made


def show_ways(trial: Trial, *, tracers: int | None, json: bool) -> None:
    """Print the ways compared for a plan's own line; nothing is stored."""
    from trials.commands.ways_shown import say_ways, ways_as_json
    from trials.plans.brief import TypedLine, brief_for
    from trials.plans.designs import compare_designs
    from trials.plans.what_if import what_ifs

    if trial.worth_having is None:
        raise Refused([Problem(trial.name, 'has no line to compare ways for; --worth-having "20 %" sets one')])
    line = TypedLine(trial.measure, trial.worth_having)
    asked = brief_for(trial, line, tails_kept=trial.tails.caught != "none", tracers=tracers)
    if asked is None:
        says = f"no change could bring {line.words}: what is kept already leaves less than that; lower the line"
        raise Refused([Problem(trial.name, says)])
    comparison = compare_designs(asked)
    levers = what_ifs(asked, comparison, line)
    if json:
        say_json(ways_as_json(comparison, levers, line.words))
    else:
        say_ways(comparison, levers, line.words)
        if tracers is None and any(way.tracers_a_run for way in comparison.best):
            say("Tracers as if they could be had: --tracers 0 leaves them out, --tracers 50 has so many for one run.")


def write_blank(folder: str, measure: str | None, pairs: str | None) -> Path:
    """Make a folder with both files of a trial, ready to fill."""
    from trials.sheets.blank import write_blank_folder

    return write_blank_folder(Path(folder), measure, pairs)


def amended(book: Logbook, name: str, setting: str, why: str | None, today: date) -> str:
    """Change a stored plan with a reason; says what was done."""
    key, equals, text = (part.strip() for part in setting.partition("="))
    if not equals:
        raise Refused([Problem(f"--amend {setting}", "has no = sign", "write it as --amend pairs=8")])

    def planned(trial: Trial) -> Trial:
        return _with_answers(trial_text(trial), f"{name} --amend {key}", {key: text})

    return amend_stored(book, name, key, planned, why=why, today=today)


def write_plan_charts(made: Plan) -> list[Path]:
    """Write the chart of pairs needed and the chart of the noise, as far as they can be drawn."""
    from trials.charts.files import save_chart
    from trials.charts.noise_makeup import noise_chart
    from trials.charts.pairs_needed import pairs_needed_chart
    from trials.noise.budget import noise_budget

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
    known = [
        one
        for one in MEASURES
        if one.is_simulated and (situation.tracers.fed if one.is_seeded else situation.dirt.gold_mg > 0)
    ]
    return [one.name for one in sorted(known, key=lambda one: (one.name != own, one.is_seeded))]
