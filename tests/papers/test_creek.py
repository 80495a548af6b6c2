from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from schemas import Gear, Held, Record, Tails
from tests.papers.plans import PLANS, crowded, five_inserts, lead_audit, rough_bed, twin_inserts, two_mats
from tests.papers.reading import codes, heads_of, rows_of, text_of
from trials.errors import Refused
from trials.papers.creek import creek_html, creek_rows
from trials.plans.draw import shares_of_lot
from trials.plans.tags import tag_problem


@pytest.mark.parametrize("plan", PLANS)
def test_a_row_a_run_in_the_order_drawn(plan: Callable[[], Record]) -> None:
    """Every run stands on the sheet once, from the first turn to the last, under a code that checks."""
    record = plan()
    rows = rows_of(creek_html(record), "row")
    assert [row[1] for row in rows] == codes(record)
    assert [int(row[0].split()[0]) for row in rows] == [run.turn for run in record.runs]
    assert all(tag_problem(row[1]) is None for row in rows)


def test_the_feeder_reads_what_to_fit_and_which_half() -> None:
    """The words of the plan, and the half that the coin gave each run."""
    record = rough_bed()
    shares = shares_of_lot(record.trial)
    for row, run in zip(rows_of(creek_html(record), "row"), record.runs, strict=True):
        assert row[2] == {"baseline": "painted", "changed": "180 grit"}[run.arm]
        assert row[3] == {1: "first", 2: "second"}[shares[run.key]]
        assert f"pair {run.pair}" in row[0]


def test_the_front_tells_the_set_up_whole_and_how_to_make_and_mark_the_halves(samedirt: Callable[..., Any]) -> None:
    """On the sheet as `sheet` prints it: gear, change, what is held, how to mix, split, mark and weigh the halves."""
    sets = (
        *("lot.kind=natural", "lot.mixing=tarp", "lot.splitting=riffle splitter", "gear.kind=sluice"),
        *("gear.width=250 mm", "change.variable=pitch", "change.baseline=5 deg", "change.changed=7 deg"),
        *("held.water=300 L/min", "held.charge=10 kg"),
    )
    asked = [word for one in sets for word in ("--set", one)]
    planned = samedirt("plan", "mat", "--measure", "gold_mass", "--worth-having", "20 %", "--pairs", "6", *asked)
    assert planned.code == 0, planned.err
    assert samedirt("sheet", "mat").code == 0
    page = text_of(Path("creek-mat.html").read_text(encoding="utf-8"))
    for told in (
        "sluice, 250 mm wide",
        "baseline: pitch 5 deg",
        "changed: pitch 7 deg",
        "Held the same water 300 L/min",
        "Charge, each run 10 kg",
        "Mix the lot: roll all of it on a tarp. For each pair take out two charges.",
        "Pour it through the riffle splitter: left pan first, right pan second.",
        "Write pair and first or second on each bucket at once, before you read which run it is for.",
        "Weigh both: over 5 % apart, put them together and split again.",
    ):
        assert told in page, told


def test_shares_of_a_graded_trial_are_numbered_and_an_audit_has_none() -> None:
    """Five levels want five like shares; one set-up wants none."""
    assert "Split it into 5 like shares. Write block and a number, 1 to 5, on each bucket" in text_of(
        creek_html(five_inserts())
    )
    assert "charges" not in text_of(creek_html(lead_audit())).replace("charges weighed", "")


def test_a_graded_trial_names_its_levels_and_shares() -> None:
    """The level's own text, and which of five shares."""
    record = five_inserts()
    rows = rows_of(creek_html(record), "row")
    assert {row[2] for row in rows} == {"painted", "320 grit", "220 grit", "120 grit", "80 grit"}
    assert {row[3] for row in rows} == {f"{share} of 5" for share in range(1, 6)}


def test_a_nothing_changed_check_and_an_audit_read_sensibly() -> None:
    """Two pieces to tell apart; one set-up as it stands, and no half of anything."""
    assert {row[2] for row in rows_of(creek_html(twin_inserts()), "row")} == {"first piece", "second piece"}
    assert "one piece: strip it and set it up anew for every run" in text_of(creek_html(twin_inserts()))
    audit = creek_html(lead_audit())
    assert {row[2] for row in rows_of(audit, "row")} == {"as it stands"}
    for word in ("half", "pair", "baseline", "changed"):
        assert word not in text_of(audit).lower().split()


def test_spares_are_marked_and_only_they() -> None:
    """A bar over them says when they are run; each row says it is one."""
    page = creek_html(two_mats())
    rows = rows_of(page, "row")
    assert ["SPARE" in row[0] for row in rows] == [False] * 24 + [True] * 2
    assert text_of(page).count("SPARE: only when a pair is void.") == 1
    assert "SPARE" not in text_of(creek_html(rough_bed()))


def test_the_bar_over_spares_is_on_each_of_their_pages() -> None:
    """Six spares that begin in the middle of a page and run over to the next."""
    record = crowded()
    bars = [row.bar_before for row in creek_rows(record)]
    assert [at for at, bar in enumerate(bars) if bar] == [32, 36]


def test_the_planned_look_stands_under_its_pair() -> None:
    """Under the second run of pair 6, once, and in front; where none is planned, nowhere."""
    record = two_mats()
    rows = creek_rows(record)
    assert [row.turn for row in rows if row.bar_after] == [12]
    says = "stop and call the verdict after pair 6, not before, not in between"
    assert text_of(creek_html(record)).count(says) == 2
    plain = text_of(creek_html(rough_bed()))
    assert "EARLY LOOK" not in plain.upper() and "call it after the last pair, not before" in plain


def test_boxes_hide_that_the_gear_or_the_measure_does_not_need() -> None:
    """No tub for grain counts of what was kept, no water box for a pan, no starter on a table, no grains but tracers."""
    assert "tails tub" not in text_of(creek_html(rough_bed()))
    assert not {"lot", "grains in", "done"} & set(heads_of(creek_html(rough_bed())))
    pan = creek_html(rough_bed(gear=Gear(kind="pan"), held=Held(charge_g=350.0)))
    assert not any("water" in head for head in heads_of(pan))
    assert "pump" not in text_of(pan).replace("Petrol pumps", "")
    mats = rows_of(creek_html(two_mats()), "row")[0]
    assert "starter tails tub" in mats and "lip mat hose" in mats and "spill pump other" in mats
    assert "lot" in heads_of(creek_html(two_mats()))
    assert "grains in" in heads_of(creek_html(lead_audit()))
    kept_only = two_mats(measure="gold_mass", tails=Tails(caught="none"))
    assert "tails" not in text_of(creek_html(kept_only))


def test_what_is_held_stands_on_every_sheet_as_it_was_typed() -> None:
    """Value and a box to read it into, on each of the five sheets; readings in the same unit."""
    page = creek_html(two_mats())
    for said in ("pitch 6.5 deg read", "water 90 gpm_us read", "charge 40 kg read"):
        assert text_of(page).count(said) == 5
    assert {"half fed, kg", "water, gpm_us"} <= set(heads_of(page))


def test_what_is_changed_is_not_held() -> None:
    """A pitch that is the change itself can't be held."""
    change = {"variable": "pitch", "baseline": "4 deg", "changed": ("6 deg",)}
    record = rough_bed(change=rough_bed().trial.change.model_copy(update=change))  # type: ignore[union-attr]
    page = text_of(creek_html(record))
    assert "pitch 4 deg read" not in page and "water 8 L/min read" in page


def test_long_words_are_told_in_full_in_front_and_short_in_the_row() -> None:
    """Their numbers keep them apart, whatever was cut."""
    record = crowded()
    shown = {row[2] for row in rows_of(creek_html(record), "row")}
    assert {word.split(":")[0] for word in shown} == {"set-up 1", "set-up 2"}
    assert all(len(word) < 45 for word in shown)
    assert "set-up 1: " + ("ribbed " * 30).strip() in text_of(creek_html(record))


def test_the_foot_says_what_to_do() -> None:
    """On every sheet."""
    says = "Do not open jars. Trouble? Tick, finish, do not re-run."
    assert text_of(creek_html(two_mats())).count(says) == 5


def test_clay_cloud_moisture_and_a_blank_pan_are_written_among_the_notes() -> None:
    """By eye where dirt may hold clay, moisture where more dirt is more gold; none of it for grains counted in."""
    natural, grains = text_of(creek_html(two_mats())), text_of(creek_html(rough_bed()))
    assert (
        "cloud of the water, 0 clear to 3 thick; clay in the feed, 0 none to 3 lumps; grains in a blank pan" in natural
    )
    assert "what you see of each: moisture of the feed, %; grains in a blank pan" in grains
    assert "what you see of each" not in text_of(creek_html(five_inserts()))


def test_runs_that_were_not_drawn_are_refused() -> None:
    """No runs, or one without a tag: the line says which and what to do."""
    record = rough_bed()
    with pytest.raises(Refused, match="no runs to print"):
        creek_html(Record(trial=record.trial))
    untagged = (record.runs[0].model_copy(update={"tag": None}), *record.runs[1:])
    with pytest.raises(Refused, match=f"pair {record.runs[0].pair} {record.runs[0].arm}: no turn or no tag"):
        creek_html(Record(trial=record.trial, runs=untagged))
