"""Two people's trials under one name: told apart before they are mixed, and one of them given another name."""

from collections.abc import Iterable

from pydantic import TypeAdapter, ValidationError

from schemas import Record, Run, is_made
from schemas.base import Name
from trials.errors import Problem, Refused
from trials.measures.catalogue import measure_named
from trials.records.faults import problems_of
from trials.wording.steps import step

FEWEST_SHARED = 2  # of one run alone, every value may have been mended


def is_another(stored: Record, incoming: Record) -> bool:
    """Whether two records of one name are different trials, and not one at two times.

    They are where both were drawn with seeds of their own and share no tag; or where at least two runs were made in
    both, and in none of them session, minutes or what the measure reads is the same.
    """
    seeds = {stored.trial.seed, incoming.trial.seed}
    if None not in seeds and len(seeds) == 2:
        tags = [{run.tag for run in record.runs if run.tag} for record in (stored, incoming)]
        if all(tags) and not tags[0] & tags[1]:
            return True
    made = {run.key: run for run in stored.runs if is_made(run)}
    shared = [(made[run.key], run) for run in incoming.runs if is_made(run) and run.key in made]
    names = ("session", "minutes", *measure_named(stored.trial.measure).inputs)
    return len(shared) >= FEWEST_SHARED and not any(_share_any(pair, names) for pair in shared)


def _share_any(pair: tuple[Run, Run], names: Iterable[str]) -> bool:
    one, other = pair
    return any(getattr(one, name) is not None and getattr(one, name) == getattr(other, name) for name in names)


def another_problem(place: str, name: str) -> Problem:
    """That a trial of this name is there and is another one."""
    what = f"another trial named {name} is stored: its draw or its runs are not those here"
    own = step(f"load this one beside it under a name of its own: --as {name}-2", f"name this one {name}-2 in its file")
    return Problem(place, what, own)


def renamed(record: Record, name: str) -> Record:
    """The record under another name; refused where no trial can be called so."""
    try:
        TypeAdapter(Name).validate_python(name)
    except ValidationError as error:
        raise Refused(problems_of(error, lambda _: "--as")) from error
    return record.model_copy(update={"trial": record.trial.model_copy(update={"name": name})})
