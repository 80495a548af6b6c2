"""A plan in words for the front of the creek sheet: question, dirt, set-ups, when to call the verdict."""

from schemas import Trial
from trials.measures.catalogue import measure_named
from trials.papers.gear_parts import searches_tails, tails_box, takes_starter
from trials.papers.halves import halves_lines
from trials.papers.names import of_a_block, stand_in
from trials.papers.readings import CHARGE, HELD, held_same
from trials.papers.set_ups import set_ups
from trials.records.own_units import told
from trials.wording.lists import count_of

Line = tuple[str, tuple[str, ...]]


def plan_lines(trial: Trial) -> list[Line]:
    """The plan as lines of a name and one or more values; what the plan does not say is left out.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=6, spares=1, lots=(Lot(kind="natural", mass_g=4e5),),
    ...     gear=Gear(kind="sluice"))
    >>> dict(plan_lines(trial))["Runs"]
    ('6 pairs, 12 runs; 1 spare pair',)
    """
    lines: list[Line] = [
        ("Question", (trial.question,)),
        ("Dirt", lots_told(trial)),
        ("Halves" if len(trial.arms) == 2 else "Shares", halves_lines(trial)),
        ("Gear", (gear_told(trial),)),
        (_change_name(trial), (_change(trial),)),
        ("Set-ups", _set_ups(trial)),
        ("Held the same", (_held(trial),)),
        ("Twin", ((trial.change.twin or "") if trial.change else "",)),
        ("Charge, each run", (told(trial, "held", "charge_g") or "weigh each one before it is fed",)),
        ("Runs", (_runs(trial),)),
        ("Planned early look" if trial.look_after else "Verdict", (verdict_call(trial),)),
        ("Grains", (_grains(trial),)),
        ("Starter", (_starter(trial),)),
        ("Tails", (_tails(trial),)),
    ]
    return [(name, kept) for name, values in lines if (kept := tuple(value for value in values if value))]


def lots_told(trial: Trial) -> tuple[str, ...]:
    """The dirt of a trial, each lot in words."""
    return tuple(_lot(trial, at) for at in range(len(trial.lots)))


def _lot(trial: Trial, at: int) -> str:
    lot = trial.lots[at]
    parts: list[str] = [lot.kind]
    if (mass := told(trial, "lot", "mass_g", at)) is not None:
        parts.append(mass)
    if lot.size is not None:
        series = trial.sizes.series if trial.sizes.series and "mm" not in lot.size else ""
        parts.append(f"size {lot.size} {series}".rstrip())
    if lot.mixing is not None:
        parts.append("not mixed" if lot.mixing == "none" else f"mixed: {lot.mixing}")
    if lot.splitting is not None:
        parts.append("not split" if lot.splitting == "none" else f"split: {lot.splitting}")
    if (over := told(trial, "lot", "pickers_over_mm", at)) is not None:
        parts.append(f"pieces over {over} pulled and booked apart")
    named = f"lot {at + 1} ({lot.name}): " if len(trial.lots) > 1 else "" if lot.name == "lot" else f"{lot.name}: "
    return named + ", ".join(parts)


def gear_told(trial: Trial) -> str:
    """The gear of a trial in words: what it is, how wide and long."""
    sizes = ((told(trial, "gear", f"{size}_mm"), way) for size, way in (("width", "wide"), ("length", "long")))
    return ", ".join([trial.gear.kind, *(f"{size} {way}" for size, way in sizes if size is not None)])


def _held(trial: Trial) -> str:
    fields = (field for field in held_same(trial) if HELD[field] != CHARGE)
    return ", ".join(f"{HELD[field]} {told(trial, 'held', field)}" for field in fields)


def _change_name(trial: Trial) -> str:
    if trial.kind == "audit":
        return "Audit"
    return "Changed" if trial.change is not None else "Compared"


def _change(trial: Trial) -> str:
    if trial.kind == "audit":
        return "one set-up as it stands; nothing is compared"
    if trial.change is None:
        return "two like pieces, or one piece with itself; nothing is changed"
    return f"{trial.change.variable}, and nothing else"


def _set_ups(trial: Trial) -> tuple[str, ...]:
    if trial.kind == "audit":
        return ()
    if trial.change is None:
        return (
            "two pieces: mark them first and second now, and fit the one named",
            "one piece: strip it and set it up anew for every run",
        )
    found = list(set_ups(trial).values())
    numbered = any(one.words != one.short for one in found)
    if numbered:
        return tuple(f"set-up {number}: {one.words}" for number, one in enumerate(found, start=1))
    named = f"{trial.change.variable} " if trial.change.variable != "other" else ""
    if trial.kind == "pairs":
        return (f"baseline: {named}{found[0].words}", f"changed: {named}{found[1].words}")
    return (named + " | ".join(one.words for one in found),)


def _runs(trial: Trial) -> str:
    block = of_a_block(trial)
    runs = "" if block == "run" else f", {count_of(trial.pairs * len(trial.arms), 'run')}"
    spares = f"; {count_of(trial.spares, 'spare ' + block)}" if trial.spares else "; no spare"
    return count_of(trial.pairs, block) + runs + spares


def verdict_call(trial: Trial) -> str:
    """When is the verdict called?"""
    block = of_a_block(trial)
    if trial.look_after is None:
        return f"call it after the last {block}, not before"
    return f"stop and call the verdict after {block} {trial.look_after}, not before, not in between"


def _grains(trial: Trial) -> str:
    if not measure_named(trial.measure).is_seeded:
        return ""
    named = stand_in(trial) or "gold grains"
    count = "" if trial.grains.seeded is None else f"{trial.grains.seeded} of them counted into every run"
    size = "" if trial.grains.size is None else f"size {trial.grains.size}"
    asked = "" if count else "count them into every run"
    return ", ".join(part for part in (named, size, count, asked) if part) + "; do not tell the panner the number"


def _starter(trial: Trial) -> str:
    if not takes_starter(trial):
        return ""
    return "before each run feed the same starter charge, so that every set-up starts loaded"


def _tails(trial: Trial) -> str:
    if not tails_box(trial):
        return ""
    caught = {"lip cuts": "cut them at the lip", "grab": "take the planned grab"}.get(
        trial.tails.caught or "", "catch all of them in a tub"
    )
    searched = f"; how they are searched: {trial.tails.by}" if trial.tails.by and searches_tails(trial) else ""
    return f"{caught}, with the tag of the run{searched}"
