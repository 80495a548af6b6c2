"""Answers typed one by one -> a plan, by the same reader as a trial file."""

import tomllib

import pytest
import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from schemas import Trial
from tests.folders import LEAST
from trials.files.answers import plan_text, problems_with, put_answer, read_answers
from trials.files.trial_file import read_trial
from trials.files.write import trial_text
from trials.records.flat import flat_trial
from trials.records.keys import plan_keys, unknown_keys

LEAST_ANSWERS = {
    "name": "mat",
    "measure": "gold_mass",
    "pairs": "6",
    "lot.kind": "natural",
    "gear.kind": "sluice",
    "change.variable": "mat",
    "change.baseline": "ribbed",
    "change.changed": "looped",
}


def test_the_least_that_makes_a_plan() -> None:
    """Eight answers."""
    trial, problems = read_answers(LEAST_ANSWERS)
    assert problems == [] and isinstance(trial, Trial)
    assert (trial.name, trial.pairs, trial.kind, trial.worth_having) == ("mat", 6, "pairs", None)


def test_answers_give_the_plan_that_a_file_gives() -> None:
    """The same reader: a trial written as a file, and its values typed one by one, are equal."""
    text = LEAST.replace("pairs = 3", "pairs = 6")
    from_file, _ = read_trial(text)
    from_answers, _ = read_answers(LEAST_ANSWERS)
    assert from_file == from_answers


def test_every_key_of_a_plan_can_be_answered() -> None:
    """What a stored plan holds comes back from answers: each key once, its value equal."""
    answers = {
        **LEAST_ANSWERS,
        "question": "Which mat?",
        "worth_having": "20 %",
        "spares": "1",
        "seed": "41",
        "look_after": "4",
        "knew": "feeder",
        "lot.name": "face-1",
        "lot.mass": "120 kg",
        "lot.pickers_over": "2 mm",
        "gear.width": "10 in",
        "change.reversible": "no",
        "change.twin": "second mat",
        "held.pitch": "1 in/ft",
        "held.water": "120 L/min",
        "held.rpm": "20 rpm",
        "held.wetting_drops": "2",
        "limits.black_sand": "1.6",
        "tails.caught": "all",
        "tails.finds": "80 %",
        "grains.seeded": "100",
        "scales.gold": "0.001 g",
        "sizes.series": "ASTM",
        "guess.gold": "0.5 mg/kg",
        "guess.run": "20 min",
        "guess.time": "12 h",
    }
    trial, problems = read_answers(answers)
    assert problems == [] and trial is not None
    flat = flat_trial(trial)
    assert all(flat[key] is not None for key in answers)
    assert (flat["lot.mass"], flat["gear.width"], flat["guess.time"]) == ("120000", "254", "720")
    assert trial.typed["[held] pitch"] == "1 in/ft"
    again, _ = read_trial(trial_text(trial))
    assert again == trial


def test_a_blank_answer_is_no_answer() -> None:
    """Left open: as if it had not been asked."""
    blank = {**LEAST_ANSWERS, "lot.mass": "", "guess.gold": "  ", "look_after": ""}
    assert read_answers(blank)[0] == read_answers(LEAST_ANSWERS)[0]


def test_levels_are_parted_by_semicolons() -> None:
    """In the order of their scale; one alone is no list."""
    graded, _ = read_answers({**LEAST_ANSWERS, "change.changed": "320 grit; 220 grit ;80 grit"})
    assert graded is not None and graded.change is not None
    assert graded.change.changed == ("320 grit", "220 grit", "80 grit") and graded.kind == "graded"
    pair, _ = read_answers({**LEAST_ANSWERS, "change.changed": "looped, cut short"})
    assert pair is not None and pair.change is not None and pair.change.changed == ("looped, cut short",)


@pytest.mark.parametrize("yes", ["yes", "y", "true", "YES"])
def test_an_audit_is_a_yes(yes: str) -> None:
    """However it is said."""
    answers = {"name": "a", "measure": "tracers", "pairs": "4", "lot.kind": "natural", "gear.kind": "sluice"}
    trial, problems = read_answers({**answers, "audit": yes})
    assert problems == [] and trial is not None and trial.audit


@pytest.mark.parametrize(
    ("key", "typed", "says"),
    [
        ("pairs", "six", "six is not a whole number; write one"),
        ("pairs", "6.5", "6.5 is not a whole number"),
        ("pairs", "9" * 30, "is not a whole number"),
        ("spares", "9", "9"),
        ("lot.mass", "120", "120 has no unit"),
        ("lot.mass", "5 oz", "Gold is in ozt, feed in lb. Which?"),
        ("lot.kind", "gravel", "gravel is not known here; write one of: natural"),
        ("guess.gold", "5 mg", "'mg' is not a unit of grade"),
        ("held.pitch", "55 deg", "pitch 55 deg on a sluice; was that 5.5?"),
        ("worth_having", "20", "20 is not a line; write it with its unit"),
        ("worth_having", "2 points", "does not fit measure gold_mass"),
        ("change.variable", "pitch, water", "two variables in one change (pitch, water)"),
        ("change.changed", "ribbed", "baseline and changed must all differ"),
        ("look_after", "6", "look_after 6 is not before the last of 6 pairs"),
    ],
)
def test_an_answer_that_does_not_fit_is_told(key: str, typed: str, says: str) -> None:
    """With the rest as it is: its value and the rule, and nothing else is complained of."""
    answers = {**LEAST_ANSWERS, key: typed}
    found = problems_with(key, answers)
    assert found and any(says in problem.says for problem in found), found
    assert read_answers(answers)[0] is None


@pytest.mark.parametrize("key", sorted(LEAST_ANSWERS))
def test_what_is_not_answered_yet_is_not_complained_of(key: str) -> None:
    """A good answer stands alone, before any other."""
    assert problems_with(key, {key: LEAST_ANSWERS[key]}) == []


def test_an_earlier_fault_is_not_blamed_on_a_later_answer() -> None:
    """Only what the answer itself brings."""
    faulty = {**LEAST_ANSWERS, "lot.mass": "5 oz"}
    assert problems_with("gear.kind", faulty) == []
    assert problems_with("lot.mass", faulty) != []


def test_an_unknown_key_is_told_with_the_nearest() -> None:
    """Never dropped."""
    (problem,) = unknown_keys({"lot.sieve": "3"}, "--set")
    assert str(problem) == "--set, lot.sieve: is not a key of a plan; did you mean lot.size?"
    (far,) = unknown_keys({"zzz": "3"}, "--set")
    assert far.says == "is not a key of a plan; samedirt export --schema prints all keys"
    assert read_answers({**LEAST_ANSWERS, "pears": "6"})[0] is None


def test_an_answer_is_put_where_it_belongs() -> None:
    """In its section, made where it is not there; a blank one takes the key out; comments stay."""
    document = tomlkit.parse('# mine\nname = "mat"\npairs = 3  # few\n')
    put_answer(document, "pairs", "8")
    put_answer(document, "lot.kind", "natural")
    put_answer(document, "guess.scatter_points", "2.5")
    text = tomlkit.dumps(document)
    assert text.startswith("# mine\n") and "pairs = 8" in text and "# few" in text
    assert tomllib.loads(text) == {
        "name": "mat", "pairs": 8, "lot": {"kind": "natural"}, "guess": {"scatter_points": 2.5},
    }  # fmt: skip
    put_answer(document, "pairs", "")
    assert "pairs" not in tomllib.loads(tomlkit.dumps(document))


WORDS = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=30)


@given(st.dictionaries(st.sampled_from(sorted(plan_keys())), WORDS, max_size=8))
def test_whatever_is_typed_is_read_or_refused(answers: dict[str, str]) -> None:
    """Any text in any key: TOML that parses, and a plan or problems, never an exception."""
    tomllib.loads(plan_text(answers))
    trial, problems = read_answers(answers)
    assert (trial is None) == bool(problems)
