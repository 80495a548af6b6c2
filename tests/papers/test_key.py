from collections.abc import Callable

import pytest

from schemas import Record
from tests.papers.plans import PLANS, crowded, five_inserts, lead_audit, twin_inserts, two_mats
from tests.papers.reading import rows_of, text_of
from trials.papers.key import key_html, key_rows
from trials.plans.draw import shares_of_lot


def lines(record: Record) -> dict[str, list[str]]:
    """The lines of a printed key, by code."""
    return {row[0]: row[1:] for row in rows_of(key_html(record)) if row[0] != "TAG"}


@pytest.mark.parametrize("plan", PLANS)
def test_the_key_names_every_run(plan: Callable[[], Record]) -> None:
    """Code to pair, half and turn, as planned; in the order of the alphabet."""
    record = plan()
    printed = lines(record)
    assert list(printed) == sorted(printed)
    assert len(printed) == len(record.runs)
    for run in record.runs:
        pair, _, _, turn = printed[run.tag or ""]
        assert pair.split()[0] == str(run.pair) and turn == str(run.turn)
        assert ("spare" in pair) == (run.pair > record.trial.pairs)


def test_pairs_are_told_by_arm_and_half() -> None:
    """The words of the logbook, with what they mean beside the table."""
    record = two_mats()
    shares = shares_of_lot(record.trial)
    printed = lines(record)
    for run in record.runs:
        assert printed[run.tag or ""][1:3] == [run.arm, ("first", "second")[shares[run.key] - 1]]
    assert "baseline = ribbed; changed = looped" in text_of(key_html(record))


def test_other_trials_are_told_by_their_own_words() -> None:
    """Levels of a graded trial, pieces of a nothing-changed check, one set-up of an audit."""
    record = five_inserts()
    for run in record.runs:
        assert lines(record)[run.tag or ""][1] == ("painted" if run.arm == "baseline" else run.arm)
    assert "baseline = first piece; repeat = second piece" in text_of(key_html(twin_inserts()))
    assert {row.arm for row in key_rows(lead_audit())} == {"as it stands"}
    assert "set-up" in text_of(key_html(crowded()))


def test_seed_and_generator_are_named_inside() -> None:
    """After the line up to which the flap comes, so that the draw can't be made again by whoever sees the outside."""
    text = text_of(key_html(two_mats()))
    outside, _, inside = text.partition("The flap comes up to this line.")
    assert "seed 1207 by the PCG-64 generator" in inside
    assert "1207" not in outside and "Open after the last weighing." in outside
    assert "ribbed" not in outside
