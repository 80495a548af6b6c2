import subprocess
import sys

import trials


def test_the_front_door_is_small_sorted_and_opens() -> None:
    """At most 20 names, in order, and each can be fetched."""
    assert len(trials.__all__) <= 20
    assert trials.__all__ == sorted(trials.__all__)
    for name in trials.__all__:
        assert callable(getattr(trials, name)), name


def test_the_front_door_is_lazy() -> None:
    """Importing `trials` pays for none of its names."""
    heavy = "numpy scipy altair duckdb pydantic jinja2 pint typer"
    code = f"import sys, trials; print([m for m in {heavy.split()!r} if m in sys.modules])"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "[]\n"


def test_an_unknown_name_is_an_attribute_error() -> None:
    """A name that is not at the door says so."""
    assert not hasattr(trials, "winner")


def test_the_version_is_that_of_the_distribution() -> None:
    """One version, in one place."""
    from importlib.metadata import version

    assert trials.__version__ == version("samedirt")
