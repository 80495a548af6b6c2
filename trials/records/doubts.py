"""What is to be looked at again in a run: numbers that are likely a slip, and sums that can't be.

The rules are in `bounds`. Whoever takes a run in asks by them: talk, flags, files, sheets; `check` tells what stands. A
run names in `as_typed` the values that were looked at again and stand.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from schemas import Run, SizeCatch, Trial, is_made
from trials.errors import Problem, one_line
from trials.records.bounds import (
    LIKE_THE_REST,
    Bound,
    Odd,
    Others,
    add_fed,
    bounds_of,
    likely_meant,
    may_be_unlike,
    quantity_text,
)
from trials.records.columns import MEASURED
from trials.units.clock import read_clocks
from trials.units.unit_error import UnitError
from trials.wording.steps import step

IN_DOUBT = "in doubt"
"""The code of a problem with a value that is asked about, and may stand."""
LAST = 10**6
NOON, DAWN, DUSK = 12, 5, 8
"""The hours of a session: 5 to 12 are am; 12 on are pm, and on a dial 1 to 8."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """One value of a run that is asked about.

    field: its column, as "gold_mg" or "gold_mg 50/100".
    odd: why it is asked about.
    says: the value, and what is odd about it.
    meant: what was probably meant, with its unit; blank where nothing is likely.
    """

    field: str
    odd: Odd
    says: str
    meant: str = ""

    @property
    def asks(self) -> str:
        """What is asked, in two sentences."""
        return f"{self.says}. {f'Did you mean {self.meant}?' if self.meant else 'Is that so?'}"

    def problem(self, place: str, next_step: str) -> Problem:
        """What is said where nobody is there to answer; `next_step` is a sentence."""
        return Problem(place, f"{self.asks} {next_step}", code=IN_DOUBT)


def doubts_of(trial: Trial, run: Run, others: Sequence[Run], *, at_the_table: bool = False) -> tuple[Doubt, ...]:
    """Which values of a run are to be asked about? Those that it says stand are left out.

    `others` are runs made before, of any set-up. `at_the_table`: the jar is at hand, so that gold which was weighed
    wet can still be dried.

    >>> from schemas import Gear, Lot, Scales
    >>> trial = Trial(name="mat", measure="gold_mass", pairs=3, lots=(Lot(kind="natural"),), gear=Gear(kind="sluice"),
    ...     scales=Scales(gold_g=0.001))
    >>> run = Run(pair=1, arm="baseline", gold_mg=0.236, cleanup_minutes=400.0, fed_g=1e4, black_sand_g=9.5e4)
    >>> for doubt in doubts_of(trial, run, ()):
    ...     print(doubt.asks)
    0.236 mg is under one step of your scale (1 mg). Did you mean 0.236 g?
    95 kg is more than the 10 kg of dirt fed. Did you mean 95 g?
    400 min is over 4 hours for one clean-up. Did you mean 40 min?
    """
    return tuple(_doubts(trial, run, Others.of(trial, others), is_among=False, at_the_table=at_the_table))


def doubts_of_all(trial: Trial, runs: Sequence[Run]) -> list[tuple[Run, Doubt]]:
    """What is to be asked of a whole record: each run held against all others, and a lot against all fed before."""
    values = Others.of(trial, runs).values
    like = may_be_unlike(trial, values)
    fed: dict[str, float] = {}
    found: list[tuple[Run, Doubt]] = []
    for run in sorted(runs, key=lambda one: (one.turn or LAST, one.key)):
        if is_made(run):
            found += [(run, doubt) for doubt in _doubts(trial, run, Others(values, fed), is_among=True, like=like)]
            add_fed(fed, trial, run)
    return found


def stands_in_file() -> str:
    """What is to be done about a value in a file that is asked about."""
    stands = step("load with --as-typed", 'tick "It stands as typed"')
    return f"Correct it; if it stands, {stands}, or name its column in as_typed"


def stands_words(place: str, doubt: Doubt) -> str:
    """What is said of a value that was asked about and stands."""
    return one_line(f"{place}: {doubt.says}; it stands as typed")


def as_typed(run: Run, fields: Sequence[str]) -> Run:
    """The run, with the word that these values stand."""
    stand = [*run.stands, *fields]
    return run.model_copy(update={"as_typed": ", ".join(sorted(set(stand))) or None})


def _doubts(
    trial: Trial,
    run: Run,
    others: Others,
    *,
    is_among: bool,
    like: Sequence[str] = LIKE_THE_REST,
    at_the_table: bool = False,
) -> Iterator[Doubt]:
    if run.is_void:
        return
    stands = run.stands
    for name, bounds in bounds_of(trial, run, others, is_among=is_among, like=like).items():
        if name not in stands and (broken := _outside(run, name, bounds)) is not None:
            yield _doubt(run, name, broken, bounds_of(trial, run, others, is_among=is_among)[name])
    if "minutes" not in stands:
        yield from _by_the_clock(run)
    if at_the_table and "dry" not in stands and run.dry is False and (run.gold_mg or run.tails_gold_mg):
        yield Doubt("dry", "weighed wet", "the gold was weighed wet, and water weighs as gold; dry it and weigh again")


def _outside(run: Run, name: str, bounds: Sequence[Bound]) -> Bound | None:
    """The first bound that a value is out of; none of a value that was found to be none."""
    value = column_value(run, name)
    if not value:
        return None
    for bound in bounds:
        if not bound.holds(value):
            return None if _is_one_piece(run, name, bounds) else bound
    return None


def _doubt(run: Run, name: str, broken: Bound, bounds: Sequence[Bound]) -> Doubt:
    field, value, typed = name.partition(" ")[0], column_value(run, name) or 0.0, run.typed.get(name)
    text = typed if typed and field in MEASURED and "minutes" not in field else quantity_text(field, value)
    meant = likely_meant(field, value, bounds, is_bare=typed is None)
    return Doubt(name, broken.odd, f"{text} {broken.says()}", meant)


def _is_one_piece(run: Run, name: str, bounds: Sequence[Bound]) -> bool:
    """Whether gold is out of its bounds by one piece alone, which was weighed by itself."""
    if name != "gold_mg" or not run.gold_mg or not run.largest_mg:
        return False
    rest = run.gold_mg - run.largest_mg
    return all(rest <= bound.high < run.gold_mg for bound in bounds if not bound.holds(run.gold_mg))


def column_value(run: Run, name: str) -> float | None:
    """The value of a column, which may be one of a size class."""
    field, _, label = name.partition(" ")
    part: Run | SizeCatch | None = run
    if label:
        part = next((part for part in run.classes if part.label == label), None)
    value = None if part is None else getattr(part, field)
    return None if value is None else float(value)


def _by_the_clock(run: Run) -> Iterator[Doubt]:
    """Minutes told by two times of the clock that lie in the other half of the day than the session."""
    half = (run.session or "").casefold().split()[-1:]
    if half not in (["am"], ["pm"]):
        return
    try:
        clocks = read_clocks(run.typed.get("minutes", ""))
    except UnitError:
        return
    if clocks is None:
        return
    hours = clocks.since_midnight.total_seconds() / 3600.0
    fits = DAWN <= hours < NOON if half == ["am"] else hours >= NOON or 1 <= hours < DUSK
    if not fits:
        says = f"it began at {clocks.began}, and the session is {run.session}"
        yield Doubt("minutes", "other half of the day", says)
