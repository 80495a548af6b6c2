"""What a run is taken to be where nothing is typed: as planned, as in the run before, or as it is stored."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from schemas import Held, Run, Trial
from schemas.run import BY_EYE, TICKS_OF_GOLD
from trials.records.bounds import HELD_AS
from trials.records.flat import flat_run, text_of
from trials.records.keys import file_keys
from trials.talk.asks import CARRIED, WATER, WATER_END, stored_unit, unit_ending
from trials.talk.shorthand import TICKS, TWO_READINGS
from trials.units.typed_number import split_number
from trials.units.unit_error import UnitError

NOON = 12
AS_BEFORE = ("fed_lot", *BY_EYE, "moisture_percent", "feeder", "panner")


def planned_values(
    trial: Trial, run: Run, earlier: Sequence[Run], units: Mapping[str, str], now: datetime
) -> tuple[dict[str, str], list[str]]:
    """What is a run taken to be where nothing is typed, by field; and which of these texts are likely to hold?

    Its place, the settings of the plan in the `units` of the papers, and the hands of the run before. `earlier` has the
    runs made already, the last one last; where there is none, the session is told from `now`.
    """
    last = earlier[-1] if earlier else None
    half_day = "am" if now.hour < NOON else "pm"
    found: dict[str, str | None] = {
        "turn": text_of(run.turn),
        "session": (last.session if last is not None else None) or f"{now.date().isoformat()} {half_day}",
        "seeded": text_of(trial.grains.seeded),
        **{name: None if last is None else text_of(getattr(last, name)) for name in AS_BEFORE},
    }
    found |= {name: held_text(trial, name, units.get(name)) for name in HELD_AS}
    if (water := found[WATER]) is not None and water.replace(".", "", 1).isdigit():
        found[WATER] = f"{water} {water}"
    is_guess = last is None or not last.session
    carried = [name for name in CARRIED if not (name == "session" and is_guess)]
    return {name: text for name, text in found.items() if text}, carried


def held_text(trial: Trial, field: str, unit: str | None = None) -> str | None:
    """What the plan holds of a field of a run: a bare number in the unit of the papers, else with its unit."""
    stored = getattr(trial.held, HELD_AS[field])
    if stored is None:
        return None
    keys = {name: key for key, (name, _) in file_keys(Held).items()}
    own = stored_unit(field)
    typed = trial.typed.get(f"[held] {keys[HELD_AS[field]]}", f"{text_of(stored)} {own}".rstrip())
    try:
        _, number, typed_unit = split_number(typed)
    except UnitError:
        return typed
    return number if typed_unit == (unit or own) else typed


def stored_values(run: Run, units: Mapping[str, str]) -> dict[str, str]:
    """What is recorded of a run, as it would be typed, by field or column, with a unit that papers do not use."""
    stored = {name: text for name, text in flat_run(run).items() if text is not None}
    found = {name: run.typed.get(name) or _with_unit(text, name, units) for name, text in stored.items()}
    for field, base in TWO_READINGS.items():
        gross, tare = (getattr(run, f"{base}_{side}_g") for side in ("gross", "tare"))
        if gross is not None and tare is not None:
            found[field] = f"{text_of(gross)} {text_of(tare)}"
            del found[f"{base}_gross_g"], found[f"{base}_tare_g"]
    if run.water_end_l_min is not None and run.water_l_min is not None:
        found[WATER] = _with_unit(f"{text_of(run.water_l_min)} {text_of(run.water_end_l_min)}", WATER, units)
        del found[WATER_END]
    ticked = [tick for tick in TICKS_OF_GOLD if getattr(run, tick)]
    ticks = [found.pop(tick, None) for tick in TICKS_OF_GOLD]
    if any(ticks):
        found[TICKS] = ", ".join(ticked) or "none"
    return found


def _with_unit(text: str, name: str, units: Mapping[str, str]) -> str:
    """A stored value, with its unit where a bare number would be read in another."""
    own = stored_unit(name)
    return f"{text} {own}" if own and unit_ending(name, units.get(name)) != unit_ending(name, own) else text
