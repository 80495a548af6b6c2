"""What is to be done next: a button or a field at the page, a command at a terminal and in all that is stored or kept."""

import json
import re
from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from demo_trials import folders
from schemas import Record
from tests.commands.typed_in import GOLD_TRIAL, drawn, flat, made, plan_of, read, run_of, stored
from tests.page.visitor import Visitor, fields_of, words_of
from trials import reach_verdict
from trials.changes.lock import lock
from trials.files.folder import read_folder
from trials.wording.steps import Reader, said_for

COMMAND = re.compile(r"samedirt \w[^.;,:]*|(?<![\w-])--[a-z][a-z-]*")
OF_A_TRIAL = (
    "",
    "/plan?tracers=",
    "/papers",
    "/runs",
    "/check",
    "/verdict",
    "/worth",
    "/decide",
    "/history",
    "/export",
)
FIRST, FOURTH, FIFTH, SPARE = "VDL", "CJL", "JRV", "JNP"
"""Tags of the baseline runs of pairs 1, 4, 5 and 7, which is a spare."""
WHY = {"why": "more dirt"}
ENTER = ("enter", "half")
SEEN: Mapping[str, tuple[str, tuple[str, ...], str]] = {
    "/trial/nobody": ("there are: ", (), ""),
    "/?since=31/02": ("Run since: 31/02 is not a day", ("logbook", "--since", "31/02"), "--since: 31/02 is not a day"),
    f"/trial/half/run/{FIRST}": (
        f"Correct it under Runs, beside {FIRST}",
        (*ENTER, FIRST),
        f'Correct it: samedirt enter half {FIRST} --again --why "the reason"',
    ),
    f"/trial/half/correct/{FIFTH}": (
        f"nothing to correct; type it in under Runs, beside {FIFTH}",
        (*ENTER, FIFTH, "--again", "--why", "x", "--set", "grains=3"),
        f"nothing to correct; samedirt enter half {FIFTH}",
    ),
    f"/trial/half/run/{SPARE}": (
        "Strike the run that went wrong first, under Runs",
        (*ENTER, SPARE),
        "Strike the run that went wrong first: samedirt void half TAG",
    ),
    "/trial/slip/verdict": (
        "(our default). Correct it under Runs, beside",
        ("verdict", "slip", "--no-chart"),
        "(our default). Correct it: samedirt enter slip",
    ),
    "/trial/unlocked/verdict": (
        "Next: print the papers, and run it; then type it in under Runs.",
        ("verdict", "unlocked", "--no-chart"),
        "Next: samedirt sheet unlocked, and run it; then samedirt enter unlocked.",
    ),
    "/trial/finer-screen/verdict": (
        "1; History lists them",
        ("verdict", "finer-screen", "--no-chart", "--json"),
        '"corrections"',
    ),
    "/trial/lineless/plan?tracers=": (
        "set the smallest gain worth having, below",
        ("plan", "lineless", "--ways"),
        'no line to compare ways for; --worth-having "20 %" sets one',
    ),
}
"""A page, what it says, the command that tells the same, and what that says."""
SENT: Mapping[str, tuple[dict[str, str], str]] = {
    "/plan?at=0": ({"at": "0", "name": "slip"}, "Plan another name, or amend it under Plan, at its page"),
    "/trial/steeper/plan": ({"key": "pairs", "text": "3", **WHY}, "pairs: 3 is what the plan has; nothing to amend"),
    f"/trial/half/strike/{FIFTH}": (
        {"why": "spill"},
        "Was its gold known when you struck it? Say yes or no: runs struck",
    ),
    f"/trial/half/correct/{FIRST}": ({"grains": "33"}, "Reason: is empty"),
    f"/trial/half/run/{FOURTH}": ({"grains": "33", "turn": "1"}, "Correct that first under Runs, beside"),
    "/trial/slip/decide": ({"word": "zzz"}, "write keep, revert and retest, or other with a note"),
    "/trial/tails-second-pass/worth": (
        {"cleanups": "2x5x50", "price": "2400"},
        "nothing is guessed; write it as 0.8 g",
    ),
}
"""A form that is refused, and what its page says then."""
LOADED: Mapping[str, tuple[str, str, str]] = {
    "none.csv": (f"tag,grains\n{FOURTH},34\n", "", "say which in the field Trial"),
    "odd.csv": (f"tag,grains,black_sand_g\n{FOURTH},34,95000\n", "half", 'if it stands, tick "It stands as typed", or'),
    "another.csv": (f"tag,grains\n{FIRST},34\n", "half", "put the old value back, or load again with a reason"),
    "x.json": ("{", "", "is no JSON; Files, at the page of a trial, has what can be loaded"),
    "plan.toml": ("pairs = 3", "", "is a plan, not a sheet; named trial.toml it is taken as one"),
}
"""A file that is refused, of which trial it is said to be, and what is said of it."""


def _named(record: Record, name: str, **changes: object) -> Record:
    return record.model_copy(update={"trial": record.trial.model_copy(update={"name": name, **changes})})


def _half_done(pairs: int, **of_one: object) -> Record:
    """The first pairs made, and in one run something odd."""
    runs = [made(run) if run.pair <= pairs else run for run in drawn().runs]
    odd = [run.model_copy(update=of_one) if run.key == (2, "baseline") else run for run in runs]
    return drawn().model_copy(update={"runs": tuple(odd)})


@pytest.fixture
def visitor(tmp_path: Path) -> Visitor:
    """Someone at the page of a logbook with trials that leave all sorts of things to be done."""
    stored(
        tmp_path,
        _named(_half_done(6, grains=4400, black_sand_g=62_000.0), "slip"),
        _named(_half_done(3), "half"),
        _named(drawn(plan_of(spares=1)), "unlocked", locked=None),
        lock(drawn(plan_of(GOLD_TRIAL)), date(2026, 5, 3)),
        drawn(plan_of(GOLD_TRIAL.replace('worth_having = "20 %"', ""), name="lineless")),
        *(read_folder(path) for path in folders() if path.name in ("finer-screen", "tails-second-pass")),
    )
    return Visitor(tmp_path / "logbook.duckdb")


def test_no_page_names_a_command_where_there_is_a_button(visitor: Visitor, tmp_path: Path) -> None:
    """On every page of a trial, and where a form or a file is refused: the button or the field is named."""
    pages = {path: visitor.get(path) for path in ("/", "/load", "/plan", *SEEN)}
    for name in ("slip", "half"):
        pages |= {f"{name}{place}": visitor.get(f"/trial/{name}{place}") for place in OF_A_TRIAL}
    pages |= {path: visitor.fill(path, fields) for path, (fields, _) in SENT.items()}
    for name, (text, trial, _) in LOADED.items():
        fields = fields_of(visitor.get("/load")) | {"trial": trial}
        pages[name] = visitor.post("/load", fields, files=[("files", (name, text.encode()))])
    pages["no logbook"] = Visitor(tmp_path / "none.duckdb").get("/trial/slip")
    amended = visitor.fill("/trial/steeper/plan", {"key": "pairs", "text": "5", **WHY})
    pages["amended"] = visitor.follow(amended)
    assert {what: found for what, page in pages.items() if (found := COMMAND.findall(words_of(page)))} == {}
    said = {what: told[-1] for what, told in (*SENT.items(), *LOADED.items())}
    said |= {what: told[0] for what, told in SEEN.items()}
    said |= {"no logbook": "begin with New plan or with Load, above", "amended": "added and drawn: Papers prints them"}
    assert {what: words_of(pages[what]) for what, says in said.items() if says not in words_of(pages[what])} == {}


def test_a_terminal_is_told_the_command(visitor: Visitor, samedirt: Callable[..., Any]) -> None:
    """Of the same logbook, after the page was looked at."""
    for path, (_, words, says) in SEEN.items():
        visitor.get(path)
        if words:
            told = samedirt(*words)
            assert says in flat(told.out + told.err), words


def test_what_is_stored_or_kept_is_said_for_a_terminal(visitor: Visitor, samedirt: Callable[..., Any]) -> None:
    """Whoever made it: a remembered verdict, a report, a file to keep, and what Python is told."""
    visitor.follow(visitor.fill("/trial/slip/decide", {"word": "retest", "note": "mended first"}))  # remembers its word
    (line,) = (one for one in json.loads(samedirt("logbook", "--json").out)["trials"] if one["trial"] == "slip")
    assert "Correct it: samedirt enter slip" in line["sentence"]
    report = visitor.get("/trial/slip/report", params={"keep": "1"}).text
    assert "samedirt enter slip" in report and "under Runs" not in report
    record = _named(_half_done(6, grains=4400), "slip")
    assert "samedirt enter slip" in reach_verdict(record.trial, record.runs).sentence
    with said_for(Reader.AT_PAGE):
        assert "under Runs" in reach_verdict(record.trial, record.runs).sentence


def test_a_stored_value_that_is_no_slip_is_said_to_stand(visitor: Visitor, tmp_path: Path) -> None:
    """In a box at its run, which needs no reason: the check that stopped the verdict lets it pass, and nothing is lost."""
    assert "if it stands, say so there" in words_of(visitor.get("/trial/slip/check"))
    tag = next(run.tag for run in read(tmp_path, "slip").runs if run.key == (2, "baseline"))
    path = f"/trial/slip/correct/{tag}"
    answer = visitor.fill(path, {"all stands": "yes", "grains": "4401"})
    assert answer.status_code == 422 and "Reason: is empty" in words_of(answer)
    visitor.follow(visitor.fill(path, {"all stands": "yes"}))
    assert run_of(tmp_path, tag, "slip").as_typed == "black_sand_g, grains" and not read(tmp_path, "slip").corrections
    assert "if it stands" not in words_of(visitor.get("/trial/slip/check"))
    visitor.follow(visitor.fill(path, {"all stands": "yes", "grains": "4401", "why": "counted twice"}))
    assert (run_of(tmp_path, tag, "slip").grains, len(read(tmp_path, "slip").corrections)) == (4401, 1)
