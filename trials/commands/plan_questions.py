"""What `samedirt plan` asks, in order: each says why it is asked, and ? explains."""

from collections.abc import Mapping
from typing import get_args

from schemas.change import Variable
from schemas.gear import GearKind
from schemas.lot import LotKind, Splitting
from schemas.trial import Knew
from trials.commands.asking import Question

Given = Mapping[str, str]
TRACERS_TO_HAND, TAILS_TOO, TRIAL_SORT = "tracers to hand", "tails too", "sort"
APART = (TRACERS_TO_HAND, TAILS_TOO, TRIAL_SORT)
"""Answers that steer the conversation and are no keys of a plan."""
SORTS = (
    "did a change catch more",
    "how far do two alike runs differ, nothing changed",
    "where do losses start (audit)",
)


def _changes(given: Given) -> bool:
    return given.get(TRIAL_SORT, SORTS[0]) == SORTS[0]


def _can_not_be_undone(given: Given) -> bool:
    return _changes(given) and given.get("change.reversible") == "no"


def _is_table(given: Given) -> bool:
    return given.get("gear.kind") == "finishing table"


def _moves_film(given: Given) -> bool:
    return _is_table(given) and given.get("change.variable") in ("pitch", "water")


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
        TRIAL_SORT,
        lambda _: "What do you want to know?",
        "A change is tried against the gear as it was, on halves of one lot.",
        "The second is worth doing once before your first real trial: it tells how far pairs differ by luck alone, and "
        "whether two twin pieces are alike. The third has no before and after: counted grains in, counted grains out.",
        choices=SORTS,
        default=lambda _: SORTS[0],
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
        applies=_changes,
    ),
    Question(
        "change.baseline",
        lambda given: f"How is the {given['change.variable']} now?",
        "The unchanged set-up is half of the answer.",
        "A few words, as painted, ribbed, 4 deg, 8 L/min. With a unit where it is a number.",
        applies=_changes,
    ),
    Question(
        "change.changed",
        lambda given: f"And changed, how is the {given['change.variable']}?",
        "It is what the feeder fits for the other half.",
        "A few words, as 180 grit, looped, 5.5 deg. Several levels in the order of their scale, parted by ;, make a "
        "graded trial: 320 grit; 220 grit; 120 grit.",
        applies=_changes,
    ),
    Question(
        "change.reversible",
        lambda _: "Can it be undone between two runs?",
        "The two set-ups take turns in a drawn order. What can't be undone needs a twin.",
        "minutes: swapped while the tub drains. with work: can be done, but not for every run. no: sanding, cutting, "
        "drilling.",
        choices=("minutes", "with work", "no"),
        default=lambda _: "minutes",
        applies=_changes,
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
        "held.pitch",
        lambda _: "At which pitch will it stand, in both arms?",
        "Held the same, it can't be the cause.",
        "With its unit: 4 deg, 1 in/ft, 7 %. A digital level on the bed is good to 0.2 deg.",
        applies=lambda given: given.get("change.variable") != "pitch" and given.get("gear.kind") != "pan",
        may_be_blank=True,
    ),
    Question(
        "held.water",
        lambda _: "How much water, in both arms?",
        "Held the same, it can't be the cause. A filter that clogs is the usual culprit.",
        "With its unit: 8 L/min, 2 gpm us. Time a bucket three times; a pump's label is not a reading.",
        applies=lambda given: given.get("change.variable") != "water" and given.get("gear.kind") != "pan",
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
    ),
    Question(
        "guess.gold",
        lambda _: "About how much gold is in it?",
        "With too little gold in a run, no number of runs tells; better to know now.",
        "mg per kg: lean gravel 0.3, good gravel 1, stored table tails 1 to 20, rough concentrate 50 to 500. A pan of "
        "8 kg with 4 mg in it is 0.5 mg/kg. Leave it open if you can't say: tracer grains need no guess.",
        may_be_blank=True,
    ),
    Question(
        "guess.sizes",
        lambda _: "And how large are its grains?",
        "A few coarse grains scatter far more than many fine ones of the same weight.",
        "coarse: much of it over 0.8 mm (20 mesh). medium: about 0.4 mm. fine: most under 0.3 mm (50 mesh).",
        choices=("coarse", "medium", "fine"),
        default=lambda given: "fine" if _tailings(given) else "medium",
        applies=lambda given: bool(given.get("guess.gold")),
    ),
    Question(
        "guess.care",
        lambda _: "How alike do two runs of yours come out?",
        "It is the part of the scatter that no scale and no splitter takes away.",
        "careful: timed feed, level scoops, water timed every run; about 1 point from run to run. usual: 2 to 3. "
        "hurried: 5 or more. Assumed figures, no source: a nothing-changed check tells your own.",
        choices=("careful", "usual", "hurried"),
        default=lambda _: "usual",
    ),
    Question(
        "scales.gold",
        lambda _: "What is the smallest step of your gold scale?",
        "Under 50 steps of gold on it, a weight is too rough to compare.",
        "With its unit: 0.01 g for a pocket scale, 0.001 g for a milligram scale.",
        default=lambda _: "0.01 g",
    ),
    Question(
        TAILS_TOO,
        lambda _: "Can you catch all tails of every run in a tub, and go over them again?",
        "Gold kept over gold found in all takes the luck of the feed out of it.",
        "With one slower method, the same for every run: a wheel, a pan, a bowl.",
        choices=("yes", "no"),
        default=lambda _: "yes",
    ),
    Question(
        TRACERS_TO_HAND,
        lambda _: "How many counted tracer grains could you put into one run?",
        "Counted grains need no rich dirt, and a size the gear half-loses tells most.",
        "Gold flakes or stand-ins of one sieve size, marked, and told apart from the dirt's own. 0: none. They stay in "
        "a closed tub, never in a creek.",
        default=lambda _: "0",
    ),
    Question(
        "held.charge",
        lambda _: "How much dirt is one run fed?",
        "The same in both arms; it also sets how long a run takes.",
        "With its unit: 350 g, 10 kg, 1 lb.",
    ),
    Question(
        "guess.run",
        lambda _: "How long does such a run take, feeding it as you always do?",
        "Runs are dear: most trials end for want of hours, not of dirt.",
        "With its unit: 20 min, 1.5 h.",
    ),
    Question(
        "guess.cleanup",
        lambda _: "And cleaning up after it, down to the last pan?",
        "It is spent after every run.",
        "With its unit: 15 min.",
        default=lambda _: "15 min",
    ),
    Question(
        "guess.time",
        lambda _: "How many hours are there for the whole trial?",
        "Only ways that fit into them are offered.",
        "With its unit: 12 h. All sittings together.",
        may_be_blank=True,
    ),
    Question(
        "worth_having",
        lambda _: "What is the smallest gain worth having?",
        "Typed before the first run and then locked: afterwards any gain looks worth it.",
        "20 % more gold, or 3 points more of the gold that is there (recovery). Think of the sand and minutes it may "
        "cost.",
        applies=lambda given: given.get(TRIAL_SORT, SORTS[0]) == SORTS[0],
    ),
)


LAST: tuple[Question, ...] = (
    Question(
        "pairs",
        lambda given: "How many pairs?" if given.get(TRIAL_SORT) != SORTS[2] else "How many runs?",
        "Fixed before the first run: stopping while ahead is how luck wins.",
        "3 to 60. Under 6 the exact check by the draw can't speak.",
        default=lambda given: given.get("pairs needed", "6"),
    ),
    Question(
        "spares",
        lambda _: "How many spare pairs, for void ones?",
        "A spilt jar voids its pair; without a spare the trial closes short.",
        "0 to 5. They are run only when a pair is void, and need dirt kept back.",
        default=lambda _: "1",
    ),
    Question(
        "look_after",
        lambda given: f"One early look, after about half of the {given['pairs']} pairs?",
        "It may end a clear case sooner, and costs a little at the end: 96 % instead of 95 %.",
        "Write the number of pairs after which you look, at least 4 and before the last; or leave it open: no look.",
        applies=lambda given: given.get("pairs", "").isdigit() and int(given["pairs"]) > 4 and _changes(given),
        may_be_blank=True,
    ),
    Question(
        "knew",
        lambda _: "Who will know which set-up a jar came from?",
        "Who counts and knows, counts in favour, and means no harm.",
        "The feeder must see the set-up; give the panner the other paper and tagged jars only. Alone: both.",
        choices=get_args(Knew),
        default=lambda _: "feeder",
    ),
)
