import pytest

from schemas import Grains, Held, Lot, Sizes, Tails
from tests.papers.plans import five_inserts, lead_audit, rough_bed, two_mats
from trials.papers.gear_parts import searches_tails, tails_box, takes_starter
from trials.papers.plan_words import plan_lines
from trials.papers.readings import to_hold, unit_of
from trials.papers.set_ups import display_width, set_ups
from trials.papers.size_boxes import USUAL, size_classes
from trials.units.sieves import overlapping, read_size_class


def test_the_front_tells_the_plan() -> None:
    """Question, dirt, set-ups, charge, pairs, look, starter, tails."""
    lines = dict(plan_lines(two_mats().trial))
    assert lines["Question"] == ("Does the looped mat keep as much gold as the ribbed one?",)
    assert lines["Dirt"] == ("lot 1 (upper-cut): natural, 490 kg", "lot 2 (lower-cut): natural, 490 kg")
    assert lines["Set-ups"] == ("baseline: mat ribbed", "changed: mat looped")
    assert lines["Charge, each run"] == ("40 kg",) and lines["Held the same"] == (
        "pitch 6.5 deg, water 90 gpm_us (340 L/min)",
    )
    assert lines["Runs"] == ("12 pairs, 24 runs; 1 spare pair",)
    assert "starter charge" in lines["Starter"][0]
    assert lines["Tails"] == (
        "catch all of them in a tub, with the tag of the run; how they are searched: wheel, twice",
    )
    assert "Verdict" not in lines and "Twin" not in lines


def test_lines_without_a_value_are_left_out() -> None:
    """No question, no starter, no grains, no tails: no line."""
    names = [name for name, _ in plan_lines(rough_bed(question="").trial)]
    first = ["Dirt", "Halves", "Gear", "Changed", "Set-ups", "Held the same", "Twin"]
    assert names == [*first, "Charge, each run", "Runs", "Verdict"]


def test_an_audit_and_a_graded_trial_count_in_their_own_words() -> None:
    """Runs, and blocks."""
    assert dict(plan_lines(lead_audit().trial))["Runs"] == ("6 runs; no spare",)
    assert dict(plan_lines(five_inserts().trial))["Runs"] == ("5 blocks, 25 runs; 1 spare block",)


@pytest.mark.parametrize(
    ("stuff", "says"),
    [("gold", "gold grains"), ("tungsten", "TUNGSTEN grains, a stand-in"), ("other", "STAND-IN grains, not gold")],
)
def test_grains_are_named_by_their_stuff(stuff: str, says: str) -> None:
    """What is seeded, and that the number stays with the feeder."""
    trial = lead_audit(grains=Grains(stuff=stuff, seeded=25)).trial  # type: ignore[arg-type]
    (line,) = dict(plan_lines(trial))["Grains"]
    assert line.startswith(says) and "25 of them" in line and line.endswith("do not tell the panner the number")


def test_held_settings_without_typed_text_are_shown_in_plain_units() -> None:
    """What a program set, not a person: stored units, kilograms from 1,000 g."""
    trial = rough_bed(held=Held(charge_g=40_000.0, rpm=18.0, wetting_drops_10l=2.0, temp_c=12.0)).trial
    assert to_hold(trial) == [
        ("speed", "18 rpm"),
        ("wetting aid", "2 drops in 10 L"),
        ("water temp.", "12 °C"),
        ("charge", "40 kg"),
    ]
    assert unit_of(trial, "charge_g") == "kg" and unit_of(trial, "water_l_min") == "L/min"


def test_set_ups_of_one_trial_are_printed_alike_and_stay_apart() -> None:
    """Words too long for a row get numbers, so that two that begin alike are told apart."""
    long = tuple("expanded mesh over ribbed rubber matting, " + end for end in ("flat", "raised"))
    change = rough_bed().trial.change.model_copy(update={"baseline": "none", "changed": long})  # type: ignore[union-attr]
    fits = list(set_ups(rough_bed(change=change).trial).values())
    assert len({one.short for one in fits}) == 3
    assert len({one.size for one in fits}) == 1
    assert all(display_width(one.short) <= 40 for one in fits)
    assert fits[2].words == long[1]


@pytest.mark.parametrize(
    ("caught", "measure", "box", "searched"),
    [
        ("all", "recovery", "tails tub", True),
        (None, "recovery", "tails tub", True),
        ("lip cuts", "tails_gold", "lip cuts", True),
        ("none", "gold_mass", "", False),
        (None, "gold_mass", "", False),
        ("all", "gold_mass", "tails tub", False),
        (None, "tracers", "tails tub", True),
        ("none", "tracers", "", False),
        (None, "grain_counts", "", False),
    ],
)
def test_tails_are_asked_for_where_they_are_kept(caught: str | None, measure: str, box: str, searched: bool) -> None:
    """A box to tick where they are caught; a line to weigh or count where the measure needs them."""
    trial = two_mats(measure=measure, tails=Tails(caught=caught)).trial  # type: ignore[arg-type]
    assert (tails_box(trial), searches_tails(trial)) == (box, searched)


def test_gear_that_loads_takes_a_starter() -> None:
    """A sluice does, a finishing table does not."""
    assert takes_starter(two_mats().trial) and not takes_starter(rough_bed().trial)


@pytest.mark.parametrize("series", list(USUAL))
def test_the_usual_classes_are_sieves_of_their_series(series: str) -> None:
    """Each can be read, they do not overlap, and their limits are 0.85, 0.6, 0.3 and 0.15 mm (ASTM E11, table 1)."""
    read = [read_size_class(label, series) for label in USUAL[series]]  # type: ignore[index]
    assert overlapping(read) == []
    assert [one.lower_mm for one in read] == [0.85, 0.6, 0.3, 0.15, None]


def test_classes_fit_the_plan() -> None:
    """One class seeded: none. A main class of its own: it, and what lies on either side. Sizes the dirt can't hold: none."""
    assert size_classes(five_inserts().trial) == ()
    assert size_classes(lead_audit().trial) == USUAL["ASTM"]  # type: ignore[index]
    own = rough_bed(sizes=Sizes(series="ASTM", main="30/60")).trial
    assert size_classes(own) == ("+30", "30/60", "-60")
    lots = (Lot(kind="table tailings", size="-30"), Lot(name="second", kind="table tailings", size="-20"))
    both = rough_bed(lots=lots, sizes=Sizes(series="ASTM", main="50/100")).trial
    assert size_classes(both) == ("20/30", "30/50", "50/100", "-100")
