"""Every run of a trial in tables narrow enough for a page of paper: what came of it, how it was run, as weighed."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from schemas import Run, Settings, Trial, is_made
from schemas.run import SIGNS
from trials.measures.catalogue import measure_named
from trials.papers.names import of_a_block
from trials.records.flat import RUN_FIELDS, TRAILING, text_of
from trials.records.own_units import value_told
from trials.wording.numbers import figures

HEADS = {
    "turn": "turn",
    "tag": "tag",
    "session": "session",
    "minutes": "minutes",
    "cleanup_minutes": "cleanup, min",
    "fed_g": "fed, g",
    "fed_lot": "lot",
    "gold_mg": "gold kept, mg",
    "tails_gold_mg": "gold in tails, mg",
    "grains": "grains",
    "seeded": "seeded",
    "kept": "kept",
    "in_tails": "in tails",
    "black_sand_g": "black sand, g",
    "concentrate_g": "concentrate, g",
    "pickers_mg": "pickers, mg",
    "largest_mg": "largest piece, mg",
    "pitch_deg": "pitch, deg",
    "cross_tilt_deg": "cross tilt, deg",
    "water_l_min": "water, L/min",
    "water_end_l_min": "water at end, L/min",
    "depth_mm": "depth, mm",
    "feed_kg_h": "feed, kg/h",
    "rpm": "rpm",
    "stroke_mm": "stroke, mm",
    "wetting_drops_10l": "wetting aid, drops in 10 L",
    "temp_c": "water, C",
    "cloud": "cloud, 0 to 3",
    "clay": "clay, 0 to 3",
    "moisture_percent": "moisture, %",
    "blank_pan": "blank pan, grains",
    "check_before_g": "check weight before, g",
    "check_after_g": "check weight after, g",
}
NAMING = ("turn", "tag")  # in every table, after pair and set-up
WIDEST = 98  # letters that fit beside one another on A4 and Letter, in the type of the tables
STEP = 2.0
HEAD_SHARE = 1.15  # bold letters run wider
GAP = 2.0  # between two columns, in letters
SHORT = 14  # a cell of so many letters is not broken


@dataclass(frozen=True, slots=True)
class RunTable:
    """Some columns of every run in its order, and which rows are struck; `title` says what the columns tell."""

    title: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    void: tuple[bool, ...]


@dataclass(frozen=True, slots=True)
class EveryRun:
    """The tables of every run, what was alike in all, and the remarks written beside single ones."""

    tables: tuple[RunTable, ...]
    alike: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Column:
    head: str
    cells: tuple[str, ...]

    @property
    def width(self) -> float:
        """The letters it needs at least: heads and long cells are broken between words."""
        longest = max(map(len, self.head.split()), default=0) * HEAD_SHARE
        words = (word for cell in self.cells for word in ([cell] if len(cell) <= SHORT else cell.split()))
        return max([longest, *map(len, words)]) + GAP


def every_run(trial: Trial, runs: Sequence[Run], arms: Sequence[str]) -> EveryRun:
    """Lay out every run that was made, void ones too."""
    order = {arm: at for at, arm in enumerate(trial.arms)}
    made = sorted((run for run in runs if is_made(run)), key=lambda run: (run.turn or 10**6, run.pair, order[run.arm]))
    filled = [name for name in RUN_FIELDS if any(getattr(run, name) is not None for run in made)]
    alike = [name for name in filled if len(made) > 1 and len({getattr(run, name) for run in made}) == 1]
    told = [name for name in filled if name not in (*alike, *TRAILING)]
    words = dict(zip(trial.arms, arms, strict=False))
    naming = [
        _Column(of_a_block(trial), tuple(str(run.pair) for run in made)),
        *([_Column("set-up", tuple(words.get(run.arm, run.arm) for run in made))] if len(trial.arms) > 1 else []),
        *(_column(name, made) for name in NAMING if name in told),
    ]
    groups: dict[str, list[_Column]] = {}
    for name in told:
        if name not in NAMING:
            groups.setdefault(_group(name), []).append(_column(name, made))
    groups.setdefault(RESULTS, []).extend(_by_class_and_luck(trial, made))
    void = tuple(run.is_void for run in made)
    room = WIDEST - sum(column.width for column in naming)
    parts = [
        (f"{title}, continued" if at else title, part)
        for title in (RESULTS, CONDITIONS, WEIGHINGS)
        for at, part in enumerate(_parts(groups.get(title, []), room))
    ]
    return EveryRun(
        tables=tuple(_table(title, [*naming, *part], void) for title, part in parts or [(RESULTS, [])]),
        alike=tuple((_head(name), _read(made[0], name)) for name in alike if name not in TRAILING),
        notes=tuple(f"{_named(run)}: {run.note}" for run in made if run.note),
    )


RESULTS, CONDITIONS, WEIGHINGS = "What came of it", "How it was run", "As weighed"
_CONDITIONS = frozenset({
    "session", "stripped", "conditioned", "dry", "magnet", "loupe", "feeder", "panner", "water_end_l_min",
    *SIGNS, *Settings.model_fields,
})  # fmt: skip


def _group(name: str) -> str:
    if name in _CONDITIONS:
        return CONDITIONS
    return WEIGHINGS if name.endswith(("_gross_g", "_tare_g")) else RESULTS


def _column(name: str, made: Sequence[Run]) -> _Column:
    return _Column(_head(name), tuple(_read(run, name) for run in made))


def _read(run: Run, name: str) -> str:
    return value_told(run, name, _cell(getattr(run, name)))


def _by_class_and_luck(trial: Trial, made: Sequence[Run]) -> Iterator[_Column]:
    for label in dict.fromkeys(part.label for run in made for part in run.classes):
        yield _Column(label, tuple(_class_cell(run, label) for run in made))
    measure = measure_named(trial.measure)
    if not measure.weighs:
        yield _Column("counting luck alone, 95 %", tuple(measure.counting_luck(run) for run in made))


def _parts(columns: Sequence[_Column], room: float) -> list[list[_Column]]:
    """The columns in as few tables as there is room for, about equally wide; none where there is no column."""
    parts = _filled(columns, room)
    while room > STEP and len(_filled(columns, room - STEP)) == len(parts):
        room -= STEP
    return _filled(columns, room)


def _filled(columns: Sequence[_Column], room: float) -> list[list[_Column]]:
    parts: list[list[_Column]] = []
    for column in columns:
        if parts and sum(one.width for one in parts[-1]) + column.width <= room:
            parts[-1].append(column)
        else:
            parts.append([column])
    return parts


def _table(title: str, columns: Sequence[_Column], void: tuple[bool, ...]) -> RunTable:
    rows = tuple(zip(*(column.cells for column in columns), strict=True))
    return RunTable(title, tuple(column.head for column in columns), rows, void)


def _named(run: Run) -> str:
    return ", ".join(filter(None, (run.tag, f"pair {run.pair}")))


def _head(field: str) -> str:
    return HEADS.get(field, field.replace("_", " "))


def _cell(value: object) -> str:
    return figures(value, 6) if isinstance(value, float) else text_of(value) or ""


def _class_cell(run: Run, label: str) -> str:
    part = next((part for part in run.classes if part.label == label), None)
    if part is None:
        return ""
    found = [
        f"{name.replace('_', ' ')} {_cell(value)}" for name, value in part if name != "label" and value is not None
    ]
    return ", ".join(found)
