"""The panner sheet: codes by the alphabet, with a box for all that is weighed or counted, and nothing of the plan."""

from dataclasses import dataclass
from itertools import groupby
from typing import Literal

from schemas import Record, Run, SizeCatch, Trial
from schemas.run import TICKS_OF_GOLD
from trials.measures.catalogue import measure_named
from trials.papers.cautions import Caution, cautions_for
from trials.papers.gear_parts import searches_tails
from trials.papers.pages import dealt, printed, render, sorted_codes
from trials.papers.size_boxes import size_classes
from trials.records.own_units import told

ROWS_A_PAGE = 8
ROWS_ON_FIRST_PAGE = 6
TICKS_MM = {3: 18, 4: 32}  # three stand one under the other, four two by two
BoxKind = Literal["tag", "where", "ticks", "one", "two"]


@dataclass(frozen=True, slots=True)
class Box:
    """A column of the panner sheet, with what stands over it in two lines.

    kind: a code, the words jar and tails, boxes to tick (`labels`), one box to write in, or two, for jar and tails.
    width: in mm; 0 takes an even part of what is left.
    """

    group: str
    head: str
    kind: BoxKind
    width: float
    labels: tuple[str, ...] = ()


def panner_html(record: Record) -> str:
    """Make the panner sheet, lying.

    It holds codes in the order of the alphabet and what the measure needs; nothing of the arms, pairs, order or seed,
    nor of the change and the question, so that whoever weighs and counts can't know what is in the jar. Raises Refused
    where there are no runs, or one has no turn or tag.
    """
    trial = record.trial
    boxes = panner_boxes(trial)
    weighs = measure_named(trial.measure).weighs
    return render(
        "panner.html",
        trial,
        scales=_scales(trial),
        check_scale="gold" if weighs else "sand",
        hint=panner_hint(trial),
        foot=panner_foot(trial),
        boxes=boxes,
        groups=[(name, len(list(found))) for name, found in groupby(boxes, key=lambda box: box.group)],
        pages=dealt(sorted_codes(record), ROWS_A_PAGE, ROWS_ON_FIRST_PAGE),
        cautions=printed(panner_cautions(trial)),
    )


def panner_cautions(trial: Trial) -> tuple[Caution, ...]:
    """The cautions for whoever weighs and counts, none of which tells of the change."""
    unchanged = trial.model_copy(update={"change": None})
    return cautions_for(unchanged, (_as_asked(trial),), "panner")


def _as_asked(trial: Trial) -> Run:
    """A run on which all that the sheet asks for was done."""
    classes = tuple(SizeCatch(label=label) for label in size_classes(trial))
    return Run(pair=1, arm="", magnet=measure_named(trial.measure).weighs or None, black_sand_g=0.0, classes=classes)


def _scales(trial: Trial) -> list[tuple[str, str]]:
    weighs = measure_named(trial.measure).weighs
    return [(name, told(trial, "scales", f"{name}_g") or "") for name in ("gold", "sand") if weighs or name == "sand"]


def panner_hint(trial: Trial) -> str:
    """What is done with each jar, in a line."""
    does = "Weigh" if measure_named(trial.measure).weighs else "Count"
    both = " Jar and tails of a run carry the same code." if searches_tails(trial) else ""
    return f"Codes only. {does} each as it comes; ask nobody what it was.{both}"


def panner_foot(trial: Trial) -> str:
    """What 0 and a blank mean."""
    counted = "part of the gold" if measure_named(trial.measure).weighs else "counted"
    pickers = f" Pickers are weighed apart and never {counted}." if _pulls_pickers(trial) else ""
    return f"0: looked and found none. Blank: not measured.{pickers}"


def _pulls_pickers(trial: Trial) -> bool:
    pulled = any(lot.pickers_over_mm is not None for lot in trial.lots)
    measure = measure_named(trial.measure)
    return measure.weighs or (pulled and not measure.is_seeded)


def panner_boxes(trial: Trial) -> list[Box]:
    """Which boxes does a row have? What the measure needs, and black sand in every trial.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="bed", measure="grain_counts", pairs=6, lots=(Lot(kind="natural"),),
    ...     gear=Gear(kind="sluice"))
    >>> [box.head for box in panner_boxes(trial)]
    ['TAG', 'tick', 'count', 'recount', 'gross', 'tare']
    """
    tails = searches_tails(trial)
    catch: BoxKind = "two" if tails else "one"
    boxes = [Box("", "TAG", "tag", 21)]
    boxes += [Box("", "", "where", 12)] if tails else []
    seen = () if measure_named(trial.measure).is_seeded else ("silvery",)
    ticks = (*TICKS_OF_GOLD, *seen)
    boxes.append(Box("", "tick", "ticks", TICKS_MM[len(ticks)], ticks))
    if measure_named(trial.measure).weighs:
        boxes += [Box("gold, g", head, catch, 18) for head in ("gross", "tare")]
        boxes += _by_class(trial, "gold by size, mg", catch)
    else:
        name = "grains found" if measure_named(trial.measure).is_seeded else "gold grains"
        boxes += [Box(name, head, catch, 19) for head in ("count", "recount")]
        boxes += _by_class(trial, f"{name} by size", catch)
    boxes += [Box("black sand, dry, g", head, "one", 16) for head in ("gross", "tare")]
    if trial.cost_limits.concentrate is not None:
        boxes += [Box("concentrate, dry, g", head, "one", 16) for head in ("gross", "tare")]
    if _pulls_pickers(trial):
        boxes.append(Box("pieces, mg", "pickers", "one", 16))
    if measure_named(trial.measure).weighs:
        boxes.append(Box("pieces, mg", "largest", "one", 15))
    return boxes


def _by_class(trial: Trial, group: str, kind: BoxKind) -> list[Box]:
    classes = size_classes(trial)
    meshes = any("mm" not in label for label in classes)
    named = f"{group} ({trial.sizes.series or 'ASTM'} mesh)" if meshes else group
    return [Box(named, label, kind, 0) for label in classes]
