"""Which columns a sheet to fill has, what each asks in plain words, and what may be written there."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

from schemas import Run, SizeCatch, Trial, Word
from schemas.run import BY_EYE, CHECK_WEIGHT, COUNTED, TICKS_OF_GOLD
from trials.changes.reasons import VOID_REASONS
from trials.measures.catalogue import measure_named
from trials.records.assemble import coarse_to_fine
from trials.records.columns import BY_CLASS, MEASURED, CellSort, sort_of
from trials.records.flat import RUN_FIELDS, flat_run, text_of

ROLES = ("A", "B", "C", "D", "E", "F")
NAMED = ("turn", "tag", "pair", "arm")
LAST = ("void", "void_gold_known", "note")
FEEDER_FIELDS = (
    "session",
    "fed_g",
    "minutes",
    "cleanup_minutes",
    "water_l_min",
    "water_end_l_min",
    "temp_c",
    "stripped",
    "conditioned",
    "feeder",
)
SETTINGS_OF_CHANGE: Mapping[str, str] = MappingProxyType(
    {"pitch": "pitch_deg", "water": "water_l_min", "feed rate": "feed_kg_h", "rpm": "rpm", "stroke": "stroke_mm"}
)
SETTINGS = ("pitch_deg", "cross_tilt_deg", "depth_mm", "feed_kg_h", "rpm", "stroke_mm", "wetting_drops_10l")
BY_EYE_IN = ("natural", "sluice tailings")
"""Dirt that may be full of clay and makes its water cloudy; common practice, no source."""
NEEDS_TAGS = "a sheet for the panner names runs by tag alone"


@dataclass(frozen=True, slots=True)
class AskedColumn:
    """One column of a sheet to fill.

    header: its name, as the file is read again
    field, label: the field of a run, or of a size class of it
    words: what is to be written there
    choices: what may be chosen; none where it is typed freely
    only: whether nothing but a choice may stand there
    low, high: the least and the most a number may be; None where there is no limit
    """

    header: str
    field: str
    label: str | None
    words: str
    sort: CellSort
    choices: tuple[str, ...] = ()
    only: bool = True
    low: float | None = None
    high: float | None = None


def asked_columns(
    trial: Trial, runs: Sequence[Run], *, for_panner: bool = False, classes: Sequence[str] | None = None
) -> list[AskedColumn]:
    """Which columns does a sheet of this plan have, in order? Whatever the runs hold has its own, but for the panner.

    `for_panner`: only what the panner fills, and nothing that tells of the plan. `classes` are the size classes to ask
    for; None for those of the runs and of the plan.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"))
    >>> [column.header for column in asked_columns(trial, (), for_panner=True)][:6]
    ['tag', 'dry', 'magnet', 'loupe', 'gold_mg', 'largest_mg']
    """
    labels = coarse_to_fine(dict.fromkeys(_labels(trial, runs) if classes is None else classes), trial)
    catch = _catch(trial, labels, for_panner=for_panner)
    if for_panner:
        names = ["tag", *catch, "black_sand_g", *_pickers(trial), *_signs_of_gold(trial), "panner", *LAST]
    else:
        found = [*catch, "black_sand_g", *_pickers(trial), *_signs_of_gold(trial)]
        names = [*NAMED, *FEEDER_FIELDS, *_signs_of_feed(trial), *_settings(trial), *found, "panner", *LAST]
        names = names if len(trial.lots) < 2 else [*names[:6], "fed_lot", *names[6:]]
        names = names if not trial.audit else [name for name in names if name != "arm"]
        names = _with_held(names, runs)
    return [_asked(name, trial) for name in dict.fromkeys(names)]


def _labels(trial: Trial, runs: Sequence[Run]) -> list[str]:
    """The size classes that the runs are told by, and that the plan names.

    Tracer grains all of one size are no class of the catch, but all of it.
    """
    main = trial.sizes.main if trial.sizes.main != trial.grains.size else None
    return [*(part.label for run in runs for part in run.classes), *filter(None, [main])]


def _catch(trial: Trial, labels: Sequence[str], *, for_panner: bool) -> list[str]:
    """What is weighed or counted: the total, and by class where there are classes; tracer grains by class alone.

    The total of tracer grains is then their sum, and is not asked for a second time.
    """
    measure = measure_named(trial.measure)
    fields = [name for name in measure.inputs if name in BY_CLASS]
    fields += ["in_tails"] if "kept" in fields and "in_tails" not in fields else []
    if for_panner:  # who counts must not know how many there are to find
        fields = [name for name in fields if name != "seeded"]
    found = [*TICKS_OF_GOLD, *([] if labels and measure.is_seeded else fields)]
    by_class = [f"{name} {label}" for label in labels for name in fields]
    largest = ["largest_mg"] if "gold_mg" in fields else []
    return [*found, *by_class, *largest]


def _pickers(trial: Trial) -> list[str]:
    return ["pickers_mg"] if any(lot.pickers_over_mm is not None for lot in trial.lots) else []


def _signs_of_feed(trial: Trial) -> list[str]:
    """What shows that feed, water or pan were not alike: clay and cloud, moisture where dirt is gold, a blank pan."""
    measure = measure_named(trial.measure)
    by_eye = BY_EYE if any(lot.kind in BY_EYE_IN for lot in trial.lots) else ()
    moisture = ("moisture_percent",) if measure.needs_like_halves else ()
    return [*by_eye, *moisture, *(() if measure.is_seeded else ("blank_pan",))]


def _signs_of_gold(trial: Trial) -> list[str]:
    """What shows that weighings were not alike, or the gold not safe: a check weight, gold that looks silvery."""
    measure = measure_named(trial.measure)
    return [*(CHECK_WEIGHT if measure.weighs else ()), *(() if measure.is_seeded else ("silvery",))]


def _settings(trial: Trial) -> list[str]:
    """The settings that the plan holds or changes, to be read in each run."""
    changed = SETTINGS_OF_CHANGE.get(trial.change.variable) if trial.change is not None else None
    return [name for name in SETTINGS if getattr(trial.held, name) is not None or name == changed]


SPARE = " (spare)"


def arm_texts(trial: Trial) -> dict[str, str]:
    """Each arm as it stands in a sheet: with the plan's own words for the set-up.

    >>> from schemas import Change, Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"),
    ...     change=Change(variable="mat", baseline="ribbed", changed=("looped",)))
    >>> arm_texts(trial)
    {'baseline': 'baseline: ribbed', 'changed': 'changed: looped'}
    """
    own = () if trial.change is None else (trial.change.baseline, *trial.change.changed)
    texts = dict(zip(trial.arms, own, strict=True)) if own else {arm: arm for arm in trial.arms}
    return {arm: arm if arm == text else f"{arm}: {text}" for arm, text in texts.items()}


def is_spare(run: Run, trial: Trial) -> bool:
    """Whether a run is made only where another was struck."""
    return run.pair > trial.pairs


def texts_of(run: Run, trial: Trial) -> dict[str, str | None]:
    """What is recorded of a run as texts, by the header of its column; its arm with the plan's words for it."""
    arm = arm_texts(trial).get(run.arm, run.arm) + (SPARE if is_spare(run, trial) and run.arm else "")
    return {"pair": str(run.pair), "arm": text_of(arm), **flat_run(run)}


def _with_held(names: Sequence[str], runs: Sequence[Run]) -> list[str]:
    """The columns, and before the last ones whatever else the runs hold already."""
    held = {name for run in runs for name, text in flat_run(run).items() if text is not None and name != "as_typed"}
    more = [name for name in RUN_FIELDS if name in held] + sorted(name for name in held if name not in RUN_FIELDS)
    first = [name for name in names if name not in LAST]
    return [*first, *(name for name in more if name not in names), *LAST]


def _asked(header: str, trial: Trial) -> AskedColumn:
    name, _, label = header.partition(" ")
    sort = sort_of(name)
    choices, only = _choices(name, sort, trial)
    low, high = limits_of(name, in_class=bool(label))
    return AskedColumn(header, name, label or None, _words(name, label, trial), sort, choices, only, low, high)


def _choices(name: str, sort: CellSort, trial: Trial) -> tuple[tuple[str, ...], bool]:
    if sort == "yes/no":
        return ("yes", "no"), True
    match name:
        case "arm":
            return tuple(arm_texts(trial).values()), True
        case "feeder" | "panner":
            return ROLES, True
        case "void":
            return VOID_REASONS, False
        case "fed_lot":
            return tuple(lot.name for lot in trial.lots), True
        case _:
            return (), True


@cache
def _schema(model: type[Word]) -> Mapping[str, Any]:
    properties: Mapping[str, Any] = model.model_json_schema()["properties"]
    return properties


def limits_of(name: str, *, in_class: bool = False) -> tuple[float | None, float | None]:
    """The least and the most that a field may be, by the schema; a limit that is itself too low stands as the least.

    >>> limits_of("minutes"), limits_of("fed_g"), limits_of("note")
    ((0.2, 1440), (0, 5000000), (None, None))
    """
    schema = _schema(SizeCatch if in_class else Run)[name]
    number: Mapping[str, Any] = schema | next(
        (part for part in schema.get("anyOf", [schema]) if part.get("type") in ("number", "integer")), {}
    )
    low = next((number[key] for key in ("minimum", "exclusiveMinimum", "gt") if key in number), None)
    return low, next((number[key] for key in ("maximum", "le") if key in number), None)


_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "turn": "its place in the whole trial; change it if the runs were really made in another order",
        "tag": "the code on bucket and jar; leave it as it is",
        "pair": "the pair; leave it as it is",
        "arm": "the set-up to fit; leave it as it is",
        "session": "the day and the part of the day, as 2026-05-03 am",
        "stripped": "yes if the gear was stripped down and rinsed before this run",
        "conditioned": "yes if the bed was loaded with a starter charge before this run",
        "feeder": "a letter for who fed, never a name",
        "panner": "a letter for who panned, weighed or counted, never a name",
        "void": "why the run does not count; choose or write. Leave the numbers in",
        "void_gold_known": "was its gold known when it was struck?",
        "note": "anything worth knowing",
        "water_l_min": "water at the start of the run",
        "water_end_l_min": "water at the end of the run",
        "silvery": "yes if silvery gold was seen, which may carry mercury: do not heat it",
        "seeded": "grains counted in",
        "kept": "grains counted out of the catch",
        "in_tails": "grains found in the tails",
    }
)


def _words(name: str, label: str, trial: Trial) -> str:
    """What is to be written, with the unit."""
    meant = SizeCatch if label else Run
    text = _WORDS.get(name) or str(meant.model_fields[name].description)
    if name == "pair" and trial.audit:
        text = "the number of the run; leave it as it is"
    unit = MEASURED[name][1].stored.name if name in MEASURED else ""
    counted = " (a whole number)" if name in COUNTED else ""
    return f"{text}{f', of size {label}' if label else ''}{f', in {unit}' if unit else ''}{counted}"
