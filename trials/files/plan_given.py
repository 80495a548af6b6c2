"""A plan told without being asked for: by flags, or by a file or what is stored with flags laid over it."""

import tomllib
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import tomlkit

from schemas import Trial
from schemas.trial import SECTIONS
from trials.errors import Problem, Refused
from trials.files.answers import put_answer, read_answers
from trials.files.plain import read_text
from trials.files.trial_file import UNPARSED, read_trial
from trials.files.write import trial_text
from trials.records.keys import TRIAL_FILE, unknown_keys

OF_ITS_OWN_TIME = ("lot.mass", "guess.time", "guess.scatter_from", "guess.scatter_points", "guess.scatter_percent")
"""What a trial was told that may be otherwise by the next one."""


def plan_answers(flags: Mapping[str, str | None], settings: Sequence[str]) -> dict[str, str]:
    """Bring flags and every --set together, by key; one without a = sign, or with a key that no plan has, is refused.

    >>> plan_answers({"name": "mat", "seed": None}, ["lot.mass = 120 kg"])
    {'name': 'mat', 'lot.mass': '120 kg'}
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


def answers_like(trial: Trial, answers: Mapping[str, str]) -> dict[str, str]:
    """What a new plan takes over from an earlier trial, by key as typed there, where its own `answers` leave it open.

    Its measure and line, gear, dirt, what is held, limits, tails, grains, scales, guesses and who knew. Not its change,
    pairs, spares, look or seed; not how much dirt or time there was, nor the scatter that it went by. A setting that is
    now changed is not held, and a line goes with its measure.

    >>> from schemas import Gear, Held, Lot
    >>> trial = Trial(name="T0", measure="gold_mass", pairs=6, lots=(Lot(kind="natural", mass_g=1e5),),
    ...               gear=Gear(kind="sluice"), held=Held(pitch_deg=7.0, charge_g=15_000.0))
    >>> answers_like(trial, {"change.variable": "pitch"})
    {'measure': 'gold_mass', 'lot.kind': 'natural', 'gear.kind': 'sluice', 'held.charge': '15000 g'}
    """
    told = tomllib.loads(trial_text(trial))
    keys: dict[str, object] = {key: told[key] for key in ("measure", "worth_having", "knew") if key in told}
    sections = {
        name: told[name] for name in ("lot", *SECTIONS) if name != "change" and isinstance(told.get(name), dict)
    }
    keys |= {f"{name}.{key}": value for name, table in sections.items() for key, value in table.items()}
    left = {*OF_ITS_OWN_TIME, f"held.{answers.get('change.variable')}"}
    if answers.get("measure", trial.measure) != trial.measure:
        left.add("worth_having")
    return {key: str(value) for key, value in keys.items() if key not in left and key not in answers}


def trial_given(path: Path | None, stored: Callable[[], Trial | None], answers: Mapping[str, str]) -> Trial:
    """Read a plan out of a file, or out of flags; what flags leave open stands as it is stored under that name."""
    if path is not None:
        return trial_told(*_file_text(path), answers)
    trial, problems = read_answers(answers)
    if trial is not None:
        return trial
    there = stored()
    if there is None:
        raise Refused(problems)
    return trial_told(trial_text(there), there.name, answers)


def trial_told(text: str, place: str, answers: Mapping[str, str]) -> Trial:
    """Read the text of a plan with answers laid over it, or refuse it with every problem."""
    trial, problems = read_trial(text, place)
    if answers and not any(problem.code == UNPARSED for problem in problems):
        document = tomlkit.parse(text)
        for key, answer in answers.items():
            put_answer(document, key, answer)
        trial, problems = read_trial(tomlkit.dumps(document), place)
    if trial is None:
        raise Refused(problems)
    return trial


def _file_text(path: Path) -> tuple[str, str]:
    """The text of a `trial.toml`, named itself or by its folder; and what to call it."""
    file = path / TRIAL_FILE if path.is_dir() else path
    if not file.is_file():
        raise Refused([Problem(str(path), f"is no {TRIAL_FILE} and holds none; samedirt plan --blank NAME makes one")])
    return read_text(file), str(file)
