"""The size classes that a panner sheet has boxes for."""

from collections.abc import Mapping

from schemas import Trial
from trials.measures.catalogue import measure_named
from trials.units.sieve_series import Series, read_series
from trials.units.sieves import SizeClass, read_size_class
from trials.units.unit_error import UnitError

# The classes asked for where a plan names none of its own: 0.85, 0.6, 0.3 and 0.15 mm in each series.
USUAL: Mapping[Series, tuple[str, ...]] = {
    Series.ASTM: ("+20", "20/30", "30/50", "50/100", "-100"),
    Series.TYLER: ("+20", "20/28", "28/48", "48/100", "-100"),
    Series.HOBBY: ("+20", "20/30", "30/50", "50/100", "-100"),
}


def size_classes(trial: Trial) -> tuple[str, ...]:
    """Into which size classes, coarse first, is a catch parted before it is weighed or counted?

    None where the total is all that is asked. There are classes where the plan names a main one, and where counted
    grains of several sizes were seeded; those that the dirt can't hold are left out.

    >>> from schemas import Gear, Lot, Sizes
    >>> trial = Trial(name="bed", measure="grain_counts", pairs=6, lots=(Lot(kind="table tailings", size="-30"),),
    ...     gear=Gear(kind="finishing table"), sizes=Sizes(series="ASTM", main="50/100"))
    >>> size_classes(trial), size_classes(trial.model_copy(update={"sizes": Sizes(series="ASTM")}))
    (('30/50', '50/100', '-100'), ())
    """
    several_seeded = measure_named(trial.measure).is_seeded and trial.grains.size is None
    if trial.sizes.main is None and not several_seeded:
        return ()
    series = read_series(trial.sizes.series or Series.ASTM)
    usual = [label for label in USUAL[series] if _is_held(label, trial, series)]
    main = trial.sizes.main
    if main is None or main in usual:
        return tuple(usual)
    return _around(main, series)


def classes_to_type(trial: Trial) -> tuple[str, ...] | None:
    """The size classes a sheet that is read again may ask for; None for those of the runs and of the plan.

    A paper may say in small print which series a mesh number is of; a sheet is read by the series of the plan alone.
    """
    classes = size_classes(trial)
    is_told = trial.sizes.series is not None or all(label.endswith(" mm") for label in classes)
    return classes if classes and is_told else None


def _limits(label: str, series: Series) -> SizeClass | None:
    try:
        return read_size_class(label, series)
    except UnitError:
        return None


def _is_held(label: str, trial: Trial, series: Series) -> bool:
    """Whether any lot may hold grains of a class; a lot without a size may hold any."""
    one = _limits(label, series)
    lots = [None if lot.size is None else _limits(lot.size, series) for lot in trial.lots]
    return one is None or any(lot is None or _meet(one, lot) for lot in lots)


def _meet(one: SizeClass, lot: SizeClass) -> bool:
    top = one.upper_mm is None or lot.lower_mm is None or one.upper_mm > lot.lower_mm
    foot = one.lower_mm is None or lot.upper_mm is None or one.lower_mm < lot.upper_mm
    return top and foot


def _around(main: str, series: Series) -> tuple[str, ...]:
    """The main class, with all that is coarser before it and all that is finer behind.

    >>> _around("30/60", Series.ASTM), _around("0.3/0.6 mm", Series.ASTM), _around("-50", Series.ASTM)
    (('+30', '30/60', '-60'), ('+0.6 mm', '0.3/0.6 mm', '-0.3 mm'), ('+50', '-50'))
    """
    limits = _limits(main, series)
    if limits is None:
        return (main,)
    ends = main.removesuffix(" mm").lstrip("+-").split("/")
    unit = " mm" if main.endswith(" mm") else ""
    coarse, fine = (ends[-1], ends[0]) if unit else (ends[0], ends[-1])
    above = () if limits.upper_mm is None else (f"+{coarse}{unit}",)
    below = () if limits.lower_mm is None else (f"-{fine}{unit}",)
    return (*above, main, *below)
