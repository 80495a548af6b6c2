"""`samedirt plan` by flags, files and blanks: what it prints, stores and refuses."""

import json
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import demo_trials
from tests.folders import LEAST, ROUGH_TRIAL, rough_bed, write
from tests.tables import every
from trials.logbook.logbook import Logbook

Run = Callable[..., Any]
MAT = [
    *("--measure", "gold_mass", "--pairs", "6", "--set", "lot.kind=natural", "--set", "gear.kind=sluice"),
    *("--set", "change.variable=mat", "--set", "change.baseline=ribbed", "--set", "change.changed=looped"),
]
RICH = [
    *("--set", "lot.mass=400 kg", "--set", "held.charge=10 kg", "--set", "lot.splitting=riffle splitter"),
    *("--set", "guess.gold=90 mg/kg", "--set", "guess.sizes=fine", "--set", "scales.gold=0.001 g"),
]


def stored(folder: Path, name: str) -> Any:
    """The record in the logbook."""
    return Logbook(folder / "logbook.duckdb").read(name)


def words(text: str) -> str:
    """What was printed, as one line."""
    return " ".join(text.split())


def test_flags_make_a_plan(samedirt: Run, tmp_path: Path) -> None:
    """Every flag and --set goes into the stored plan; its runs are drawn, none made; nothing is asked."""
    said = samedirt("plan", "mat", *MAT, *RICH, "--spares", "1", "--worth-having", "4 %", "--look", "4", "--seed", "41")
    assert said.code == 0 and said.err == ""
    record = stored(tmp_path, "mat")
    trial = record.trial
    assert (trial.measure, trial.pairs, trial.spares, trial.worth_having, trial.look_after, trial.seed) == (
        "gold_mass", 6, 1, 4.0, 4, 41,
    )  # fmt: skip
    assert trial.lots[0].mass_g == 400_000.0 and trial.held.charge_g == 10_000.0 and trial.guess.gold_mg_kg == 90.0
    assert trial.locked is None
    assert sorted(run.turn for run in record.runs) == list(range(1, 15)) and len({run.tag for run in record.runs}) == 14
    assert all(run.gold_mg is None for run in record.runs)
    text = words(said.out)
    assert "mat: 12 runs of 10 kg = 120 kg and 1 spare; 260 kg left." in text
    assert "Order drawn from seed 41, balanced over the pairs" in text
    assert "One early look, after pair 4 and only then, at a 99 % bar; the end then stands on 96 %." in text
    assert "samedirt sheet mat" in text and "samedirt rehearse mat" in text


def test_the_same_seed_draws_the_same_order(samedirt: Run, tmp_path: Path) -> None:
    """Given, it is kept; not given, one is drawn and kept, and no two alike."""
    for name, seed in (("a", ["--seed", "7"]), ("b", ["--seed", "7"]), ("c", []), ("d", [])):
        assert samedirt("plan", name, *MAT, *seed).code == 0
    order = {name: [(run.pair, run.arm, run.tag) for run in stored(tmp_path, name).runs] for name in "abcd"}
    assert order["a"] == order["b"]
    seeds = {name: stored(tmp_path, name).trial.seed for name in "abcd"}
    assert seeds["a"] == 7 and seeds["c"] != seeds["d"] and None not in seeds.values()
    assert order["c"] != order["d"]
    assert samedirt("plan", "e", *MAT, "--seed", str(seeds["c"])).code == 0
    assert [(run.pair, run.arm, run.tag) for run in stored(tmp_path, "e").runs] == order["c"]


def test_a_file_is_planned_and_flags_stand_over_it(samedirt: Run, tmp_path: Path) -> None:
    """By the file or by its folder."""
    write(tmp_path / "mat", LEAST)
    assert samedirt("plan", "--from", "mat").code == 0
    assert stored(tmp_path, "mat").trial.pairs == 3
    said = samedirt("plan", "wider", "--from", "mat/trial.toml", "--pairs", "8", "--set", "change.changed=brush")
    assert said.code == 0
    trial = stored(tmp_path, "wider").trial
    assert trial.pairs == 8 and trial.change.changed == ("brush",) and trial.change.baseline == "ribbed"


def test_a_blank_is_filled_and_planned(samedirt: Run, tmp_path: Path) -> None:
    """From an empty folder to a stored plan; as it is, each open line is named."""
    said = samedirt("plan", "--blank", "new-mat", "--measure", "grain_counts", "--pairs", "4")
    assert said.out == "Wrote new-mat. Fill it, then: samedirt plan --from new-mat\n"
    refused = samedirt("plan", "--from", "new-mat")
    assert refused.code == 2 and len(refused.err.splitlines()) == 2
    assert not (tmp_path / "logbook.duckdb").exists()
    file = tmp_path / "new-mat" / "trial.toml"
    text = file.read_text().replace('kind = ""', 'kind = "natural"', 1).replace('kind = ""', 'kind = "sluice"', 1)
    file.write_text(text + '[change]\nvariable = "mat"\nbaseline = "ribbed"\nchanged = "looped"\n')
    assert samedirt("plan", "--from", "new-mat").code == 0
    assert stored(tmp_path, "new-mat").trial.measure == "grain_counts"
    assert samedirt("plan", "--blank", "new-mat").code == 2


def test_flags_change_a_stored_plan_that_is_not_locked(samedirt: Run, tmp_path: Path) -> None:
    """What they leave open stands, the seed too; and it is said that the earlier plan is gone."""
    samedirt("plan", "mat", *MAT, *RICH, "--seed", "41")
    said = samedirt("plan", "mat", "--pairs", "8", "--set", "guess.care=careful")
    assert said.code == 0
    assert "Stored in logbook.duckdb, in place of the plan of that name, which was not locked yet." in words(said.out)
    trial = stored(tmp_path, "mat").trial
    assert (trial.pairs, trial.guess.care, trial.seed, trial.lots[0].mass_g) == (8, "careful", 41, 400_000.0)
    assert len(stored(tmp_path, "mat").runs) == 16
    samedirt("plan", "mat", "--set", "guess.care=")
    assert stored(tmp_path, "mat").trial.guess.care is None


@pytest.mark.parametrize("how", ["its sheet", "a run"])
def test_a_locked_plan_is_not_planned_over(how: str, samedirt: Run, tmp_path: Path) -> None:
    """Locked by its sheet or by its first run: refused, with the way to amend it, and nothing changes."""
    samedirt("plan", "mat", *MAT, "--seed", "41")
    if how == "its sheet":
        assert samedirt("sheet", "mat", "--to", "papers").code == 0
        since = "mat: is locked since its sheet was printed ("
    else:
        tag = stored(tmp_path, "mat").runs[0].tag
        assert samedirt("enter", "mat", tag, "--set", "gold_mg=31").code == 0
        since = "mat: is locked since "
    before = stored(tmp_path, "mat")
    for over in (["--pairs", "8"], [*MAT, "--seed", "5"]):
        said = samedirt("plan", "mat", *over)
        assert said.code == 2 and since in said.err
        assert 'amend it: samedirt plan mat --amend pairs=8 --why "the reason"' in said.err
    assert stored(tmp_path, "mat") == before


@pytest.mark.parametrize(
    ("flags", "says"),
    [
        (["--set", "lot.sieve=3"], ["--set, lot.sieve: is not a key of a plan; did you mean lot.size?"]),
        (["--set", "foo"], ['--set foo: has no = sign; write it as --set "lot.mass=120 kg"']),
        (["--set", "change.variable=pitch, water"], ["two variables in one change (pitch, water); split them into two"]),
        (["--measure", "recovery", "--worth-having", "20 %"], ['20 % does not fit measure recovery; write it as "1 poi']),
        (["--pairs", "2"], ["mat, pairs: 2 pairs: one or two can't tell luck from change. Plan 3 to 60."]),
        (["--pairs", "61"], ["mat, pairs: 61 pairs: no one runs more. Plan 3 to 60."]),
        (["--pairs", "six", "--spares", "9"], ["plan, pairs: six is not a whole number", "plan, spares: 9"]),
        (["--set", "lot.mass=40 kg", "--set", "held.charge=5 kg"], ["6 pairs of 5 kg a run need 60 kg; the lot has 40 kg."]),
        (["--set", "lot.mass=5 oz"], ["5 oz: Gold is in ozt, feed in lb. Which?"]),
        (["--set", "lot.size=-30"], ["30 mesh: ASTM, Tyler or hobby?"]),
        (["--set", "held.pitch=55 deg"], ["pitch 55 deg on a sluice; was that 5.5?"]),
        (["--set", "change.reversible=no"], ["make two alike, change one, and name it"]),
        (["--measure", "recovery", "--set", "tails.caught=none"], ['measure recovery needs the tails, and tails caught is "']),
        (["--set", "guess.scatter_from=nothing"], ["no logbook at logbook.duckdb"]),
        (["--set", "guess.scatter_points=3"], ["measure gold_mass is told in %; write scatter_percent instead"]),
        (["--look", "6"], ["look_after 6 is not before the last of 6 pairs"]),
        (["--set", "lot.mass=5 oz", "--pairs", "six", "--set", "foo=1"], ["foo"]),
    ],
)  # fmt: skip
def test_what_can_not_be_planned_is_refused(flags: list[str], says: list[str], samedirt: Run, tmp_path: Path) -> None:
    """Exit 2, a line for each problem with place and rule, and nothing is stored."""
    said = samedirt("plan", "mat", *MAT, *flags)
    assert said.code == 2 and said.out == ""
    lines = said.err.splitlines()
    assert all(line.startswith("samedirt: ") for line in lines)
    for part in says:
        assert any(part in line for line in lines), said.err
    book = tmp_path / "logbook.duckdb"
    assert not book.exists() or "mat" not in [line.trial for line in Logbook(book).lines()]


def test_several_problems_are_told_at_once(samedirt: Run) -> None:
    """One line each."""
    said = samedirt("plan", "mat", *MAT, "--set", "lot.mass=5 oz", "--pairs", "six", "--set", "held.water=8 gpm")
    assert said.code == 2 and len(said.err.splitlines()) == 3


def test_with_no_one_to_ask_what_is_missing_is_named(samedirt: Run) -> None:
    """No terminal: no conversation, and no waiting."""
    said = samedirt("plan")
    assert said.code == 2
    for key in ("name", "measure", "pairs", "[lot]", "[gear]"):
        assert f"plan, {key}: is missing" in said.err


@pytest.mark.parametrize("name", ["nowhere", "empty"])
def test_a_place_without_a_plan_is_refused(name: str, samedirt: Run, tmp_path: Path) -> None:
    """With what makes one."""
    (tmp_path / "empty").mkdir()
    said = samedirt("plan", "--from", name)
    assert said.code == 2
    assert said.err == f"samedirt: {name}: is no trial.toml and holds none; samedirt plan --blank NAME makes one\n"


def test_text_that_is_no_toml_is_refused_with_flags_too(samedirt: Run, tmp_path: Path) -> None:
    """Flags can't be laid over what can't be read."""
    folder = tmp_path / "bad"
    folder.mkdir()
    (folder / "trial.toml").write_text('name = "bad\n')
    for flags in ([], ["--pairs", "4"]):
        said = samedirt("plan", "--from", "bad", *flags)
        assert said.code == 2 and len(said.err.splitlines()) == 1 and "line 1" in said.err
    (folder / "trial.toml").write_bytes(b"name = \xff")
    assert "is not UTF-8 text; save the file as UTF-8" in samedirt("plan", "--from", "bad").err


def no_constant(text: str) -> Any:
    """Refuse NaN and infinities, which plain JSON does not have."""
    raise AssertionError(text)


def test_the_json_of_a_plan_is_plain(samedirt: Run) -> None:
    """One object, no NaN: plan, runs, noise, pairs needed, advice; nothing else on standard output."""
    said = samedirt("plan", "mat", *MAT, *RICH, "--worth-having", "4 %", "--json")
    told = json.loads(said.out, parse_constant=no_constant)
    assert told["trial"]["name"] == "mat" and len(told["runs"]) == 12
    assert set(told["runs"][0]) == {"pair", "arm", "turn", "tag"}
    assert told["scale"] == "log_ratio" or isinstance(told["scale"], str)
    assert told["scatter"]["origin"] == "noise budget" and told["pairs_needed"] > 3
    assert 0 < told["chance_at_line"] < 1 and told["smallest_findable"] > 0
    assert told["noise"]["sd_pair"] > 0 and told["noise"]["sources"]
    assert {one["weight"] for one in told["advice"]} <= {"warn", "note"}
    bare = json.loads(samedirt("plan", "bare", *MAT, "--json").out, parse_constant=no_constant)
    assert bare["noise"] is bare["scatter"] is bare["line"] is bare["chance_at_line"] is None


@every(
    ("measure", "line", "flags", "needed", "says"),
    [
        ("recovery", "5 points", [], "some", "{needed} pairs would suit. As planned"),
        ("recovery", "1 point", [], "many", "{needed} pairs would suit, and a plan holds 60. As planned"),
        ("recovery", "0.01 point", [], "none", "over a million pairs would suit, and a plan holds 60. As planned"),
        ("recovery", "50 points", [], "none", "A gain of 50 points can't be had"),
        ("gold_mass", "60 %", ["--set", "guess.scatter_percent=20"], "none", "A gain of 60 % can't be had"),
        ("tails_gold", "30 %", ["--set", "guess.gold=9 mg/kg", "--set", "guess.sizes=medium"], "none",
         "not even 60 pairs would do. As planned it is found about 1 time in 100. About 95 such trials in 100 are stopped"),
    ],
)  # fmt: skip
def test_the_json_says_what_the_text_says(
    measure: str, line: str, flags: list[str], needed: str, says: str, samedirt: Run
) -> None:
    """As many pairs as the text names, over 60 too; none where it says that none would do, or that it can't be had."""
    asked = ["plan", "mat", *MAT, *RICH, "--set", "tails.caught=all", "--measure", measure, "--worth-having", line]
    told = json.loads(samedirt(*asked, *flags, "--json").out)
    pairs = told["pairs_needed"]
    assert needed == ("none" if pairs is None else "some" if pairs <= 60 else "many")
    assert says.format(needed=pairs) in words(samedirt(*asked, *flags).out)
    assert (told["chance_at_line"] is None) == ("can't be had" in says)
    if "stopped" in says:
        assert told["chance_stopped"] > 0.9 and told["chance_at_line"] < 0.02


def test_ways_are_compared_and_nothing_is_stored(samedirt: Run, tmp_path: Path) -> None:
    """A table, the cheapest marked; a stored plan is named by its name alone."""
    said = samedirt("plan", "mat", *MAT, *RICH, "--worth-having", "4 %", "--ways", "--tracers", "0")
    assert said.code == 0 and not (tmp_path / "logbook.duckdb").exists()
    assert "Ways to find 4 % more gold kept, each for the same true change, found 4 times in 5:" in words(said.out)
    assert "> is the cheapest that can answer: the fewest hours, then the least dirt." in words(said.out)
    for row in ("gold kept, weighed", "recovery, kept and tails", "gold grains, counted", "gold in tails, weighed"):
        assert row in said.out
    samedirt("plan", "mat", *MAT, *RICH, "--worth-having", "4 %")
    assert "Ways to find 4 % more gold kept" in samedirt("plan", "mat", "--ways").out
    assert "Ways to find 7 % more gold kept" in samedirt("plan", "mat", "--ways", "--worth-having", "7 %").out
    assert stored(tmp_path, "mat").trial.worth_having == 4.0


def test_ways_are_compared_for_tracers_that_are_not_in_hand_yet(samedirt: Run) -> None:
    """No grains given: they are looked at as if they could be had, and gold is weighed beside them where it is guessed."""
    asked = ["plan", "mat", *MAT, "--measure", "tracers", "--worth-having", "5 points", "--ways"]
    said = samedirt(*asked)
    assert said.code == 0 and said.err == "" and "tracers of" in said.out and "could be had" in words(said.out)
    said = samedirt(*asked, *RICH)
    assert said.code == 0 and "gold kept" in words(said.out)


def test_the_json_of_ways_is_plain(samedirt: Run) -> None:
    """Every way with pairs, hours, and why it can't answer; what would, where none can."""
    flags = [*MAT, "--set", "lot.mass=120 kg", "--set", "held.charge=10 kg", "--set", "guess.gold=0.5 mg/kg"]
    said = samedirt("plan", "mat", *flags, "--worth-having", "4 %", "--ways", "--json", "--tracers", "0")
    told = json.loads(said.out, parse_constant=no_constant)
    assert told["line"] == "4 % more gold kept" and told["cheapest"] is None and told["what_would"]
    assert all(way["hindrances"] and not way["can_answer"] for way in told["ways"])
    rich = samedirt("plan", "mat", *MAT, *RICH, "--worth-having", "4 %", "--ways", "--json")
    told = json.loads(rich.out, parse_constant=no_constant)
    best = told["ways"][told["cheapest"]]
    assert best["can_answer"] and best["minutes"] == min(way["minutes"] for way in told["ways"] if way["can_answer"])
    assert told["what_would"] == []


@pytest.mark.parametrize(
    ("flags", "says"),
    [
        ([], "has no line to compare ways for"),
        (["--worth-having", "60 %", "--set", "guess.gold=5 mg/kg"], "no change could bring 60 % more gold kept"),
        (["--worth-having", "60 %"], "no change could bring 60 % more gold kept"),
        (["--worth-having", "4 %", "--tracers", "0"], "says nothing of the gold in the dirt; guess it"),
    ],
)
def test_ways_without_a_line_within_reach_are_refused(flags: list[str], says: str, samedirt: Run) -> None:
    """With what to do."""
    said = samedirt("plan", "mat", *MAT, *flags, "--ways")
    assert said.code == 2 and says in said.err


def test_ways_and_load_tell_what_a_graded_trial_costs(samedirt: Run, tmp_path: Path) -> None:
    """Ways are compared in blocks; a graded plan that is loaded, not yet run, says its runs and what pairs would cost."""
    levels = [*MAT, *RICH, "--set", "change.changed=looped; brush; moss", "--worth-having", "4 %", "--tracers", "0"]
    said = samedirt("plan", "mat", *levels, "--ways")
    assert said.code == 0, said.err
    assert "of one level against the baseline, in blocks of 4 runs" in words(said.out)
    assert " blocks " in said.out and " pairs " not in said.out
    graded = json.loads(samedirt("plan", "mat", *levels, "--ways", "--json").out)["ways"]
    paired = [*MAT, *RICH, "--worth-having", "4 %", "--tracers", "0"]
    pairs = json.loads(samedirt("plan", "mat", *paired, "--ways", "--json").out)["ways"]
    alone_by_way = {(way["measure"], way["charge_g"]): way["pairs"] for way in pairs}
    both = [(way["pairs"], alone_by_way.get((way["measure"], way["charge_g"]))) for way in graded]
    both = [(blocks, alone) for blocks, alone in both if blocks and alone]
    assert both and all(blocks >= alone for blocks, alone in both)
    folder = tmp_path / "grits"
    shutil.copytree(Path(demo_trials.__file__).parent / "four-grits", folder)
    begun = words(samedirt("load", folder).out)
    assert "cost fewer" not in begun
    (folder / "trial.toml").write_text((folder / "trial.toml").read_text().replace("four-grits", "grits"))
    runs = (folder / "runs.csv").read_text().splitlines()
    (folder / "runs.csv").write_text(runs[0] + "\n")
    said = words(samedirt("load", folder).out)
    found = re.search(r"(\d+) blocks of 5 set-ups find your line 4 times in 5: (\d+) runs", said)
    assert found is not None and int(found[2]) == 5 * int(found[1]) and "two trials of pairs" in said


def test_an_earlier_trial_tells_the_scatter(samedirt: Run, tmp_path: Path) -> None:
    """The twins of the demo: their scatter is taken, and raised because few pairs leave it loose."""
    shipped, book = Path(demo_trials.__file__).parent, tmp_path / "here.duckdb"
    samedirt("load", shipped, "--logbook", book)
    twins = samedirt("verdict", "twin-inserts", "--json", "--logbook", book)
    answer = json.loads(twins.out)["answer"]
    sd, pairs = (
        max(answer["sd"], answer["floor"]),
        len(answer["differences"]),
    )  # pairs never scatter by less than luck
    flags = ["--from", shipped / "rough-bed", "--set", "guess.scatter_from=twin-inserts", "--logbook", book]
    said = samedirt("plan", "rough-again", *flags, "--json")
    assert said.code == 0, said.err
    scatter = json.loads(said.out)["scatter"]
    assert scatter["origin"] == "earlier trial" and scatter["trial"] == "twin-inserts" and scatter["pairs"] == pairs
    assert scatter["seen"] == pytest.approx(sd)
    assert scatter["sd"] / scatter["seen"] == pytest.approx({4: 1.73, 5: 1.56, 6: 1.46, 8: 1.35}[pairs], abs=0.0051)
    wrong = samedirt("plan", "other", *flags, "--measure", "recovery", "--worth-having", "2 points")
    assert wrong.code == 2 and "twin-inserts measured grain_counts, and this plan recovery" in wrong.err


def test_an_unfinished_trial_tells_no_scatter(samedirt: Run, tmp_path: Path) -> None:
    """It is named with what it says so far."""
    rough_bed(tmp_path / "rough-bed")
    runs = tmp_path / "rough-bed" / "runs.csv"
    runs.write_text("".join(runs.read_text().splitlines(keepends=True)[:7]))
    samedirt("load", "rough-bed")
    write(tmp_path / "next", ROUGH_TRIAL.replace('"rough-bed"', '"next"').replace("locked = 2026-05-02\n", ""))
    said = samedirt("plan", "--from", "next", "--set", "guess.scatter_from=rough-bed")
    assert said.code == 2 and "rough-bed tells no scatter yet" in said.err


def test_a_graded_plan_counts_in_blocks_and_names_what_is_cheaper(samedirt: Run) -> None:
    """13 blocks of 4 set-ups at one scatter of a pair (own quadrature, row N13), and two trials of pairs are fewer runs."""
    levels = ("--set", "change.changed=looped; brush; carpet", "--set", "guess.scatter_percent=20")
    said = words(samedirt("plan", "steps", *MAT, *levels, "--set", "worth_having=20 %").out)
    assert "13 blocks would suit" in said
    assert "13 blocks of 4 set-ups find your line 4 times in 5: 52 runs; one level against" in said
    assert "alone takes 10 pairs, 20 runs; two trials of pairs, one after the other, cost fewer." in said


def test_twins_get_their_check_first(samedirt: Run) -> None:
    """The next steps are named: the check of the twins, then its scatter."""
    twin = ["--set", "change.reversible=no", "--set", "change.twin=second mat, cut with the first"]
    text = words(samedirt("plan", "mat", *MAT, *twin).out)
    assert "First the twins: samedirt plan mat-twins, nothing changed." in text
    assert "samedirt plan mat --set guess.scatter_from=mat-twins" in text


def test_a_check_of_twins_says_how_surely_it_shows_them_alike(samedirt: Run) -> None:
    """Within a line far under the scatter, hardly ever: more pairs; within a wide one, nearly always."""
    check = ["--measure", "grain_counts", "--pairs", "4", "--set", "lot.kind=table tailings"]
    dirt = ["--set", "lot.mass=40 kg", "--set", "held.charge=350 g", "--set", "guess.gold=24 mg/kg", "--set"]
    flags = [*check, *dirt, "lot.splitting=riffle splitter", "--set", "gear.kind=finishing table"]
    narrow = words(samedirt("plan", "twins", *flags, "--worth-having", "10 %").out)
    assert "Mind, alike: Two that are truly alike would be shown alike, within 10 %, about" in narrow
    wide = words(samedirt("plan", "twins", *flags, "--pairs", "12", "--worth-having", "40 %").out)
    assert "Note, alike: Two that are truly alike would be shown alike, within 40 %, about" in wide


def test_charts_of_pairs_and_noise_are_written(samedirt: Run, tmp_path: Path) -> None:
    """Each named on the screen."""
    said = samedirt("plan", "mat", *MAT, *RICH, "--worth-having", "4 %", "--charts")
    assert said.code == 0, said.err
    for file in ("pairs-mat.html", "noise-mat.html"):
        assert f"Chart: {file}" in said.out and (tmp_path / file).stat().st_size > 1_000


def test_the_first_sheet_locks_the_plan_and_the_second_says_the_same(samedirt: Run, tmp_path: Path) -> None:
    """Locked on the day of the first printing; printed again, nothing changes."""
    samedirt("plan", "mat", *MAT, "--seed", "41")
    first = samedirt("sheet", "mat", "--to", "papers")
    assert first.code == 0 and "mat is locked from today." in first.out
    record = stored(tmp_path, "mat")
    assert record.trial.locked is not None
    again = json.loads(samedirt("sheet", "mat", "--to", "papers", "--json").out)
    assert again["locked"] == str(record.trial.locked) and len(again["files"]) >= 4
    assert all((tmp_path / file).is_file() for file in again["files"])
    assert stored(tmp_path, "mat") == record


def test_a_loaded_plan_is_drawn_when_its_sheet_is_printed(samedirt: Run, tmp_path: Path) -> None:
    """Without a seed and without runs: both are drawn once, with tags, and stay."""
    write(tmp_path / "mat", LEAST)
    samedirt("load", "mat")
    assert stored(tmp_path, "mat").runs == ()
    assert samedirt("sheet", "mat", "--to", "papers").code == 0
    record = stored(tmp_path, "mat")
    assert record.trial.seed is not None and len(record.runs) == 6 and all(run.tag for run in record.runs)
    samedirt("sheet", "mat", "--to", "papers")
    assert stored(tmp_path, "mat") == record


def test_what_could_not_be_judged_is_not_locked(samedirt: Run, tmp_path: Path) -> None:
    """Two pairs, loaded: no papers, no lock; and a run without a tag has none to print."""
    write(tmp_path / "mat", LEAST.replace("pairs = 3", "pairs = 2"))
    samedirt("load", "mat")
    said = samedirt("sheet", "mat", "--to", "papers")
    assert said.code == 2 and "one or two can't tell luck from change" in said.err
    assert stored(tmp_path, "mat").trial.locked is None and not (tmp_path / "papers").exists()
    write(
        tmp_path / "old", LEAST.replace('"mat"', '"old"', 1), "pair,arm,turn,gold_mg\n1,baseline,1,20\n1,changed,2,30\n"
    )
    samedirt("load", "old")
    untagged = samedirt("sheet", "old", "--to", "papers")
    assert untagged.code == 2 and "has runs without a tag or a turn" in untagged.err


def test_papers_that_can_not_be_written_lock_nothing(samedirt: Run, tmp_path: Path) -> None:
    """A file where the folder should be: told with what to do, and the plan can still be made anew; its draw stays."""
    write(tmp_path / "mat", LEAST)
    samedirt("load", "mat")
    (tmp_path / "papers").write_text("in the way")
    said = samedirt("sheet", "mat", "--to", "papers")
    assert said.code == 2 and "name another with --to" in said.err
    record = stored(tmp_path, "mat")
    assert record.trial.locked is None and len(record.runs) == 6
    assert samedirt("sheet", "mat", "--to", "elsewhere").code == 0
    assert stored(tmp_path, "mat").runs == record.runs and stored(tmp_path, "mat").trial.locked is not None


def test_a_recounted_vial_and_the_typed_charge_stand_in_the_plan(samedirt: Run, tmp_path: Path) -> None:
    """What counting is off by is told with its remedy; the vial goes through files and logbook; a wrong one is refused."""
    counts = ["--set", "gear.kind=sluice", "--set", "lot.kind=natural", "--set", "lot.mass=400 kg"]
    counts += ["--measure", "tracers", "--set", "grains.seeded=100", "--set", "grains.size=140/200"]
    counts += ["--set", "sizes.series=ASTM", "--set", "held.charge=5 kg", "--pairs", "6", "--worth-having", "8 points"]
    change = ["--set", "change.variable=mat", "--set", "change.baseline=ribbed", "--set", "change.changed=looped"]
    said = samedirt("plan", "mat", *counts, *change)
    assert said.code == 0 and "One count of grains this fine is off by about 18 % (assumed, common" in words(said.out)
    vial = samedirt("plan", "mat", "--set", "guess.recount=97, 101; 92 of 140/200")
    assert "off by about 9.9 % (as your vial shows (97 101 92 of 140/200))" in words(vial.out)
    assert samedirt("export", "mat", "--to", "out").code == 0
    assert 'recount = "97 101 92 of 140/200"' in (tmp_path / "out" / "trial.toml").read_text()
    assert samedirt("load", "out", "--logbook", "other.duckdb").code == 0
    there = Logbook(tmp_path / "other.duckdb").read("mat").trial
    assert there == stored(tmp_path, "mat").trial and there.guess.recounts == (97, 101, 92)
    for wrong in ("97 101", "97 101 none", "97 101 92 of fine"):
        refused = samedirt("plan", "mat", "--set", f"guess.recount={wrong}")
        assert refused.code == 2 and refused.err.startswith("samedirt: mat, [guess] recount: ")
    ways = samedirt("plan", "mat", "--ways", "--set", "guess.time=10 h")
    assert "your 5 kg" in ways.out and ", your 5 kg, can" in words(ways.out)
    told = json.loads(samedirt("plan", "mat", "--ways", "--json").out)["ways"]
    assert {way["charge_g"] for way in told if way["is_own_charge"]} == {5000.0}


def test_a_plan_like_an_earlier_trial_asks_nothing_twice(samedirt: Run, tmp_path: Path) -> None:
    """Gear, dirt, scales and hands are taken over by name, with their values; the scatter once the trial tells one."""
    assert samedirt("load", Path(demo_trials.__file__).parent / "rough-bed").code == 0
    change = [
        "--set",
        "change.variable=texture",
        "--set",
        "change.baseline=180 grit",
        "--set",
        "change.changed=120 grit",
    ]
    said = samedirt("plan", "finer", "--like", "rough-bed", *change, "--pairs", "6", "--set", "guess.care=careful")
    assert said.code == 0, said.err
    book = Logbook(tmp_path / "logbook.duckdb")
    new, old = book.read("finer").trial, book.read("rough-bed").trial
    assert (new.gear, new.scales, new.measure, new.worth_having) == (
        old.gear,
        old.scales,
        old.measure,
        old.worth_having,
    )
    assert new.held == old.held and new.guess.care == "careful" and new.guess.scatter_from == "rough-bed"
    assert new.lots[0].mass_g is None and new.change.changed == ("120 grit",)
    text = words(said.out)
    assert text.startswith("As in rough-bed: measure ") and "gear.kind finishing table" in text
    assert "as seen in rough-bed (" in text
    other = samedirt("plan", "other", "--like", "nowhere", *change, "--pairs", "6")
    assert other.code == 2 and "nowhere" in other.err
