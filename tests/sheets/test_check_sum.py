"""A sheet handed over with a check sum: taken whole as it was written, or refused in one line."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.commands.typed_in import planned, run_of, tags_of
from trials.sheets.check_sum import CHECK, check_sum, checked

ROWS = ["# trial: rough-bed", "tag,grains,note", 'HTK,31,"wet, cold"', "NDF,47,"]
SUM = check_sum(ROWS)
LINES = [f"{CHECK} {SUM}", *ROWS, f"{CHECK} {SUM}"]


@pytest.mark.parametrize(
    "text",
    [
        "\n".join(LINES),
        "\r\n".join(["\ufeffThe runs of today:", "", *LINES, "--", "sent from the creek"]),
        "\n\n".join(f"  {line}\t" for line in LINES),
        "\n".join(LINES).replace(SUM, SUM.lower()),
    ],
)
def test_what_mail_does_to_a_text_does_no_harm(text: str) -> None:
    """Other line ends, blank lines, spaces at the ends, a greeting: the rows are read as they were written."""
    found, wrong = checked(text)
    assert wrong == ""
    assert [line.strip() for line in found.split("\n") if line.strip()] == ROWS


def test_a_text_cut_short_or_altered_is_refused() -> None:
    """Wherever it is cut, whichever letter is another, whichever lines are exchanged or said twice."""
    whole = "\n".join(LINES)
    ends = len(whole) - len(ROWS[-1]) - len(LINES[-1]) - 2
    for cut in (*(whole[:at] for at in range(len(LINES[0]), len(whole))), *(whole[at:] for at in range(1, ends))):
        assert checked(cut)[1].startswith(("is cut short", "is not as it left the phone")), cut
    for at, letter in enumerate(whole):
        if letter not in "\n#" and len(LINES[0]) < at < len(whole) - len(LINES[-1]):
            assert "does not fit" in checked(f"{whole[:at]}~{whole[at + 1 :]}")[1], at
    assert "does not fit" in checked("\n".join([*LINES[:3], LINES[4], LINES[3], LINES[5]]))[1]
    assert "does not fit" in checked("\n".join(f"{line},," for line in LINES))[1]  # saved again by a spreadsheet
    assert "holds more than one sheet: # check sum stands in 4 lines" in checked("\n".join([*LINES, *LINES]))[1]


def test_the_command_says_so_in_one_line(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Cut short nothing is stored; whole it is, from a .txt as well; again it changes nothing."""
    tag, other = tags_of(planned(tmp_path))[:2]
    rows = ["# trial: rough-bed", "tag,grains", f"{tag},31", f"{other},47"]
    mark = f"{CHECK} {check_sum(rows)}"
    pasted = tmp_path / "pasted.txt"
    pasted.write_text("\n".join([mark, *rows[:-1]]))
    refused = samedirt("load", "pasted.txt")
    line = "pasted.txt: is cut short: a line of its check sum is missing; hand it over again, all of it"
    assert refused.code == 2 and line in refused.err and len(refused.err.strip().splitlines()) == 1
    assert run_of(tmp_path, tag).grains is None
    pasted.write_text("\n".join(["Here it is:", mark, *rows, mark]))
    assert "2 rows read" in samedirt("load", "pasted.txt").out
    assert run_of(tmp_path, other).grains == 47
    assert "nothing new" in samedirt("load", "pasted.txt").out
