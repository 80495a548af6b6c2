from datetime import datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schemas import Record, Run, SizeCatch
from tests.commands.typed_in import GOLD_TRIAL, plan_of
from trials.changes.enter import without
from trials.files.cells import CellError
from trials.records.headings import heading
from trials.talk.asks import SIGNS, asks_of_run
from trials.talk.one_run import run_of_answers
from trials.talk.run_defaults import planned_values, stored_values
from trials.talk.run_talk import STORE, talk_of_run
from trials.talk.run_words import look_again
from trials.talk.shorthand import spelled_out, ticks_of
from trials.talk.together import AS_PLANNED

ROUGH, GOLD = plan_of(), plan_of(GOLD_TRIAL)
TO_RUN = Run(pair=1, arm="changed", turn=1, tag="HTK")
NOON = datetime(2026, 5, 3, 11, 0)


def typed(answers: dict[str, str], stored: Run = TO_RUN, *, correcting: bool = False, trial=ROUGH) -> Run:
    """The run that answers make, where all of them fit."""
    run, problems = run_of_answers(answers, stored, trial, correcting=correcting)
    assert run is not None, problems
    return run


def refused(answers: dict[str, str], stored: Run = TO_RUN, *, correcting: bool = False, trial=ROUGH) -> list[str]:
    """What is wrong with answers that do not fit."""
    run, problems = run_of_answers(answers, stored, trial, correcting=correcting)
    assert run is None
    return [str(problem) for problem in problems]


@pytest.mark.parametrize(
    ("answer", "gross", "tare"),
    [
        ("18.6 12.2", 18.6, 12.2),
        ("18.6, 12.2", 18.6, 12.2),
        ("18.6 - 12.2", 18.6, 12.2),
        ("18.6-12.2", 18.6, 12.2),
        ("18.6 g 12.2 g", 18.6, 12.2),
        ("18.6 12.2 g", 18.6, 12.2),
        ("18,6 12,2", 18.6, 12.2),
        ("18.6 less 12.2", 18.6, 12.2),
        ("0.0186 kg 0.0122 kg", 18.6, 12.2),
    ],
)
def test_two_readings_of_the_scale_are_gross_and_tare(answer: str, gross: float, tare: float) -> None:
    """Both are kept, and the net mass is their difference by decimals: 18.6 - 12.2 = 6.4."""
    run = typed({"black_sand_g": answer})
    assert (run.black_sand_gross_g, run.black_sand_tare_g) == (gross, tare)
    assert run.black_sand_g == 6.4


@pytest.mark.parametrize(("answer", "grams"), [("6,4", 6.4), ("18,12", 18.12), ("6.4 g", 6.4), ("0.0141 lb", 6.396)])
def test_one_number_is_a_net_mass(answer: str, grams: float) -> None:
    """A comma with one or two digits behind it marks decimals, never two readings. 1 lb is 453.59237 g (NIST)."""
    run = typed({"black_sand_g": answer})
    assert run.black_sand_g == pytest.approx(grams, abs=0.001)
    assert run.black_sand_gross_g is None


def test_what_can_be_read_in_two_ways_is_asked() -> None:
    """1,234 g of sand is not guessed; nor is a bare ounce."""
    assert "could be 1.234 or 1234" in refused({"black_sand_g": "1,234"})[0]
    assert "Gold is in ozt, feed in lb. Which?" in refused({"gold_mg": "0.5 oz"})[0]
    assert "'gr' can mean grain or gram" in refused({"gold_mg": "5 gr"})[0]
    assert "US or imperial gallons?" in refused({"water_l_min": "2 gpm"})[0]


def test_gold_may_be_typed_by_the_scale_too() -> None:
    """Gross and tare are in g, the gold that follows in mg: 18.6312 - 18.6 g is 31.2 mg."""
    run = typed({"gold_mg": "18.6312 18.6"}, trial=GOLD)
    assert run.gold_mg == 31.2


@given(
    st.decimals(min_value=0, max_value=5000, places=3, allow_nan=False),
    st.decimals(min_value=0, max_value=5000, places=3, allow_nan=False),
)
def test_the_net_mass_has_no_dust(one: Decimal, other: Decimal) -> None:
    """Whatever two readings are typed, the net is the nearest float to their decimal difference."""
    gross, tare = max(one, other), min(one, other)
    run = typed({"black_sand_g": f"{gross} {tare}"})
    net = float(gross - tare)
    assert run.black_sand_g == net


@pytest.mark.parametrize(
    ("answer", "minutes"),
    [
        ("9:12 9:21", 9.0),
        ("9:12 to 9:21", 9.0),
        ("9:12-9:21", 9.0),
        ("9:12:00 9:21:30", 9.5),
        ("12:50 1:10", 20.0),
        ("23:50 0:10", 20.0),
        ("11:55 12:05", 10.0),
        ("0.5 h", 30.0),
        ("570 s", 9.5),
        ("9.5", 9.5),
    ],
)
def test_minutes_may_be_told_by_the_clock(answer: str, minutes: float) -> None:
    """As the creek sheet has them: start and end. Over noon and over midnight too."""
    assert typed({"minutes": answer}).minutes == minutes


def test_what_was_typed_stays_beside_the_minutes() -> None:
    """The two times are kept as they were typed."""
    assert typed({"minutes": "9:12 9:21"}).typed["minutes"] == "9:12 9:21"


@pytest.mark.parametrize("answer", ["9:21 9:12", "9:72 9:80", "25:00 26:00", "9:12", "9:12 9:12"])
def test_a_clock_that_can_not_be_is_refused(answer: str) -> None:
    """An end before its start, minutes past 59, hours past 24, one time alone."""
    assert refused({"minutes": answer})


def test_water_is_read_at_both_ends() -> None:
    """Two numbers are start and end, one is the start alone; in any unit, which both take."""
    assert (typed({"water_l_min": "8.0 7.9"}).water_l_min, typed({"water_l_min": "8.0 7.9"}).water_end_l_min) == (
        8,
        7.9,
    )
    assert typed({"water_l_min": "8"}).water_end_l_min is None
    run = typed({"water_gpm_us": "30 29"})
    # 1 US gallon is 3.785411784 L (NIST Handbook 44, appendix C).
    assert run.water_l_min == pytest.approx(30 * 3.785411784) and run.water_end_l_min == pytest.approx(29 * 3.785411784)
    assert typed({"water_l_min": "2.1 2.0 gpm us"}).water_end_l_min == pytest.approx(2 * 3.785411784)


def test_a_recount_that_agrees_is_taken_and_one_that_does_not_is_counted_again() -> None:
    """The panner sheet has room for two counts."""
    assert typed({"grains": "31 31"}).grains == 31
    assert "count again until two agree" in refused({"grains": "31 33"})[0]


def test_ticks_are_told_together() -> None:
    """Those named yes and the others no; none named at all is not known."""
    run = typed({"ticks": "dry, loupe"}, trial=GOLD)
    assert (run.dry, run.magnet, run.loupe) == (True, False, True)
    assert typed({"ticks": "none", "minutes": "9"}).dry is False
    assert typed({"ticks": "", "minutes": "9"}).dry is None
    assert "is none of the boxes" in refused({"ticks": "dry, shiny"})[0]
    assert ticks_of("d m l") == {"dry": "yes", "magnet": "yes", "loupe": "yes"}


@pytest.mark.parametrize("name", ["pair", "arm", "tag", "void", "void_gold_known", "run"])
def test_what_names_a_run_is_not_typed(name: str) -> None:
    """Pair and arm follow from the tag; a strike has its own command."""
    assert len(refused({name: "1", "minutes": "9"})) == 1


def test_all_that_is_wrong_is_told_at_once() -> None:
    """A slip at the scale hides neither a range nor a word that is no number."""
    told = refused(
        {"kept": "x", "minutes": "9500", "grains": "-3", "feeder": "Zed", "black_sand_g": "12.2 18.6", "colour": "red"}
    )
    assert len(told) == 6
    for says in (
        "kept: x is not a number",
        "9500 is over 1,440 min",
        "-3 is not a whole",
        "not a role letter",
        "swapped?",
    ):
        assert any(says in one for one in told), says


def test_one_thing_told_twice_is_refused() -> None:
    """The same mass in two units, or gross and tare beside the net."""
    assert "is told twice" in refused({"fed_g": "350", "fed_kg": "0.35"})[0]


@pytest.mark.parametrize(
    ("answers", "says"),
    [
        ({"seeded": "25", "kept": "27"}, "more than the 25 seeded; recount"),
        ({"gold_mg": "30", "largest_mg": "40"}, "is more than all the gold"),
        ({"pitch_deg": "55"}, "was that 5.5?"),
        ({"fed_lot": "lot-9"}, "is not a lot of this trial"),
        ({"session": "31/02/2026"}, "no day"),
        ({"note": "x" * 2001}, "is too long"),
        ({"minutes": "nan"}, "is not a number"),
        ({"minutes": "1e3"}, "exponent"),
        ({"grains": "3.5"}, "not a whole number"),
        ({"stripped": "maybe"}, "neither yes nor no"),
    ],
)
def test_answers_are_checked_as_in_a_file(answers: dict[str, str], says: str) -> None:
    """Ranges and what must hold within one run; no message names an arm."""
    told = refused(answers)
    assert says in told[0]
    assert not any("changed" in one or "baseline" in one for one in told)


def test_a_blank_is_filled_and_a_value_is_not_replaced() -> None:
    """What was entered stays unless it is corrected, with what to type for that."""
    first = typed({"minutes": "9.5", "temp_c": "12"})
    assert typed({"grains": "31"}, first).grains == 31
    assert refused({"grains": "31", "minutes": "10"}, first) == [
        'HTK, minutes: is stored as 9.5; correct it: samedirt enter rough-bed HTK --again --why "the reason"'
    ]


def test_a_correction_replaces_a_net_mass_by_two_readings_and_back() -> None:
    """Old readings go with the old net, so that none of them stands beside a net it does not make."""
    by_scale = typed({"black_sand_g": "18.6 12.2"})
    net = typed({"black_sand_g": "6.6"}, by_scale, correcting=True)
    assert (net.black_sand_g, net.black_sand_gross_g, net.black_sand_tare_g) == (6.6, None, None)
    back = typed({"black_sand_g": "18.9 12.2"}, net, correcting=True)
    assert (back.black_sand_g, back.black_sand_gross_g) == (6.7, 18.9)


def test_a_dash_takes_a_value_out_when_correcting() -> None:
    """With what was typed for it, and its readings; ticks all at once."""
    run = typed({"black_sand_g": "18.6 12.2", "temp_c": "54 F", "ticks": "all", "minutes": "9"})
    bare = typed({"black_sand_g": "-", "temp_c": "-", "ticks": "-"}, run, correcting=True)
    assert (bare.black_sand_g, bare.black_sand_gross_g, bare.temp_c, bare.dry) == (None, None, None, None)
    assert "temp_c" not in bare.typed and bare.minutes == 9


def test_a_class_taken_out_takes_the_sum_with_it() -> None:
    """A total that was the sum of its classes is not known any more when one is blank."""
    parts = (SizeCatch(label="20/30", grains=4), SizeCatch(label="50/100", grains=27))
    run = Run(pair=1, arm="changed", turn=1, tag="HTK", grains=31, classes=parts)
    bare = typed({"grains 20/30": "-"}, run, correcting=True)
    assert bare.grains is None and [part.label for part in bare.classes] == ["50/100"]


def test_taking_a_field_out_leaves_the_rest() -> None:
    """And nothing typed for it."""
    run = Run(pair=1, arm="baseline", gold_mg=31.2, minutes=9.0, typed={"gold_mg": "0.0312 g"})
    assert without(run, ["gold_mg", "no such field"]) == Run(pair=1, arm="baseline", minutes=9.0)


def test_questions_are_in_the_units_of_the_papers() -> None:
    """A creek sheet that asks for kg is typed in kg: a bare 10 is 10 kg, not 10 g."""
    asks = {ask.name: ask for ask in asks_of_run(GOLD, (), {"fed_g": "kg", "water_l_min": "gpm us"}, {}, ())}
    assert (asks["fed"].key, asks["fed"].prompt) == ("fed_kg", "fed, kg")
    assert (asks["water"].key, asks["water"].prompt) == ("water_gpm_us", "water at start and end, gpm us")
    assert typed({asks["fed"].key: "10"}, trial=GOLD).fed_g == 10_000


def test_a_run_takes_about_a_dozen_answers() -> None:
    """What stays as it was is one of them."""
    defaults = {"turn": "1", "session": "2026-05-03 am", "pitch_deg": "4", "feeder": "A", "panner": "B"}
    asks = asks_of_run(ROUGH, (), {}, defaults, tuple(defaults))
    signs = [ask.name for ask in asks if set(ask.fields) <= set(SIGNS)]
    assert signs == ["moisture", "blank pan", "silvery"]  # one question stands for these
    assert [ask.name for ask in asks if ask.carried] == ["turn", "session", "pitch", "feeder", "panner"]
    talk = talk_of_run(Record(trial=ROUGH, runs=(TO_RUN,)), TO_RUN, correcting=False, now=NOON).talk
    asked = [one.key for one in talk.questions if one.needed({AS_PLANNED: "yes"})]
    assert len([key for key in asked if key not in (AS_PLANNED, STORE, *defaults)]) <= 11
    assert all(len(ask.prompt) <= 45 and "\n" not in ask.prompt for ask in asks)


def test_readings_of_the_scale_are_not_asked_for_by_themselves() -> None:
    """They go with their net mass, though runs before hold them."""
    run = typed({"black_sand_g": "18.6 12.2"})
    names = [ask.key for ask in asks_of_run(ROUGH, (run,), {}, {}, ())]
    assert "black_sand_g" in names and not any("gross" in name or "tare" in name for name in names)


def test_tracers_of_one_size_are_asked_for_once() -> None:
    """The size that the plan names needs no class beside the total; seeded comes before kept."""
    trial = plan_of(
        GOLD_TRIAL.replace("gold_mass", "tracers").replace("20 %", "3 points") + '[grains]\nsize = "1/2 mm"\n'
    )
    names = [ask.name for ask in asks_of_run(trial, (), {}, {}, ())]
    assert names.count("kept") == 1 and names.index("seeded") < names.index("kept")


def test_planned_values_are_those_of_the_plan_and_of_the_run_before() -> None:
    """The session and the hands stay until they change; a day is guessed for the first run, and asked."""
    found, carried = planned_values(ROUGH, TO_RUN, (), {}, NOON)
    assert (found["turn"], found["pitch_deg"], found["water_l_min"]) == ("1", "4", "8 8")
    assert found["session"] == "2026-05-03 am" and "session" not in carried
    before = Run(pair=1, arm="baseline", session="2026-05-02 pm", feeder="A", minutes=9.0)
    found, carried = planned_values(ROUGH, TO_RUN, (before,), {}, NOON)
    assert (found["session"], found["feeder"]) == ("2026-05-02 pm", "A") and "session" in carried


def test_a_stored_run_reads_back_as_it_would_be_typed() -> None:
    """Typed again, every answer gives the run it came from."""
    answers = {
        "black_sand_g": "18.6 12.2", "water_gpm_us": "30 29", "fed_kg": "10", "ticks": "dry", "temp_f": "54",
        "minutes": "9:12 9:21", "gold_mg": "0.0312 g", "note": "fine",
    }  # fmt: skip
    run = typed(answers, trial=GOLD)
    units = {"fed_g": "kg", "water_l_min": "gpm us"}
    again = stored_values(run, units)
    keys = {ask.fields[0]: ask.key for ask in asks_of_run(GOLD, (run,), units, {}, ())} | {"ticks": "ticks"}
    retyped = {keys[name]: text for name, text in again.items() if name not in ("turn", "tag")}
    assert typed(retyped, trial=GOLD).model_copy(update={"typed": {}}) == run.model_copy(update={"typed": {}})


def test_far_off_values_are_pointed_out_and_likely_ones_are_not() -> None:
    """A point that slipped is ten times off; no change of gear is."""
    others = [Run(pair=p, arm=a, minutes=m) for p, (a, m) in enumerate([("baseline", 9.5), ("changed", 14.0)] * 2, 1)]
    assert look_again(TO_RUN.model_copy(update={"minutes": 19.0, "fed_g": 352.0}), ROUGH, others) == ()
    odd = look_again(TO_RUN.model_copy(update={"minutes": 95.0, "water_l_min": 80.0}), ROUGH, others)
    assert odd == (
        "minutes: 95 min is far from the other runs, which have 9.5 to 14 min",
        "water: 80 L/min is far from the 8 L/min that was planned",
    )


def test_the_gear_of_a_run_does_not_matter_to_what_is_pointed_out() -> None:
    """All runs are compared alike, so that nothing is told of an arm."""
    others = [Run(pair=p, arm="baseline", grains=30) for p in (1, 2, 3)]
    swapped = [run.model_copy(update={"arm": "changed"}) for run in others]
    run = TO_RUN.model_copy(update={"grains": 310})
    assert look_again(run, ROUGH, others) == look_again(run, ROUGH, swapped) != ()


@given(st.text(max_size=40))
def test_no_answer_breaks_the_reader(text: str) -> None:
    """Whatever is typed is taken or refused in one line."""
    for name in ("minutes", "black_sand_g", "grains", "water_l_min", "ticks", "session", "note", "stripped"):
        run, problems = run_of_answers({name: text}, TO_RUN, ROUGH)
        assert (run is None) == bool(problems)
        assert all("\n" not in str(problem) for problem in problems)


@given(st.text(max_size=30))
def test_no_text_breaks_the_shorthand(text: str) -> None:
    """It gives one column or two, or says what is wrong."""
    for name in ("minutes", "gold_mg", "water_l_min", "kept 50/100"):
        try:
            parts = spelled_out(heading(name), text)
        except CellError:
            continue
        assert 1 <= len(parts) <= 2
