"""Every change of a trial by itself: a record in, the changed record out, or every reason why not; no store."""

from datetime import date, datetime

import pytest

from schemas import Change, Gear, Lot, Photo, Record, Run, Trial
from trials.changes.amend import amend, amended_words
from trials.changes.attach import attach, attached_words
from trials.changes.enter import enter_run, entered_words
from trials.changes.find_run import ELSEWHERE, run_tagged, run_to_enter
from trials.changes.history import history
from trials.changes.lock import draw_if_undrawn, lay_out, lock
from trials.changes.merge_all import merge_all
from trials.changes.reasons import void_reason
from trials.changes.run_row import RunRow, Taken
from trials.changes.strike import count_again, set_trial_aside, strike, struck_words, take_trial_back
from trials.errors import Refused

NOW, LATER = datetime(2026, 5, 9, 10, 30), datetime(2026, 5, 10, 8, 0)
TRIAL = Trial(
    name="mat",
    measure="gold_mass",
    pairs=3,
    spares=1,
    seed=41,
    lots=(Lot(kind="natural"),),
    gear=Gear(kind="sluice"),
    change=Change(variable="mat", baseline="looped", changed=("brush",)),
)
DRAWN = draw_if_undrawn(Record(trial=TRIAL), seed=7)
FIRST = DRAWN.runs[0]
TAG = FIRST.tag or ""


def told(**values: object) -> RunRow:
    """A row that tells these fields."""
    return RunRow(0, TAG, {(name, None): Taken(value) for name, value in values.items()})


def entered() -> Record:
    """The first run entered."""
    return enter_run(DRAWN, FIRST.key, told(gold_mg=31.0, minutes=9.5), why=None, now=NOW)


def refused(error: pytest.ExceptionInfo[Refused]) -> str:
    """All its lines."""
    return "\n".join(error.value.lines)


def test_a_plan_is_laid_out_and_replaced_until_it_is_locked() -> None:
    """New, or over one that is open; never over a locked one, nor one with a run."""
    other = Record(trial=TRIAL.model_copy(update={"pairs": 6}))
    assert lay_out(None, DRAWN) is DRAWN
    assert lay_out(DRAWN, other) is other
    for locked in (lock(DRAWN, date(2026, 5, 2)), entered()):
        with pytest.raises(Refused, match=r"mat: is locked since .* Plan another name, or amend it"):
            lay_out(locked, other)


def test_a_draw_is_made_once_and_by_the_plans_own_seed() -> None:
    """Eight runs with turn and tag; drawn again they stay; a seed is taken only where there is none."""
    assert len(DRAWN.runs) == 8 and DRAWN.trial.seed == 41
    assert draw_if_undrawn(DRAWN, seed=8) is DRAWN
    bare = Record(trial=TRIAL.model_copy(update={"seed": None}))
    assert draw_if_undrawn(bare, seed=8).trial.seed == 8
    assert draw_if_undrawn(bare, seed=8) == draw_if_undrawn(bare, seed=8)


def test_the_first_run_locks_the_plan_from_its_day() -> None:
    """And what was there is untouched."""
    after = entered()
    assert after.trial.locked == date(2026, 5, 9) and DRAWN.trial.locked is None
    run = run_tagged(after, TAG)
    assert (run.gold_mg, run.minutes, run.turn) == (31.0, 9.5, FIRST.turn)
    assert entered_words(DRAWN, after, FIRST.key) == f"{TAG} stored (1 of 6)."


def test_a_blank_is_filled_and_a_value_corrected_only_with_a_reason() -> None:
    """The old value stays on record, with when and why."""
    before = entered()
    filled = enter_run(before, FIRST.key, told(black_sand_g=6.4), why=None, now=LATER)
    assert entered_words(before, filled, FIRST.key) == f"{TAG}: 1 blank filled." and filled.corrections == ()
    with pytest.raises(Refused, match="gold_mg: is stored as 31; correct it"):
        enter_run(before, FIRST.key, told(gold_mg=13.0), why=None, now=LATER)
    after = enter_run(before, FIRST.key, told(gold_mg=13.0), why="digits swapped", now=LATER)
    (one,) = after.corrections
    assert (one.field, one.old, one.new, one.why, one.when) == ("gold_mg", "31", "13", "digits swapped", LATER)
    assert entered_words(before, after, FIRST.key) == f"{TAG}: 1 value corrected."


def test_a_value_is_taken_out_with_a_reason() -> None:
    """By a row that empties it."""
    row = told()
    row.emptied.append(("minutes", None))
    after = enter_run(entered(), FIRST.key, row, why="of another run", now=LATER)
    assert run_tagged(after, TAG).minutes is None and after.corrections[0].old == "9.5"


def test_a_turn_that_was_taken_gives_way_or_is_refused() -> None:
    """A run not made yet takes the other turn; the turn of a run that was made is named with its tag."""
    second = next(run for run in DRAWN.runs if run.turn != FIRST.turn)
    swapped = enter_run(DRAWN, FIRST.key, told(gold_mg=31.0, turn=second.turn), why=None, now=NOW)
    turns = {run.key: run.turn for run in swapped.runs}
    assert (turns[FIRST.key], turns[second.key]) == (second.turn, FIRST.turn)
    with pytest.raises(Refused, match=f"{FIRST.turn} is the turn of {TAG}"):
        enter_run(entered(), second.key, told(gold_mg=20.0, turn=FIRST.turn), why=None, now=NOW)


def test_nothing_told_is_nothing_entered() -> None:
    """A run without what was done or found is not made."""
    with pytest.raises(Refused, match="has no answer that says what was done or found; nothing stored"):
        enter_run(DRAWN, FIRST.key, told(), why=None, now=NOW)


def test_problems_of_a_run_entered_name_its_tag_and_never_its_arm() -> None:
    """Who weighs must not learn the arm."""
    row = told(gold_mg=3.0, largest_mg=30.0, fed_lot="north")
    with pytest.raises(Refused) as error:
        enter_run(DRAWN, FIRST.key, row, why=None, now=NOW)
    said = refused(error)
    assert f"{TAG}, largest_mg: 30 is more than all the gold" in said and f"{TAG}, fed_lot: north is not a lot" in said
    assert FIRST.arm not in said


def test_a_struck_run_stays_and_calls_a_spare_in() -> None:
    """Its pair leaves the sum; both spare runs are named."""
    after = strike(DRAWN, TAG.lower(), "spill", gold_known=False, now=NOW)
    assert run_tagged(after, TAG).void == "spill" and len(after.runs) == len(DRAWN.runs)
    said = struck_words(DRAWN, after, TAG, gold_known=False)
    assert said.startswith(
        f"{TAG} is struck: spill. Both halves of pair {FIRST.pair} leave the sum. Spare pair 4 (tags "
    )
    with pytest.raises(Refused, match="was struck already: spill"):
        strike(after, TAG, "lost jar", gold_known=True, now=NOW)


def test_gold_that_is_stored_was_known() -> None:
    """It is said, and can't be denied; where none is stored it must be said."""
    before = entered()
    after = strike(before, TAG, "spill", gold_known=None, now=NOW)
    assert run_tagged(after, TAG).void_gold_known is True
    assert "so it was known" in struck_words(before, after, TAG, gold_known=None)
    with pytest.raises(Refused, match="could be known; write --gold-known"):
        strike(before, TAG, "spill", gold_known=False, now=NOW)
    with pytest.raises(Refused, match="--gold-known: is needed"):
        strike(DRAWN, TAG, "spill", gold_known=None, now=NOW)


def test_a_strike_taken_back_leaves_both_on_record() -> None:
    """The run is as it was; the history tells both."""
    struck = strike(DRAWN, TAG, "spill", gold_known=False, now=NOW)
    back = count_again(struck, TAG, "the other jar was spilled", LATER)
    assert back.runs == DRAWN.runs and len(back.corrections) == 4
    assert [event.sort for event in history(back)] == ["struck", "taken back"]
    with pytest.raises(Refused, match="is not struck"):
        count_again(back, TAG, "again", LATER)


def test_a_trial_set_aside_and_taken_back() -> None:
    """Each once, and each on record."""
    aside = set_trial_aside(DRAWN, "frozen dirt", NOW)
    with pytest.raises(Refused, match="was set aside already: frozen dirt"):
        set_trial_aside(aside, "again", NOW)
    with pytest.raises(Refused, match="was set aside"):
        run_to_enter(aside, TAG, correcting=False)
    back = take_trial_back(aside, "thawed", LATER)
    assert back.trial == DRAWN.trial and [event.sort for event in history(back)] == ["set aside", "taken back"]
    with pytest.raises(Refused, match="is not set aside"):
        take_trial_back(back, "again", LATER)


def test_a_picture_is_attached_and_attached_anew() -> None:
    """Of the same path the new one stands, and what it was is on record."""
    photo = Photo(path="a.jpg", what="bed", tag=TAG, sha256="0" * 64)
    once = attach(DRAWN, photo, NOW)
    assert attached_words(DRAWN, photo) == f"a.jpg (bed of {TAG}) is attached to mat. Leave it where it is."
    with pytest.raises(Refused, match="is attached already"):
        attach(once, photo, NOW)
    other = photo.model_copy(update={"sha256": "1" * 64})
    anew = attach(once, other, LATER)
    assert anew.trial.photos == (other,) and anew.corrections[-1].why == "attached anew"
    with pytest.raises(Refused, match=r"a tag has three letters"):
        attach(DRAWN, photo.model_copy(update={"tag": "A1"}), NOW)


def test_an_amendment_adds_pairs_and_keeps_what_was_drawn() -> None:
    """With all that is wrong with one told at once."""
    locked = lock(DRAWN, date(2026, 5, 2))
    more = amend(locked, "pairs", lambda plan: plan.model_copy(update={"pairs": 5}), "dirt left over", NOW.date())
    assert more.runs[: len(locked.runs)] == locked.runs and len(more.runs) == 12
    assert amended_words(locked, more).endswith("4 runs added and drawn: samedirt sheet mat prints them.")
    with pytest.raises(Refused) as error:
        amend(DRAWN, "seed", lambda plan: plan, " ", NOW.date())
    said = refused(error)
    assert "can't be amended" in said and "is not locked yet" in said and "needs its reason" in said
    with pytest.raises(Refused, match="3 is what the plan has; nothing to amend"):
        amend(locked, "pairs", lambda plan: plan, "why", NOW.date())


def test_loaded_trials_are_merged_all_or_none() -> None:
    """Every problem of every trial is told; new ones stand beside changed ones."""
    before = entered()
    run = run_tagged(before, TAG).model_copy(update={"gold_mg": 13.0})
    changed = before.model_copy(update={"runs": (run,)})
    new = Record(trial=TRIAL.model_copy(update={"name": "other"}))
    with pytest.raises(Refused, match="gold_mg: stored 31, here 13"):
        merge_all({"mat": before}, [("a", changed), ("b", new)], why=None, now=NOW)
    done = merge_all({"mat": before}, [("a", changed), ("b", new)], why="misread", now=NOW)
    assert [one.words for one in done] == ["1 correction; 7 stored runs not in the folder, kept", "new, 0 runs"]
    assert len(done[0].record.runs) == len(before.runs)


@pytest.mark.parametrize(
    ("tag", "says", "may_be_elsewhere"),
    [
        ("H", "a tag has three letters", False),
        ("HT0", "0 is not a letter of our tags", False),
        ("HTK", "is no tag of mat", True),
    ],
)
def test_a_tag_that_is_none_is_told_apart(tag: str, says: str, may_be_elsewhere: bool) -> None:
    """One that can't be a tag at all, and one that may be of another trial."""
    assert tag not in {run.tag for run in DRAWN.runs}
    with pytest.raises(Refused, match=says) as error:
        run_tagged(DRAWN, tag)
    assert (error.value.problems[0].code == ELSEWHERE) == may_be_elsewhere


def test_runs_that_can_not_be_entered_are_refused_with_the_next_step() -> None:
    """A spare not called in, a run entered already, one to correct that was never entered, one struck."""
    spare = next(run.tag for run in DRAWN.runs if run.pair == 4) or ""
    with pytest.raises(Refused, match="is a spare, kept for a pair that is void"):
        run_to_enter(DRAWN, spare, correcting=False)
    with pytest.raises(Refused, match="entered already"):
        run_to_enter(entered(), TAG, correcting=False)
    assert run_to_enter(entered(), TAG, correcting=True).tag == TAG
    with pytest.raises(Refused, match="nothing to correct; samedirt enter mat"):
        run_to_enter(DRAWN, TAG, correcting=True)
    struck = strike(DRAWN, TAG, "spill", gold_known=False, now=NOW)
    with pytest.raises(Refused, match=r"was struck \(spill\)"):
        run_to_enter(struck, TAG, correcting=False)
    assert run_to_enter(struck, spare, correcting=False).pair == 4


def test_a_reason_is_never_blank_nor_holds_a_control_character() -> None:
    """And known ones have one spelling."""
    assert void_reason("LOST-jar") == "lost jar"
    for text in (" ", "one\x1b[31m"):
        with pytest.raises(Refused, match="--why"):
            void_reason(text)


def test_a_change_leaves_the_record_it_was_given_as_it_was() -> None:
    """Records are values: nothing that was handed in is altered."""
    before = DRAWN.model_dump()
    strike(DRAWN, TAG, "spill", gold_known=False, now=NOW)
    entered()
    set_trial_aside(DRAWN, "frozen dirt", NOW)
    assert DRAWN.model_dump() == before
    assert Run.model_validate(FIRST.model_dump()) == FIRST
