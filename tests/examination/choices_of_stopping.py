"""Stopping while ahead, and going on until ahead, with all that may be told of it."""

from collections.abc import Callable

from schemas import Run
from tests.examination.choice import LOOKED_AT, Choice, Fair, Handed, Plays, amended, first_ahead, is_better

STOPS = tuple((f"from pair 3 of {n}", n, n, n) for n in (6, 8, 12))


def _stopping(told: Callable[[Fair, int, int], Handed]) -> Plays:
    """Looks after every pair; hands in when ahead, else all that was planned."""

    def plays(fair: Fair, planned: int) -> Handed:
        ahead = first_ahead(fair, planned)
        return fair.first(planned) if ahead is None or ahead == planned else told(fair, ahead, planned)

    return plays


def _rest_struck(fair: Fair, ahead: int, planned: int) -> Handed:
    struck = [Run(pair=pair, arm="baseline", void="no time left") for pair in range(ahead + 1, planned + 1)]
    handed = fair.first(ahead)
    return Handed(handed.trial, handed.runs + struck)


def _cut(fair: Fair, ahead: int, planned: int) -> Handed:
    return fair.first(ahead, pairs=ahead, seed=None, amended=amended("pairs", planned, ahead, fair.day_of(ahead)))


def _planned_afterwards(fair: Fair, ahead: int, _: int) -> Handed:
    return fair.first(ahead, pairs=ahead, seed=None, locked=fair.day_of(ahead))


def _planned_undated(fair: Fair, ahead: int, _: int) -> Handed:
    return fair.first(ahead, pairs=ahead, seed=None, locked=None)


def _planned_misdated(fair: Fair, ahead: int, _: int) -> Handed:
    return fair.first(ahead, pairs=ahead, seed=None)


def _look_added(fair: Fair, planned: int) -> Handed:
    """A look written into the plan at the first pair from the fourth where the 99 % limits leave zero out."""
    looks = (k for k in range(4, planned) if is_better(fair.differences[:k], 0.99))
    at = next(looks, None)
    if at is None:
        return fair.first(planned)
    return fair.first(at, look_after=at, amended=amended("look_after", "none", at, fair.day_of(at)))


PAST = (("up to 2 pairs more", 6, 6, 8), ("up to 6 more", 6, 6, 12), ("up to 14 more", 6, 6, 20))


def _going_on(late: bool) -> Plays:
    """Adds pairs past the plan until ahead."""

    def plays(fair: Fair, planned: int) -> Handed:
        run = len(fair.differences)
        ends = next((k for k in range(planned, run + 1) if is_better(fair.differences[:k])), run)
        if ends == planned or not late:
            return fair.first(ends)
        return fair.first(ends, pairs=ends, amended=amended("pairs", planned, ends, fair.day_of(planned)))

    return plays


def _raised_in_time(fair: Fair, planned: int) -> Handed:
    """Peeks a pair before the end, and plans more in time where no gain shows yet."""
    run = len(fair.differences)
    if is_better(fair.differences[: planned - 2]):
        return fair.first(planned)
    return fair.first(run, pairs=run, amended=amended("pairs", planned, run, fair.day_of(planned - 2)))


STOPPING = "stopping while ahead"
CHOICES = (
    Choice(
        STOPPING, "handed in when ahead, the plan as it was", STOPS, LOOKED_AT, _stopping(lambda f, k, _: f.first(k))
    ),
    Choice(STOPPING, "the pairs still to come struck as void", STOPS, LOOKED_AT, _stopping(_rest_struck)),
    Choice(STOPPING, "the plan cut by an amendment", STOPS, LOOKED_AT, _stopping(_cut)),
    Choice(
        STOPPING,
        "the plan written when it was ahead",
        STOPS,
        LOOKED_AT,
        _stopping(_planned_afterwards),
        blank=_stopping(_planned_undated),
    ),
    Choice(STOPPING, "the same, told as planned before", STOPS, LOOKED_AT, _stopping(_planned_misdated), way="unseen"),
    Choice(STOPPING, "an early look written in when it was ahead", STOPS, LOOKED_AT, _look_added),
    Choice(STOPPING, "pairs added past the plan until ahead", PAST, LOOKED_AT, _going_on(late=False)),
    Choice(STOPPING, "pairs added by an amendment, until ahead", PAST, LOOKED_AT, _going_on(late=True)),
    Choice(
        STOPPING,
        "more pairs planned in time, after a peek",
        (("2 more", 6, 6, 8), ("6 more", 6, 6, 12), ("14 more", 6, 6, 20)),
        LOOKED_AT,
        _raised_in_time,
    ),
)
