"""A wrong answer is refused at its own question, in every talk, and nothing that was taken is refused at the end."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from pathlib import Path

import pytest

from schemas.run import CHECK_WEIGHT
from tests.commands.typed_in import GOLD_TRIAL, half_done, plan_of, planned, tags_of
from tests.tables import every
from trials.changes.find_run import run_to_enter
from trials.errors import Problem, Refused
from trials.keeping.stored_plans import make_plan
from trials.logbook.logbook import Logbook
from trials.talk.engine import FURTHEST_BACK, Prompt, Sitting, Talk, begin, reply
from trials.talk.plan_answers import CONFIRM, HELD, LIMITS, PAIRS, RUN, SORT, SORTS, TAILS_TOO, TRACERS, WAY, settled
from trials.talk.plan_offers import SCATTER
from trials.talk.plan_talk import GO_ON, QUESTIONS, PlanTalk, going_on_talk
from trials.talk.question import Amount, Choice, Text
from trials.talk.run_talk import STORE, THROW_AWAY, RunTalk, tag_talk, talk_of_run
from trials.talk.together import AS_PLANNED, OTHERS
from trials.units.quantity import Kind

BANANA, BELOW, HUGE, BLANK = "banana", "-1", "1e9", ""
Walks = Mapping[str, list[tuple[Sitting, Prompt]]]
NOW = datetime(2026, 5, 3, 9, 30)

# The right answers of five plans, by key; what is not named takes its default.
BED = {
    "name": "rough-bed", SORT: SORTS[0], "gear.kind": "finishing table", "change.variable": "texture",
    "change.baseline": "painted", "change.changed": "180 grit", "change.reversible": "no", "change.twin": "second insert",
    HELD: "4 deg, 8 L/min", "lot.kind": "table tailings", "lot.mass": "7.5 kg", "lot.splitting": "riffle splitter",
    "guess.gold": "24 mg/kg", "held.charge": "350 g", RUN: "10 min + 10 min", "guess.time": "16 h",
    "worth_having": "20 % grains", PAIRS: "6 + 1",
}  # fmt: skip
MATS = {
    "name": "two-mats", SORT: SORTS[0], "gear.kind": "sluice", "change.variable": "mat", "change.baseline": "ribbed",
    "change.changed": "looped", HELD: "7 deg, 120 L/min", "lot.kind": "natural", "lot.mass": "420 kg",
    "guess.gold": "0.6 mg/kg", "scales.gold": "0.001 g", "held.charge": "15 kg", RUN: "40 min + 30 min",
    "worth_having": "3 points", PAIRS: "12 + 1", "look_after": "6",
}  # fmt: skip
NO_WAY_CAN = MATS | {"worth_having": "1 point", WAY: "1", PAIRS: "6 + 1"}
PITCH = {
    "name": "steeper", SORT: SORTS[0], "gear.kind": "finishing table", "change.variable": "pitch",
    "change.baseline": "4 deg", "change.changed": "5 deg", "gear.width": "250 mm", HELD: "8 L/min", "lot.kind": "natural",
    "lot.mass": "40 kg", "held.charge": "350 g", "measure": "tracers", "worth_having": "3 points", PAIRS: "6",
}  # fmt: skip
TWINS = {
    "name": "twins", SORT: SORTS[1], "gear.kind": "finishing table", HELD: "4 deg, 8 L/min", "lot.kind": "table tailings",
    "lot.mass": "7.5 kg", "guess.gold": "24 mg/kg", "held.charge": "350 g", "measure": "grain_counts",
    "worth_having": "20 %", PAIRS: "4",
}  # fmt: skip
AUDIT = {
    "name": "audit", SORT: SORTS[2], "gear.kind": "sluice", "lot.kind": "natural", "lot.mass": "120 kg",
    "held.charge": "10 kg", "grains.size": "50/100", "grains.stuff": "lead", PAIRS: "4",
}  # fmt: skip
PLANS = {"bed": BED, "mats": MATS, "no way can": NO_WAY_CAN, "pitch": PITCH, "twins": TWINS, "audit": AUDIT}
FREE = ("change.baseline", "change.changed", "change.twin")
# The unit in which an answer about a plan is told, for numbers far out of reach in the right unit.
IN_UNIT = {
    "gear.width": "mm", "lot.mass": "kg", "guess.gold": "mg/kg", "scales.gold": "g", "held.charge": "kg",
    "guess.time": "h", HELD: "L/min", RUN: "min", "worth_having": "%",
}  # fmt: skip


@pytest.fixture(scope="module")
def talk(tmp_path_factory: pytest.TempPathFactory) -> PlanTalk:
    """The talk of `plan` beside an empty logbook, one name taken."""
    book = Logbook(tmp_path_factory.mktemp("plan") / "logbook.duckdb")
    return PlanTalk(
        {"seed": "41"},
        lay_out=lambda trial: make_plan(book, trial),
        name_is_taken=lambda name: "is locked" if name == "locked" else "",
        is_stored=lambda _: False,
    )


def prompts(sitting: Sitting, answers: Mapping[str, str]) -> Iterator[tuple[Sitting, Prompt]]:
    """Every question on the way, answered rightly: what is named in the answers, else its default."""
    while (prompt := sitting.prompt()) is not None:
        yield sitting, prompt
        became = reply(sitting, answers.get(prompt.question.key, ""))
        assert became.what == "taken", (prompt.text, became.says)
        sitting = became.sitting


@pytest.fixture(scope="module")
def walks(talk: PlanTalk) -> dict[str, list[tuple[Sitting, Prompt]]]:
    """Every question of every plan, with the answers before it."""
    return {name: list(prompts(talk.begin({}), answers)) for name, answers in PLANS.items()}


def wrong_for(prompt: Prompt) -> list[str]:
    """What is no answer to a question about a plan."""
    key = prompt.question.key
    wrong = [] if prompt.default or prompt.question.may_be_blank else [BLANK]
    if key == "name":
        return [*wrong, BELOW, "two words", "locked"]
    if key in FREE:
        return wrong
    other = "5 L/min" if prompt.kind == Amount(Kind.FEED_MASS) or key == "held.charge" else "5 kg"
    wrong += [BANANA, BELOW, HUGE, other]
    if key in IN_UNIT:
        wrong += [f"{number} {IN_UNIT[key]}" for number in (BELOW, "1000000000")]
    if isinstance(prompt.kind, Choice):
        wrong.append(str(len(prompt.kind.options) + 1))
    return wrong


@pytest.mark.parametrize("name", PLANS)
def test_every_question_of_a_plan_refuses_what_is_no_answer(name: str, talk: PlanTalk, walks: Walks) -> None:
    """There and with words, nothing changed by it; and the plan is there at the end."""
    for sitting, prompt in walks[name]:
        for typed in wrong_for(prompt):
            became = reply(sitting, typed)
            assert became.what == "refused" and became.says and all(became.says), (prompt.text, typed, became)
            assert became.sitting == sitting
        assert reply(sitting, "?").says == (prompt.question.help,) and prompt.question.help
        assert prompt.why
    assert prompt.question.key == CONFIRM and prompt.text == "Store it so?"
    assert talk.plan(sitting.answers) is not None


def test_a_gain_in_gold_a_clean_up_becomes_the_line(walks: Walks) -> None:
    """Told with what a clean-up gives now it is so many % of that, and shown; alone it is asked what it is more of."""
    sitting = next(sitting for sitting, prompt in walks["bed"] if prompt.question.key == "worth_having")
    alone = reply(sitting, "0.1 g a clean-up")
    assert alone.says == ("0.1 g a clean-up: how much does a clean-up give now? Write both, as 0.1 g of 0.8 g.",)
    told = reply(sitting, "0.1 g of 0.8 g a clean-up").sitting
    assert settled(told.answers)["worth_having"] == "12.5 %"
    while (prompt := told.prompt()) is not None and prompt.question.key != LIMITS:
        words = " ".join(str(block) for block in prompt.told)
        told = reply(told, "1" if prompt.question.key == WAY else "").sitting
    assert prompt is not None
    words = " ".join(str(block) for block in prompt.told)
    assert "0.1 g of 0.8 g a clean-up is 12.5 % more gold" in words and "that becomes the line." in words


def test_the_walks_meet_every_question(walks: Walks, talk: PlanTalk) -> None:
    """No question of a plan is left out of the test above, but that of earlier trials, of which there are none."""
    met = {id(prompt.question) for walk in walks.values() for _, prompt in walk}
    assert [one.key for one in talk.talk.questions if id(one) not in met] == [SCATTER]


@pytest.mark.parametrize("typed", [BANANA, HUGE, "; ;", "x" * 5_000, "\x1b[31m"])
def test_words_that_are_taken_do_not_end_the_talk(typed: str, talk: PlanTalk, walks: Walks) -> None:
    """Refused at once, or a plan can be made of them."""
    answers = dict(BED)
    for sitting, prompt in walks["bed"]:
        if prompt.question.key in FREE and reply(sitting, typed).what == "taken":
            answers[prompt.question.key] = typed
    if answers["change.baseline"] == answers["change.changed"]:  # which is refused, rightly
        answers["change.baseline"] = BED["change.baseline"]
    *_, (sitting, prompt) = prompts(talk.begin({}), answers)
    assert prompt.question.key == CONFIRM
    assert talk.plan(sitting.answers) is not None


@pytest.mark.parametrize("name", PLANS)
def test_a_menu_takes_its_numbers(name: str, walks: Walks) -> None:
    """Each option by its number and by itself."""
    menus = 0
    for sitting, prompt in walks[name]:
        if isinstance(prompt.kind, Choice) and prompt.kind.is_numbered:
            menus += 1
            for number, option in enumerate(prompt.kind.options, start=1):
                by_number, by_name = reply(sitting, str(number)), reply(sitting, option)
                assert by_number.sitting.answers[prompt.question.key] == option
                assert by_number == by_name
    assert menus >= 5


@pytest.mark.parametrize(("caught", "measures"), [("yes", 5), ("no", 2)])
def test_the_measure_is_told_by_its_number(caught: str, measures: int, talk: PlanTalk) -> None:
    """One of those that can be measured, with the tails caught or not."""
    answers = TWINS | {TAILS_TOO: caught}
    prompt = next(prompt for _, prompt in prompts(talk.begin({}), answers) if prompt.question.key == "measure")
    assert isinstance(prompt.kind, Choice) and len(prompt.kind.options) == measures


@every("caught", ["yes", "no"])
def test_a_menu_takes_its_numbers_and_names_what_it_showed(talk: PlanTalk, caught: str) -> None:
    """All of them and no more; a number past the last names those that were shown, and no others."""
    answers = TWINS | {TAILS_TOO: caught}
    sitting, prompt = next(both for both in prompts(talk.begin({}), answers) if both[1].question.key == "measure")
    assert isinstance(prompt.kind, Choice)
    for at, option in enumerate(prompt.kind.options, start=1):
        assert reply(sitting, str(at)).sitting.answers["measure"] == option
    (says,) = reply(sitting, str(len(prompt.kind.options) + 1)).says
    assert says.endswith(f"or one of: {', '.join(prompt.kind.options)}.")
    assert ("recovery" in says) == (caught == "yes")


def test_dirt_in_buckets_asks_what_one_holds(talk: PlanTalk) -> None:
    """And is taken with it, as it was typed."""
    sitting, _ = next(both for both in prompts(talk.begin({}), TWINS) if both[1].question.key == "lot.mass")
    (says,) = reply(sitting, "3 buckets").says
    assert says == "3 buckets: how much does one hold? Weigh one, and write 3 buckets of 35 kg."
    assert reply(sitting, "3 buckets of 35 kg").sitting.answers["lot.mass"] == "3 buckets of 35 kg"


def test_back_is_offered_what_was_answered_and_asks_it_again(talk: PlanTalk) -> None:
    """As far as the first question; the answers after it are asked again, theirs offered."""
    sittings = [sitting for sitting, _ in prompts(talk.begin({}), AUDIT)]
    sitting = sittings[-1]
    for earlier in reversed(sittings[:-1]):
        became = reply(sitting, "back")
        assert became.what == "back"
        sitting = became.sitting
        assert sitting.answers == earlier.answers
        prompt, was = sitting.prompt(), earlier.prompt()
        assert prompt is not None and was is not None and prompt.text == was.text
    assert reply(sitting, "BACK").says == (FURTHEST_BACK,)
    for _ in range(len(sittings) - 1):
        sitting = reply(sitting, "").sitting
    assert talk.plan(sitting.answers) == talk.plan(sittings[-1].answers)


def test_a_draft_goes_on_where_it_was_left(talk: PlanTalk, walks: Walks) -> None:
    """A sitting is its answers: begun from them anew, it asks the same question."""
    for sitting, prompt in walks["bed"]:
        again = talk.begin(sitting.draft)
        assert again.prompt() == prompt


def test_going_on_takes_yes_or_no() -> None:
    """By word or number; under another name it is no where nothing is said."""
    talk = going_on_talk({"name": "old"}, "new")
    for typed in (BANANA, BELOW, HUGE, "3", "5 kg"):
        assert reply(begin(talk, {}), typed).what == "refused"
    assert reply(begin(talk, {}), "").sitting.answers[GO_ON] == "no"
    assert reply(begin(going_on_talk({"name": "old"}, None), {}), "").sitting.answers[GO_ON] == "yes"


# What a question about a run takes of the common wrong answers: a blank leaves it open, a note and a session are words.
TAKES = dict.fromkeys(("note", "session"), (BANANA, BELOW, HUGE, "5 kg")) | dict.fromkeys(
    ("temp_c", "pitch_deg"), (BELOW,)
)
RIGHT = {
    "session": "2026-05-03 am", "feeder": "A", "panner": "B", "fed_g": "350", "minutes": "9.5", "cleanup_minutes": "4",
    "water_l_min": "8.0 7.9", "temp_c": "12", "stripped": "y", "grains": "31", "black_sand_g": "18.6 12.2", "gold_mg": "31",
    "pitch_deg": "4.2", "ticks": "all", "largest_mg": "4",
}  # fmt: skip
RUN_PLANS = {"grains": None, "gold": GOLD_TRIAL}


@pytest.fixture(params=RUN_PLANS)
def a_run(request: pytest.FixtureRequest, tmp_path: Path) -> RunTalk:
    """The talk of `enter` for a run that is planned."""
    text = RUN_PLANS[request.param]
    record = planned(tmp_path, None if text is None else plan_of(text))
    return talk_of_run(record, record.runs[0], correcting=False, now=NOW)


@pytest.mark.parametrize("together", ["yes", "no"])
def test_every_question_of_a_run_refuses_what_is_no_answer(a_run: RunTalk, together: str) -> None:
    """There, with words; what was taken makes a run."""
    answers = RIGHT | {AS_PLANNED: together, OTHERS: "yes"}
    for sitting, prompt in prompts(a_run.begin({}), answers):
        key = prompt.question.key
        for typed in {BANANA, BELOW, HUGE, "5 kg" if key != "fed_g" else "5 L/min"} - set(TAKES.get(key, ())):
            if key in ("fed_kg", "black_sand_g", "concentrate_g", *CHECK_WEIGHT) and typed == "5 kg":
                continue
            became = reply(sitting, typed)
            assert became.what == "refused" and became.says and all(became.says), (key, typed, became)
            assert became.sitting == sitting
        assert prompt.question.help, key
    assert a_run.to_store(reply(sitting, "").sitting) is not None


def test_what_is_thrown_away_is_asked_for_once_more(a_run: RunTalk) -> None:
    """Yes or no alone; no goes back to the answers, yes stores nothing."""
    *_, (sitting, prompt) = prompts(a_run.begin({}), RIGHT)
    assert prompt.question.key == STORE
    thrown = reply(sitting, "no").sitting
    for typed in (BANANA, BELOW, HUGE, "2", "5 kg"):
        assert reply(thrown, typed).what == "refused"
    kept = reply(thrown, "").sitting
    assert kept.prompt() == prompt and kept.answers == sitting.answers
    gone = reply(thrown, "yes").sitting
    assert gone.prompt() is None and a_run.to_store(gone) is None and THROW_AWAY not in gone.draft


def test_a_value_typed_behind_its_name_is_refused_there(a_run: RunTalk) -> None:
    """Nothing is changed by it; a name alone asks again, and back from there changes nothing either."""
    *_, (sitting, _) = prompts(a_run.begin({}), RIGHT)
    for typed in (f"minutes {BANANA}", f"minutes {BELOW}", f"minutes {HUGE}", "minutes 5 kg", f"stripped {BANANA}"):
        became = reply(sitting, typed)
        assert became.what == "refused" and became.sitting == sitting and became.says
    named = reply(sitting, "minutes")
    prompt = named.sitting.prompt()
    assert named.what == "moved" and prompt is not None and prompt.default == "9.5"
    assert reply(named.sitting, "back").sitting == sitting
    mended = reply(named.sitting, "10").sitting
    assert mended.answers["minutes"] == "10" and mended.prompt() is not None


def test_every_question_of_a_correction_refuses_what_is_no_answer(tmp_path: Path) -> None:
    """By its name alone or with the value behind; the old value again is no correction, and - takes it out."""
    record = half_done(tmp_path, 2)
    talk = talk_of_run(record, record.runs[0], correcting=True, now=NOW)
    sitting = talk.begin({})
    for typed in (BANANA, BELOW, HUGE, "5 kg", "-"):
        assert reply(sitting, typed).what == "refused"
    for ask in talk.asks:
        for typed in {BANANA, BELOW, HUGE, "5 L/min" if ask.name in ("fed", "sand") else "5 kg"}:
            if typed in TAKES.get(ask.key, ()):
                continue
            behind = reply(sitting, f"{ask.name} {typed}")
            assert behind.what == "refused" and behind.sitting == sitting, (ask.name, typed)
            alone = reply(sitting, ask.name)
            assert alone.what == "moved" and reply(alone.sitting, typed).what == "refused", (ask.name, typed)
        unchanged = reply(reply(sitting, ask.name).sitting, "")
        assert unchanged.what == "taken" and unchanged.sitting.draft == {}
    out = reply(sitting, "temp -").sitting
    assert out.draft == {"temp_c": "-"} and talk.to_store(reply(out, "").sitting) == {"temp_c": "-"}
    assert talk.to_store(reply(out, "no").sitting) is None and talk.to_store(reply(sitting, "").sitting) is None


def test_a_tag_that_is_none_is_refused(tmp_path: Path) -> None:
    """With what is wrong of it; blank is the next one."""
    record = planned(tmp_path)
    tags = tags_of(record)

    def find(tag: str) -> tuple[Problem, ...]:
        try:
            run_to_enter(record, tag, correcting=False)
        except Refused as error:
            return error.problems
        return ()

    sitting = begin(tag_talk(tags[0], (), find), {})
    for typed in (BANANA, BELOW, HUGE, "5 kg", "1"):
        assert reply(sitting, typed).what == "refused"
    assert reply(sitting, "").sitting.answers == {"tag": tags[0]}


def test_the_kinds_of_answer_are_told() -> None:
    """A form can be laid out from the questions alone: most are a choice, a number or an amount, few are free words."""
    free = [one.key for one in QUESTIONS if one.kind == Text()]
    assert set(free) == {"name", *FREE, "grains.size", "worth_having"}
    assert {TRACERS, WAY, SORT} <= {one.key for one in QUESTIONS}
    assert isinstance(Talk((), lambda *_: ()).questions, tuple)
