import threading
from collections.abc import Callable
from pathlib import Path

import pytest

import trials.logbook.connect as connecting
from tests.logbook.writers import add, heard, run, runs_in, say, start
from trials.logbook.beside import copies_of, put_by_logs
from trials.logbook.check import examine
from trials.logbook.connect import LOCK_WAIT_S
from trials.logbook.logbook import Logbook

TRIALS = 30


def store_in_turn(path: str, said: str, first: int, last: int) -> None:
    """Store runs, one after the other, over trials that others write to as well."""
    for number in range(first, last + 1):
        add(Logbook(Path(path)), f"t{number % TRIALS}", run(number))
        say(Path(said), number)


WORST = f"waited more than {LOCK_WAIT_S:g} s"


def test_three_programs_at_once_store_all_of_theirs(tmp_path: Path, sized: Callable[[int], int]) -> None:
    """Each waits for the others, none gives up, none writes over another, and nothing is stored twice."""
    book, said, each = Logbook(tmp_path / "logbook.duckdb"), tmp_path / "said", sized(100)
    spans = [(1 + turn * each, (turn + 1) * each) for turn in range(3)]
    programs = [start(store_in_turn, str(book.path), str(said), first, last) for first, last in spans]
    for program in programs:
        program.join()
        assert program.exitcode == 0, WORST
    numbers = set(range(1, 3 * each + 1))
    assert sorted(map(int, heard(said))) == sorted(numbers)
    assert set().union(*(runs_in(book.path, f"t{turn}") for turn in range(TRIALS))) == numbers
    assert examine(book).faults == ()
    numbered = [copy.number for copy in copies_of(book.path)]
    assert len(numbered) == len(set(numbered)) == 5


def test_a_logbook_is_begun_by_one_program_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Who comes meanwhile waits, so that the log of a logbook in use is never taken for one that was left over."""
    book, others = Logbook(tmp_path / "logbook.duckdb"), []

    def meanwhile(file: Path) -> list[Path]:
        others.append(start(store_in_turn, str(book.path), str(tmp_path / "said"), 2, 2))
        others[0].join(0.5)
        assert others[0].exitcode is None and not book.exists
        return put_by_logs(file)

    monkeypatch.setattr(connecting, "put_by_logs", meanwhile)
    add(book, "t1", run(1))
    others[0].join()
    assert others[0].exitcode == 0
    assert runs_in(book.path, "t1") | runs_in(book.path, "t2") == {1, 2}


def test_threads_of_one_program_take_turns(tmp_path: Path) -> None:
    """Writers and readers of one program neither meet in the file nor give up each other's lock."""
    book, wrong = Logbook(tmp_path / "logbook.duckdb"), []
    add(book, "t", run(1))

    def work(first: int) -> None:
        try:
            for number in range(first, first + 4):
                add(book, "t", run(number))
                assert number in runs_in(book.path)
        except Exception as error:  # noqa: BLE001 - a thread's error is the test's
            wrong.append(error)

    threads = [threading.Thread(target=work, args=(first,)) for first in (2, 6, 10)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert wrong == []
    assert runs_in(book.path) == set(range(1, 14))
    assert examine(book).faults == ()
