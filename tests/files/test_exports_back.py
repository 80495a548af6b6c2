"""Another person's exports: told from our own trial of that name, loaded beside it; JSON and Parquet come back equal."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.folders import LEAST, ROUGH_TRIAL, rough_bed, rough_loaded, rough_runs, write
from trials.logbook.logbook import Logbook

Door = Callable[..., Any]


def test_our_own_exports_are_taken_back(samedirt: Door, tmp_path: Path) -> None:
    """A folder, a file or tables equal to the last digit; loading one again where it came from changes nothing."""
    rough_loaded(samedirt, tmp_path)
    samedirt("decide", "rough-bed", "keep")
    ours = Logbook(tmp_path / "logbook.duckdb").read("rough-bed")
    for form, path in (("json", "json"), ("json", "json/rough-bed.json"), ("parquet", "parquet")):
        assert samedirt("export", "rough-bed", "--as", form, "--to", form).code == 0
        other = tmp_path / f"{path.replace('/', '-')}.duckdb"
        assert samedirt("load", path, "--logbook", other).code == 0
        assert Logbook(other).read("rough-bed") == ours
        assert "nothing new" in samedirt("load", path).out


def test_another_trial_of_that_name_is_told_and_loaded_beside(samedirt: Door, tmp_path: Path) -> None:
    """Whether its runs differ or its draw; with --as both are there, and loading it again so changes nothing."""
    rough_bed(tmp_path / "ours")
    grains = {f",{mine},": f",{mine + 3}," for mine in (31, 44, 26, 38, 29, 40, 47, 49, 45, 52, 48)}
    runs = rough_runs().replace("2026-05-03 am", "2026-06-07").replace(",9.5,", ",12,").replace(",10.5,", ",13,")
    for was, now in grains.items():
        runs = runs.replace(f"350{was}", f"350{now}")
    write(tmp_path / "theirs", ROUGH_TRIAL, runs)
    tags = rough_runs().replace(",T", ",K")
    write(tmp_path / "drawn", ROUGH_TRIAL.replace("seed = 41", "seed = 7"), tags)
    assert samedirt("load", "ours").code == 0
    for folder in ("theirs", "drawn"):
        said = samedirt("load", folder)
        assert said.code == 2
        assert "another trial named rough-bed is stored" in said.err and "--as rough-bed-2" in said.err
        assert len(said.err.splitlines()) == 1
    assert "is not a name we can use" in samedirt("load", "theirs", "--as", "my bed").err
    assert samedirt("load", "theirs", "--as", "rough-bed-2").code == 0
    assert "nothing new" in samedirt("load", "theirs", "--as", "rough-bed-2").out
    assert {one["trial"] for one in json.loads(samedirt("logbook", "--json").out)["trials"]} == {
        "rough-bed",
        "rough-bed-2",
    }
    both = samedirt("load", "ours", "theirs", "--as", "one")
    assert both.code == 2


def test_a_file_that_is_no_export_is_refused(samedirt: Door, tmp_path: Path) -> None:
    """Broken JSON, another JSON, a Parquet file of something else: a line each, nothing stored."""
    (tmp_path / "a.json").write_text("{")
    (tmp_path / "b.json").write_text('{"trial": 3}')
    (tmp_path / "p").mkdir()
    (tmp_path / "p" / "trials.parquet").write_bytes(b"PAR1 no")
    for name, says in (("a.json", "is no JSON"), ("b.json", "b.json, trial"), ("p", "can't be read")):
        said = samedirt("load", name)
        assert said.code == 2 and says in said.err and "Traceback" not in said.err


def test_what_is_wrong_with_a_plan_is_told_by_its_file(samedirt: Door, tmp_path: Path) -> None:
    """A JSON holds plan and runs in one; a plan alone goes by its name."""
    rough_loaded(samedirt, tmp_path)
    samedirt("export", "rough-bed", "--as", "json", "--to", "out")
    (file,) = (tmp_path / "out").glob("*.json")
    trial = json.loads(file.read_text())
    trial["trial"]["change"]["baseline"] = "changed"
    (tmp_path / "c.json").write_text(json.dumps(trial))
    said = samedirt("load", "c.json", "--as", "another")
    assert said.code == 2 and "samedirt: c.json, [change] baseline: changed is what an arm is called" in said.err
    (tmp_path / "mat.toml").write_text(LEAST.replace("ribbed", "changed"))
    said = samedirt("plan", "--from", "mat.toml")
    assert said.code == 2 and "samedirt: mat, [change] baseline: changed is what an arm is called" in said.err


def test_all_trials_go_out_or_none(samedirt: Door, tmp_path: Path) -> None:
    """A folder each, in any form; where one holds what the logbook does not, nothing is written and both are told."""
    rough_bed(tmp_path / "bed")
    write(tmp_path / "plan", LEAST)
    assert samedirt("export", "--all", "--logbook", "none.duckdb").code == 2
    samedirt("load", "bed", "plan")
    write(tmp_path / "exported" / "mat", LEAST.replace('"mat"', '"other"'))
    write(tmp_path / "exported" / "rough-bed", ROUGH_TRIAL, rough_runs().replace("350,31", "350,35"))
    before = {path: path.read_bytes() for path in (tmp_path / "exported").rglob("*.*")}
    refused = samedirt("export", "--all")
    assert refused.code == 2
    assert "holds the trial other, not mat" in refused.err
    assert "pair 1 baseline: holds values that are not in the logbook" in refused.err
    assert {path: path.read_bytes() for path in (tmp_path / "exported").rglob("*.*")} == before
    for form, file in (("folder", "trial.toml"), ("json", "mat.json"), ("parquet", "trials.parquet")):
        assert samedirt("export", "--all", "--as", form, "--to", form).code == 0
        assert (tmp_path / form / "mat" / file).exists()
        assert (tmp_path / form / "rough-bed").is_dir()
    assert "takes no name" in samedirt("export", "mat", "--all").err
