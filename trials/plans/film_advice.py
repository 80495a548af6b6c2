"""Changing pitch or water on a laminar table moves the film: how deep and fast it is in both arms, in words."""

from collections.abc import Iterator

from schemas import Trial
from trials.plans.film import LAMINAR_TO_RE, film_on, water_holding_depth
from trials.units.quantity import Kind, UnitError, read_quantity
from trials.wording.numbers import figures

ASSUMED_TEMP_C = 12.0
MOVES_FILM = {"pitch": Kind.ANGLE, "water": Kind.FLOW}


def film_advice(trial: Trial) -> Iterator[str]:
    """What does this change do to the film, and what water would hold its depth?

    A sentence for the films of each changed level against the baseline, or what is missing to tell it; only a change of
    pitch or water on a finishing table says anything. `film_on` gives the film; water of 12 C where no temperature is
    held.

    >>> from schemas import Change, Gear, Held, Lot
    >>> trial = Trial(name="pitch", measure="grain_counts", pairs=6, lots=(Lot(kind="table tailings"),),
    ...     gear=Gear(kind="finishing table", width_mm=250.0), held=Held(water_l_min=8.0, temp_c=20.0),
    ...     change=Change(variable="pitch", baseline="4 deg", changed=("5.5 deg",)))
    >>> for line in film_advice(trial):
    ...     print(line)
    Pitch moves the film too: 1.3 mm deep at 401 mm/s now, 1.2 mm at 446 mm/s at 5.5 deg; partly turbulent (Re 531). 11
    L/min at 5.5 deg would hold the depth.
    Re is past 500, where this is only a guide: the film is deeper and slower than reckoned.
    """
    change, held, width = trial.change, trial.held, trial.gear.width_mm
    if change is None or change.variable not in MOVES_FILM or trial.gear.kind != "finishing table":
        return
    moves, is_pitch = f"{change.variable.capitalize()} moves the film", change.variable == "pitch"
    other = held.water_l_min if is_pitch else held.pitch_deg
    if not width or other is None:
        needs = [] if width else ["the table's width"]
        needs += [] if other is not None else ["the water held" if is_pitch else "the pitch held"]
        yield f"{moves} on a table; give {' and '.join(needs)} to see how much."
        return
    temp_c = ASSUMED_TEMP_C if held.temp_c is None else held.temp_c
    try:
        values = [read_quantity(text, MOVES_FILM[change.variable]) for text in (change.baseline, *change.changed)]
        settings = [(other, value) if is_pitch else (value, other) for value in values]
        films = [film_on(width, water, pitch, temp_c=temp_c) for water, pitch in settings]
    except (UnitError, ValueError):
        yield f"{moves} on a table; write both values as {'4 deg' if is_pitch else '8 L/min'} to see how much."
        return
    before = films[0]
    for text, value, film in zip(change.changed, values[1:], films[1:], strict=True):
        told = (
            f"{moves} too: {figures(before.depth_mm, 2)} mm deep at {before.speed_mm_s:.0f} mm/s now, "
            f"{figures(film.depth_mm, 2)} mm at {film.speed_mm_s:.0f} mm/s at {text}; {film.regime}."
        )
        if is_pitch:
            water = water_holding_depth(width, before.depth_mm, value, temp_c=temp_c)
            yield f"{told} {figures(water, 2)} L/min at {text} would hold the depth."
        else:
            yield f"{told} Depth and speed change together; log both, or change pitch apart."
    if max(film.reynolds for film in films) > LAMINAR_TO_RE:
        yield "Re is past 500, where this is only a guide: the film is deeper and slower than reckoned."
