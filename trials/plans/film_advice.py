"""Changing pitch or water on a laminar table moves the film: how deep and fast it is in both arms, in words."""

from collections.abc import Iterator

from schemas import Trial
from trials.plans.film import LAMINAR_TO_RE, Film, film_on, water_holding_depth
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
    change = trial.change
    if change is None or change.variable not in MOVES_FILM or trial.gear.kind != "finishing table":
        return
    missing = _missing(trial)
    if missing:
        yield f"{change.variable.capitalize()} moves the film on a table; give {missing} to see how much."
        return
    try:
        values = [read_quantity(text, MOVES_FILM[change.variable]) for text in (change.baseline, *change.changed)]
        films = [_film(trial, value) for value in values]
    except (UnitError, ValueError):
        unit = "4 deg" if change.variable == "pitch" else "8 L/min"
        yield f"{change.variable.capitalize()} moves the film on a table; write both values as {unit} to see how much."
        return
    for text, value, film in zip(change.changed, values[1:], films[1:], strict=True):
        yield _sentence(trial, text, value, films[0], film)
    if max(film.reynolds for film in films) > LAMINAR_TO_RE:
        yield "Re is past 500, where this is only a guide: the film is deeper and slower than reckoned."


def _missing(trial: Trial) -> str:
    needs = [] if trial.gear.width_mm else ["the table's width"]
    held = trial.held.water_l_min if trial.change and trial.change.variable == "pitch" else trial.held.pitch_deg
    if held is None:
        needs.append("the water held" if trial.change and trial.change.variable == "pitch" else "the pitch held")
    return " and ".join(needs)


def _film(trial: Trial, value: float) -> Film:
    is_pitch = trial.change is not None and trial.change.variable == "pitch"
    water = trial.held.water_l_min if is_pitch else value
    pitch = value if is_pitch else trial.held.pitch_deg
    return film_on(trial.gear.width_mm or 0.0, water or 0.0, pitch or 0.0, temp_c=_temp(trial))


def _temp(trial: Trial) -> float:
    return ASSUMED_TEMP_C if trial.held.temp_c is None else trial.held.temp_c


def _sentence(trial: Trial, text: str, value: float, before: Film, after: Film) -> str:
    assert trial.change is not None  # noqa: S101 - only a change has a film before and after
    films = (
        f"{trial.change.variable.capitalize()} moves the film too: {figures(before.depth_mm, 2)} mm deep at "
        f"{before.speed_mm_s:.0f} mm/s now, {figures(after.depth_mm, 2)} mm at {after.speed_mm_s:.0f} mm/s at {text}; "
        f"{after.regime}."
    )
    if trial.change.variable == "water":
        return f"{films} Depth and speed change together; log both, or change pitch apart."
    width = trial.gear.width_mm or 0.0
    water = water_holding_depth(width, before.depth_mm, value, temp_c=_temp(trial))
    return f"{films} {figures(water, 2)} L/min at {text} would hold the depth."
