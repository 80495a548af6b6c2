"""What is shown: the list, a trial, its checks, its verdict with the chart, its report, what was decided."""

import os
import re
from collections.abc import Callable
from datetime import datetime
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from demo_trials import folders
from tests.commands.typed_in import flat, half, plan_of, read, stored
from tests.folders import rough_bed
from tests.page.visitor import Visitor, words_of
from trials.files.folder import read_folder
from trials.keeping.storing import store_decision
from trials.logbook.logbook import Logbook


@pytest.fixture
def visitor(tmp_path: Path) -> Visitor:
    """Someone at the page of a logbook with a finished trial, and one half done."""
    stored(tmp_path, read_folder(rough_bed(tmp_path / "rough-bed")), half(3, plan_of(spares=1, name="half")))
    return Visitor(tmp_path / "logbook.duckdb")


def test_the_list_shows_what_the_command_lists(visitor: Visitor, samedirt: Callable[..., Any]) -> None:
    """Every trial with its word and its strip; filters leave out what they do there, and a wrong day is refused."""
    page = visitor.get("/")
    (row,) = (line for line in samedirt("logbook").out.splitlines() if line.split()[1:2] == ["rough-bed"])
    for cell in row.split("  "):
        assert cell.strip() in words_of(page)
    assert page.text.count('class="strip better"') == 1
    assert 'href="/trial/rough-bed#settings"' in page.text
    assert 'id="settings"' in visitor.get("/trial/rough-bed").text
    (following,) = (line for line in samedirt("logbook").out.splitlines() if "on one lot alone" in line)
    assert "What next" in words_of(page) and following.partition("rough-bed ")[2].strip() in words_of(page)
    none = words_of(visitor.get("/", params={"gear": "sluice"}))
    assert "0 of 2 trials" in none and "rough-bed" not in none
    assert "31/02 is not a day" in words_of(visitor.get("/", params={"since": "31/02"}))
    assert "No trial is in" in words_of(Visitor(visitor.book.with_name("none.duckdb")).get("/"))


def test_a_long_list_comes_in_parts(visitor: Visitor, samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """75 trials: each part under 60 KB, all of them over the parts in the order of the command, filters kept."""
    record = read(tmp_path)
    named = [record.trial.model_copy(update={"name": f"{'rough' * 5}-{number}"}) for number in range(73)]
    with Logbook(visitor.book).writing() as pages:
        pages.store([record.model_copy(update={"trial": trial}) for trial in named])
    path, seen = "/?gear=table&sort=gain", list[str]()
    while path:
        page = visitor.get(path)
        assert len(page.content) < 60_000
        seen += re.findall(r'<tr class="[a-z_]*">.*?<a href="/trial/([^"]*)">', page.text)
        onward = re.search(r'<a href="([^"]*)">The next 5</a>', page.text)
        path = unescape(onward[1]) if onward else ""
        assert not path or path.startswith("/?gear=table&sort=gain&from=")
    listed = samedirt("logbook", "--csv", "--sort", "gain", "--gear", "table").out.splitlines()[1:]
    assert seen == [line.split(",")[0] for line in listed] and len(seen) == 75
    assert "71 to 75 of 75 trials" in words_of(page)


def test_what_was_read_is_read_again_when_its_file_was_written(
    visitor: Visitor, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that was left alone is not read twice; what is stored by anyone is listed at once."""
    visitor.get("/")  # reaches the words, and keeps them
    long_ago = visitor.book.stat().st_mtime - 60
    os.utime(visitor.book, (long_ago, long_ago))
    paths = ("/", "/trial/half/runs")
    first = [words_of(visitor.get(path)) for path in paths]
    with monkeypatch.context() as closed:
        closed.setattr(Logbook, "reading", None)
        assert [words_of(visitor.get(path)) for path in paths] == first
    for word in ("retest", "revert"):
        store_decision(Logbook(visitor.book), "rough-bed", word, None, datetime(2026, 5, 3))
        assert f">{word}</td>" in visitor.get("/").text


def test_a_trial_tells_what_the_commands_tell(visitor: Visitor, samedirt: Callable[..., Any]) -> None:
    """Sentence, last word, checks and what is missing are those of the command line; the chart is a picture."""
    verdict = words_of(visitor.get("/trial/rough-bed/verdict"))
    said = flat(samedirt("verdict", "rough-bed", "--no-chart").out)
    for sentence in said.partition("Each pair")[0].split(". "):
        assert sentence.strip(" .").removeprefix("rough-bed: ") in verdict
    check = words_of(visitor.get("/trial/half/check"))
    for line in samedirt("check", "half").out.splitlines()[:2]:
        assert line.strip(" :") in check
    assert "Missing:" in check and "Missing:" in words_of(visitor.get("/trial/half"))
    chart = visitor.get("/trial/rough-bed/chart/answer-narrow.svg")
    assert chart.headers["content-type"] == "image/svg+xml" and chart.text.startswith("<svg")
    report = visitor.get("/trial/rough-bed/report", params={"keep": "1"})
    assert (
        "attachment" in report.headers["content-disposition"] and "sandbox" in report.headers["content-security-policy"]
    )
    assert visitor.get("/trial/nobody").status_code == 404


def test_nothing_tells_who_leads_before_the_end(visitor: Visitor) -> None:
    """Of a trial half done no page but the verdict's rows names a set-up beside a run, and none says which leads."""
    for path in ("/trial/half/check", "/trial/half/history", "/trial/half/verdict"):
        page = words_of(visitor.get(path))
        assert "better" not in page.casefold() and "more grains" not in page


def test_a_decision_is_stored_as_by_the_command(visitor: Visitor, samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """The same word, note and sentence; and the same refusals."""
    there = visitor.follow(visitor.fill("/trial/rough-bed/decide", {"word": "Keep", "note": "less to pan"}))
    by_hand = samedirt("decide", "half", "keep", "--note", "less to pan").out
    assert flat(by_hand).partition(" The last word")[0].replace("half", "rough-bed") in words_of(there)
    both = [one.corrections[-1] for one in (read(tmp_path), read(tmp_path, "half"))]
    assert [(one.field, one.new, one.why) for one in both] == [("decided", "keep", "less to pan")] * 2
    refused = visitor.fill("/trial/rough-bed/decide", {"word": "other"})
    assert refused.status_code == 422
    assert "Note: is needed with other: what was done, in a few words" in words_of(refused)


def test_what_it_is_worth_is_asked_and_told_as_by_the_command(
    visitor: Visitor, samedirt: Callable[..., Any], tmp_path: Path
) -> None:
    """Of grains nothing is priced, and it is told so; of a mass every lack is told, then the same sentence."""
    assert flat(samedirt("worth", "rough-bed", "--no-chart").out)[:60] in words_of(
        visitor.get("/trial/rough-bed/worth")
    )
    demo = read_folder(next(path for path in folders() if path.name == "tails-second-pass"))
    stored(tmp_path, demo)
    path = "/trial/tails-second-pass/worth"
    lacking = words_of(visitor.fill(path, {"cleanups": "2x5x50", "price": "2400"}))
    assert "How fine is your gold?" in lacking
    told = {
        "cleanups": "2x5x50",
        "gold": "0.8 g",
        "price": "2400 EUR",
        "fineness": "850",
        "payout": "85 %",
        "wage": "12",
    }
    page = words_of(visitor.follow(visitor.fill(path, told)))
    said = flat(samedirt("worth", "tails-second-pass", "--no-chart").out)
    assert said.partition(". ")[0] in page
    chart = visitor.get("/trial/tails-second-pass/chart/worth-wide.svg")
    assert "/chart/worth-wide.svg" in visitor.get(path).text and "left over" in chart.text
    assert "/chart/worth" not in visitor.get("/trial/rough-bed/worth").text
