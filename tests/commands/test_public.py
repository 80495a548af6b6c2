"""A copy to show: what is private is in none of its files, whatever their form, and it loads back."""

import json
import re
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from time import perf_counter
from typing import Any

import duckdb
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from schemas import Amendment, Change, Correction, Lot, Photo, Record, Run, SizeCatch, Trial
from schemas.coordinates import holds_coordinates
from schemas.private import PRIVATE
from schemas.trial import SECTIONS
from tests.commands.typed_in import flat, half, half_done, plan_of, planned, read, stored
from tests.folders import LEAST, write
from trials.files.folder import read_folder
from trials.files.public import public_copy
from trials.report import page

Door = Callable[..., Any]
SECRETS = (
    *("OSSEL", "oak-secret", "pic-secret", "bar-secret", "old-secret", "47.1234", "HOLLOW", "weir-secret"),
    *("beam-secret", "10:30", "10:31", "10, 30"),
)


def private(folder: Path) -> Record:
    """A whole trial full of what nobody else is to know."""
    record = half(6)
    lots = (
        Lot(name="bar-secret-1", kind="natural", place_label="OSSEL-SECRET creek"),
        Lot(name="bar-secret-2", kind="natural"),
    )
    photo = Photo(path="pic-secret/bed.jpg", what="bed", sha256="0" * 64)
    change = Change(variable="texture", baseline="smooth", changed=("grit from Ossel Creek",), twin="the OSSEL insert")
    amended = (
        Amendment(when=date(2026, 5, 4), what="pairs", was="5", now="6", why="more dirt from Hollow-Secret"),
        Amendment(when=date(2026, 5, 4), what="lot 1.place_label", was="HOLLOW-SECRET", now="OSSEL", why="weir-secret"),
    )
    plan = {"lots": lots, "photos": (photo,), "question": "Is 47.1234, -110.4321 any good?", "typed": {}}
    trial = record.trial.model_copy(update={**plan, "change": change, "amended": amended, "name": record.trial.name})
    runs = tuple(
        run.model_copy(
            update={
                "note": "by the oak-secret",
                "session": f"2026-05-0{3 + run.pair // 4} am at the weir-secret",
                "fed_lot": f"bar-secret-{1 + run.pair % 2}",
                "typed": {"note": "oak-secret"},
            }
        )
        for run in record.runs
    )
    moment = datetime(2026, 5, 9, 10, 30)
    rows = [
        ("note", "old-secret", "by the oak-secret", "oak-secret"),
        ("fed_lot", "bar-secret-1", "bar-secret-2", "jars swapped"),
        ("grains", "13", "31", "digits swapped"),
        ("session", "2026-05-03 weir-secret", "2026-05-03 am at the weir-secret", "half a day at ossel"),
        ("photo", None, "bed: pic-secret/bed.jpg", "attached"),
    ]
    corrections = [
        Correction(when=moment, pair=1, arm="baseline", field=field, old=old, new=new, why=why)
        for field, old, new, why in rows
    ]
    corrections.append(
        Correction(when=moment, field="lot 1.place_label", old="OSSEL-SECRET", new=None, why="oak-secret, 10:31")
    )
    corrections.append(Correction(when=moment, field="decided", old=None, new="keep", why="for the beam-secret"))
    return stored(folder, Record(trial=trial, runs=runs, corrections=tuple(corrections)))


def all_that_is_in(folder: Path) -> str:
    """Every byte and every Parquet value of a folder, as text."""
    told = []
    for path in sorted(folder.rglob("*")):
        if path.suffix == ".parquet":
            told.append(str(duckdb.sql(f"SELECT * FROM '{path}'").fetchall()))
        if path.is_file():
            told.append(path.read_bytes().decode("utf-8", "replace"))
    return "\n".join(told)


@pytest.mark.parametrize("form", ["folder", "json", "parquet"])
def test_nothing_private_is_in_any_form(samedirt: Door, tmp_path: Path, form: str) -> None:
    """Place labels, notes, pictures, lot names, coordinates, and what corrections said of them."""
    private(tmp_path)
    said = samedirt("export", "rough-bed", "--public", "--as", form, "--to", "out")
    assert said.code == 0, said.err
    told = all_that_is_in(tmp_path / "out")
    assert not [secret for secret in SECRETS if secret.casefold() in told.casefold()]
    assert "digits swapped" in told and "jars swapped" in told and "grit from (left out) Creek" in told
    whole = samedirt("export", "rough-bed", "--as", form, "--to", "whole")
    assert whole.code == 0 and all(secret in all_that_is_in(tmp_path / "whole") for secret in SECRETS[:9])


def test_a_report_to_show_tells_nothing_private(
    samedirt: Door, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same list as for files, in a file of its own name."""
    private(tmp_path)
    said = samedirt("report", "rough-bed", "--public")
    assert said.code == 0, said.err
    assert "Report: report-rough-bed-public.html" in said.out and "Left out: 1 place label" in flat(said.out)
    told = (tmp_path / "report-rough-bed-public.html").read_text().casefold()
    assert not [secret for secret in SECRETS if secret.casefold() in told]
    monkeypatch.setattr(page, "begin_svg", lambda _: str)  # drawn above
    samedirt("report", "rough-bed")
    assert "ossel" in (tmp_path / "report-rough-bed.html").read_text().casefold()


def test_levels_stay_apart_and_a_name_with_a_place_goes(samedirt: Door, tmp_path: Path) -> None:
    """Two levels that differ by the place alone are still two, in the plan and in its runs."""
    lot = '[lot]\nplace_label = "Ossel Creek"'
    plan = LEAST.replace("[lot]", lot).replace('"mat"\nmeasure', '"ossel-mats"\nmeasure')
    plan = plan.replace('"looped"', '["Ossel mat", "Ossel Creek mat"]').replace("ribbed", "Hollow mat")
    runs = "pair,arm,gold_mg\n1,baseline,5\n1,Ossel mat,6\n1,Ossel Creek mat,7\n"
    write(tmp_path / "ossel-mats", plan, runs)
    assert samedirt("load", "ossel-mats").code == 0
    said = samedirt("export", "ossel-mats", "--public")
    assert said.code == 0 and "ossel" not in all_that_is_in(tmp_path / "trial-public").casefold()
    copy = read_folder(tmp_path / "trial-public")
    assert copy.trial.name == "trial" and copy.trial.change is not None
    assert copy.trial.change.changed == ("(left out) mat", "(left out) mat 2")
    assert {run.arm: run.gold_mg for run in copy.runs} == {
        "baseline": 5.0, "(left out) mat": 6.0, "(left out) mat 2": 7.0,
    }  # fmt: skip


CODES = {"tag", "label", "size", "main", "feeder", "panner", "field", "what", "typed", "as_typed", "recount"}


def test_every_text_of_a_record_is_on_the_list_of_what_is_private() -> None:
    """A new field that a person writes in is listed, or is a code that can tell nothing; pictures go out whole."""
    words = [Trial, *SECTIONS.values(), Lot, Run, SizeCatch, Amendment, Correction]
    unlisted = [
        f"{word.__name__}.{name}"
        for word in words
        for name, field in word.model_fields.items()
        if re.search(r"\bstr\b", str(field.annotation)) and name not in CODES and name not in PRIVATE.get(word, {})
    ]
    assert unlisted == []
    assert all(name in word.model_fields for word, listed in PRIVATE.items() for name in listed)


def test_what_is_left_out_and_what_stays_is_said(samedirt: Door, tmp_path: Path) -> None:
    """Before it is sent."""
    private(tmp_path)
    said = flat(samedirt("export", "rough-bed", "--public").out)
    assert "Wrote rough-bed-public/trial.toml" in said
    assert (
        "Left out: 1 place label, 2 lot names, 15 notes, 1 picture, what 2 corrections said, what 1 amendment said, all "
        "but the day of 14 sessions, the time of day of 6 corrections, places named in 4 other texts and 1 text that "
        "looked like coordinates." in said
    )
    assert "Still in it, as typed: the name, the question, the words of the change and reasons of changes." in said


def test_a_trial_without_secrets_goes_out_whole(samedirt: Door, tmp_path: Path) -> None:
    """Equal to a plain export."""
    half_done(tmp_path, 6)
    assert "Nothing had to be left out." in samedirt("export", "rough-bed", "--public").out
    samedirt("export", "rough-bed")
    for name in ("trial.toml", "runs.csv"):
        assert (tmp_path / "rough-bed-public" / name).read_bytes() == (tmp_path / "rough-bed" / name).read_bytes()


def test_the_copy_loads_and_has_the_same_verdict(samedirt: Door, tmp_path: Path) -> None:
    """Into another logbook; lots keep apart under new names."""
    private(tmp_path)
    samedirt("export", "rough-bed", "--public")
    assert samedirt("load", "rough-bed-public", "--logbook", "other.duckdb").code == 0
    one = json.loads(samedirt("verdict", "rough-bed", "--json").out)
    other = json.loads(samedirt("verdict", "rough-bed", "--json", "--logbook", "other.duckdb").out)
    assert one["code"] == other["code"] and one["answer"]["differences"] == other["answer"]["differences"]
    samedirt("export", "rough-bed", "--to", "back", "--logbook", "other.duckdb")
    words = (tmp_path / "back" / "runs.csv").read_text().replace("\n", ",").split(",")
    assert (words.count("lot-1"), words.count("lot-2")) == (6, 8)  # pairs 2, 4 and 6; pairs 1, 3, 5 and 7


def test_loading_the_copy_over_the_trial_takes_nothing_away(samedirt: Door, tmp_path: Path) -> None:
    """What is blank in it differs from what is stored, and needs a reason."""
    before = private(tmp_path)
    samedirt("export", "rough-bed", "--public")
    assert samedirt("load", "rough-bed-public").code == 2
    assert read(tmp_path).trial.lots == before.trial.lots


def test_a_copy_is_written_again_over_an_earlier_one_and_over_nothing_else(samedirt: Door, tmp_path: Path) -> None:
    """Neither over the trial itself, nor beside files that hold what was left out."""
    private(tmp_path)
    for _ in range(2):
        assert samedirt("export", "rough-bed", "--public").code == 0
    samedirt("export", "rough-bed")
    said = samedirt("export", "rough-bed", "--public", "--to", "rough-bed")
    assert said.code == 2 and "holds the trial itself" in said.err
    assert "oak-secret" in (tmp_path / "rough-bed" / "runs.csv").read_text()
    samedirt("export", "rough-bed", "--as", "parquet", "--to", "tables")
    said = samedirt("export", "rough-bed", "--public", "--as", "parquet", "--to", "tables")
    assert said.code == 2 and "photos.parquet" in said.err


def test_each_form_has_a_folder_of_its_own(samedirt: Door, tmp_path: Path) -> None:
    """So that none stands beside another of an earlier day."""
    half_done(tmp_path, 6)
    for form in ("folder", "json", "parquet"):
        assert samedirt("export", "rough-bed", "--public", "--as", form).code == 0
    assert {path.name for path in tmp_path.glob("rough-bed-public*")} == {
        "rough-bed-public", "rough-bed-public-json", "rough-bed-public-parquet",
    }  # fmt: skip


def test_the_logbook_is_left_as_it_was(samedirt: Door, tmp_path: Path) -> None:
    """A copy takes nothing out of it."""
    before = private(tmp_path)
    samedirt("export", "rough-bed", "--public")
    assert read(tmp_path).corrections == before.corrections and read(tmp_path).trial == before.trial


def test_a_copy_of_a_copy_is_the_copy(tmp_path: Path) -> None:
    """There is nothing more to leave out."""
    copy = public_copy(private(tmp_path))
    again = public_copy(copy.record)
    assert again.record == copy.record and again.left_out == ()


def test_a_place_label_is_blank_unless_it_was_typed(tmp_path: Path) -> None:
    """Neither a plan nor a loaded lot has one of itself."""
    assert all(lot.place_label is None for lot in planned(tmp_path).trial.lots)
    assert Lot(kind="natural").place_label is None


# ruff: noqa: RUF001 - signs as people type them
COORDINATES = """
47.1234, -110.4321
47.1234 -110.4321
47.12;-110.43
47,1234 -110,4321
47,1234; -110,4321
(47.123456, 8.654321)
-33.8568/151.2153
−33.8568 −151.2153
N47.1234 W110.4321
N 47.1234, W 110.4321
47.1234N 110.4321W
47.1234° N, 110.4321° W
47.1234 N / 110.4321 W
47.12345°, -110.54321°
47°12'34"N 110°45'56"W
47° 12' 34.5" N, 110° 45' 56.7" W
47º12.345'N 110º45.678'W
N 47° 12.345' W 110° 45.678'
47 12 34 N 110 45 56 W
47:12:34N 110:45:56W
47:12:34, -110:45:56
47 12.345, -110 45.678
47 deg 12 min N
47N 110W
lat 47.1 lon -110.2
Latitude = 47
easting 432123 northing 5123456
12T 432123 5123456
0432123 mE 5123456 mN
12TVL1234567890
33UXP0500
SH 123 456
SH123456
NN 16600 71300
T12N R5W
T. 12 N., R. 5 W., sec 14
8FVC9G8F+6X
///filled.count.soap
https://maps.example/@47.1,-110.2
geo:47.1,-110.2
upper bar (47.12345 -110.54321)
""".strip().splitlines()
NAMES = """
Cinder Bend
Ossel Creek, upper bar
bar 3, hole 12, 3.5 m down
claim 4-7
mile 12.5
tub 12/4
No. 7 level
1.5 km above the ford
lot 2026-05-03
2026-05-03 am, bucket 4
CB202605
OC 20260503
dirt of 3 May, sieved at 0.600 mm
-30 mesh, 7.5 kg, split 2 ways
north bank, 4 deg bed
36° slope
N end of the bar
row 4, east
tails of 12 runs, 350 g each
old mine dump level 2 N
Grube 7, Sohle 3
Bucket 1.25, 2.5
sample 12-34-56
long bar 3
0.5 to 2.0 mm
sluice 250 x 900
Müllers Wiese
hole 3: 12 kg
Claim No. 123456
ref 2026/117
5 W of the oak
3 N, 2 up
""".strip().splitlines()


@pytest.mark.parametrize("label", COORDINATES)
def test_coordinates_are_refused_however_they_are_spelled(samedirt: Door, tmp_path: Path, label: str) -> None:
    """As degrees, grids, ranges, codes or links; in a plan's file in one line, exit 2."""
    with pytest.raises(ValidationError, match="looks like coordinates, which are never kept"):
        Lot(kind="natural", place_label=label)
    if label == COORDINATES[0]:
        text = f'name = "m"\nmeasure = "gold_mass"\npairs = 3\n[lot]\nkind = "natural"\nplace_label = "{label}"\n'
        (tmp_path / "m.toml").write_text(text + '[gear]\nkind = "pan"\n')
        said = samedirt("plan", "--from", "m.toml")
        assert said.code == 2 and "looks like coordinates, which are never kept" in said.err
        assert label not in said.err


@pytest.mark.parametrize("label", NAMES)
def test_a_name_with_a_number_in_it_is_a_name(label: str) -> None:
    """What people call a place, a hole, a tub or a day."""
    assert Lot(kind="natural", place_label=label).place_label == label


@given(st.floats(-90, 90), st.floats(-180, 180), st.sampled_from([" ", ", ", ",", ";", " / ", "; "]), st.integers(3, 8))
def test_any_two_fine_decimals_are_coordinates(north: float, east: float, between: str, digits: int) -> None:
    """Latitude and longitude with 3 decimals or more, whatever stands between them."""
    assert holds_coordinates(f"the bar at {north:.{digits}f}{between}{east:.{digits}f}")


@pytest.mark.parametrize("text", ["1 " * 1000, "1'" * 1000, "1.1 " * 500, "47:12:" * 300, "N 1 " * 500, "AB1" * 600])
def test_a_long_text_is_looked_through_at_once(text: str) -> None:
    """No form makes the search crawl."""
    started = perf_counter()
    holds_coordinates(text)
    assert perf_counter() - started < 2.0


def test_a_copy_of_an_unfinished_plan_goes_out_too(samedirt: Door, tmp_path: Path) -> None:
    """Nothing made yet, nothing to hide."""
    planned(tmp_path, plan_of(set_aside="wrong dirt"))
    said = samedirt("export", "rough-bed", "--public", "--as", "json")
    told = json.loads((tmp_path / "rough-bed-public-json" / "rough-bed.json").read_text())
    assert told["trial"]["set_aside"] == "wrong dirt" and "reasons of strikes" in flat(said.out)
