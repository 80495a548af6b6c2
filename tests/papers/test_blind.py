import re
from collections.abc import Callable
from typing import get_args

import pytest

from schemas import Change, Record
from schemas.change import Variable
from tests.papers.plans import PLANS, five_inserts, lead_audit, rough_bed, two_mats
from tests.papers.reading import codes, heads_of, rows_of, text_of
from trials.papers.creek import creek_html
from trials.papers.panner import panner_html
from trials.papers.tags import tags_html

Plan = Callable[..., Record]


def veiled(page: str, record: Record) -> str:
    """A page with each code written as its place in the alphabet."""
    places = {code: f"code-{place}" for place, code in enumerate(sorted(codes(record)))}
    return re.sub(rf"\b({'|'.join(places)})\b", lambda found: places[found[1]], page)


@pytest.mark.parametrize("plan", PLANS)
def test_a_draw_seen_by_the_panner_tells_nothing(plan: Plan, sized: Callable[[int], int]) -> None:
    """Under any seed sheet and tags are the same but for the letters of the codes, which stand by the alphabet."""
    sheets, tags = set(), set()
    for seed in range(sized(200)):
        record = plan(seed=seed)
        sheets.add(veiled(panner_html(record), record))
        tags.add(veiled(tags_html(record), record))
    assert len(sheets) == len(tags) == 1


@pytest.mark.parametrize("make", [panner_html, tags_html])
def test_the_order_of_the_runs_tells_nothing(make: Callable[[Record], str]) -> None:
    """However the same codes are dealt to the runs, the page is the same, letter by letter."""
    record = two_mats()
    turned = [
        run.model_copy(update={"tag": tag}) for run, tag in zip(record.runs, reversed(codes(record)), strict=True)
    ]
    assert make(record) == make(Record(trial=record.trial, runs=tuple(turned)))


def test_whatever_is_changed_the_panner_reads_the_same() -> None:
    """The change leaves no mark on sheet and tags, not even by a caution."""
    sheet, tags = panner_html(two_mats()), tags_html(two_mats())
    for variable in get_args(Variable):
        change = Change(variable=variable, baseline="xyzzy", changed=("plugh",), reversible="with work")
        other = two_mats(change=change, question="Is plugh better than xyzzy?")
        assert panner_html(other) == sheet and tags_html(other) == tags, variable


@pytest.mark.parametrize("plan", PLANS)
def test_sheet_and_tags_hold_no_word_of_the_plan(plan: Plan) -> None:
    """No arm, pair, turn, seed, change or question."""
    record = plan(seed=987_654)
    trial = record.trial
    for page in (panner_html(record), tags_html(record)):
        text = text_of(page).lower()
        words = set(re.findall(r"[\w-]+", text))
        named = {"baseline", "changed", "repeat", "pair", "pairs", "block", "turn", "spare", "half", "second", "seed"}
        assert not words & named
        assert "987" not in text
        assert not trial.question or trial.question.lower() not in text
        for word in (trial.change.baseline, *trial.change.changed) if trial.change else ():
            assert word.lower() not in text


def test_the_number_seeded_is_kept_from_the_panner() -> None:
    """137 grains went in; the sheet that counts them must not say so."""
    assert "137" in text_of(creek_html(lead_audit()))
    assert "137" not in panner_html(lead_audit())
    assert "137" not in tags_html(lead_audit())


@pytest.mark.parametrize("plan", PLANS)
def test_every_code_is_on_the_panner_sheet_once(plan: Plan) -> None:
    """By the alphabet, spares too."""
    record = plan()
    assert [row[0] for row in rows_of(panner_html(record), "row")] == sorted(codes(record))


def test_the_boxes_are_what_the_measure_needs() -> None:
    """Counts are counted and counted again; gold is weighed with its container, clean and dry; tails beside the jar."""
    counts = heads_of(panner_html(rough_bed()))
    assert counts == ["TAG", "tick", "count", "recount", "gross", "tare"]
    mats = heads_of(panner_html(two_mats()))
    assert mats[:5] == ["TAG", "", "tick", "gross", "tare"]
    assert mats[5:10] == ["+20", "20/30", "30/50", "50/100", "-100"]
    assert mats[10:] == ["gross", "tare", "pickers", "largest"]
    row = rows_of(panner_html(two_mats()), "row")[0]
    assert row[1] == "jar tails" and row[2] == "dry magnet loupe silvery"
    grains = rows_of(panner_html(five_inserts()), "row")[0]
    assert grains[1] == "jar tails" and grains[2] == "dry magnet loupe"  # counted in, so never silvery
    assert heads_of(panner_html(five_inserts())) == ["TAG", "", "tick", "count", "recount", "gross", "tare"]


def test_a_check_weight_is_first_and_last() -> None:
    """On every sheet, of the scale that matters."""
    page = text_of(panner_html(two_mats()))
    sheets = len(re.findall(r"Sheet \d of", page))
    assert page.count("CHECK WEIGHT, first gold scale") == page.count("CHECK WEIGHT, last gold scale") == sheets == 4
    assert "CHECK WEIGHT, first sand scale" in text_of(panner_html(rough_bed()))


@pytest.mark.parametrize(("plan", "times"), [(rough_bed, 2), (two_mats, 3), (lead_audit, 3)])
def test_a_tag_for_the_feed_the_jar_and_tails_where_they_are_kept(plan: Plan, times: int) -> None:
    """Each code so often, by the alphabet, with the name of the trial on every tag."""
    record = plan()
    rows = rows_of(tags_html(record))
    for row, code in zip(rows, sorted(codes(record)), strict=True):
        assert len(row) == times
        for cell, place in zip(row, ("FEED", "JAR", "TAILS"), strict=False):
            assert cell.startswith(place) and code in cell.split() and record.trial.name in cell
