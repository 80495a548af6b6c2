"""One run typed by itself: which answers it takes, what each is read as, and the run they make."""

import re
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime
from types import MappingProxyType

from schemas import Run, Trial, is_made
from schemas.run import WEIGHED
from trials.entry.assemble import NET_FIELD
from trials.entry.columns import Column
from trials.entry.flat import text_of
from trials.entry.grid import Cell
from trials.entry.headings import NotKnown, heading
from trials.entry.lay_over import lay_over
from trials.entry.number_marks import Marks
from trials.entry.sheet_cells import CellError, UnitError, take_cell
from trials.entry.sheet_form import Asked, asked_columns
from trials.entry.sheet_rows import SheetRow
from trials.errors import Problem

NEVER_ASKED = frozenset({"pair", "arm", "tag", "void", "void_gold_known"})
GROSS_AND_TARE = MappingProxyType({NET_FIELD[base]: base for base in WEIGHED})
"""Fields that may be told as two readings of the scale instead of a net mass, by the base of their columns."""
TWO_READINGS = re.compile(r"(?P<gross>[0-9]+(?:[.][0-9]+)?)\s*g?[\s,;-]+(?P<tare>[0-9]+(?:[.][0-9]+)?)\s*g?")
NOON = 12


def asked_of_run(trial: Trial, runs: Sequence[Run]) -> list[Asked]:
    """Which answers does a run of this plan take, in the order of its papers?

    Examples
    --------
    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="mat", measure="grain_counts", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="pan"))
    >>> [asked.header for asked in asked_of_run(trial, ())][:4]
    ['turn', 'session', 'fed_g', 'minutes']
    """
    return [asked for asked in asked_columns(trial, runs) if asked.field not in NEVER_ASKED]


def planned_values(trial: Trial, run: Run, earlier: Sequence[Run], now: datetime) -> dict[str, str]:
    """What is a run taken to be where nothing is typed? Its place, the plan's settings, the hands of the run before.

    Parameters
    ----------
    trial, run
        The plan, and the run as it is laid out.
    earlier
        Runs made already, the last one last.
    now
        For the session, where no run was made yet.

    Returns
    -------
    dict
        Texts by column; a column without a planned value is missing.
    """
    held = trial.held
    last = earlier[-1] if earlier else None
    half_day = "am" if now.hour < NOON else "pm"
    values = {
        "turn": run.turn,
        "session": last.session if last is not None and last.session else f"{now.date().isoformat()} {half_day}",
        "fed_g": held.charge_g,
        "seeded": trial.grains.seeded,
        "feeder": None if last is None else last.feeder,
        "panner": None if last is None else last.panner,
        **{name: getattr(held, name) for name in type(held).model_fields if name in Run.model_fields},
    }
    return {name: text for name, value in values.items() if (text := text_of(value)) is not None}


def stored_values(run: Run) -> dict[str, str]:
    """What is recorded of a run, as it would be typed, by column."""
    from trials.entry.flat import flat_run

    return {name: text for name, text in flat_run(run).items() if text is not None}


def run_of_answers(
    answers: Mapping[str, str], stored: Run, trial: Trial, *, correcting: bool = False
) -> tuple[Run | None, list[Problem]]:
    """Lay typed answers over a run.

    Parameters
    ----------
    answers
        Texts by column name; any accepted unit may stand in the name or behind the number; blank: not answered.
    stored
        The run as it is.
    trial
        The plan.
    correcting
        Whether a value that is there may become another.

    Returns
    -------
    tuple
        The run, or None with every problem; a problem names the tag and never the arm.

    Examples
    --------
    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"))
    >>> laid_out = Run(pair=1, arm="baseline", turn=1, tag="HTK")
    >>> run, _ = run_of_answers({"gold_mg": "0.0312 g", "black_sand_g": "18.6 12.2"}, laid_out, trial)
    >>> run.gold_mg, run.black_sand_g, run.typed
    (31.2, 6.4, {'gold_mg': '0.0312 g'})
    >>> print(run_of_answers({"black_sand_g": "12.2 18.6"}, laid_out, trial)[1][0])
    HTK: black_sand gross 12.2 is under tare 18.6; swapped?
    """
    row = SheetRow(line=0, spot=stored.tag or f"pair {stored.pair}")
    for name, answer in _parted(answers):
        try:
            column = heading(name)
            row.headers[column.field, column.label], row.addresses[column.field, column.label] = name, ""
            taken = take_cell(column, Cell(answer), Marks())
        except (CellError, UnitError, NotKnown) as error:
            row.problems.append(Problem(f"{row.spot}, {name}", str(error)))
            continue
        row.taken[column.field, column.label] = taken
    if row.problems:
        return None, row.problems
    laid_out = (
        stored if is_made(stored) or ("turn", None) not in row.taken else stored.model_copy(update={"turn": None})
    )
    return lay_over(row, stored.key, laid_out, trial, correcting=correcting)


def _parted(answers: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """The answers, with two readings of a scale as the gross and the tare they are."""
    for name, answer in answers.items():
        text = answer.strip()
        if not text:
            continue
        base = GROSS_AND_TARE.get(name)
        readings = TWO_READINGS.fullmatch(text) if base else None
        if base is None or readings is None:
            yield name, text
        else:
            yield f"{base}_gross_g", readings["gross"]
            yield f"{base}_tare_g", readings["tare"]


def column_of(name: str) -> Column | None:
    """The column that a name means; None where none does."""
    try:
        return heading(name)
    except (NotKnown, UnitError):
        return None


def without(run: Run, names: Sequence[str]) -> Run:
    """The run with some of its fields taken out, and with them what was typed and weighed for them."""
    gone = dict.fromkeys(name for name in names if name in Run.model_fields)
    for name in list(gone):
        if name in GROSS_AND_TARE:
            gone |= dict.fromkeys(f"{GROSS_AND_TARE[name]}_{side}_g" for side in ("gross", "tare"))
    typed = {name: text for name, text in run.typed.items() if name not in gone}
    return Run(**{**run.model_dump(), **gone, "typed": typed, "classes": run.classes})
