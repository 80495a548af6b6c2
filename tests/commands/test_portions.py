"""Many trials loaded at once: in portions, in bounded memory, and still all of them or none."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.folders import LEAST, write
from trials.logbook.logbook import Logbook

MB_A_TRIAL = 0.08
"""What a trial of 16 runs may add to the peak: a little over a third of the 0.22 MB that one takes unpacked."""
PEAK = """
import resource, sys
from pathlib import Path
from trials.keeping import storing
from trials.files.folder import read_folders
from trials.listing import word
from trials.logbook.logbook import Logbook
from trials.logbook.pages import Remembered

word.word_of = lambda record: Remembered(record.trial.name, "0", "stored", "", None)  # to reach verdicts takes long
storing.AT_ONCE = 25
for place in ("first", "all"):
    storing.store_all(Logbook(f"{place}.duckdb"), read_folders([Path(place)]), None, stands=None)
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)
"""


def named(name: str) -> str:
    """The plan of a trial of that name."""
    return LEAST.replace('"mat"', f'"{name}"', 1)


def runs(pairs: int) -> str:
    """So many pairs, with the columns that many fill."""
    rows = [
        f"{pair},{arm},{2 * pair - first},2026-05-03 am,10,{20 + pair % 5 + first}.5,9,{350 + pair},note {pair}"
        for pair in range(1, pairs + 1)
        for arm, first in (("baseline", 1), ("changed", 0))
    ]
    return "\n".join(["pair,arm,turn,session,fed_kg,gold_mg,minutes,black_sand_g,note", *rows, ""])


def test_memory_does_not_grow_with_the_trials(sized: Callable[[int], int], tmp_path: Path) -> None:
    """Eight portions and more peak near where one does; unpacked all at once they don't."""
    many = max(200, sized(1_000))
    for place, number in (("first", 25), ("all", many)):
        for at in range(number):
            write(tmp_path / place / f"t{at}", named(f"t{at}").replace("pairs = 3", "pairs = 8"), runs(8))
    said = subprocess.run(
        [sys.executable, "-c", PEAK],
        cwd=tmp_path,
        env={"PYTHONPATH": str(Path(__file__).parents[2])},
        capture_output=True,
        text=True,
        check=True,
    )
    first, all_of_them = map(int, said.stdout.split())
    assert all_of_them - first < MB_A_TRIAL * many
    with Logbook(tmp_path / "all.duckdb").reading() as pages:
        assert len(pages.names()) == many and len(pages.records(["t0", f"t{many - 1}"])[1].runs) == 16


def test_a_fault_in_the_last_portion_stores_none(
    samedirt: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Two at a time: what is wrong in any portion is told with the rest, and nothing of any is stored then."""
    monkeypatch.setattr("trials.keeping.storing.AT_ONCE", 2)
    row = "pair,arm,turn,gold_mg\n1,baseline,1,{}\n1,changed,2,30\n"
    for name in "abcde":
        write(tmp_path / "all" / name, named(name), row.format(20))
    write(tmp_path / "all" / "e", named("e"), row.format("none"))
    said = samedirt("load", "all")  # a file that can't be read
    assert said.code == 2 and "all/e/runs.csv" in said.err and not (tmp_path / "logbook.duckdb").exists()
    write(tmp_path / "all" / "e", named("e"), row.format(20))
    assert "e: new, 2 runs." in samedirt("load", "all").out
    assert samedirt("load", "all").out.count("nothing new.") == 5
    for name in "ae":
        write(tmp_path / "all" / name, named(name), row.format(21))
    write(tmp_path / "all" / "c", named("c"), row.format(20) + "2,baseline,3,25\n")
    before = (tmp_path / "logbook.duckdb").read_bytes()
    said = samedirt("load", "all")  # what is stored otherwise, first and last
    places = [line.split(", ")[0] for line in said.err.splitlines()]
    assert said.code == 2 and places == ["samedirt: all/a", "samedirt: all/e"]
    assert (tmp_path / "logbook.duckdb").read_bytes() == before
    said = samedirt("load", "all", "--why", "misread")
    assert said.out.count("1 correction") == 2 and "c: 1 new run." in said.out
    assert samedirt("load", "all").out.count("nothing new.") == 5


def test_a_portion_that_fails_while_it_is_stored_takes_the_others_with_it(
    samedirt: Callable[..., Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first portion lies in the open transaction when the last one breaks; nothing of it stays."""
    monkeypatch.setattr("trials.keeping.storing.AT_ONCE", 1)
    for name in "ab":
        write(tmp_path / "all" / name, named(name), runs(3))
    reached = []

    def breaks(record: Any) -> Any:
        reached.append(record.trial.name)
        if record.trial.name == "b":
            raise KeyboardInterrupt
        return word_of(record)

    from trials.listing.word import word_of

    with monkeypatch.context() as broken:
        broken.setattr("trials.listing.word.word_of", breaks)
        assert samedirt("load", "all").code != 0
    assert reached == ["a", "b"]
    with Logbook(tmp_path / "logbook.duckdb").reading() as pages:
        assert pages.names() == []
    assert "b: new, 6 runs." in samedirt("load", "all").out
