"""Money to the printed digit: examples worked by hand, by functions and through the program."""

import json
from collections.abc import Callable
from datetime import date
from math import expm1, log
from pathlib import Path
from typing import Any

import pytest
from scipy.stats import t

from schemas import Interval, WorthBase
from tests.folders import rough_bed, write
from tests.tables import every
from trials import reach_verdict, read_folder
from trials.worth.gain import Span3
from trials.worth.measured import Extra, Extras, extras_of
from trials.worth.money import GRAMS_OF_A_TROY_OUNCE, half_up, value_of_a_gram
from trials.worth.reckon import OwnCosts, worth_a_year
from trials.worth.sentences import money_range, worth_sentence

# All worked by hand, not published. A gram fetches price / 31.1034768 x fineness / 1000 x payout / 100 (common practice, no
# source): 2400 / 31.1034768 x .85 x .85. Of 40 kg of 120 mg/kg 4.1 points are .1968 g, 10.97, less 48 min at 10 an hour,
# 8: 2.97. Of 90 t of .4 mg/kg 2.5 points are .9 g at 61.11, 55, and 200 min at 15 an hour, 50: 105.
V41 = 55.74939455
DAY = date(2026, 5, 3)
SOLD: dict[str, Any] = {"price": 2400, "price_date": DAY, "fineness": 850, "payout_percent": 85}


def recovery_trial(folder: Path, name: str, start: float, low: float, high: float, pairs: int = 4) -> Path:
    """A trial of recoveries whose mean difference and 95 % limits are these: two pairs that differ by more, two by less.

    Half the interval is t s / sqrt(n), with s = a sqrt(n / (n - 1)) where each pair is a from the mean.
    """
    apart = (high - low) / 2 / float(t.ppf(0.975, pairs - 1)) * (pairs - 1) ** 0.5
    rows = ["pair,arm,turn,session,minutes,fed_g,gold_mg,tails_gold_mg,black_sand_g"]
    for pair in range(1, pairs + 1):
        changed = start + (low + high) / 2 + (apart if pair % 2 else -apart)
        halves = [("baseline", start), ("changed", changed)]
        for k, (arm, kept) in enumerate(halves if pair in (1, 4) else halves[::-1]):
            rows.append(f"{pair},{arm},{2 * pair - 1 + k},2026-05-03,10,1000,{kept!r},{100 - kept!r},50")
    text = f"""
name = "{name}"
measure = "recovery"
worth_having = "0.5 point"
pairs = {pairs}
knew = "nobody"
[lot]
kind = "natural"
splitting = "riffle splitter"
[gear]
kind = "sluice"
[change]
variable = "mat"
baseline = "ribbed"
changed = "looped"
[tails]
caught = "all"
"""
    return write(folder / name, text, "\n".join(rows) + "\n")


def priced(samedirt: Callable[..., Any], name: str, *words: str) -> dict[str, Any]:
    """What `worth --json` prints."""
    said = samedirt("worth", name, *words, "--json")
    assert said.err == ""
    return json.loads(said.out)


def test_a_gram_and_the_trade_check() -> None:
    """N40, N41: 500 clean-ups, grams, troy ounces, money in whole units."""
    assert value_of_a_gram(2400, 850, 85) == pytest.approx(V41, abs=1e-6)
    year = WorthBase(cleanups=500, gold_g=0.125, wage_h=0, **SOLD)
    assert year.gold_kept_g == pytest.approx(62.5, abs=1e-12)
    grams = Span3(0.10, 0.125, 0.15).each(lambda gram: gram * 500)
    assert (grams.low, grams.mid, grams.high) == pytest.approx((50, 62.5, 75), abs=1e-12)
    ounces = [half_up(gram / GRAMS_OF_A_TROY_OUNCE, 4) for gram in (grams.low, grams.mid, grams.high)]
    assert [str(ounce) for ounce in ounces] == ["1.6075", "2.0094", "2.4113"]
    money = grams.each(lambda gram: gram * V41)
    assert money_range(money, "EUR") == "2,787 to 4,181 EUR, middle 3,484"


@every("value, shown", [(2.5, "3"), (-2.5, "-3"), (2.4999999, "2"), (-0.4, "0"), (1e15, "1000000000000000")])
def test_money_is_rounded_half_up_once(value: float, shown: str) -> None:
    """N46: on the number as it is shown, its half away from zero."""
    assert str(half_up(value)) == shown


GOLD_MASS = {"cleanups": 250, "gold_g": 0.8, "wage_h": 12}


@every(
    "measure, unit, ends, minutes, expected",
    [
        ("gold_mass", "ln ratio", (1.11, 1.24, 1.385), 1.5, (1151.4867, 2600.9709, 4217.7034)),  # N44
        ("recovery", "points", (0.8, 2.3, 3.7), 0.0, (108.7793, 312.7405, 503.1043)),  # N45
        ("tails_gold", "ln ratio", (0.9, 0.8, 0.6), 0.0, (10 * V41 * 0.1, 10 * V41 * 0.2, 10 * V41 * 0.4)),
    ],
)
def test_each_measure_by_its_own_gold(
    tmp_path: Path, measure: str, unit: str, ends: tuple[float, ...], minutes: float, expected: tuple[float, ...]
) -> None:
    """N44, N45; and gold lost, 10 g a year, of which a tenth, a fifth and two fifths are saved."""
    on_scale = [log(end) for end in ends] if unit == "ln ratio" else list(ends)
    low, mid, high = (-end for end in on_scale) if measure == "tails_gold" else on_scale
    record = read_folder(recovery_trial(tmp_path, "mat", 82.0, 0.8, 3.8))
    verdict = reach_verdict(record.trial, record.runs)
    answer = verdict.answer.model_copy(update={"estimate": mid, "interval": Interval(low=low, high=high, level=0.95)})
    verdict = verdict.model_copy(update={"measure": measure, "answer": answer})
    base = WorthBase(tails_gold_g=10.0, **GOLD_MASS, **SOLD)
    found = worth_a_year(verdict, base, OwnCosts(), Extras(cleanup_minutes=Extra(minutes, None, 4))).benefit
    assert found is not None
    assert (found.low, found.mid, found.high) == pytest.approx(expected, abs=5e-4)


def test_the_table_of_the_first_example(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """N42: 40 kg of 120 mg/kg, 4.1 points (1.5 to 6.7), 48 minutes: 3 a year (-4 to 10), and no payback."""
    recovery_trial(tmp_path, "table", 70.0, 1.5, 6.7)
    samedirt("load", "table")
    words = ["--feed", "40 kg", "--grade", "120 mg/kg", "--price", "2400", "--price-date", "2026-05-03"]
    words += ["--fineness", "850", "--payout", "85", "--wage", "10", "--minutes", "48", "--once", "20"]
    found = priced(samedirt, "table", *words)
    money = found["money_a_year"]
    assert (money["low"], money["mid"], money["high"]) == pytest.approx((-3.9860, 2.9715, 9.9290), abs=5e-4)
    assert found["shown"] == {"low": -4, "mid": 3, "high": 10}
    assert found["break_even"] == pytest.approx(2.989569089, abs=1e-4)
    assert found["payback_years"] is None
    said = samedirt("worth", "table", "--minutes", "48", "--once", "20", "--no-chart").out
    for line in (
        "More gold, but -4 to 10 a year, middle 3: it could cost more than it brings.",
        "a gram fetches 55.75 (2,400 a troy ounce on 2026-05-03, 850 fine, 85 % paid out)",
        "Minutes: 48 min more a year: costs 8.",
        "No payback of the 20 is told: at the low end it brings nothing.",
        "Break-even is 3 points",
        "the price is the one you typed",
    ):
        assert line in " ".join(said.split())


def test_the_sluice_mat_of_the_second_example(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """N43: 90 t of 0.4 mg/kg, 2.5 points (1.0 to 4.0), 200 minutes saved, 90 spent."""
    recovery_trial(tmp_path, "mat", 80.0, 1.0, 4.0)
    samedirt("load", "mat")
    words = ["--feed", "90 t", "--grade", "0.4 mg/kg", "--price", "2400 EUR", "--fineness", "880"]
    words += ["--payout", "90 %", "--wage", "15", "--minutes", "-200", "--once", "90"]
    found = priced(samedirt, "mat", *words)
    money, back = found["money_a_year"], found["payback_years"]
    assert (money["low"], money["mid"], money["high"]) == pytest.approx((72.0004, 105.0009, 138.0015), abs=5e-4)
    assert (back["best"], 90 / money["mid"], back["worst"]) == pytest.approx((0.6522, 0.8571, 1.25), abs=5e-4)
    said = " ".join(samedirt("worth", "mat", "--minutes", "-200", "--once", "90").out.split())
    assert "Worth 72 to 138 EUR a year, middle 105, after all that it costs." in said
    assert "The 90 EUR spent once are back after 7.8 to 15 months." in said
    assert "Minutes: 200 min fewer a year: saves 50 EUR." in said
    assert (tmp_path / "worth-mat.html").exists()


def test_the_trade_check_through_the_program(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """N40, N41: of 0.5 g a clean-up at 40 %, 8, 10 and 12 points are 0.10, 0.125 and 0.15 g."""
    recovery_trial(tmp_path, "mat", 40.0, 8.0, 12.0)
    samedirt("load", "mat")
    words = ["--cleanups", "2x5x50", "--gold", "0.5 g", "--price", "2400 EUR", "--fineness", "850", "--payout", "85"]
    found = priced(samedirt, "mat", *words, "--wage", "0")
    assert found["shown"] == {"low": 2787, "mid": 3484, "high": 4181}
    assert found["gold_g_a_year"]["mid"] == pytest.approx(62.5, abs=1e-6)


def test_a_base_is_typed_once(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """The next trial asks for none of it; a flag types one part anew; what was typed before stays on record."""
    import duckdb

    for name in ("mat", "other"):
        recovery_trial(tmp_path, name, 40.0, 8.0, 12.0)
        samedirt("load", name)
    words = ["--cleanups", "500", "--gold", "0.5 g", "--price", "2400 EUR", "--fineness", "850", "--payout", "85"]
    assert "remembered" in samedirt("worth", "mat", *words, "--wage", "0", "--no-chart").out
    said = samedirt("worth", "other", "--no-chart")
    assert "Worth 2,787 to 4,181 EUR a year" in said.out
    assert "remembered" not in said.out
    assert "Worth 5,575 to 8,362 EUR a year" in samedirt("worth", "other", "--gold", "1 g", "--no-chart").out
    assert samedirt("logbook", "--check").code == 0
    with duckdb.connect(str(tmp_path / "logbook.duckdb"), read_only=True) as con:
        assert con.execute("SELECT place, cleanups, gold_g FROM worth_bases ORDER BY place").fetchall() == [
            (1, 500.0, 0.5),
            (2, 500.0, 1.0),
        ]


def test_what_a_change_costs_is_remembered_with_its_trial(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Typed once too, for its own trial alone; "" takes it out; all of it goes out with every trial and comes back."""
    for name in ("mat", "other"):
        recovery_trial(tmp_path, name, 40.0, 8.0, 12.0)
        samedirt("load", name)
    words = ["--cleanups", "500", "--gold", "0.5 g", "--price", "2400 EUR", "--fineness", "850", "--payout", "85"]
    samedirt("worth", "mat", *words, "--wage", "0", "--once", "900 EUR", "--running", "20")
    back = "The 900 EUR spent once are back after"
    for name, is_there in (("mat", True), ("other", False)):
        assert (back in " ".join(samedirt("worth", name, "--no-chart").out.split())) is is_there
    exported = samedirt("export", "--all", "--to", "out").out
    assert "2 trials in out, a folder each: 5 files written." in exported
    assert "5 files said the same already" in samedirt("export", "--all", "--to", "out").out
    assert samedirt("logbook", "--restore", "out", "--logbook", "anew.duckdb").code == 0
    assert back in " ".join(samedirt("worth", "mat", "--no-chart", "--logbook", "anew.duckdb").out.split())
    assert samedirt("logbook", "--check", "--logbook", "anew.duckdb").code == 0
    assert back not in " ".join(samedirt("worth", "mat", "--once", "", "--no-chart").out.split())
    assert back not in " ".join(samedirt("worth", "mat", "--no-chart").out.split())
    (tmp_path / "out" / "worth.toml").unlink()
    samedirt("logbook", "--restore", "out", "--yes")
    assert "Worth 2,767 to 4,161 EUR a year" in samedirt("worth", "mat", "--no-chart").out  # 20 a year less
    (tmp_path / "out" / "worth.toml").write_text('[year]\nwage = "x"\n[change.mat]\nonce = "2 oz"\n')
    refused = samedirt("logbook", "--restore", "out", "--yes")
    assert refused.code == 2
    assert {"--wage", "--once"} <= {word.strip(":") for word in refused.err.split()}


def test_nothing_is_guessed_and_all_is_told_at_once(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """What is missing and what can't be read, one line each; nothing is stored."""
    recovery_trial(tmp_path, "mat", 40.0, 8.0, 12.0)
    samedirt("load", "mat")
    said = samedirt("worth", "mat", "--price", "2,400", "--fineness", "85 %", "--once", "2 oz", "--cleanups", "2x5xa")
    assert said.code == 2
    for line in (
        "--price: 2,400: 2,400 could be 2.4 or 2400. Write one of these.",
        "--fineness: 85 %: write parts of a thousand, as 850; pure gold is 1000.",
        "--once: 2 oz: oz is no code of a currency; write the number, or with its code, as 2400 EUR.",
        "--cleanups: 2x5xa: write clean-ups a year, as 500; or a day x days a week x weeks, as 2x5x50.",
        '--gold: is needed: nothing is guessed; write it as --gold "0.8 g"',
        '--wage: is needed: nothing is guessed; write it as --wage "12"',
    ):
        assert line in said.err
    two = samedirt("worth", "mat", "--price", "2400 EUR", "--wage", "12 USD")
    assert "--wage: 12 USD is not in EUR; no currency is converted" in two.err


def test_no_money_where_the_gain_could_be_zero(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """2.1 points (-0.5 to 4.7) is not shown, and break-even stands in its place; grains are not weight."""
    recovery_trial(tmp_path, "mat", 70.0, -0.5, 4.7)
    rough_bed(tmp_path / "rough-bed")
    samedirt("load", "mat", "rough-bed")
    words = ["--feed", "40 kg", "--grade", "120 mg/kg", "--price", "2400 EUR", "--fineness", "850", "--payout", "85"]
    found = samedirt("worth", "mat", *words, "--wage", "10", "--minutes", "48")
    assert found.code == 0
    assert (
        "No money is shown: luck could still have done it, so the gain could be zero. Break-even is 3 points"
        in " ".join(found.out.split())
    )
    grains = samedirt("worth", "rough-bed", "--json")
    assert grains.code == 0
    assert json.loads(grains.out)["refused"] == "grains"
    samedirt("void", "mat", "--why", "wrong dirt")
    aside = samedirt("worth", "mat", "--no-chart")
    assert "the trial was set aside, so nothing of it counts" in aside.out
    assert aside.code == samedirt("verdict", "mat", "--no-chart").code == 1


def test_minutes_and_sand_are_priced_apart(tmp_path: Path) -> None:
    """By the dirt fed where that is known, else a run for each clean-up; sand is not priced twice."""
    record = read_folder(recovery_trial(tmp_path, "mat", 40.0, 8.0, 12.0))
    runs = [
        run.model_copy(update={"minutes": 12.0, "cleanup_minutes": 9.0, "black_sand_g": 80.0})
        if run.arm == "changed"
        else run.model_copy(update={"cleanup_minutes": 5.0})
        for run in record.runs
    ]
    extras = extras_of(record.trial, runs)
    assert (extras.run_minutes, extras.cleanup_minutes) == (Extra(2.0, 2.0, 4), Extra(4.0, 4.0, 4))
    verdict = reach_verdict(record.trial, runs)
    year = WorthBase(cleanups=100, gold_g=0.5, wage_h=30, run_wage_h=6, **SOLD)

    def costs(base: WorthBase) -> dict[str, tuple[float | None, float | None, str]]:
        return {
            cost.what: (cost.amount, cost.money, cost.how)
            for cost in worth_a_year(verdict, base, OwnCosts(), extras).costs
        }

    told = costs(year)
    assert told["run minutes"] == (200.0, 20.0, "cleanups")
    assert told["clean-up minutes"] == (400.0, 200.0, "cleanups")
    assert told["black sand"] == (pytest.approx(3.0), 0.0, "in the minutes")
    by_dirt = costs(year.model_copy(update={"charge_kg": 20.0, "sand_minutes_kg": 4.0}))
    assert by_dirt["run minutes"] == (4000.0, 400.0, "dirt")
    assert by_dirt["black sand"] == (pytest.approx(60.0), pytest.approx(60 * 4 / 60 * 30), "dirt")


def test_a_loss_has_no_payback(tmp_path: Path) -> None:
    """Worse is told as less gold, with what it saves in it, and never pays back."""
    record = read_folder(recovery_trial(tmp_path, "mat", 80.0, -4.0, -1.0))
    verdict = reach_verdict(record.trial, record.runs)
    year = WorthBase(feed_kg=90_000, grade_mg_kg=0.4, wage_h=15, **SOLD)
    found = worth_a_year(verdict, year, OwnCosts(once=90.0, minutes=-20_000.0))
    assert verdict.code == "worse"
    assert found.payback_years is None
    assert worth_sentence(found, verdict, "").startswith("Less gold: ")


def test_of_a_graded_trial_the_level_named_is_priced(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """With its joint limits, and its own minutes beside the baseline's, block by block."""
    rows = ["pair,arm,turn,session,minutes,fed_g,gold_mg,black_sand_g"]
    for block, luck in enumerate((0.0, 1.0, -1.0, 2.0), start=1):
        arms = [("baseline", 100.0, 10), ("120 grit", 130.0, 12), ("60 grit", 129.0, 15)]
        for k in range(3):
            arm, gold, minutes = arms[(k + block) % 3]
            turn = 3 * (block - 1) + k + 1
            rows.append(f"{block},{arm},{turn},2026-05-03,{minutes},1000,{gold + luck * (1 + k / 4)},50")
    plan = """
name = "grit"
measure = "gold_mass"
worth_having = "10 %"
pairs = 4
knew = "nobody"
lot = {kind = "natural"}
gear = {kind = "finishing table"}
change = {variable = "texture", baseline = "painted", changed = ["120 grit", "60 grit"]}
"""
    write(tmp_path / "grit", plan, "\n".join(rows) + "\n")
    assert samedirt("load", "grit").code == 0
    words = [
        "--cleanups",
        "100",
        "--gold",
        "1 g",
        "--price",
        "2400",
        "--fineness",
        "850",
        "--payout",
        "85",
        "--wage",
        "6",
    ]
    found = priced(samedirt, "grit", *words)
    answer = json.loads(samedirt("verdict", "grit", "--json").out)["answer"]
    assert answer["pick"] == "120 grit"
    gains = [100 * expm1(answer["interval"]["low"]), 100 * expm1(answer["interval"]["high"])]
    assert [found["gold_g_a_year"]["low"], found["gold_g_a_year"]["high"]] == pytest.approx(gains)
    assert next((cost["what"], cost["amount"], cost["money"]) for cost in found["costs"]) == (
        "run minutes",
        200.0,
        20.0,
    )
