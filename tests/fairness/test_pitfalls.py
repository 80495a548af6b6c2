"""The map of pitfalls says nothing that is not so: its checks exist, and the words it finds on the papers are there."""

from collections.abc import Callable
from functools import cache
from typing import Any, get_args

import pytest

from schemas import Run, Scales, Sizes
from tests.papers.plans import PLANS, rough_bed, two_mats
from tests.papers.reading import MAKERS, text_of
from tests.tables import every
from tests.verdicts.cases import trial
from trials.fairness.checklist import CHECKS
from trials.plans.advice.advise import advise
from trials.plans.plan_power import power_of_plan
from trials.report.pitfalls import PITFALLS, Pitfall, Where, pitfall_dicts, pitfall_page

NAMES = {check.name for check in CHECKS}
# The 25 of the trade notes, in their order.
TRADE = (
    "second pass", "feed drift", "coarse nugget", "order and learning", "the hand knows", "two things changed",
    "concentrate for gold", "recovery alone", "clean bed at the start", "carry-over", "gold under the mat", "moisture",
    "magnetics", "scale drift", "screening difference", "water or temperature drift", "wetting aid build-up",
    "clay in recirculated water", "tail grabs", "stopping while ahead", "best of many", "flakes used again", "salting",
    "drift of the judge", "segregation in the bucket",
)  # fmt: skip


def test_all_25_are_there_in_their_order() -> None:
    """As the trade's own list has them."""
    assert tuple(pitfall.name for pitfall in PITFALLS) == TRADE


@every("pitfall", PITFALLS, ids=lambda one: one.name)
def test_what_stands_against_it_exists(pitfall: Pitfall) -> None:
    """Every named check is on the checklist; a check stand names some, a paper stand words, and others neither."""
    assert pitfall.stands
    for stand in pitfall.stands:
        assert stand.where in get_args(Where)
        assert bool(stand.checks) == (stand.where == "check")
        assert bool(stand.printed) == (stand.where == "paper")
        assert set(stand.checks) <= NAMES, stand.what


@cache
def all_papers() -> str:
    """Every paper of every sort of plan, and of two more: drops of soap held, and a plan without a look."""
    records = [plan() for plan in PLANS]
    records += [two_mats(look_after=None, sizes=Sizes(series="ASTM")), rough_bed(scales=Scales())]
    return " ".join(text_of(make(record)) for record in records for make in MAKERS)


@every("pitfall", PITFALLS, ids=lambda one: one.name)
def test_the_papers_say_what_the_map_says_they_do(pitfall: Pitfall) -> None:
    """Word for word on a paper of some plan to which it applies."""
    text = all_papers()
    for stand in pitfall.stands:
        for words in stand.printed:
            assert words in text, words


@every(
    ("words", "paper", "plan"),
    [
        ("pickers", "panner_html", two_mats),
        ("largest", "panner_html", two_mats),
        ("Hold these:", "creek_html", two_mats),
        ("starter", "creek_html", two_mats),
        ("mat", "creek_html", two_mats),
        ("CHECK WEIGHT, first", "panner_html", two_mats),
        ("tails tub", "creek_html", two_mats),
        ("magnet", "panner_html", two_mats),
        ("black sand, dry, g", "panner_html", rough_bed),
        ("recount", "panner_html", rough_bed),
        ("halves weighed", "creek_html", rough_bed),
        ("temp,", "creek_html", rough_bed),
        ("Open after the last weighing.", "key_html", rough_bed),
    ],
)
def test_where_it_applies_it_is_on_that_paper(words: str, paper: str, plan: Callable[..., Any]) -> None:
    """The box is on the sheet of the person who fills it in."""
    make = next(one for one in MAKERS if one.__name__ == paper)
    assert words in text_of(make(plan()))


def test_a_table_has_no_starter_and_no_mat() -> None:
    """What the map says of gear that loads up, and of a sluice, is said of no other."""
    creek = text_of(MAKERS[0](rough_bed()))
    assert "starter" not in creek and " mat " not in creek


def test_the_plan_stands_are_so() -> None:
    """Tails re-run by weight without an unchanged arm, no tails at all, poor halves, flakes: each is told or refused."""
    tails = {"lots": ({"kind": "sluice tailings"},), "gear": {"kind": "wheel"}, "change": None}
    audit = trial("gold_mass", audit=True, **tails)
    assert any("unchanged arm" in one.says and one.weight == "refuse" for one in advise(power_of_plan(audit)))
    with pytest.raises(ValueError, match="needs the tails"):
        trial("recovery", tails={"caught": "none"})
    assert any(
        "needs all tails" in one.says for one in advise(power_of_plan(trial("recovery", tails={"caught": "grab"})))
    )
    unsplit = trial("gold_mass", lots=({"kind": "natural", "splitting": "none"},))
    assert any("not split" in one.says for one in advise(power_of_plan(unsplit)))
    traced = trial("tracers", grains={"seeded": 100})
    assert any("retire bent flakes" in one.says for one in advise(power_of_plan(traced)))
    starter = [one.says for one in advise(power_of_plan(trial()))]
    assert any("starter bucket" in says for says in starter)


def test_dry_dirt_is_the_mass_by_definition() -> None:
    """A run's mass fed says so itself."""
    assert Run.model_fields["fed_g"].description == "dry dirt fed"


def test_the_page_names_every_pitfall_once() -> None:
    """Numbered as the trade numbers them, each with how it fakes and what stands against it."""
    text = pitfall_page()
    for number, pitfall in enumerate(PITFALLS, start=1):
        assert text.count(f"## {number}. {pitfall.name.capitalize()}\n") == 1
        assert pitfall.fakes in text
        assert all(stand.what in text for stand in pitfall.stands)
        assert pitfall.unseen in text


def test_a_plain_reader_gets_the_same() -> None:
    """Names, stands and what is unseen."""
    found = pitfall_dicts()
    assert [one["name"] for one in found] == list(TRADE)
    assert found[0]["unseen"] == "" and found[4]["unseen"]


def test_no_check_stands_alone_against_nothing() -> None:
    """Most checks stand against a pitfall; the rest are named here, with what they are for."""
    used = {name for pitfall in PITFALLS for stand in pitfall.stands for name in stand.checks}
    # Whether a size class can be tested, and numbers written wrong: no ways to fake a gain.
    others = {"enough-grains", "slip", "look-again"}
    assert NAMES - used == others
