"""What `samedirt plan` asks of gear, change, dirt and habits: each says why it is asked, and ? explains."""

from collections.abc import Mapping
from typing import get_args

from schemas.change import Variable
from schemas.gear import GearKind
from schemas.lot import LotKind, Splitting
from trials.commands.asking import Question
from trials.commands.plan_settled import (
    A_CHANGE,
    AUDIT,
    HELD,
    RUN,
    SORT,
    SORTS,
    TAILS_TOO,
    TRACERS,
    can_compare,
)

Given = Mapping[str, str]


def _is_change(given: Given) -> bool:
    return given.get(SORT) == A_CHANGE


def _can_not_be_undone(given: Given) -> bool:
    return _is_change(given) and given.get("change.reversible") == "no"


def _moves_film(given: Given) -> bool:
    return given.get("gear.kind") == "finishing table" and given.get("change.variable") in ("pitch", "water")


def _is_set(given: Given) -> bool:
    """Whether the gear has a pitch and a water rate to hold, and none was given yet."""
    return given.get("gear.kind") != "pan" and not {"held.pitch", "held.water"} & set(given)


def _asks_what_is_held(given: Given) -> str:
    match given.get("change.variable"):
        case "pitch":
            return "How much water, in both arms?"
        case "water":
            return "At which pitch, in both arms?"
        case _ if _is_change(given):
            return "At which pitch and with how much water, in both arms?"
        case _:
            return "At which pitch and with how much water?"


def _has_gold(given: Given) -> bool:
    return bool(given.get("guess.gold"))


def _may_hold_gold(given: Given) -> bool:
    """Whether the dirt's own gold may matter: not to an audit, nor in barren gravel with counted grains."""
    return given.get(SORT) != AUDIT and given.get("lot.kind") != "made up"


def _tailings(given: Given) -> bool:
    return given.get("lot.kind", "").endswith("tailings")


GO_ON = Question(
    "go on",
    lambda _: "Go on with it?",
    "Its answers are kept until a plan is finished.",
    "yes goes on where you left; no begins anew, and the old answers are replaced.",
    choices=("yes", "no"),
    default=lambda _: "yes",
)

FIRST: tuple[Question, ...] = (
    Question(
        "name",
        lambda _: "What shall this trial be called?",
        "Every command names it: samedirt sheet NAME, samedirt verdict NAME.",
        "Letters, digits, - and _, as rough-bed or mat-2. No place where gold lies, if others will see it.",
    ),
    Question(
        SORT,
        lambda _: "What do you want to know?",
        "A change is tried against the gear as it was, on halves of one lot.",
        "The second is worth doing once before your first real trial: it tells how far pairs differ by luck alone, and "
        "whether two twin pieces are alike. The third has no before and after: counted grains in, counted grains out.",
        choices=SORTS,
        default=lambda _: A_CHANGE,
    ),
    Question(
        "gear.kind",
        lambda _: "Which gear?",
        "The papers and cautions follow it.",
        "The piece on which the change is tried. Take other if none fits.",
        choices=get_args(GearKind),
    ),
    Question(
        "change.variable",
        lambda _: "What one thing do you change?",
        "Two things changed at once can't be told apart.",
        "If the new mat needs a new pitch, hold the pitch and try the mat; then try the pitch.",
        choices=get_args(Variable),
        applies=_is_change,
    ),
    Question(
        "change.baseline",
        lambda given: f"How is the {given['change.variable']} now?",
        "The unchanged set-up is half of the answer.",
        "A few words, as painted, ribbed, 4 deg, 8 L/min. With a unit where it is a number.",
        applies=_is_change,
    ),
    Question(
        "change.changed",
        lambda given: f"And changed, how is the {given['change.variable']}?",
        "It is what the feeder fits for the other half.",
        "A few words, as 180 grit, looped, 5.5 deg. Several levels in the order of their scale, parted by ;, make a "
        "graded trial: 320 grit; 220 grit; 120 grit.",
        applies=_is_change,
    ),
    Question(
        "change.reversible",
        lambda _: "Can it be undone between two runs?",
        "The two set-ups take turns in a drawn order. What can't be undone needs a twin.",
        "minutes: swapped while the tub drains. with work: can be done, but not for every run. no: sanding, cutting, "
        "drilling.",
        choices=("minutes", "with work", "no"),
        default=lambda _: "minutes",
        applies=_is_change,
    ),
    Question(
        "change.twin",
        lambda given: f"{given['change.changed']} can't be undone. Which twin piece will carry it?",
        "Smooth and rough can't alternate on one bed: make two pieces alike, change one, keep the other as it was.",
        "As: second insert, cut and painted together. Prove the two alike first: a nothing-changed check of 4 pairs.",
        applies=_can_not_be_undone,
    ),
    Question(
        "gear.width",
        lambda _: "How wide is the table?",
        "Pitch and water move the film; width tells how deep and fast it is on both sides.",
        "With its unit: 250 mm, 10 in.",
        applies=_moves_film,
        may_be_blank=True,
    ),
    Question(
        HELD,
        _asks_what_is_held,
        "What stays the same can't be the cause. A pump's label is not a reading: time a bucket.",
        "With its unit, in one line: 4 deg, 8 L/min. A pitch may be deg, in/ft or %; water L/min or gpm us. A digital "
        "level on the bed is good to 0.2 deg, a bucket timed three times to 5 %.",
        applies=_is_set,
        may_be_blank=True,
    ),
    Question(
        "lot.kind",
        lambda _: "What dirt will be run?",
        "Any second pass of tailings finds gold, so there the unchanged half matters most.",
        "natural: from the ground. made up: weighed barren gravel with counted grains in it.",
        choices=get_args(LotKind),
    ),
    Question(
        "lot.mass",
        lambda _: "How much of it is there, all in all?",
        "It sets how many runs there can be.",
        "With its unit: 7.5 kg, 40 lb. Weigh it, or count buckets: a 5-gallon bucket of damp gravel is 30 to 40 kg.",
    ),
    Question(
        "lot.splitting",
        lambda _: "What will split it into halves?",
        "Scoops and shovels deal heavy grains unevenly, and that looks like a gain.",
        "A riffle splitter is a row of chutes that throw left and right in turn; one of tin or ply does.",
        choices=get_args(Splitting),
        default=lambda _: "cone and quarter",
        applies=lambda given: given.get(SORT) != AUDIT,
    ),
    Question(
        "guess.gold",
        lambda _: "About how much gold is in it?",
        "With too little gold in a run, no number of runs tells; better to know now.",
        "mg per kg: lean gravel 0.3, good gravel 1, stored table tails 1 to 20, rough concentrate 50 to 500. A pan of "
        "8 kg with 4 mg in it is 0.5 mg/kg. Leave it open if you can't say: tracer grains need no guess.",
        applies=_may_hold_gold,
        may_be_blank=True,
    ),
    Question(
        "guess.sizes",
        lambda _: "And how large are its grains?",
        "A few coarse grains scatter far more than many fine ones of the same weight.",
        "coarse: much of it over 0.8 mm (20 mesh). medium: about 0.4 mm. fine: most under 0.3 mm (50 mesh).",
        choices=("coarse", "medium", "fine"),
        default=lambda given: "fine" if _tailings(given) else "medium",
        applies=_has_gold,
    ),
    Question(
        "guess.care",
        lambda _: "How alike do two runs of yours come out?",
        "It is the part of the scatter that no scale and no splitter takes away.",
        "careful: timed feed, level scoops, water timed every run; about 1 point from run to run. usual: 2 to 3. "
        "hurried: 5 or more. Assumed figures, no source: a nothing-changed check tells your own.",
        choices=("careful", "usual", "hurried"),
        default=lambda _: "usual",
        applies=lambda given: given.get(SORT) != AUDIT,
    ),
    Question(
        "scales.gold",
        lambda _: "What is the smallest step of your gold scale?",
        "Under 50 steps of gold on it, a weight is too rough to compare.",
        "With its unit: 0.01 g for a pocket scale, 0.001 g for a milligram scale.",
        default=lambda _: "0.01 g",
        applies=_has_gold,
    ),
    Question(
        "held.charge",
        lambda given: "How much dirt is one run fed?" if given.get(SORT) != AUDIT else "How much dirt is a run fed?",
        "The same every time; it also sets how long a run takes.",
        "With its unit: 350 g, 10 kg, 1 lb.",
    ),
    Question(
        TAILS_TOO,
        lambda _: "Can you catch all tails of every run in a tub, and go over them again?",
        "Gold kept over gold found in all takes the luck of the feed out of it.",
        "With one slower method, the same for every run: a wheel, a pan, a bowl.",
        choices=("yes", "no"),
        default=lambda _: "yes",
        applies=lambda given: not given.get("tails.caught"),
    ),
    Question(
        TRACERS,
        lambda _: "How many counted tracer grains could you put into one run?",
        "Counted grains need no rich dirt, and a size the gear half-loses tells most.",
        "Gold flakes or stand-ins of one sieve size, marked, and told apart from the dirt's own. 0: none. They stay in "
        "a closed tub, never in a creek.",
        default=lambda _: "0",
        applies=lambda given: can_compare(given) and given.get(TAILS_TOO) == "yes",
    ),
    Question(
        RUN,
        lambda _: "How long does such a run take, and cleaning up after it?",
        "Runs are dear: most trials end for want of hours, not of dirt.",
        "Feeding it as you always do, then down to the last pan, with units: 20 min + 15 min. 20 min alone leaves 15 "
        "min for cleaning up.",
        default=lambda _: "20 min + 15 min",
        applies=can_compare,
    ),
    Question(
        "guess.time",
        lambda _: "How many hours are there for the whole trial?",
        "Only ways that fit into them are offered.",
        "With its unit: 12 h. All sittings together. Left open: as long as it takes.",
        applies=can_compare,
        may_be_blank=True,
    ),
)
