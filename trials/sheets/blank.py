"""An empty trial folder to fill: every key of `trial.toml` with what it means, and the columns of `runs.csv`."""

from collections.abc import Iterator, Mapping
from pathlib import Path
from types import NoneType
from typing import Any, Literal, get_args, get_origin

from pydantic import TypeAdapter, ValidationError

from schemas import Amendment, MeasureName, Run, Trial, Word
from schemas.base import Name
from trials.errors import Problem, Refused
from trials.files.table import csv_text
from trials.files.trial_file import STAND_INS
from trials.files.whole import PART, is_equal, write_all
from trials.records.faults import problems_of
from trials.records.keys import ONE_LOT_SECTIONS, RUNS_FILE, TOP_KEYS, TRIAL_FILE, file_keys, plan_keys
from trials.sheets.form import LAST, asked_columns

PAIRS = 6
PLACE = ("pair", "arm", "turn", "tag")
NEEDED = ("name", "measure", "pairs", "lot.kind", "gear.kind")
WITHOUT = ("audit", "set_aside", "locked", "price")  # what a plan gets later, or does not get at all from here
EXAMPLES = {
    "question": "Does the looped mat keep more fine gold than the ribbed one?",
    "worth_having": "20 %",
    "spares": "1",
    "seed": "41",
    "look_after": "4",
    "knew": "feeder",
    "lot.name": "winter-tails",
    "lot.mass": "120 kg",
    "lot.size": "-6 mm",
    "lot.pickers_over": "2 mm",
    "lot.place_label": "second bend",
    "gear.width": "250 mm",
    "gear.length": "900 mm",
    "change.variable": "mat",
    "change.baseline": "ribbed",
    "change.changed": "looped",
    "change.twin": "second insert, made together with the first",
    "held.pitch": "7 deg",
    "held.cross_tilt": "0 deg",
    "held.water": "120 L/min",
    "held.depth": "20 mm",
    "held.feed": "60 kg/h",
    "held.rpm": "20 rpm",
    "held.stroke": "10 mm",
    "held.wetting_drops": "2",
    "held.temp": "12 C",
    "held.charge": "10 kg",
    "limits.black_sand": "1.5",
    "limits.minutes": "1.2",
    "limits.concentrate": "2.0",
    "limits.water": "1.2",
    "limits.saving": "10 %",
    "tails.by": "wheel, twice",
    "tails.finds": "80 %",
    "grains.seeded": "100",
    "grains.size": "50/100",
    "scales.gold": "0.001 g",
    "scales.sand": "0.1 g",
    "sizes.main": "50/100",
    "guess.gold": "0.5 mg/kg",
    "guess.recount": "97 101 92 of 100/140",
    "guess.keeps": "80 %",
    "guess.scatter_points": "2.5",
    "guess.scatter_percent": "15.0",
    "guess.scatter_from": "twin-mats",
    "guess.run": "20 min",
    "guess.cleanup": "15 min",
    "guess.time": "12 h",
}


def write_blank_folder(folder: Path, measure: str | None = None, pairs: str | None = None) -> Path:
    """Make a folder, new or empty, with a `trial.toml` and a `runs.csv` to fill; its name becomes that of the trial.

    `measure` picks the columns of `runs.csv`, None those of all; `pairs` is how many pairs of rows, None six. Refused
    are a name, measure or number that can't be, and a folder with something in it.
    """
    problems, texts = _problems(folder.name, measure, pairs), {}
    if not problems:
        texts[TRIAL_FILE] = blank_trial_text(folder.name, measure, pairs)
        texts[RUNS_FILE] = blank_runs_text(measure, int(pairs or PAIRS))
    if folder.exists() and not (folder.is_dir() and _is_begun(folder, texts)):
        problems.append(Problem(str(folder), "is there already, and not empty; choose another name"))
    if problems:
        raise Refused(problems)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_all({folder / name: text for name, text in texts.items()})
    except OSError as error:
        raise Refused([Problem(str(folder), f"can't be written ({error.strerror}); choose another place")]) from error
    return folder


def _problems(name: str, measure: str | None, pairs: str | None) -> list[Problem]:
    found = []
    try:
        TypeAdapter(Name).validate_python(name)
    except ValidationError as error:
        found += list(problems_of(error, lambda _: "--blank"))
    if measure is not None and measure not in get_args(MeasureName):
        says = f"{measure} is not a measure; write one of: {', '.join(get_args(MeasureName))}"
        found.append(Problem("--measure", says))
    if pairs is not None and not (pairs.isascii() and pairs.isdigit() and 1 <= int(pairs) <= 200):
        found.append(Problem("--pairs", f"{pairs} is not a whole number from 1 to 200; write one"))
    return found


def _is_begun(folder: Path, texts: Mapping[str, str]) -> bool:
    """Whether a folder is empty, or holds no more than what an interrupted writing of these texts left."""
    return all(
        path.suffix == PART or (path.name in texts and is_equal(path, texts[path.name].encode()))
        for path in folder.iterdir()
    )


def blank_trial_text(name: str, measure: str | None = None, pairs: str | None = None) -> str:
    """Write a `trial.toml` with every line explained; what has to be filled is open, the rest is commented out."""
    given = {**EXAMPLES, "name": name, "measure": measure or "", "pairs": pairs or str(PAIRS)}
    lines = [
        "# The plan of a trial. Lines without # in front have to be filled; take the # away from any other you use.",
        "# Quantities carry their unit. Then: samedirt plan --from FOLDER, before the first run.",
        "",
        *(_line(key, key, given.get(key, ""), _explained(Trial, key)) for key in TOP_KEYS if key not in WITHOUT),
    ]
    for section, model in ONE_LOT_SECTIONS.items():
        lines += [] if section in WITHOUT else ["", *_section_lines(section, model, needed=section in ("lot", "gear"))]
    lines += ["", "# A change made after the first sheet was printed is written down, not made silently:"]
    lines += [f"# [[amended]]    {', '.join(Amendment.model_fields)}"]
    lines += ["", "# The columns of runs.csv; blank is not measured, 0 is looked and found none:"]
    lines += [f"#   {column:<18} {_explained(Run, column)}" for column in columns_for(measure)]
    return "\n".join(lines) + "\n"


def _section_lines(section: str, model: type[Word], *, needed: bool) -> Iterator[str]:
    """A section: its head is live where it has to be there."""
    yield f"[{section}]" if needed else f"# [{section}]"
    for key, (field, _) in file_keys(model).items():
        words = _choices(model.model_fields[field].annotation)
        name = f"{section}.{key}"
        sample = "" if name in NEEDED else EXAMPLES.get(name, words[0] if words else "")
        yield _line(name, key, sample, _explained(model, field))


def _line(name: str, key: str, value: str, explained: str) -> str:
    front = "" if name in NEEDED else "# "
    text = value if plan_keys()[name] in (int, float) else f'"{value}"'
    return f"{front}{key} = {text}".ljust(34) + f"  # {explained}"


def _explained(model: type[Word], field: str) -> str:
    """The one line a field is explained by, with the words there are to choose from."""
    info = model.model_fields[field]
    words = _choices(info.annotation)
    says = info.description or ("letters, digits, - and _" if field == "name" else field)
    return f"{says}: {' | '.join(words)}" if words else says


def _choices(annotation: Any) -> list[str]:  # noqa: ANN401 - an annotation may be anything
    if get_origin(annotation) is Literal:
        return [str(word) for word in get_args(annotation)]
    return [word for part in get_args(annotation) if part is not NoneType for word in _choices(part)]


def columns_for(measure: str | None) -> tuple[str, ...]:
    """Which columns does a sheet need for this measure? None: those of all of them."""
    measures = get_args(MeasureName) if measure is None else (measure,)
    columns = [asked.header for one in measures for asked in asked_columns(Trial(**{**STAND_INS, "measure": one}), ())]
    first = [name for name in columns if name not in LAST]
    return (*PLACE, *dict.fromkeys(name for name in first if name not in PLACE), *LAST)


def blank_runs_text(measure: str | None, pairs: int) -> str:
    """Write a `runs.csv` with a row for each run and nothing in it but its pair and arm."""
    columns = columns_for(measure)
    empty = [""] * (len(columns) - 2)
    rows = ([str(pair), arm, *empty] for pair in range(1, pairs + 1) for arm in ("baseline", "changed"))
    return csv_text(columns, rows)
