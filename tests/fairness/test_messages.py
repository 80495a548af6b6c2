"""Each check in its own words: value, place and remedy of every message, in one table."""

import re
from dataclasses import dataclass
from datetime import date
from typing import Any

from schemas import Lot, Run, Scales, SizeCatch, Sizes, Tails, Trial
from tests.fairness.asking import by_arm, everywhere, found, good, one, traced, weighed, with_of
from tests.tables import every
from tests.verdicts.cases import counts, masses, recovery_runs, trial
from trials.fairness.checklist import CHECKS
from trials.statistics.balanced_draw import draw_places


@dataclass(frozen=True)
class Tripped:
    """A trial that trips a check, and all that is said of it."""

    check: str
    plan: Trial
    runs: list[Run]
    severity: str
    message: str
    pairs: tuple[int, ...] = ()
    but: str = ""


def first_in(runs: list[Run], changed_first: str) -> list[Run]:
    """The runs of each pair put in the order told: b or c goes first."""
    return [r.model_copy(update={"turn": 2 * r.pair - 1 + (r.arm[0] != changed_first[r.pair - 1])}) for r in runs]


def sized(label_counts: dict[str, int]) -> tuple[SizeCatch, ...]:
    """Native grains by class."""
    return tuple(SizeCatch(label=label, grains=n) for label, n in label_counts.items())


def last(runs: list[Run], number: int, **more: Any) -> list[Run]:
    """The same runs, with more known of the last ones."""
    return [*runs[:-number], *everywhere(runs[-number:], **more)]


TWO_LOTS = (Lot(name="face-1", kind="natural"), Lot(name="face-2", kind="natural"))
FINE = Scales(gold_g=0.001)
CLASSED = [
    r.model_copy(update={"classes": sized({"20/30": 90, "50/100": 40, "-100": 7})})
    for r in counts([(140, 150), (137, 139), (141, 160)] * 2)
]
STRUCK = {"void": "spill", "void_gold_known": True}
DRAWN = "".join("bc"[arm] for arm in draw_places(6, 2, seed=41)[:, 0])
OTHER_ORDER = "".join("bc"["cb".index(first)] if at in (1, 4) else first for at, first in enumerate(DRAWN))
RISING = [
    r.model_copy(update={"gold_mg": (r.gold_mg or 0) + up, "tails_gold_mg": (r.tails_gold_mg or 0) - up})
    for r in good()
    for up in [2.0 * r.pair + 0.1 * (r.pair % 2)]
]
TABLE = [
    Tripped(
        "control-there",
        trial(),
        [r for r in good() if r.key not in ((2, "baseline"), (5, "baseline"))],
        "STOP",
        "No unchanged half in pairs 2 and 5. Any second pass finds gold; run the other half unchanged.",
        (2, 5),
    ),
    Tripped(
        "one-change",
        trial(),
        by_arm(good(), {"pitch_deg": 4.0}, {"pitch_deg": 5.5}),
        "STOP",
        "Pitch also differs: 4 against 5.5 deg (over 0.5 deg, our default). Put it back or plan it apart.",
    ),
    Tripped(
        "first-turn",
        trial(),
        first_in(good(), "bbbbbb"),
        "STOP",
        "The changed gear ran second in 6 of 6 pairs. Order and change cannot be told apart; draw the order again.",
        (1, 2, 3, 4, 5, 6),
        but="the changed gear ran second in 6 of 6 pairs",
    ),
    Tripped(
        "same-lot",
        trial(lots=TWO_LOTS),
        with_of(everywhere(good(), fed_lot="face-1"), 4, "changed", fed_lot="face-2"),
        "STOP",
        "Pair 4: halves came from face-1 and face-2. A pair is two halves of one lot; split one lot and run both "
        "halves.",
        (4,),
    ),
    Tripped(
        "split-tool",
        trial("gold_mass", lots=(Lot(kind="natural", splitting="shovel"),), scales=FINE),
        weighed(),
        "WEAKENS",
        "Split by shovel: heavy grains fall unevenly (sizes over 0.3 mm, our default). Use a riffle splitter, or pair "
        "on closed tails.",
        but="the lot was split by shovel",
    ),
    Tripped(
        "like-halves",
        trial(),
        with_of(good(), 3, "changed", fed_g=379.0),
        "WEAKENS",
        "Pair 3: halves differ by 8 % (over 5 %, our default). Re-split by weight.",
        (3,),
        but="the halves of pair 3 differ by 8 %",
    ),
    Tripped(
        "same-session",
        trial(),
        with_of(everywhere(good(), session="2026-05-03 am"), 2, "changed", session="2026-05-04 am"),
        "WEAKENS",
        "Pair 2 spans two sessions. Run both halves in one sitting.",
        (2,),
        but="pair 2 spans two sessions",
    ),
    Tripped(
        "leftovers",
        trial(),
        with_of(everywhere(good(), stripped=True), 3, "changed", stripped=False, tag="HTK"),
        "WEAKENS",
        "No strip-down before run HTK. Rinse under the mat; book the rinse to the run before.",
        (3,),
        but="nothing was stripped before run HTK",
    ),
    Tripped(
        "settled-bed",
        trial(),
        last(everywhere(good(), conditioned=True), 4, conditioned=False),
        "WEAKENS",
        "Clean bed at start of the baseline halves of pairs 5 and 6 and the changed halves of pairs 5 and 6, loaded in 8. "
        "Feed the same starter charge each time.",
        (5, 6),
        but="4 of 12 runs began on a clean bed and 8 on a loaded one",
    ),
    Tripped(
        "steady-water",
        trial(),
        with_of(
            everywhere(good(), water_l_min=100.0, water_end_l_min=99.0), 3, "changed", water_end_l_min=82.0, tag="HTK"
        ),
        "WEAKENS",
        "The water fell 18 % in run HTK (over 15 %, our default). Clean the filter, re-time the bucket.",
        (3,),
        but="the water fell 18 % in run HTK",
    ),
    Tripped(
        "water-temp",
        trial(),
        with_of(everywhere(good(), temp_c=6.0), 1, "changed", temp_c=15.0),
        "WEAKENS",
        "Pair 1: 6 then 15 C (over 8 C, our default). Cold slows fine gold's settling; run pairs close together.",
        (1,),
        but="the halves of pair 1 were 9 C apart",
    ),
    Tripped(
        "soap-and-cloud",
        trial(),
        by_arm(good(), {"wetting_drops_10l": 0.0}, {"wetting_drops_10l": 4.0}),
        "WEAKENS",
        "Wetting aid was in the changed arm only, 4 drops in 10 L. Same dose, fresh tub.",
        but="wetting aid was in the changed arm only",
    ),
    Tripped(
        "feed-rhythm",
        trial(),
        by_arm(good(), {"minutes": 7.2}, {"minutes": 10.0}),
        "WEAKENS",
        "The changed gear was fed 28 % slower, 2.1 against 2.92 kg/h (over 20 %, our default). Use the timer and level "
        "scoops; slow feed alone can gain.",
        but="the changed gear was fed 28 % slower",
    ),
    Tripped(
        "who-knew",
        trial("grain_counts", knew="panner"),
        counts([(30, 40)] * 6),
        "WEAKENS",
        "The panner knew the set-up. Hand over tagged jars only.",
        but="the panner knew the set-up",
    ),
    Tripped(
        "tails-kept",
        trial(),
        everywhere(good(), tails_gold_mg=None)[:7],
        "WEAKENS",
        "No tails in 6 runs of pairs 1, 2 and 3: this shows gold kept, not recovery. Tub the tails.",
        (1, 2, 3),
        but="the tails of 6 runs are missing",
    ),
    Tripped(
        "too-many-zeros",
        trial("grain_counts"),
        counts([(0, 3), (2, 0), (0, 1), (4, 0), (1, 3), (2, 2)]),
        "STOP",
        "4 of 12 runs found none (over 20 %, our default). Pool classes, feed more, or count tracers.",
    ),
    Tripped(
        "scale-fine-enough",
        trial("gold_mass", scales=Scales(gold_g=0.01)),
        masses([(80, 81), (82, 79), (80, 80)] * 2),
        "STOP",
        "0.08 g in the middle run, on a 0.01 g scale, is 8 steps (under 10, our default). Pool classes, count grains, "
        "or use a 0.001 g scale.",
        but="the gold of the middle run is only 8 steps of the scale",
    ),
    Tripped(
        "clean-gold",
        trial("gold_mass", scales=FINE),
        last(weighed(magnet=True), 3, magnet=False),
        "WEAKENS",
        "Gold of the changed halves of pairs 5 and 6 and the baseline half of pair 6 not magnet-cleaned. "
        "Black sand weighs as gold; clean and reweigh.",
        (5, 6),
        but="the gold of 3 of 12 runs was not magnet-cleaned",
    ),
    Tripped(
        "big-piece",
        trial("gold_mass", scales=FINE, pairs=7),
        with_of(weighed(largest_mg=2.0), 3, "changed", largest_mg=66.0, tag="HTK"),
        "WEAKENS",
        "One piece is 61 % of a run of pair 3 (over 20 %, our default). Book it as a picker, same size limit in both "
        "arms.",
        (3,),
        but="one piece is 61 % of a run of pair 3",
    ),
    Tripped(
        "grains-home",
        trial("tracers"),
        [r.model_copy(update={"in_tails": 91 - (r.kept or 0)}) for r in traced()],
        "WEAKENS",
        "108 of 1,200 grains unaccounted (over 5 %, our default). Pan hoses and mat; shown as missing, not lost.",
        but="108 of 1,200 grains are unaccounted for",
    ),
    Tripped(
        "voids-even",
        trial(spares=3),
        [r.model_copy(update=STRUCK) if r.pair > 6 and r.arm == "changed" else r for r in good(9)],
        "STOP",
        "3 changed runs voided after weighing, none in the other arm. Retest.",
        (7, 8, 9),
    ),
    Tripped(
        "plan-first",
        trial(locked=date(2026, 5, 5)),
        good(session="2026-05-03 am"),
        "WEAKENS",
        "Plan locked 2 days after the first run. A hunch only; plan a new trial.",
        but="the plan was locked 2 days after the first run",
    ),
    Tripped(
        "extended",
        trial(),
        good(8),
        "WEAKENS",
        "2 pairs were added after the planned end; real false alarms about 8 to 9 %. Fix the number of pairs before "
        "the first run.",
        (7, 8),
        but="2 pairs were added after the planned end",
    ),
    Tripped(
        "closed-short",
        trial(),
        with_of(good(), 2, "baseline", void="spill", void_gold_known=False),
        "WEAKENS",
        "5 of 6 pairs: one was void and no spare was left. Plan a spare or two.",
        (2,),
        but="only 5 of 6 planned pairs count",
    ),
    Tripped(
        "thin-record",
        trial(knew=None),
        everywhere(good(), turn=None),
        "WEAKENS",
        "Not recorded: turn, who knew. Order and hand cannot be judged; write them on the sheet next time.",
        but="turn and who knew were not recorded",
    ),
    Tripped(
        "slip",
        trial("gold_mass"),
        with_of(with_of(weighed(), 2, "changed", gold_mg=0.103, tag="HTK"), 5, "baseline", gold_mg=5_600.0),
        "STOP",
        "Run HTK has 0.103 mg and the baseline half of pair 5 has 5,600 mg, over 50 times from the middle of the other "
        'runs of its set-up (our default). Correct it: samedirt enter mat HTK --again --why "the reason"; or, if it '
        "stands: samedirt enter mat HTK --set as_typed=gold_mg.",
        (2, 5),
    ),
    Tripped(
        "look-again",
        trial("gold_mass", lots=(Lot(kind="natural"),)),
        with_of(weighed(), 2, "changed", black_sand_g=9_500.0, fed_g=350.0, tag="HTK"),
        "WEAKENS",
        "Run HTK, black_sand_g: 9.5 kg is more than the 350 g of dirt fed. Correct it: samedirt enter mat TAG --again "
        '--why "the reason"; or, if it stands: samedirt enter mat TAG --as-typed.',
        (2,),
    ),
    Tripped(
        "drawn-order",
        trial(seed=41),
        first_in(good(), OTHER_ORDER),
        "NOTE",
        "Pairs 2 and 5 were run in another order than drawn. Run them as the sheet says; a chosen order can favour an "
        "arm.",
        (2, 5),
    ),
    Tripped(
        "enough-grains",
        trial("grain_counts", sizes=Sizes(series="ASTM")),
        CLASSED,
        "NOTE",
        "7 grains a run in -100 (under 20, our default): shown, not tested. Join -100 to 50/100, or feed more.",
    ),
    Tripped(
        "order-effect",
        trial(pairs=8),
        recovery_runs((3.1, 1.0, 2.8, 1.2, 3.0, 0.9, 2.9, 1.1)),
        "NOTE",
        "Going first seems to matter: luck alone does as much less than 1 time in 1,000. See the limits without it.",
    ),
    Tripped(
        "drift",
        trial(),
        RISING,
        "NOTE",
        "Baseline results rose by about 0.94 points a run over the trial; luck alone does as much less than 1 time in "
        "1,000. The drawn order spreads that over both arms; look for what warmed, wore or filled up.",
    ),
    Tripped(
        "odd-pair",
        trial(),
        recovery_runs((0.1, 0.2, 0.0, 0.15, 0.05, 9.0)),
        "NOTE",
        "Pair 6 lies far from the others. Read its notes; it stays in the sum.",
        (6,),
    ),
    Tripped(
        "one-pair-carries",
        trial(pairs=8),
        recovery_runs((0.6, 0.2, 1.4, 0.1, 0.9, -0.4, 1.2, 0.5)),
        "NOTE",
        "Zero is just outside: without any one of most pairs (5 of 8) it would be inside.",
    ),
    Tripped(
        "over-dispersion",
        trial("grain_counts"),
        counts([(100, 180), (150, 90), (120, 60), (90, 170), (200, 120), (80, 160)]),
        "ok",
        "Runs differ by more than counting luck: usual, the interval carries it.",
    ),
    Tripped(
        "too-tidy",
        trial("grain_counts"),
        counts([(100, 120), (80, 96), (60, 72), (90, 108), (50, 60), (70, 84)]),
        "NOTE",
        "Pairs agree better than counting allows: luck alone does so in under 1 % of trials (our default). Check for "
        "copied or rounded counts.",
        but="pairs agree better than counting luck allows",
    ),
]


@every("tripped", TABLE, ids=lambda tripped: tripped.check)
def test_what_a_check_says(tripped: Tripped) -> None:
    """The value, the place, the rule and the next step, word for word."""
    (said,) = found(tripped.check, tripped.plan, tripped.runs)
    assert (said.severity, said.message, said.pairs) == (tripped.severity, tripped.message, tripped.pairs)
    assert said.in_headline == tripped.but


def test_every_check_is_in_the_table() -> None:
    """No check without a trial that trips it."""
    assert {tripped.check for tripped in TABLE} == {check.name for check in CHECKS}


@every("tripped", TABLE, ids=lambda tripped: tripped.check)
def test_a_good_trial_is_told_nothing_of_it(tripped: Tripped) -> None:
    """The same plan, run well and written down, has nothing said against it."""
    clean = {
        "recovery": everywhere(good(tripped.plan.pairs), tag=None),
        "gold_mass": weighed(),
        "tracers": traced(),
        "grain_counts": counts([(101, 140), (97, 139), (112, 151), (93, 128), (120, 149), (99, 133)]),
    }[tripped.plan.measure]
    clean = everywhere(
        clean,
        **dict.fromkeys(("stripped", "conditioned", "dry", "magnet", "loupe"), True),
        water_l_min=100.0,
        water_end_l_min=99.0,
        wetting_drops_10l=2.0,
        temp_c=9.0,
        minutes=10.0,
        largest_mg=2.0,
        pitch_deg=4.0,
        session="2026-05-03 am",
        fed_lot="lot",
    )
    plan = trial(
        tripped.plan.measure, tripped.plan.pairs, locked=date(2026, 5, 1), scales=FINE, tails=Tails(caught="all")
    )
    assert one(tripped.check, plan, clean)[0] in ("ok", "not recorded")


def test_a_message_is_one_plain_line() -> None:
    """Each is one line of whole sentences, without marks that only a screen could show."""
    for tripped in TABLE:
        assert re.fullmatch(r"[A-Z0-9][ -~]+\.", tripped.message), tripped.message
