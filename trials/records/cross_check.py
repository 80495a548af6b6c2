"""What must hold between the plan and its runs, and between the runs themselves."""

from collections.abc import Callable, Iterator, Sequence

from schemas import Run, Trial
from schemas.gear import STEEP_GEAR
from schemas.trial import PITCH_LIMIT_DEG
from trials.errors import Problem
from trials.records.columns import BY_CLASS
from trials.records.faults import shown_value
from trials.records.keys import RUNS_FILE, TRIAL_FILE
from trials.units.quantity import UnitError
from trials.units.sieves import overlapping, read_size_class
from trials.wording.lists import and_list, nearest
from trials.wording.numbers import figures

MASSES = ("gold_mg", "tails_gold_mg")


def cross_check(trial: Trial, runs: Sequence[Run], place: str = RUNS_FILE) -> list[Problem]:
    """Find everything that does not fit between a plan and its runs.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),),
    ...               gear=Gear(kind="sluice"))
    >>> print(cross_check(trial, [Run(pair=1, arm="changed", gold_mg=3.0)])[0])
    runs.csv pair 1, arm: changed is not an arm of this trial; write baseline or repeat
    """
    return [problem for part in CROSS_CHECKS for problem in part(trial, runs, place)]


def _spot(run: Run, place: str) -> str:
    return f"{place} pair {run.pair}{' ' + run.arm if run.arm else ''}"


def _plan(place: str) -> str:
    """The trial file beside a runs file."""
    return place.removesuffix(RUNS_FILE) + TRIAL_FILE


def _arms(trial: Trial, runs: Sequence[Run], place: str) -> Iterator[Problem]:
    for run in runs:
        if run.arm in trial.arms:
            continue
        known = " or ".join(trial.arms) if trial.arms != ("",) else "nothing: an audit has one arm"
        near = nearest(run.arm, trial.arms)
        hint = f"did you mean {near}?" if near else f"write {known}"
        named = shown_value(run.arm) if run.arm else "blank"
        yield Problem(f"{place} pair {run.pair}, arm", f"{named} is not an arm of this trial; {hint}")


def _one_of_each(trial: Trial, runs: Sequence[Run], place: str) -> Iterator[Problem]:  # noqa: ARG001 - all parts are called alike
    yield from _repeated([(run.key, _spot(run, place)) for run in runs], "stands more than once; keep one row a run")
    turns = [(run.turn, f"{place}, turn {run.turn}") for run in runs if run.turn is not None]
    yield from _repeated(turns, "is given to more than one run; number the runs 1 to N as they were really run")
    tags = [(run.tag, f"{place}, tag {run.tag}") for run in runs if run.tag is not None]
    yield from _repeated(tags, "is on more than one run; every run has its own")


def _repeated(keys: Sequence[tuple[object, str]], says: str) -> Iterator[Problem]:
    seen: set[object] = set()
    told: set[object] = set()
    for key, spot in keys:
        if key in seen and key not in told:
            told.add(key)
            yield Problem(spot, says)
        seen.add(key)


def _lots(trial: Trial, runs: Sequence[Run], place: str) -> Iterator[Problem]:
    known = [lot.name for lot in trial.lots]
    for run in runs:
        if run.fed_lot is not None and run.fed_lot not in known:
            says = f"{run.fed_lot} is not a lot of this trial; known: {and_list(known)}"
            yield Problem(f"{_spot(run, place)}, fed_lot", says)


def _pitch(trial: Trial, runs: Sequence[Run], place: str) -> Iterator[Problem]:
    if trial.gear.kind in STEEP_GEAR:
        return
    for run in runs:
        if run.pitch_deg is not None and run.pitch_deg > PITCH_LIMIT_DEG:
            says = f"pitch {figures(run.pitch_deg)} deg on a {trial.gear.kind}; was that {figures(run.pitch_deg / 10)}?"
            yield Problem(f"{_spot(run, place)}, pitch_deg", says)


def _largest(trial: Trial, runs: Sequence[Run], place: str) -> Iterator[Problem]:
    step = _division_mg(trial)
    for run in runs:
        if run.largest_mg is not None and run.gold_mg is not None and run.largest_mg > run.gold_mg + step:
            says = f"{figures(run.largest_mg)} is more than all the gold, {figures(run.gold_mg)} mg; check both"
            yield Problem(f"{_spot(run, place)}, largest_mg", says)


def _voids(trial: Trial, runs: Sequence[Run], place: str) -> Iterator[Problem]:  # noqa: ARG001 - all parts are called alike
    for run in runs:
        if run.void_gold_known is not None and not run.is_void:
            yield Problem(f"{_spot(run, place)}, void_gold_known", "is given, and the run is not void; say why in void")


def _labels(trial: Trial, runs: Sequence[Run], place: str) -> Iterator[Problem]:
    labels = list(dict.fromkeys(part.label for run in runs for part in run.classes))
    if trial.sizes.main is not None and labels and trial.sizes.main not in labels:
        says = f"{trial.sizes.main} is not among the classes of the runs, {and_list(labels)}; name one of them"
        yield Problem(f"{_plan(place)}, [sizes] main", says)
    read = []
    for label in labels:
        try:
            read.append(read_size_class(label, trial.sizes.series))
        except UnitError as error:
            yield Problem(f"{place}, class {label}", str(error))
    for one, other in overlapping(read):
        yield Problem(f"{place}, classes {one} and {other}", "overlap; a grain belongs to one class only")


def _totals(trial: Trial, runs: Sequence[Run], place: str) -> Iterator[Problem]:
    """The classes may not pass the total by over a scale division each."""
    step = _division_mg(trial)
    for run in runs:
        for field in BY_CLASS:
            total = getattr(run, field)
            found = [value for part in run.classes if (value := getattr(part, field)) is not None]
            slack = step * len(found) if field in MASSES else 0
            if total is not None and sum(found) > total + slack + 1e-9 * total:
                both = f"{figures(sum(found), 6)}, more than the total of {figures(total, 6)}"
                says = f"the classes add up to {both}; check both"
                yield Problem(f"{_spot(run, place)}, {field}", says)


def _division_mg(trial: Trial) -> float:
    return 1000.0 * (trial.scales.gold_g or 0.0)


def _series(trial: Trial, runs: Sequence[Run], place: str) -> Iterator[Problem]:  # noqa: ARG001 - all parts are called alike
    """A mesh number in the plan needs its series."""
    sizes = [(f"[[lot]] {lot.name} size", lot.size) for lot in trial.lots if lot.size is not None]
    sizes += [("[sizes] main", trial.sizes.main)] if trial.sizes.main is not None else []
    sizes += [("[grains] size", trial.grains.size)] if trial.grains.size is not None else []
    for key, label in sizes:
        try:
            read_size_class(label, trial.sizes.series)
        except UnitError as error:
            yield Problem(f"{_plan(place)}, {key}", str(error))


CrossCheck = Callable[[Trial, Sequence[Run], str], Iterator[Problem]]
CROSS_CHECKS: tuple[CrossCheck, ...] = (_series, _arms, _one_of_each, _lots, _pitch, _largest, _voids, _labels, _totals)
