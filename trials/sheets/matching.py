"""Which run a row of a sheet is of: by its tag, else by its pair and arm."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from schemas import Run, Trial
from trials.changes.run_row import RunRow
from trials.errors import Problem
from trials.files.cell_rules import CellError, arm_named
from trials.records.faults import shown_value
from trials.sheets.form import SPARE, arm_texts
from trials.wording.lists import nearest


@dataclass(frozen=True, slots=True)
class KnownRuns:
    """The runs of a trial, to be found by what a row says: by pair and arm, or by tag as it is written."""

    trial: Trial
    by_key: Mapping[tuple[int, str], Run]
    by_tag: Mapping[str, Run]

    @property
    def tags(self) -> frozenset[str]:
        """All tags, in capitals."""
        return frozenset(tag.upper() for tag in self.by_tag)

    @property
    def are_drawn(self) -> bool:
        """Whether all tags are of our own making, so that a last letter checks the others."""
        from trials.plans.tags import is_drawn_tag

        return bool(self.by_tag) and all(is_drawn_tag(tag) for tag in self.by_tag)


def known_runs(trial: Trial, runs: Iterable[Run]) -> KnownRuns:
    """Make the runs of a trial ready to be found."""
    runs = list(runs)
    return KnownRuns(trial, {run.key: run for run in runs}, {run.tag: run for run in runs if run.tag is not None})


def run_of(row: RunRow, known: KnownRuns) -> tuple[tuple[int, str] | None, list[Problem]]:
    """Find pair and arm of a row, of a run there is or of a new one; None with what is wrong otherwise.

    A tag decides; a pair and an arm beside it must agree.
    """
    problems: list[Problem] = []
    pair, tag = row.value("pair"), row.value("tag")
    arm: str | None = None
    try:
        if row.value("arm") is not None or known.trial.audit:
            arm = arm_of_sheet(str(row.value("arm") or ""), known.trial)
    except CellError as error:
        problems.append(Problem(row.place(("arm", None)), str(error)))
    keyed = (int(str(pair)), arm) if pair is not None and arm is not None else None
    if tag is None:
        if keyed is None and not problems and not row.problems:
            problems.append(Problem(row.spot, _nameless(known)))
        return keyed, problems
    tagged = _tagged(str(tag), known)
    if tagged is None:
        if keyed is not None and _may_gain_a_tag(keyed, str(tag), known):
            return keyed, problems
        problems.append(Problem(row.place(("tag", None)), _no_such_tag(str(tag), known)))
        return None, problems
    for name, here, there in (("pair", pair, tagged.pair), ("arm", arm, tagged.arm)):
        if here is not None and here != there:
            says = f"{shown_value(here)} does not go with the tag {tagged.tag}; check both against the key of the trial"
            problems.append(Problem(row.place((name, None)), says))
    return (None if problems else tagged.key), problems


def arm_of_sheet(text: str, trial: Trial) -> str:
    """The arm that a cell names: as our own sheets write it, else as `arm_named`."""
    for written in (text, text.removesuffix(SPARE)):
        if written in trial.arms:
            return written
        told = [arm for arm, words in arm_texts(trial).items() if words.split() == written.split()]
        if len(told) == 1:
            return told[0]
    return arm_named(text, trial)


def _nameless(known: KnownRuns) -> str:
    by = "its tag, or its pair and arm" if known.by_tag else "its pair and arm"
    by = "its number, in a column pair" if known.trial.audit and not known.by_tag else by
    return f"does not say which run it is of; write {by}, or empty the row"


def _tagged(text: str, known: KnownRuns) -> Run | None:
    """The run with this tag; capitals and small letters make no difference where no two tags differ by them."""
    if text in known.by_tag:
        return known.by_tag[text]
    alike = [tag for tag in known.by_tag if tag.upper() == text.upper()]
    return known.by_tag[alike[0]] if len(alike) == 1 else None


def _may_gain_a_tag(key: tuple[int, str], tag: str, known: KnownRuns) -> bool:
    """Whether a run may be given this tag: it has none, and the tag passes the check that the others pass."""
    from trials.plans.tags import is_drawn_tag

    run = known.by_key.get(key)
    has_none = run is None or run.tag is None
    return has_none and (not known.are_drawn or is_drawn_tag(tag))


def _no_such_tag(text: str, known: KnownRuns) -> str:
    from trials.plans.tags import nearest_tags, tag_problem

    if not known.by_tag:
        return f"{shown_value(text)}: the runs of this trial have no tags; write pair and arm in each row"
    if known.are_drawn:
        near = nearest_tags(text, tuple(known.by_tag))
        hint = f"; near it {'is' if len(near) == 1 else 'are'} {', '.join(near)}" if near else ""
        return (
            tag_problem(shown_value(text)) or f"{shown_value(text)} is a tag, but none of this trial; look again{hint}"
        )
    bare = text.lstrip("0")
    zeros = [tag for tag in known.by_tag if tag != text and tag.lstrip("0") == bare]
    if zeros:
        says = f"{shown_value(text)} is no tag of this trial"
        return f"{says}; a spreadsheet may have taken the zeros of {zeros[0]}; write that"
    close = nearest(text, list(known.by_tag)) or nearest(text.upper(), list(known.by_tag))
    hint = f"did you mean {close}?" if close else f"there are {', '.join(list(known.by_tag)[:8])}"
    return f"{shown_value(text)} is no tag of this trial; {hint}"
