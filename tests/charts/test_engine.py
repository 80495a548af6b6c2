"""The engine beside this process draws what the one in it draws, and what goes wrong beside costs no picture."""

import sys

import pytest

from trials.charts import engine
from trials.charts.engine import begin_picture, drawing_beside

DOTS = (
    '{"data": {"values": [{"a": 1}, {"a": 3}]}, "mark": "point", "encoding": {"x": {"field": "a", "type": "ordinal"}}}'
)
BARS = DOTS.replace("point", "bar").replace("3", '"\\u00e9\\u4e2d\\n\\""').replace("1", '"é"')


@pytest.fixture
def cold(monkeypatch: pytest.MonkeyPatch) -> None:
    """As in a program that has drawn nothing yet."""
    monkeypatch.setattr(engine, "_is_warm", lambda: False)
    engine._drawn.cache_clear()


@pytest.mark.usefixtures("cold")
def test_pictures_drawn_beside_are_those_drawn_here() -> None:
    """Whatever is in them, and none was drawn here; when the block is left the process has ended."""
    wanted = [(DOTS, "svg"), (BARS, "svg"), (DOTS, "png"), (DOTS, "svg")]
    with drawing_beside() as process:
        beside = [begun() for begun in [begin_picture(*one) for one in wanted]]
        assert engine._drawn.cache_info().misses == 0
    assert beside == [begin_picture(*one)() for one in wanted]
    assert process is not None and process.returncode is not None


@pytest.mark.usefixtures("cold")
def test_a_process_that_ends_costs_no_picture() -> None:
    """Killed before it drew, it is as if there were none."""
    with drawing_beside() as process:
        assert process is not None
        process.kill()
        assert begin_picture(DOTS)().startswith(b"<svg")


@pytest.mark.usefixtures("cold")
def test_an_interrupt_ends_it_at_once() -> None:
    """What was begun is drawn nowhere."""
    with pytest.raises(KeyboardInterrupt), drawing_beside() as process:
        begin_picture(DOTS)
        raise KeyboardInterrupt
    assert process is not None and process.returncode is not None
    assert engine._drawn.cache_info().misses == 0


def test_a_program_that_has_drawn_starts_none() -> None:
    """Its engine is warm."""
    begin_picture(DOTS)()
    with drawing_beside() as process:
        assert process is None


@pytest.mark.usefixtures("cold")
def test_where_none_can_be_started_pictures_are_drawn_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """As where this Python is not to be found."""
    monkeypatch.setattr(sys, "executable", "/no/such/python")
    with drawing_beside() as process:
        assert process is None
        assert begin_picture(DOTS)().startswith(b"<svg")
