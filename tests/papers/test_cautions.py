from collections.abc import Callable

import pytest

from schemas import Change, Gear, Held, Lot, Record, Run, SizeCatch
from tests.papers.plans import PLANS, five_inserts, lead_audit, rough_bed, twin_inserts, two_mats
from tests.papers.reading import MAKERS, text_of
from trials.papers.cautions import CAUTIONS, ENDING, cautions_for
from trials.papers.creek import creek_html
from trials.papers.panner import panner_html

TEXTS = {caution.about: caution.says for caution in CAUTIONS}


def said_on(page: str) -> set[str]:
    """Which cautions a page prints; each must end as all do."""
    text = text_of(page)
    found = {about for about, says in TEXTS.items() if f"{about}. {says} {ENDING}" in text}
    assert text.count(ENDING) == len(found)
    return found


@pytest.mark.parametrize(
    ("plan", "expected"),
    [
        (rough_bed, {"Mercury", "Dust", "Electricity"}),
        (two_mats, {"Mercury", "Dust", "Electricity", "Lifting", "Water", "Permits"}),
        (lead_audit, {"Electricity", "Lifting", "Lead", "Tracers and soap"}),
        (five_inserts, {"Dust", "Electricity", "Tracers and soap"}),
        (twin_inserts, {"Mercury", "Electricity"}),
    ],
)
def test_the_creek_sheet_prints_the_cautions_of_its_trial(plan: Callable[[], Record], expected: set[str]) -> None:
    """Those that apply to the feeder's work, each with its ending, and no other."""
    assert said_on(creek_html(plan())) == expected


@pytest.mark.parametrize(
    ("plan", "expected"),
    [
        (rough_bed, {"Mercury", "Heat"}),
        (two_mats, {"Mercury", "Heat", "Dust", "Magnets and moving parts"}),
        (lead_audit, {"Heat", "Dust", "Lead", "Tracers and soap"}),
        (five_inserts, {"Heat", "Tracers and soap"}),
    ],
)
def test_the_panner_sheet_prints_the_cautions_of_the_desk(plan: Callable[[], Record], expected: set[str]) -> None:
    """Heat wherever something is dried; mercury with old ground; dust where a catch is screened."""
    assert said_on(panner_html(plan())) == expected


@pytest.mark.parametrize(
    ("other", "about"),
    [
        ({"gear": Gear(kind="wheel")}, "Magnets and moving parts"),
        ({"held": Held(wetting_drops_10l=2.0)}, "Tracers and soap"),
        ({"change": Change(variable="wetting aid", baseline="none", changed=("3 drops",))}, "Tracers and soap"),
        ({"change": Change(variable="riffle", baseline="flat", changed=("bent",))}, "Dust"),
        ({"change": Change(variable="screen", baseline="12 mm", changed=("6 mm",))}, "Dust"),
        ({"lots": (Lot(kind="natural", mass_g=15_001.0),)}, "Lifting"),
    ],
)
def test_a_caution_comes_with_its_cause(other: dict[str, object], about: str) -> None:
    """Moving gear, soap, screening, weight: each brings its caution; a plain trial in a pan has none of them."""
    plain = rough_bed(gear=Gear(kind="pan"), lots=(Lot(kind="natural", mass_g=15_000.0),), change=None)
    assert about not in said_on(creek_html(plain))
    values = {"gear": Gear(kind="pan"), "lots": (Lot(kind="natural", mass_g=15_000.0),), "change": None}
    assert about in said_on(creek_html(rough_bed(**values | other)))


def test_what_was_recorded_brings_cautions_to_the_report() -> None:
    """Silvery gold seen, a magnet used, sizes screened, much black sand kept; what is dried is so in every trial."""
    trial = twin_inserts().trial.model_copy(update={"lots": (Lot(kind="made up"),)})

    def about(**fields: object) -> set[str]:
        run = Run(pair=1, arm="baseline", **fields)  # type: ignore[arg-type]
        return {caution.about for caution in cautions_for(trial, (run,))}

    none = about()
    assert "Heat" in none and "Mercury" not in none
    assert about(silvery=True) - none == {"Mercury"}
    assert about(magnet=True) - none == {"Magnets and moving parts"}
    assert about(classes=(SizeCatch(label="+20", grains=3),)) - none == {"Dust"}
    assert about(black_sand_g=5_001.0) - none == {"Radioactive heavies"}


@pytest.mark.parametrize(
    ("kind", "variable", "due"),
    [
        ("natural", "water", {"Mercury", "Heat"}),
        ("concentrate", "water", {"Mercury", "Heat"}),
        ("made up", "water", {"Heat"}),
        ("made up", "riffle", {"Heat", "Dust"}),
        ("made up", "mat", {"Heat", "Dust"}),
    ],
)
def test_old_ground_drying_and_cutting_have_their_cautions(kind: str, variable: str, due: set[str]) -> None:
    """Counted grains of a pan's concentrate are dried as weighed gold is; mats and riffles are cut and drilled."""
    change = Change.model_validate({"variable": variable, "baseline": "a", "changed": ("b",)})
    plan = rough_bed(gear=Gear(kind="pan"), lots=(Lot.model_validate({"kind": kind}),), change=change).trial
    told = {caution.about for caution in cautions_for(plan, ())}
    assert told & {"Mercury", "Heat", "Dust"} == due


@pytest.mark.parametrize("plan", PLANS)
def test_a_stand_in_is_named_on_every_sheet(plan: Callable[[], Record]) -> None:
    """Lead is never taken for gold: every sheet of every paper says what it is; gold needs no such word."""
    record = plan()
    is_lead = record.trial.measure == "tracers" and record.trial.grains.stuff == "lead"
    for make in MAKERS:
        page = make(record)
        sheets = page.count('<section class="sheet')
        assert text_of(page).count("LEAD grains, a stand-in for gold") >= (sheets if is_lead else 0)
        assert is_lead or "stand-in" not in text_of(page)
