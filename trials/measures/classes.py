"""Runs told apart by size class: the labels in order, and what a run is of one class alone."""

from collections.abc import Iterable, Sequence

from schemas import Run, SizeCatch
from trials.units.sieves import coarse_first, read_size_class
from trials.units.unit_error import UnitError

OF_A_CLASS = tuple(name for name in SizeCatch.model_fields if name != "label")
OF_THE_TOTAL = ("largest_mg", "pickers_mg")


def labels_coarse_first(labels: Iterable[str], series: str | None) -> list[str]:
    """Each class once, coarse before fine; by their letters where a mesh has no series to tell by.

    >>> labels_coarse_first(["-100", "50/100", "+50", "-100"], "ASTM")
    ['+50', '50/100', '-100']
    """
    once = list(dict.fromkeys(labels))
    try:
        return sorted(once, key=lambda label: coarse_first(read_size_class(label, series)))
    except UnitError:
        return sorted(once)


def class_to_join(label: str, labels: Sequence[str]) -> str | None:
    """The class to join a thin one to: the next coarser, or for the coarsest the next finer; None where it is alone."""
    at = labels.index(label)
    return labels[at - 1] if at else labels[1] if len(labels) > 1 else None


def of_class(run: Run, label: str) -> Run:
    """The run as if it had been of one size class alone; nothing is measured where that was not told apart."""
    part = next((part for part in run.classes if part.label == label), None)
    own = {name: None if part is None else getattr(part, name) for name in OF_A_CLASS}
    return run.model_copy(update={**own, **dict.fromkeys(OF_THE_TOTAL), "classes": ()})
