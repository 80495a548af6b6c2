"""What is still missing before a verdict, told by tags and pairs and never by arms."""

from collections.abc import Sequence

from hypothesis import given
from hypothesis import strategies as st

from schemas import Change, Run, Trial
from tests.tables import every
from tests.verdicts.cases import counts, recovery_runs, trial
from trials.fairness.evidence import gather
from trials.fairness.missing import last_called, missing_of, runs_lacking, runs_to_come
from trials.fairness.so_far import swapped

PLAN = trial("grain_counts", spares=2)
TAGS = ("HTK", "NDF", "CDX", "FHL", "JKN", "LPR", "NRT", "PTV", "RVX", "TXC", "VCD", "XDF", "CCC", "DDD", "FFF", "HHH")


def laid_out(plan: Trial = PLAN) -> list[Run]:
    """The runs of a plan, spares too, none made: pair after pair."""
    keys = [(pair, arm) for pair in range(1, plan.pairs + plan.spares + 1) for arm in plan.arms]
    return [Run(pair=p, arm=a, turn=i + 1, tag=TAGS[i] if i < len(TAGS) else None) for i, (p, a) in enumerate(keys)]


def made(runs: Sequence[Run], tags: Sequence[str], **more: object) -> list[Run]:
    """The runs of these tags made, 30 grains each."""
    values = {"minutes": 9.0, "grains": 30} | more
    return [run.model_copy(update=values) if run.tag in tags else run for run in runs]


def test_runs_not_made_are_told_by_their_pairs() -> None:
    """All of them, and in the end the last few by their tags too."""
    assert missing_of(PLAN, laid_out()) == ("12 runs are not made yet: pairs 1, 2, 3, 4, 5 and 6.",)
    assert missing_of(PLAN, made(laid_out(), TAGS[:9])) == (
        "3 runs are not made yet: pairs 5 and 6 (TXC, VCD and XDF).",
    )
    assert missing_of(PLAN, made(laid_out(), TAGS[:11])) == ("1 run is not made yet: pair 6 (XDF).",)
    assert missing_of(PLAN, made(laid_out(), TAGS[:12])) == ()


def test_what_was_not_counted_is_told_by_the_tags() -> None:
    """One sentence for all runs that lack the same; measured ones are not named."""
    runs = made(made(laid_out(), TAGS[:12]), ("NDF", "CDX"), grains=None)
    assert missing_of(PLAN, runs) == ("CDX and NDF have no grains yet.",)
    plan = trial("recovery")
    halves = recovery_runs([1.0] * 6)
    halves[0] = halves[0].model_copy(update={"tag": "HTK", "tails_gold_mg": None})
    halves[5] = halves[5].model_copy(update={"gold_mg": None, "tails_gold_mg": None, "minutes": 3.0})
    assert missing_of(plan, halves) == (
        "HTK has no gold of the tails yet.",
        "a run of pair 3 has no gold kept and no gold of the tails yet.",
    )


def test_runs_that_no_one_laid_out_are_missing_too() -> None:
    """A trial loaded run by run has no rows for those to come."""
    assert missing_of(trial("grain_counts", pairs=3), counts([(3, 4)])) == ("4 runs are not made yet: pairs 2 and 3.",)


def test_a_struck_run_calls_a_spare_and_its_other_half_is_not_missed() -> None:
    """One spare for each void pair, however many of its halves were struck, and no more than there are."""
    runs = made(laid_out(), TAGS[:12])
    one = [run.model_copy(update={"void": "spill"}) if run.tag == "NDF" else run for run in runs]
    assert last_called(PLAN, one) == 7
    assert [run.tag for run in runs_to_come(PLAN, one)] == ["CCC", "DDD"]
    both = [run.model_copy(update={"void": "spill"}) if run.pair == 1 else run for run in runs]
    assert last_called(PLAN, both) == 7
    three = [run.model_copy(update={"void": "spill"}) if run.pair in (1, 2, 3) else run for run in runs]
    assert last_called(PLAN, three) == 8
    open_half = [run.model_copy(update={"void": "spill"}) if run.tag == "HTK" else run for run in laid_out()]
    assert "NDF" not in [run.tag for run in runs_to_come(PLAN, open_half)]
    weighed_not = made(one, ("HTK",), grains=None)
    assert runs_lacking(PLAN, weighed_not) == []


def test_a_spare_that_was_struck_calls_the_next() -> None:
    """Two void pairs, two spares."""
    runs = made(laid_out(), TAGS[:13])
    runs = [run.model_copy(update={"void": "spill"}) if run.tag in ("HTK", "CCC") else run for run in runs]
    assert [run.pair for run in runs_to_come(PLAN, runs)] == [8, 8]


def test_graded_trials_and_audits_are_told_in_blocks_and_runs() -> None:
    """As they are called on their papers."""
    graded = trial("grain_counts", pairs=3, change=Change(variable="mat", baseline="ribbed", changed=("a", "b")))
    assert missing_of(graded, laid_out(graded)) == ("9 runs are not made yet: blocks 1, 2 and 3.",)
    audit = trial("tracers", pairs=3, spares=1, change=None, audit=True)
    assert missing_of(audit, laid_out(audit)) == ("3 runs are not made yet: runs 1, 2 and 3 (CDX, HTK and NDF).",)
    struck = [run.model_copy(update={"void": "spill"}) if run.pair == 1 else run for run in laid_out(audit)]
    assert [run.pair for run in runs_to_come(audit, struck)] == [2, 3, 4]


def test_in_the_order_they_were_drawn() -> None:
    """By turn, whatever the pair."""
    runs = [run.model_copy(update={"turn": 17 - (run.turn or 0)}) for run in laid_out()]
    assert [run.turn for run in runs_to_come(PLAN, runs)] == list(range(5, 17))


@every("measure", ["recovery", "gold_mass", "tracers", "grain_counts", "tails_gold"])
def test_every_measure_says_what_it_lacks_in_plain_words(measure: str) -> None:
    """No name of a field with its unit is printed."""
    (said,) = missing_of(
        trial(measure, pairs=1), [Run(pair=1, arm=a, tag=a[:3], minutes=9.0) for a in ("baseline", "changed")]
    )
    assert "_" not in said and said.startswith("bas and cha have no ") and said.endswith(" yet.")


STATES = st.sampled_from(["open", "made", "uncounted", "void"])


@given(st.lists(STATES, min_size=16, max_size=16))
def test_nothing_is_missing_when_and_only_when_the_planned_end_is_reached(states: list[str]) -> None:
    """Whatever became of the runs; and swapping the arms of every pair changes no word."""
    how: dict[str, dict[str, object]] = {
        "open": {},
        "made": {"minutes": 9.0, "grains": 30},
        "uncounted": {"minutes": 9.0},
        "void": {"void": "spill"},
    }
    runs = [run.model_copy(update=how[state]) for run, state in zip(laid_out(), states, strict=True)]
    evidence = gather(PLAN, runs)
    missing = missing_of(PLAN, runs)
    assert missing == missing_of(PLAN, swapped(PLAN, runs))
    if evidence.ended:
        assert missing == ()
    else:
        assert missing
