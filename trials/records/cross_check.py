"""What must hold between the plan and its runs, and between the runs themselves."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from schemas import Run, Trial
from schemas.gear import STEEP_GEAR
from schemas.trial import PITCH_LIMIT_DEG
from trials.errors import Problem
from trials.records.columns import BY_CLASS, RUN_COLUMNS
from trials.records.faults import shown_value
from trials.records.keys import RUNS_FILE, TRIAL_FILE
from trials.units.quantity import UnitError
from trials.units.sieves import overlapping, read_size_class
from trials.wording.lists import and_list, nearest
from trials.wording.numbers import figures

MASSES = ("gold_mg", "tails_gold_mg")


@dataclass(frozen=True, slots=True)
class _Places:
    """What the runs and the plan are called in problems, and whether a run is named by its tag."""

    runs: str
    plan: str
    by_tag: bool

    def of(self, run: Run) -> str:
        named = (run.tag or f"pair {run.pair}") if self.by_tag else f"pair {run.pair} {run.arm}".rstrip()
        return f"{self.runs} {named}"


def cross_check(
    trial: Trial, runs: Sequence[Run], place: str = RUNS_FILE, plan: str | None = None, *, by_tag: bool = False
) -> list[Problem]:
    """Find everything that does not fit between a plan and its runs.

    `place` and `plan` are what to call the runs and the plan in problems; None: the trial file beside the runs file, or
    what holds both.
    `by_tag`: a run is named by its tag, never by its arm.

    >>> from schemas import Gear, Lot
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"))
    >>> print(cross_check(trial, [Run(pair=1, arm="changed", gold_mg=3.0)])[0])
    runs.csv pair 1, arm: changed is not an arm of this trial; write baseline or repeat
    """
    beside = place.removesuffix(RUNS_FILE) + TRIAL_FILE if place.endswith(RUNS_FILE) else place
    places = _Places(place, plan or beside, by_tag)
    return [problem for part in PARTS for problem in part(trial, runs, places)]


def run_problems(trial: Trial, run: Run, spot: str) -> Iterator[Problem]:
    """What does not fit between the plan and one run alone; `spot` is what the run is called."""
    yield from _arm(trial, run, spot)
    for part in OF_ONE_RUN:
        for field, what, next_step in part(trial, run):
            yield Problem(f"{spot}, {field}", what, next_step)


def _arms(trial: Trial, runs: Sequence[Run], places: _Places) -> Iterator[Problem]:
    for run in runs:
        yield from _arm(trial, run, f"{places.runs} pair {run.pair}")


def _arm(trial: Trial, run: Run, spot: str) -> Iterator[Problem]:
    if run.arm not in trial.arms:
        yield Problem(f"{spot}, arm", *not_an_arm(run.arm, trial))


def not_an_arm(text: str, trial: Trial) -> tuple[str, str]:
    """What is wrong with the name of an arm that the trial has not, and what to write."""
    known = " or ".join(trial.arms) if trial.arms != ("",) else "nothing: an audit has one arm"
    near = nearest(text, [arm for arm in trial.arms if arm])
    return f"{shown_value(text)} is not an arm of this trial", f"did you mean {near}?" if near else f"write {known}"


def _one_of_each(trial: Trial, runs: Sequence[Run], places: _Places) -> Iterator[Problem]:  # noqa: ARG001 - all parts are called alike
    yield from _repeated([(run.key, places.of(run)) for run in runs], "stands more than once", "keep one row a run")
    turns = [(run.turn, f"{places.runs}, turn {run.turn}") for run in runs if run.turn is not None]
    yield from _repeated(turns, "is given to more than one run", "number the runs 1 to N as they were really run")
    tags = [(run.tag.upper(), f"{places.runs}, tag {run.tag}") for run in runs if run.tag is not None]
    yield from _repeated(tags, "is on more than one run", "every run has its own, and small letters are no others")


def _repeated(keys: Sequence[tuple[object, str]], what: str, next_step: str) -> Iterator[Problem]:
    times: Counter[object] = Counter()
    for key, spot in keys:
        times[key] += 1
        if times[key] == 2:
            yield Problem(spot, what, next_step)


_Fault = tuple[str, str, str]
"""The field of a run, what is wrong with it, and the next step."""


def _lot(trial: Trial, run: Run) -> Iterator[_Fault]:
    known = [lot.name for lot in trial.lots]
    if run.fed_lot is not None and run.fed_lot not in known:
        yield "fed_lot", f"{run.fed_lot} is not a lot of this trial", f"known: {and_list(known)}"


def _pitch(trial: Trial, run: Run) -> Iterator[_Fault]:
    if trial.gear.kind not in STEEP_GEAR and run.pitch_deg is not None and run.pitch_deg > PITCH_LIMIT_DEG:
        what = f"pitch {figures(run.pitch_deg)} deg on a {trial.gear.kind}"
        yield "pitch_deg", what, f"was that {figures(run.pitch_deg / 10)}?"


def _largest(trial: Trial, run: Run) -> Iterator[_Fault]:
    if run.largest_mg is None or run.gold_mg is None or run.largest_mg <= run.gold_mg + _division_mg(trial):
        return
    what = f"{figures(run.largest_mg)} is more than all the gold, {figures(run.gold_mg)} mg"
    yield "largest_mg", what, "check both"


def _void(trial: Trial, run: Run) -> Iterator[_Fault]:  # noqa: ARG001 - all parts are called alike
    if run.void_gold_known is not None and not run.is_void:
        yield "void_gold_known", "is given, and the run is not void", "say why in void"


def _as_typed(trial: Trial, run: Run) -> Iterator[_Fault]:  # noqa: ARG001 - all parts are called alike
    """What stands as typed is named by its column."""
    for name in sorted(run.stands):
        field = name.partition(" ")[0]
        if field not in RUN_COLUMNS:
            near = nearest(field, list(RUN_COLUMNS))
            hint = f"did you mean {near}?" if near else "write the columns whose values stand, as gold_mg, minutes"
            yield "as_typed", f"{shown_value(name)} is not a column of a run", hint


def _totals(trial: Trial, run: Run) -> Iterator[_Fault]:
    """The classes may not pass the total by over a scale division each."""
    if not run.classes:
        return
    step = _division_mg(trial)
    for field in BY_CLASS:
        total = getattr(run, field)
        found = [value for part in run.classes if (value := getattr(part, field)) is not None]
        slack = step * len(found) if field in MASSES else 0
        if total is not None and sum(found) > total + slack + 1e-9 * total:
            both = f"{figures(sum(found), 6)}, more than the total of {figures(total, 6)}"
            yield field, f"the classes add up to {both}", "check both"


def _division_mg(trial: Trial) -> float:
    return 1000.0 * (trial.scales.gold_g or 0.0)


def _labels(trial: Trial, runs: Sequence[Run], places: _Places) -> Iterator[Problem]:
    labels = list(dict.fromkeys(part.label for run in runs for part in run.classes))
    if trial.sizes.main is not None and labels and trial.sizes.main not in labels:
        what = f"{trial.sizes.main} is not among the classes of the runs, {and_list(labels)}"
        yield Problem(f"{places.plan}, [sizes] main", what, "name one of them")
    read = []
    for label in labels:
        try:
            read.append(read_size_class(label, trial.sizes.series))
        except UnitError as error:
            yield Problem(f"{places.runs}, class {label}", str(error))
    for one, other in overlapping(read):
        yield Problem(f"{places.runs}, classes {one} and {other}", "overlap", "a grain belongs to one class only")


def _series(trial: Trial, runs: Sequence[Run], places: _Places) -> Iterator[Problem]:  # noqa: ARG001 - all parts are called alike
    """A mesh number in the plan needs its series."""
    sizes = [(f"[[lot]] {lot.name} size", lot.size) for lot in trial.lots if lot.size is not None]
    sizes += [("[sizes] main", trial.sizes.main)] if trial.sizes.main is not None else []
    sizes += [("[grains] size", trial.grains.size)] if trial.grains.size is not None else []
    recounted = trial.guess.recounted_size
    sizes += [("[guess] recount", recounted)] if recounted is not None else []
    for key, label in sizes:
        try:
            read_size_class(label, trial.sizes.series)
        except UnitError as error:
            yield Problem(f"{places.plan}, {key}", str(error))


def _words_of_arms(trial: Trial, runs: Sequence[Run], places: _Places) -> Iterator[Problem]:  # noqa: ARG001 - as above
    """No set-up goes by what another arm is called, so that a run named by it is of one arm only."""
    if trial.change is None:
        return
    for key, texts, others in (
        ("baseline", (trial.change.baseline,), ("changed", "repeat")),
        ("changed", trial.change.changed, ("baseline", "repeat")),
    ):
        for text in texts:
            if text.casefold() in others:
                what = f"{text} is what an arm is called, and not how its gear is set up"
                yield Problem(f"{places.plan}, [change] {key}", what, "write that, as ribbed, 4 deg or 180 grit")


_OfOneRun = Callable[[Trial, Run], Iterator[_Fault]]
_Part = Callable[[Trial, Sequence[Run], _Places], Iterator[Problem]]


def _in_each(part: _OfOneRun) -> _Part:
    """What is wrong with one run, looked for in all."""

    def faults(trial: Trial, runs: Sequence[Run], places: _Places) -> Iterator[Problem]:
        for run in runs:
            for field, what, next_step in part(trial, run):
                yield Problem(f"{places.of(run)}, {field}", what, next_step)

    return faults


OF_ONE_RUN: tuple[_OfOneRun, ...] = (_lot, _pitch, _largest, _void, _as_typed, _totals)
PARTS: tuple[_Part, ...] = (
    *(_series, _words_of_arms, _arms, _one_of_each),
    *(_in_each(part) for part in OF_ONE_RUN[:-1]),
    *(_labels, _in_each(_totals)),
)
