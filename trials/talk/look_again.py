"""Values of a run that are far from the plan, or from those of all other runs: a slip of the pencil or of the point."""

from collections.abc import Iterator, Mapping, Sequence

from schemas import Run, Trial
from trials.records.columns import MEASURED
from trials.talk.run_defaults import HELD_AS
from trials.wording.numbers import figures

FAR_FROM_PLAN = 2.5
FAR_FROM_RUNS = 4.0
FEWEST_RUNS = 3
COMPARED: Mapping[str, str] = {
    "minutes": "minutes",
    "cleanup_minutes": "clean-up",
    "fed_g": "fed",
    "water_l_min": "water",
    "water_end_l_min": "water at end",
    "black_sand_g": "sand",
    "concentrate_g": "concentrate",
    "gold_mg": "gold",
    "tails_gold_mg": "tails gold",
    "grains": "grains",
}
"""What is compared, as it is called. The factors are our defaults, wide enough that no change of gear is held odd."""


def look_again(run: Run, trial: Trial, others: Sequence[Run]) -> tuple[str, ...]:
    """Which values of a run are to be looked at again before it is stored? A phrase each.

    The `others` are runs made already, of all set-ups alike, so that nothing is told of any of them.

    >>> from schemas import Gear, Held, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"),
    ...     held=Held(charge_g=350.0))
    >>> look_again(Run(pair=1, arm="baseline", fed_g=3500.0), trial, ())
    ('fed 3500 g, where 350 g was planned',)
    >>> earlier = [Run(pair=1, arm="baseline", minutes=minutes) for minutes in (9.0, 10.5, 9.5)]
    >>> look_again(Run(pair=2, arm="baseline", minutes=95.0), trial, earlier)
    ('minutes 95, where the other runs have 9 to 10.5',)
    """
    return tuple(_odd(run, trial, others))


def _odd(run: Run, trial: Trial, others: Sequence[Run]) -> Iterator[str]:
    for field, name in COMPARED.items():
        value = getattr(run, field)
        if not value:
            continue
        unit = f" {MEASURED[field][1].stored.name}" if field in MEASURED and field != "minutes" else ""
        planned = getattr(trial.held, HELD_AS[field]) if field in HELD_AS else None
        found = [other for one in others if (other := getattr(one, field))]
        if planned and not planned / FAR_FROM_PLAN <= value <= planned * FAR_FROM_PLAN:
            yield f"{name} {figures(value, 4)}{unit}, where {figures(planned, 4)}{unit} was planned"
        elif len(found) >= FEWEST_RUNS and not min(found) / FAR_FROM_RUNS <= value <= max(found) * FAR_FROM_RUNS:
            both = f"{figures(min(found), 4)} to {figures(max(found), 4)}"
            yield f"{name} {figures(value, 4)}{unit}, where the other runs have {both}"
