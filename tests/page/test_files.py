"""Files handed in at the page and handed over: as the commands load and export, and never a path from outside."""

import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.commands.typed_in import half_done, read, run_of, tags_of
from tests.folders import ROUGH_TRIAL, rough_bed, rough_runs
from tests.page.visitor import OWN, Visitor, hidden_of, words_of
from trials.files.folder import read_folder
from trials.page.of_files import laid_out
from trials.page.sent import SentFile
from trials.sheets.check_sum import CHECK, check_sum


@pytest.fixture
def visitor(tmp_path: Path) -> Visitor:
    """Someone at a page with no logbook yet."""
    return Visitor(tmp_path / "logbook.duckdb")


def handed_in(visitor: Visitor, files: dict[str, str], **fields: str) -> Any:
    """Hand files in, by their names as a browser tells them."""
    form = hidden_of(visitor.get("/load")) | fields
    parts = [("files", (name, content.encode())) for name, content in files.items()]
    return visitor.ask("POST", "/load", data=form, files=parts, headers={"origin": OWN})


def test_a_folder_is_loaded_as_by_the_command(visitor: Visitor, tmp_path: Path) -> None:
    """Dropped whole, with what lies beside; again it changes nothing; what is wrong is listed and nothing stored."""
    folder = {"trials/bed/trial.toml": ROUGH_TRIAL, "trials/bed/runs.csv": rough_runs(), "trials/bed/pic.jpg": "x"}
    wrong = folder | {"trials/bed/runs.csv": rough_runs().replace(",31,", ",many,").replace(",26,", ",-2,")}
    refused = words_of(handed_in(visitor, wrong))
    assert "trials bed/runs.csv row 2, grains: many is not a number" in refused and "row 6, grains: -2" in refused
    assert not visitor.book.exists() and "samedirt-" not in refused
    assert "rough-bed: new, 12 runs." in words_of(visitor.follow(handed_in(visitor, folder)))
    assert read(tmp_path) == read_folder(rough_bed(tmp_path / "here"))
    assert "nothing new" in words_of(visitor.follow(handed_in(visitor, folder)))
    visitor.book.rename(tmp_path / "put-by.duckdb")
    assert "--restore newest brings it back" in words_of(visitor.get("/"))
    (tmp_path / "put-by.duckdb").rename(visitor.book)
    changed = folder | {"trials/bed/runs.csv": rough_runs().replace(",31,", ",33,")}
    assert "is stored as 31" in words_of(handed_in(visitor, changed)) or "31" in words_of(handed_in(visitor, changed))
    assert "1 correction" in words_of(visitor.follow(handed_in(visitor, changed, why="counted twice")))
    assert "No file was handed in" in words_of(visitor.fill("/load", {}))


def test_a_filled_sheet_is_loaded(visitor: Visitor, tmp_path: Path) -> None:
    """A CSV with tags finds its trial; with a folder beside it, it is refused."""
    tag = tags_of(half_done(tmp_path, 3))[6]
    sheet = {"panner.csv": f"tag,grains\n{tag},31\n"}
    assert "1 row read" in words_of(visitor.follow(handed_in(visitor, sheet)))
    assert run_of(tmp_path, tag).grains == 31
    both = handed_in(visitor, {"bed/trial.toml": ROUGH_TRIAL, **sheet})
    assert "panner.csv is a sheet and bed is not; load folders and sheets in two goes" in words_of(both)
    odd = {"a.toml": "x", "b.csv": "no,names\n1,2\n", "c.csv": "tag,grains\nABC,1\n"}
    for name, text in odd.items():  # told by the name it was handed in by alone
        assert f" {name}: " in words_of(handed_in(visitor, {name: text})), name
    rows = ["tag,grains,note", f'{tag},31,"<b>wet</b>, cold"']
    mark = f"{CHECK} {check_sum(rows)}"
    cut = visitor.fill("/load", {"text": "\r\n".join([mark, *rows])})
    assert cut.status_code == 422 and "pasted text.txt: is cut short" in words_of(cut)
    assert "&lt;b&gt;wet&lt;/b&gt;, cold" in cut.text  # what was pasted stands there still
    whole = visitor.fill("/load", {"text": "\r\n".join(["Here:", mark, *rows, mark])})
    assert "pasted text.txt into rough-bed: 1 row read" in words_of(visitor.follow(whole))
    assert run_of(tmp_path, tag).note == "<b>wet</b>, cold"


def test_names_of_files_lead_nowhere(visitor: Visitor, tmp_path: Path) -> None:
    """Ways up, absolute paths and drives are names like any other; all lies in the one folder made for it."""
    (tmp_path / "own").mkdir()
    names = (
        "../../etc/passwd.json",
        "/etc/x.csv",
        "C:\\Windows\\trial.toml",
        "..",
        "a/../../trial.toml",
        "\x00.csv",
        "<b>.csv",
    )
    places = laid_out([SentFile(name, b"x") for name in names], tmp_path / "own")
    assert all(place.resolve().parent == (tmp_path / "own").resolve() for place in places)
    assert {path.name for path in tmp_path.iterdir()} == {"own"}
    for name in ("../../evil", "/etc/evil", "C:evil", "a/b", ".."):
        plan = {"bed/trial.toml": ROUGH_TRIAL.replace('"rough-bed"', f'"{name}"'), "bed/runs.csv": rough_runs()}
        assert handed_in(visitor, plan).status_code == 422, name
    assert not visitor.book.exists()
    said = handed_in(visitor, {"<script>alert(1)</script>.csv": "tag\n"})
    assert said.status_code == 422 and "<script>alert" not in said.text


@pytest.mark.parametrize("at", [0, 1, 2])
def test_names_that_meet_are_refused_and_long_ones_are_cut(visitor: Visitor, at: int) -> None:
    """Two that would lie in one place are told, none takes the place of the other; no name is too long to be written."""
    twice = [{"a b/trial.toml": "", "a/b/trial.toml": ""}, {"x.json": "", "x.json/trial.toml": ""}]
    if at < len(twice):
        assert "was handed in twice" in words_of(handed_in(visitor, twice[at]))
        return
    deep = "/".join(["ä" * 100] * 9)
    long = handed_in(visitor, {f"{deep}/trial.toml": ROUGH_TRIAL, f"{deep}/runs.csv": rough_runs()})
    assert "rough-bed: new, 12 runs." in words_of(visitor.follow(long))
    many = handed_in(visitor, {f"{number}.csv": "" for number in range(501)})
    assert many.status_code == 400 and "At most 500 files" in many.text


def test_what_is_handed_over_loads_again(visitor: Visitor, samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """The archive holds the folder that export writes; JSON the same; the copy to show leaves out what it does there."""
    half_done(tmp_path, 3)
    got = visitor.get("/trial/rough-bed/export/folder.zip")
    zipfile.ZipFile(io.BytesIO(got.content)).extractall(tmp_path / "out")
    assert read_folder(tmp_path / "out" / "rough-bed") == read(tmp_path)
    samedirt("export", "rough-bed", "--as", "json", "--to", "json")
    assert (tmp_path / "json" / "rough-bed.json").read_bytes() == visitor.get(
        "/trial/rough-bed/export/trial.json"
    ).content
    public = zipfile.ZipFile(io.BytesIO(visitor.get("/trial/rough-bed/export/public.zip").content))
    assert all("-public/" in name for name in public.namelist())
    said = samedirt("export", "rough-bed", "--public").out
    for line in said.splitlines()[-1:]:
        assert line.strip() in words_of(visitor.get("/trial/rough-bed/export"))
    assert visitor.get("/trial/rough-bed/export/..%2f..").status_code == 404
