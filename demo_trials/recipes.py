"""What each demo trial is drawn from, in the order in which they are best read. Assumed noise model, no source."""

from dataclasses import replace

from demo_trials.recipe import Reading, Recipe, Sitting, Struck
from trials.simulation.dirt import Dirt
from trials.simulation.gear import SimulatedGear, TrueEffect
from trials.simulation.noise_model import LOW, TYPICAL
from trials.simulation.tracers import SeededTracers

FROM_TAILS = (0.90, 0.88, 0.84, 0.78, 0.70, 0.58, 0.44, 0.30, 0.20, 0.12)
"""What gear that lost this gold once takes of it the second time, by class: assumed."""

SLUICE_GOOD = (0.99, 0.99, 0.985, 0.98, 0.975, 0.965, 0.95, 0.92, 0.85, 0.70)
SLUICE_COARSE_FEED = (0.95, 0.94, 0.92, 0.90, 0.87, 0.83, 0.77, 0.68, 0.55, 0.40)
SLUICE_SEEDED = (0.985, 0.975, 0.96, 0.94, 0.93, 0.86, 0.72, 0.62, 0.45, 0.30)
TABLE_SEEDED = (0.97, 0.97, 0.96, 0.94, 0.90, 0.80, 0.64, 0.50, 0.35, 0.20)
CLEANED = ("stripped", "conditioned", "dry", "magnet", "loupe")

ROUGH_BED = Recipe(
    name="rough-bed",
    luck=2,
    dirt=Dirt(gold_mg=1.25, size_set="fine", fed_g=500.0, fed_cv=0.005),
    noise=LOW,
    gear=SimulatedGear(recovery=FROM_TAILS, minutes=9.5, black_sand_g=6.2, water_l_min=8.0),
    change=TrueEffect(shift_logit=0.5, minutes_ratio=1.02, black_sand_ratio=1.9),
    cleanup_minutes=(4.0, 4.5),
    readings=(Reading("pitch_deg", (4.0, 4.0), sd=0.07, step=0.1),),
    shows=("grains",),
    sittings=(
        Sitting("2026-05-16 am", 6, 9.0),
        Sitting("2026-05-16 pm", 6, 12.0),
        Sitting("2026-05-17 am", 4, 9.5),
    ),
    notes=((6, "changed", "much fine black sand in the pan, counted twice"),),
)

TWIN_INSERTS = Recipe(
    name="twin-inserts",
    luck=85,
    dirt=Dirt(gold_mg=2.5, size_set="fine", fed_g=1000.0, fed_cv=0.005),
    noise=LOW,
    gear=SimulatedGear(recovery=FROM_TAILS, minutes=19.0, black_sand_g=12.2, water_l_min=8.0),
    cleanup_minutes=(4.0, 4.0),
    readings=(Reading("pitch_deg", (4.0, 4.0), sd=0.07, step=0.1),),
    shows=("grains",),
    sittings=(
        Sitting("2026-05-09 am", 4, 8.0),
        Sitting("2026-05-09 pm", 4, 11.5),
        Sitting("2026-05-10 am", 4, 8.5),
    ),
)

TAILS_SECOND_PASS = Recipe(
    name="tails-second-pass",
    luck=3,
    dirt=Dirt(gold_mg=130.0, size_set="fine", fed_g=2000.0, fed_cv=0.006),
    noise=LOW,
    gear=SimulatedGear(recovery=FROM_TAILS, minutes=24.0, black_sand_g=38.0, water_l_min=3.0),
    change=TrueEffect(shift_logit=0.42, minutes_ratio=1.03, black_sand_ratio=1.12),
    cleanup_minutes=(6.0, 6.0),
    readings=(Reading("rpm", (18.0, 24.0), sd=0.5, step=1.0), Reading("pitch_deg", (38.0, 38.0), sd=0.15, step=0.5)),
    shows=("gold_mg",),
    sittings=(
        Sitting("2026-06-06 am", 4, 12.0),
        Sitting("2026-06-06 pm", 4, 15.0),
        Sitting("2026-06-07 am", 4, 12.5),
        Sitting("2026-06-07 pm", 4, 15.5),
    ),
    ticks=CLEANED,
    hands=("C", "B"),
)

TWO_MATS = Recipe(
    name="two-mats",
    luck=97,
    dirt=Dirt(gold_mg=260.0, size_set="fine", lot_cv=0.2, fed_g=40_000.0, fed_cv=0.008),
    noise=replace(LOW, carry_over=0.002, panout_loss_fine=0.01),
    gear=SimulatedGear(recovery=SLUICE_GOOD, minutes=26.0, black_sand_g=210.0, water_l_min=340.0),
    change=TrueEffect(shift_logit=0.0, black_sand_ratio=0.97),
    cleanup_minutes=(14.0, 7.0),
    readings=(Reading("pitch_deg", (6.5, 6.5), sd=0.1, step=0.1),),
    shows=("gold_mg", "tails_gold_mg"),
    lots=("upper-cut",) * 6 + ("lower-cut",) * 6,
    sittings=(
        Sitting("2026-07-04 am", 4, 11.0),
        Sitting("2026-07-04 pm", 4, 14.0),
        Sitting("2026-07-05 am", 4, 11.5),
        Sitting("2026-07-11 am", 4, 12.0),
        Sitting("2026-07-11 pm", 4, 14.5),
        Sitting("2026-07-12 am", 4, 12.0),
    ),
    ticks=CLEANED,
    hands=("A", "D"),
    fed_column="fed_kg",
    fed_step=0.1,
    water_step=5.0,
)

FINER_SCREEN = Recipe(
    name="finer-screen",
    luck=4,
    dirt=Dirt(gold_mg=330.0, size_set="fine", lot_cv=0.15, fed_g=30_000.0, fed_cv=0.008),
    noise=LOW,
    gear=SimulatedGear(recovery=SLUICE_COARSE_FEED, minutes=20.0, black_sand_g=160.0, water_l_min=300.0),
    change=TrueEffect(shift_logit=0.5, minutes_ratio=1.1, black_sand_ratio=1.05),
    cleanup_minutes=(12.0, 18.0),
    readings=(Reading("pitch_deg", (6.0, 6.0), sd=0.1, step=0.1),),
    shows=("gold_mg", "tails_gold_mg"),
    sittings=(
        Sitting("2026-08-08 am", 4, 12.5),
        Sitting("2026-08-08 pm", 6, 15.5),
        Sitting("2026-08-09 am", 4, 13.0),
        Sitting("2026-08-09 pm", 4, 15.5),
    ),
    ticks=CLEANED,
    hands=("A", "B"),
    fed_column="fed_kg",
    fed_step=0.1,
    water_step=5.0,
    struck=(Struck(4, "changed", "pump stopped half way and the box drained"),),
    notes=((9, "baseline", "spare for pair 4"),),
)

FINER_SCREEN_BENCH = replace(
    FINER_SCREEN,
    name="finer-screen-bench",
    luck=7,
    dirt=Dirt(gold_mg=210.0, size_set="fine", lot_cv=0.15, fed_g=30_000.0, fed_cv=0.008),
    change=TrueEffect(shift_logit=0.6, minutes_ratio=1.1, black_sand_ratio=1.05),
    sittings=(Sitting("2026-08-29 am", 4, 12.0), Sitting("2026-08-29 pm", 4, 15.0), Sitting("2026-08-30 am", 4, 12.5)),
    struck=(),
    notes=(),
)

FINER_SCREEN_FLAT = replace(
    FINER_SCREEN_BENCH,
    name="finer-screen-flat",
    luck=5,
    dirt=Dirt(gold_mg=420.0, size_set="fine", lot_cv=0.15, fed_g=30_000.0, fed_cv=0.008),
    change=TrueEffect(shift_logit=0.3, minutes_ratio=1.1, black_sand_ratio=1.05),
    sittings=(Sitting("2026-09-12 am", 4, 10.0), Sitting("2026-09-12 pm", 4, 13.0), Sitting("2026-09-13 am", 4, 10.5)),
)

STEEPER_PITCH = Recipe(
    name="steeper-pitch",
    luck=4,
    dirt=Dirt(gold_mg=0.0, fed_g=2500.0, fed_cv=0.005),
    noise=LOW,
    gear=SimulatedGear(minutes=12.0, black_sand_g=24.0, water_l_min=60.0),
    change=TrueEffect(shift_logit=-0.75, minutes_ratio=0.9, black_sand_ratio=0.7),
    tracers=SeededTracers(fed=40, size_classes=(4, 6)),
    labels=("30/50", "50/100"),
    cleanup_minutes=(5.0, 5.0),
    readings=(Reading("pitch_deg", (5.0, 7.0), sd=0.1, step=0.1),),
    shows=("tracers",),
    sittings=(
        Sitting("2026-06-20 am", 6, 14.0),
        Sitting("2026-06-20 pm", 6, 17.0),
        Sitting("2026-06-21 am", 4, 14.5),
    ),
    hands=("E", "F"),
    water_step=0.5,
)

LEAN_BUCKETS = Recipe(
    name="lean-buckets",
    luck=7,
    dirt=Dirt(gold_mg=30.0, size_set="medium", lot_cv=0.25, fed_g=38_000.0, fed_cv=0.01),
    noise=TYPICAL,
    gear=SimulatedGear(
        recovery=(0.9741, 0.9741, 0.9654, 0.9567, 0.9392, 0.9127, 0.8681, 0.7771, 0.6354, 0.4365),
        minutes=30.0,
        black_sand_g=95.0,
        water_l_min=300.0,
    ),
    change=TrueEffect(shift_logit=0.2, black_sand_ratio=1.05),
    cleanup_minutes=(10.0, 11.0),
    readings=(Reading("pitch_deg", (6.0, 6.0), sd=0.15, step=0.1),),
    shows=("gold_mg",),
    sittings=(
        Sitting("2026-09-05 am", 4, 10.0),
        Sitting("2026-09-05 pm", 3, 12.5),
        Sitting("2026-09-06 am", 3, 10.5),
    ),
    ticks=CLEANED,
    fed_column="fed_kg",
    fed_step=0.1,
    water_step=5.0,
)

FOUR_GRITS = Recipe(
    name="four-grits",
    luck=1,
    dirt=Dirt(gold_mg=0.0, fed_g=300.0, fed_cv=0.005),
    noise=LOW,
    gear=SimulatedGear(recovery=TABLE_SEEDED, minutes=8.0, black_sand_g=4.0, water_l_min=8.0),
    change=(
        TrueEffect(shift_logit=0.12),
        TrueEffect(shift_logit=0.35, black_sand_ratio=1.1),
        TrueEffect(shift_logit=0.85, minutes_ratio=1.02, black_sand_ratio=1.25),
        TrueEffect(shift_logit=0.87, minutes_ratio=1.05, black_sand_ratio=1.9),
    ),
    tracers=SeededTracers(fed=150, size_classes=(6,)),
    labels=("50/100",),
    cleanup_minutes=(4.0, 4.0, 4.0, 4.2, 5.0),
    readings=(Reading("pitch_deg", (4.0,) * 5, sd=0.07, step=0.1),),
    shows=("tracers",),
    sittings=(
        Sitting("2026-09-19 am", 10, 9.0),
        Sitting("2026-09-19 pm", 10, 12.0),
        Sitting("2026-09-20 am", 10, 9.5),
    ),
)

SHALLOW_MAT = Recipe(
    name="shallow-mat",
    luck=1,
    dirt=Dirt(gold_mg=0.0, fed_g=10_000.0, fed_cv=0.005),
    noise=LOW,
    gear=SimulatedGear(recovery=SLUICE_SEEDED, minutes=15.0, black_sand_g=55.0, water_l_min=300.0),
    change=TrueEffect(shift_logit=(-2.2, -2.0, -1.4, -0.5, 0.4, 0.9, 1.1, 1.1, 1.0, 1.0), black_sand_ratio=1.1),
    tracers=SeededTracers(fed=40, size_classes=(1, 4, 6)),
    labels=("+20", "30/50", "50/100"),
    cleanup_minutes=(12.0, 12.0),
    readings=(Reading("pitch_deg", (6.0, 6.0), sd=0.1, step=0.1),),
    shows=("tracers",),
    sittings=(
        Sitting("2026-08-22 am", 6, 13.0),
        Sitting("2026-08-22 pm", 6, 16.0),
        Sitting("2026-08-23 am", 4, 13.5),
    ),
    hands=("A", "E"),
    water_step=5.0,
)

SLUICE_AUDIT = Recipe(
    name="sluice-audit",
    luck=11,
    dirt=Dirt(gold_mg=0.0, fed_g=10_000.0, fed_cv=0.01),
    noise=LOW,
    gear=SimulatedGear(recovery=SLUICE_SEEDED, minutes=15.0, black_sand_g=55.0, water_l_min=300.0),
    tracers=SeededTracers(fed=25, size_classes=(1, 2, 4, 6)),
    labels=("+20", "20/30", "30/50", "50/100"),
    cleanup_minutes=(12.0,),
    readings=(Reading("pitch_deg", (6.0,), sd=0.1, step=0.1),),
    shows=("tracers",),
    sittings=(Sitting("2026-07-25 am", 2, 12.0), Sitting("2026-07-25 pm", 2, 14.5)),
    hands=("A", "E"),
    water_step=5.0,
)

RECIPES = (
    ROUGH_BED,
    TWIN_INSERTS,
    TAILS_SECOND_PASS,
    TWO_MATS,
    FINER_SCREEN,
    STEEPER_PITCH,
    LEAN_BUCKETS,
    FOUR_GRITS,
    SHALLOW_MAT,
    FINER_SCREEN_BENCH,
    FINER_SCREEN_FLAT,
    SLUICE_AUDIT,
)
