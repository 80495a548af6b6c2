"""What a block of a trial is called on paper, and what its grains stand in for."""

from schemas import Trial
from trials.measures.catalogue import measure_named


def of_a_block(trial: Trial) -> str:
    """What a block of the trial is called.

    >>> from schemas import Gear, Lot
    >>> of_a_block(Trial(name="a", measure="tracers", pairs=4, audit=True, lots=(Lot(kind="made up"),),
    ...     gear=Gear(kind="sluice")))
    'run'
    """
    match trial.kind:
        case "audit":
            return "run"
        case "graded":
            return "block"
        case _:
            return "pair"


def stand_in(trial: Trial) -> str:
    """Name what stands in for gold in a trial with counted grains; nothing where gold itself is counted.

    >>> from schemas import Gear, Grains, Lot
    >>> stand_in(Trial(name="shot", measure="tracers", pairs=4, audit=True, lots=(Lot(kind="made up"),),
    ...     gear=Gear(kind="sluice"), grains=Grains(stuff="lead")))
    'LEAD grains, a stand-in for gold'
    """
    if not measure_named(trial.measure).is_seeded or trial.grains.stuff == "gold":
        return ""
    if trial.grains.stuff == "other":
        return "STAND-IN grains, not gold"
    return f"{trial.grains.stuff.upper()} grains, a stand-in for gold"
