import re
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schemas import Change, Record, Trial
from tests.papers.plans import PLANS, crowded, rough_bed
from tests.papers.reading import MAKERS, rows_of, text_of
from tests.sizes import scaled
from tests.strategies import trials
from trials.errors import Refused
from trials.papers.pages import TEMPLATES
from trials.papers.write import write_papers
from trials.plans.draw import planned_runs


def test_four_papers_are_written(tmp_path: Path) -> None:
    """One file each, named by the trial; the folder is made; a second time gives the same bytes."""
    paths = write_papers(rough_bed(), tmp_path / "papers")
    names = ["creek-rough-bed.html", "panner-rough-bed.html", "tags-rough-bed.html", "key-rough-bed.html"]
    assert [path.name for path in paths] == names
    before = [path.read_bytes() for path in paths]
    assert [path.read_bytes() for path in write_papers(rough_bed(), tmp_path / "papers")] == before


def test_nothing_is_written_where_a_paper_is_refused(tmp_path: Path) -> None:
    """Not half of them either."""
    with pytest.raises(Refused):
        write_papers(Record(trial=rough_bed().trial), tmp_path / "papers")
    assert not (tmp_path / "papers").exists()


@pytest.mark.parametrize("plan", PLANS)
def test_a_paper_is_self_contained_and_grey(plan: Callable[[], Record]) -> None:
    """No script, no link, no address; every colour a grey."""
    for make in MAKERS:
        page = make(plan())
        assert not re.search(r"<script|<link|<img|@import|url\(|src=|href=|https?:", page)
        colours = re.findall(r"#[0-9a-f]{3,6}\b", page)
        assert colours and all(len(set(colour[1:])) == 1 for colour in colours)
        assert not re.search(r"\b(?:rgb|hsl|red|blue|green|orange)\b", page)


def test_what_a_person_typed_is_escaped() -> None:
    """Markup in a question, a set-up or a twin is shown, never run."""
    nasty = "</style></script><img src=x onerror=alert(1)>"
    change = Change(variable="other", baseline=nasty, changed=("b & c",), twin=nasty)
    record = rough_bed(question=nasty, change=change)
    for make in MAKERS:
        assert "<img" not in make(record)
    assert nasty in text_of(MAKERS[0](record))
    assert "b & c" in text_of(MAKERS[0](record))


@given(trials(), st.integers(0, 2**63 - 1))
@settings(max_examples=scaled(25), deadline=None)
def test_any_plan_gives_its_papers(trial: Trial, seed: int) -> None:
    """Of every kind of trial: all runs on each paper, no word of a person as markup."""
    trial = trial.model_copy(update={"seed": seed})
    record = Record(trial=trial, runs=planned_runs(trial))
    for make in MAKERS:
        page = make(record)
        text = text_of(page)
        assert all(f"{run.tag}" in text for run in record.runs)
        assert page.count("<section") == page.count("</section>")


@pytest.mark.parametrize("pairs", [3, 60])
def test_papers_of_the_smallest_and_largest_plan(pairs: int) -> None:
    """Three to sixty pairs with five spares: 130 runs."""
    record = crowded(pairs=pairs, spares=5, look_after=None)
    for make in MAKERS[:2]:
        assert len(rows_of(make(record), "row")) == 2 * (pairs + 5)


def test_templates_say_no_word_to_avoid() -> None:
    """The words of other kinds of software stay out."""
    for path in TEMPLATES.glob("*.html"):
        assert not re.search(r"variant|treatment|winner|lift\b|guardrail|control", path.read_text(encoding="utf-8"))
