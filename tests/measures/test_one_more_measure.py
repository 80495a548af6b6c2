"""A measure is one file and one line: one more, added just so to a copy of the program, runs from plan to report."""

import contextlib
import importlib
import io
import json
import math
import os
import shutil
import sys
from pathlib import Path

import pytest

from tests.forks import start
from tests.sizes import scaled

ROOT = Path(__file__).parents[2]
FILE = '''"""Gold kept for each kg fed, so that halves of unlike weight can be compared. As a ratio."""

import numpy as np

from trials.measures.measure import Measure, Words
from trials.measures.scales import RatioMeasure, log_masses, weighing_floor


class GoldPerKg(RatioMeasure):
    """Gold kept in mg over dirt fed in kg; differences are logs of the ratio."""

    name = "gold_per_kg"
    inputs = ("gold_mg", "fed_g")
    side = "kept"
    is_simulated = True
    words = Words(
        axis="gold kept, mg from each kg",
        signed="% gold from each kg",
        more="more gold from each kg",
        less="less gold from each kg",
        gain="more gold from each kg",
        unit="mg of gold from each kg",
        difference="difference, %",
        taken="gold kept and dirt fed, both weighed",
        short="gold for each kg",
        by_hand="d = ln(changed / baseline), each mg of gold over kg fed",
    )

    @property
    def needs_like_halves(self):
        return False

    def value(self, readings):
        return 1000.0 * readings[..., 0] / readings[..., 1]

    def scaled(self, readings, division):
        return log_masses(readings[..., 0], division) - np.log(readings[..., 1])

    def floor(self, baseline, changed, division):
        return weighing_floor(baseline[..., 0], changed[..., 0], division)


GOLD_PER_KG: Measure = GoldPerKg()
'''
LINE = '    "gold_per_kg": MeasureWord("%"),\n'
BEFORE = "MEASURE_WORDS: Final[Mapping[str, MeasureWord]] = {\n"
PLAN = """name = "per-kg"
measure = "gold_per_kg"
worth_having = "20 %"
pairs = 3
seed = 5

[lot]
kind = "natural"
mass = "60 kg"
splitting = "riffle splitter"

[gear]
kind = "sluice"

[change]
variable = "mat"
baseline = "ribbed"
changed = "looped"

[held]
charge = "5 kg"

[scales]
gold = "0.001 g"

[guess]
gold = "20 mg/kg"
keeps = "60 %"
"""
# The second half of pair 2 was fed a fifth more, and found a fifth more on top of the half more of the others.
RUNS = """pair,arm,turn,fed_g,gold_mg
1,baseline,1,5000,60
1,changed,2,5000,90
2,changed,3,6000,108
2,baseline,4,5000,60
3,baseline,5,5000,62
3,changed,6,5000,92
"""
CALLS = (
    ("plan", "--from", "per-kg", "--charts", "--no-ask"),
    ("plan", "--from", "per-kg", "--ways"),
    ("rehearse", "per-kg", "--times", "100"),
    ("sheet", "per-kg"),
    ("load", "weighed"),
    ("check", "weighed"),
    ("verdict", "weighed", "--chart", "verdict.svg"),
    ("verdict", "weighed", "--json"),
    ("report", "weighed"),
)
PACKAGES = ("schemas", "trials", "demo_trials")


def call_all(house: Path, folder: Path, calls: tuple[tuple[str, ...], ...]) -> None:
    """Call a copy of the program in a folder, and write down there what it printed, with each exit code behind it."""
    for name in [name for name in sys.modules if name.partition(".")[0] in PACKAGES]:
        del sys.modules[name]
    sys.path.insert(0, str(house))
    os.chdir(folder)
    os.environ["COLUMNS"] = "200"
    os.environ.pop("SAMEDIRT_LOGBOOK", None)
    trials = importlib.import_module("trials")
    assert trials.__file__ is not None and Path(trials.__file__).is_relative_to(house)
    proposal = importlib.import_module("trials.rehearsal.proposal")
    proposal.QUICK_REHEARSALS = scaled(proposal.QUICK_REHEARSALS)
    engine = importlib.import_module("trials.charts.engine")
    engine._drawn = lambda spec, _: f"<svg>{spec}</svg>".encode()  # its words are looked for, and are drawn elsewhere
    main = importlib.import_module("trials.commands.main").main
    said = {}
    for words in calls:
        sys.argv = ["samedirt", *words]
        with contextlib.redirect_stdout(io.StringIO()) as out:
            code = None
            try:
                main()
            except SystemExit as stop:
                code = stop.code or 0
        said[" ".join(words)] = f"{out.getvalue()}= {code}\n"
    Path("said.json").write_text(json.dumps(said), encoding="utf-8")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where a copy of the program with one more measure was called, and `said.json` holds what each call printed."""
    house, folder = tmp_path_factory.mktemp("house"), tmp_path_factory.mktemp("folder")
    for package in PACKAGES:
        shutil.copytree(
            ROOT / package, house / package
        )  # with what is compiled, which is renewed where a file is changed
    (house / "trials" / "measures" / "gold_per_kg.py").write_text(FILE, encoding="utf-8")
    names = house / "schemas" / "base.py"
    text = names.read_text(encoding="utf-8")
    assert text.count(BEFORE) == 1
    names.write_text(text.replace(BEFORE, BEFORE + LINE), encoding="utf-8")
    for name in ("per-kg", "weighed"):
        (folder / name).mkdir()
        (folder / name / "trial.toml").write_text(PLAN.replace("per-kg", name), encoding="utf-8")
    (folder / "weighed" / "runs.csv").write_text(RUNS, encoding="utf-8")
    program = start(call_all, house, folder, CALLS)
    program.join()
    assert program.exitcode == 0
    return folder


@pytest.fixture
def said(folder: Path) -> dict[str, str]:
    """What each call of the copy printed, with its exit code behind it."""
    read: dict[str, str] = json.loads((folder / "said.json").read_text(encoding="utf-8"))
    return read


def test_every_call_ends_well(said: dict[str, str]) -> None:
    """From plan to report the program knows no other list of measures."""
    assert {call: text[-4:] for call, text in said.items() if not text.endswith("= 0\n")} == {}


def test_its_plan_is_reckoned_and_rehearsed(folder: Path, said: dict[str, str]) -> None:
    """As one that says how it is simulated: its noise, its row among the ways, its false alarms, its charts."""
    assert "reckoned from your dirt, scale and habits" in said["plan --from per-kg --charts --no-ask"]
    assert "gold for each kg" in said["plan --from per-kg --ways"]
    assert "A change truly worth 20 % more gold from each kg" in said["rehearse per-kg --times 100"]
    for chart in ("pairs-per-kg.html", "typical-per-kg.html"):
        assert "gold from each kg" in (folder / chart).read_text(encoding="utf-8")
    assert (folder / "noise-per-kg.html").exists()
    assert (folder / "rehearsal-per-kg.html").exists()


def test_its_papers_ask_for_gold(folder: Path) -> None:
    """A weighed measure gets the boxes of a weighing."""
    assert "magnet" in (folder / "panner-per-kg.html").read_text(encoding="utf-8")


def test_its_verdict_is_by_its_own_number(folder: Path, said: dict[str, str]) -> None:
    """Differences are logs of mg a kg: by hand ln(90/60), ln((108/6)/(60/5)) and ln(92/62); half as much again."""
    verdict = json.loads(said["verdict weighed --json"].removesuffix("= 0\n"))
    by_hand = [math.log(1.5), math.log(1.5), math.log(92 / 62)]
    assert verdict["answer"]["differences"] == pytest.approx(by_hand)
    assert verdict["code"] == "better"
    assert verdict["sentence"].startswith("Better beyond luck: 49.")
    assert "% more gold from each kg than ribbed" in verdict["sentence"]
    assert "Pair 2: halves differ by 18 %" in said["verdict weighed --chart verdict.svg"]  # told, and no stop
    assert "more gold from each kg" in (folder / "verdict.svg").read_text(encoding="utf-8")


def test_its_report_tells_its_formula(folder: Path) -> None:
    """How to check it by hand stands in its own file too."""
    assert "each mg of gold over kg fed" in (folder / "report-weighed.html").read_text(encoding="utf-8")
