"""In a notebook a verdict is its sentence and its chart."""

import subprocess
import sys

import trials
from tests.charts.invented import rough_bed
from trials.report.notebook import verdict_html

REACH = """
from trials import read_folder, reach_verdict
record = read_folder("demo_trials/rough-bed")
verdict = reach_verdict(record.trial, record.runs)
import sys
assert "altair" not in sys.modules and callable(verdict._repr_mimebundle_)
"""


def test_it_shows_words_and_a_picture_that_fetches_nothing() -> None:
    """Static SVG, no script, nothing with an address but the names of its own form; text is escaped."""
    page = verdict_html(rough_bed(sentence="Better <b>beyond</b> luck."))
    assert "Better &lt;b&gt;beyond" in page and "<b>" not in page and "<script" not in page
    assert page.count("<svg") == 1
    addresses = {part.split('"')[0] for part in page.split("http")[1:]}
    assert addresses <= {"://www.w3.org/2000/svg", "://www.w3.org/1999/xlink"}


def test_the_front_door_hangs_the_picture_up() -> None:
    """A verdict reached through it shows itself, and the chart is not begun before."""
    subprocess.run([sys.executable, "-c", REACH], check=True)
    record = trials.read_folder("demo_trials/rough-bed")
    verdict = trials.reach_verdict(record.trial, record.runs)
    shown = verdict._repr_mimebundle_(include=None, exclude=None)  # type: ignore[attr-defined]
    assert shown["text/plain"] == str(verdict) == verdict.sentence
    assert verdict.sentence in shown["text/html"] and "<svg" in shown["text/html"]
