"""Plans with their drawn runs, as papers are made of them."""

from typing import Any

from schemas import Change, Gear, Grains, Held, Limits, Lot, Record, Scales, Sizes, Tails, Trial
from trials.plans.draw import planned_runs


def drawn(trial: Trial) -> Record:
    """A plan and its runs."""
    return Record(trial=trial, runs=planned_runs(trial))


def rough_bed(**other: Any) -> Record:
    """Six pairs of grain counts on a finishing table; a change that can't be undone."""
    values: dict[str, Any] = {
        "name": "rough-bed",
        "question": "Does the roughened bed take more fine gold out of our table tails?",
        "measure": "grain_counts",
        "pairs": 6,
        "seed": 41,
        "lots": (Lot(kind="table tailings", mass_g=7_500.0, size="-30", splitting="riffle splitter"),),
        "gear": Gear(kind="finishing table"),
        "change": Change(
            variable="texture", baseline="painted", changed=("180 grit",), reversible="no", twin="second insert"
        ),
        "held": Held(pitch_deg=4.0, water_l_min=8.0, charge_g=350.0),
        "sizes": Sizes(series="ASTM"),
        "scales": Scales(sand_g=0.1),
    }
    return drawn(Trial(**values | other))


def two_mats(**other: Any) -> Record:
    """Twelve pairs of recovery on a sluice, two lots, an early look and a spare."""
    values: dict[str, Any] = {
        "name": "two-mats",
        "question": "Does the looped mat keep as much gold as the ribbed one?",
        "measure": "recovery",
        "pairs": 12,
        "spares": 1,
        "seed": 1207,
        "look_after": 6,
        "lots": tuple(Lot(name=name, kind="natural", mass_g=490_000.0) for name in ("upper-cut", "lower-cut")),
        "gear": Gear(kind="sluice"),
        "change": Change(variable="mat", baseline="ribbed", changed=("looped",), reversible="minutes"),
        "held": Held(pitch_deg=6.5, water_l_min=340.0, charge_g=40_000.0),
        "tails": Tails(caught="all", by="wheel, twice"),
        "scales": Scales(gold_g=0.001, sand_g=0.1),
        "sizes": Sizes(series="ASTM", main="50/100"),
        "typed": {"[held] charge": "40 kg", "[held] pitch": "6.5 deg", "[held] water": "90 gpm_us"},
    }
    return drawn(Trial(**values | other))


def every_box(**other: Any) -> Record:
    """Two mats in words of usual length, with all that the front can tell of them and all boxes for gold weighed."""
    values: dict[str, Any] = {
        "name": "every-box",
        "lots": tuple(
            Lot(
                name=name,
                kind="natural",
                mass_g=490_000.0,
                size="-6.3 mm",
                mixing="coned",
                splitting="cone and quarter",
                pickers_over_mm=2.0,
            )
            for name in ("upper-cut", "lower-cut")
        ),
        "gear": Gear(kind="sluice", width_mm=250.0, length_mm=1_200.0),
        "limits": Limits(concentrate=2.0),
    }
    return two_mats(**values | other)


def lead_audit(**other: Any) -> Record:
    """Six runs of a sluice with lead shot in it."""
    values: dict[str, Any] = {
        "name": "sluice-audit",
        "question": "Where does the box begin to lose gold?",
        "measure": "tracers",
        "pairs": 6,
        "seed": 25,
        "audit": True,
        "lots": (Lot(kind="made up", mass_g=45_000.0),),
        "gear": Gear(kind="sluice"),
        "held": Held(charge_g=10_000.0),
        "tails": Tails(caught="all"),
        "grains": Grains(stuff="lead", seeded=137),
    }
    return drawn(Trial(**values | other))


def five_inserts(**other: Any) -> Record:
    """Five blocks of five inserts, 50 grains of one size in each run, a spare block."""
    values: dict[str, Any] = {
        "name": "five-inserts",
        "measure": "tracers",
        "pairs": 5,
        "spares": 1,
        "seed": 7,
        "lots": (Lot(kind="made up", mass_g=8_000.0, size="-30"),),
        "gear": Gear(kind="finishing table"),
        "change": Change(
            variable="texture", baseline="painted", changed=("320 grit", "220 grit", "120 grit", "80 grit")
        ),
        "tails": Tails(caught="all"),
        "grains": Grains(stuff="gold", seeded=50, size="50/100"),
        "sizes": Sizes(series="ASTM"),
    }
    return drawn(Trial(**values | other))


def twin_inserts(**other: Any) -> Record:
    """A nothing-changed check of three pairs."""
    return rough_bed(**{"name": "twin-inserts", "pairs": 3, "change": None, "held": Held()} | other)


def crowded(**other: Any) -> Record:
    """A plan that fills every box there is, with the longest name and long words."""
    values: dict[str, Any] = {
        "name": "a-very-long-name-of-sixty-four-letters-and-then-some-more-of-itx",
        "question": "Why " + "W" * 300,
        "measure": "tracers",
        "pairs": 16,
        "spares": 3,
        "look_after": 5,
        "lots": tuple(
            Lot(name=f"lot-{at}-" + "x" * 50, kind="natural", mass_g=490_000.0, pickers_over_mm=2.0) for at in range(3)
        ),
        "change": Change(
            variable="mat", baseline="ribbed " * 30, changed=("粗いマットの長い説明が続きます" * 3,), twin="t" * 300
        ),
        "held": Held(
            pitch_deg=6.5,
            cross_tilt_deg=1.0,
            water_l_min=340.0,
            depth_mm=12.0,
            feed_kg_h=120.0,
            rpm=30.0,
            stroke_mm=10.0,
            wetting_drops_10l=2.0,
            temp_c=12.0,
            charge_g=40_000.0,
        ),
        "grains": Grains(stuff="lead"),
        "limits": Limits(concentrate=2.0),
        "typed": {},
        "sizes": Sizes(),
    }
    return two_mats(**values | other)


PLANS = (rough_bed, two_mats, every_box, lead_audit, five_inserts, twin_inserts, crowded)
