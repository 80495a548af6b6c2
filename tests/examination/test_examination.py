"""Nothing was changed: nobody gets a bare "better" out of a known way to fake one."""

from collections.abc import Callable

import pytest

from tests.examination.choice import Choice
from tests.examination.fault import Fault
from tests.examination.judged import LUCK, more_than_luck
from tests.examination.kept import BLOCK, ENTRIES, FULL, MANY, PAGE, RENEW, examine, key_of, read_section
from trials.report.pitfalls import PITFALLS

KEPT = read_section(PAGE.read_text(encoding="utf-8"))
SLACK = 1  # a trial that falls on the other side of a threshold on another processor


@pytest.mark.parametrize("entry", ENTRIES, ids=lambda one: f"{one.pitfall}: {one.how}")
def test_no_bare_better(entry: Fault | Choice, sized: Callable[[int], int]) -> None:
    """Whoever reads the verdict is told or stopped, in all but 2.5 % of the trials and three standard errors.

    What no data can show is only counted, and the map says that it can't be seen. The kept numbers are of these very
    trials and more of them; under full size a fifth of the cells is looked at.
    """
    trials, many = max(BLOCK, sized(FULL) // BLOCK * BLOCK), sized(MANY)
    result = examine(entry, trials, many, every=1 if trials == FULL else 5)
    for row in result.rows:
        for shape, cell in zip(entry.shapes, row.cells, strict=True):
            bare = cell and entry.way != "unseen" and more_than_luck(cell[0], trials)
            assert not bare, f"{entry.how}, {row.size}, {shape.name}: {cell[0]} of {trials} bare"
    if result.alarms is not None:
        error = 100 * (LUCK * (1 - LUCK) / many) ** 0.5
        assert max(result.alarms) <= 100 * LUCK + 3 * error
    kept = KEPT[key_of(entry)]
    for now, then in zip(result.rows, kept.rows, strict=True):
        assert (now.size, now.blank) == (then.size, then.blank), RENEW
        for cell, whole in zip(now.cells, then.cells, strict=True):
            for few, all_of_them in zip(cell, whole if cell else (), strict=True):
                rest = all_of_them - few
                assert -SLACK <= rest <= FULL - trials + SLACK, f"{now.size}: kept {whole}, now {cell}; {RENEW}"


@pytest.mark.parametrize("pitfall", PITFALLS, ids=lambda one: one.name)
def test_every_pitfall_is_planted(pitfall) -> None:
    """In three sizes and three shapes at the least; what can't be seen is owned up to, and nothing else is."""
    entries = [one for one in ENTRIES if one.pitfall == pitfall.name]
    assert entries
    for one in entries:
        assert len(one.sizes) >= 3 and len({shape.name for shape in one.shapes}) >= 3, one.how
    assert any(one.way == "unseen" for one in entries) == bool(pitfall.unseen)


@pytest.mark.parametrize("pitfall", [one for one in PITFALLS if not one.unseen], ids=lambda one: one.name)
def test_what_the_data_shows_is_caught(pitfall) -> None:
    """A pitfall without anything unseen: planted with a tell-tale it fakes gains, and each of them is told or stopped."""
    told = [one for one in ENTRIES if one.pitfall == pitfall.name and one.way == "told"]
    assert told
    for one in told:
        caught = sum(sum(cell[1:]) for row in KEPT[key_of(one)].rows for cell in row.cells)
        assert caught > 0, one.how


def test_a_mass_and_a_share_are_among_the_shapes() -> None:
    """All five measures are examined."""
    assert len({shape.measure for one in ENTRIES for shape in one.shapes}) == 5
