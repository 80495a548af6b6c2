"""What is asked first for a plan: gear, change, dirt and habits."""

from typing import get_args

from schemas.base import MEASURE_WORDS
from schemas.change import Variable
from schemas.gear import GearKind
from schemas.lot import LotKind, Splitting
from trials.measures.catalogue import measure_named
from trials.plans.level_runs import runs_before_the_line
from trials.talk.plan_answers import A_CHANGE, AUDIT, HELD, RUN, SORT, SORTS, TAILS_TOO, TRACERS, can_compare
from trials.talk.question import EITHER, Amount, Choice, Given, Question, Several, Telling, WholeNumber
from trials.talk.shown import Block, Sentence
from trials.units.quantity import Kind
from trials.wording.steps import step

MOST_TRACERS, MOST_COUNTED = 5_000, 999_999
FEWEST_LEVELS = 2


def _is_change(given: Given) -> bool:
    return given.get(SORT) == A_CHANGE


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


def _may_count(given: Given) -> bool:
    """Whether grains are counted, or may come to be."""
    measure = given.get("measure", "")
    return measure not in MEASURE_WORDS or not measure_named(measure).weighs


def _cost_of_levels(given: Given) -> tuple[Block, ...]:
    """What several levels cost in runs, told as soon as they are named."""
    levels = [level for level in given.get("change.changed", "").split(";") if level.strip()]
    if not _is_change(given) or len(levels) < FEWEST_LEVELS:
        return ()
    return (Sentence(f"{runs_before_the_line(len(levels) + 1, given.get('change.baseline', 'the baseline'))}."),)


FIRST: tuple[Question | Telling, ...] = (
    Question(
        "name",
        "What shall this trial be called?",
        lambda _: step(
            "Every command names it: samedirt sheet NAME, samedirt verdict NAME.",
            "It stands in the logbook and at the head of every paper.",
        ),
        "Letters, digits, - and _, as rough-bed or mat-2. No place where gold lies, if others will see it.",
    ),
    Question(
        SORT,
        "What do you want to know?",
        "A change is tried against the gear as it was, on halves of one lot.",
        "The second is worth doing once before your first real trial: it tells how far pairs differ by luck alone, and "
        "whether two twin pieces are alike. The third has no before and after: counted grains in, counted grains out.",
        kind=Choice(SORTS),
        default=A_CHANGE,
    ),
    Question(
        "gear.kind",
        "Which gear?",
        "The papers and cautions follow it.",
        "The piece on which the change is tried. Take other if none fits.",
        kind=Choice(get_args(GearKind)),
    ),
    Question(
        "change.variable",
        "What one thing do you change?",
        "Two things changed at once can't be told apart.",
        "If the new mat needs a new pitch, hold the pitch and try the mat; then try the pitch.",
        kind=Choice(get_args(Variable)),
        needed=_is_change,
    ),
    Question(
        "change.baseline",
        lambda given: f"How is the {given['change.variable']} now?",
        "The unchanged set-up is half of the answer.",
        "A few words, as painted, ribbed, 4 deg, 8 L/min. With a unit where it is a number.",
        needed=_is_change,
    ),
    Question(
        "change.changed",
        lambda given: f"And changed, how is the {given['change.variable']}?",
        "It is what the feeder fits for the other half.",
        "A few words, as 180 grit, looped, 5.5 deg. Several levels in the order of their scale, parted by ;, make a "
        "graded trial: 320 grit; 220 grit; 120 grit.",
        needed=_is_change,
    ),
    Telling(_cost_of_levels),
    Question(
        "change.reversible",
        "Can it be undone between two runs?",
        "The two set-ups take turns in a drawn order. What can't be undone needs a twin.",
        "minutes: swapped while the tub drains. with work: can be done, but not for every run. no: sanding, cutting, "
        "drilling.",
        kind=Choice(("minutes", "with work", "no")),
        default="minutes",
        needed=_is_change,
    ),
    Question(
        "change.twin",
        lambda given: f"{given['change.changed']} can't be undone. Which twin piece will carry it?",
        "Smooth and rough can't alternate on one bed: make two pieces alike, change one, keep the other as it was.",
        "As: second insert, cut and painted together. Prove the two alike first: a nothing-changed check of 4 pairs.",
        needed=lambda given: _is_change(given) and given.get("change.reversible") == "no",
    ),
    Question(
        "gear.width",
        "How wide is the table?",
        "Pitch and water move the film; width tells how deep and fast it is on both sides.",
        "With its unit: 250 mm, 10 in.",
        kind=Amount(Kind.LENGTH),
        needed=_moves_film,
        may_be_blank=True,
    ),
    Question(
        HELD,
        _asks_what_is_held,
        "What stays the same can't be the cause. A pump's label is not a reading: time a bucket.",
        "With its unit, in one line: 4 deg, 8 L/min. A pitch may be deg, in/ft or %; water L/min or gpm us. A digital "
        "level on the bed is good to 0.2 deg, a bucket timed three times to 5 %.",
        kind=Several((Amount(Kind.ANGLE), Amount(Kind.FLOW))),
        needed=_is_set,
        may_be_blank=True,
    ),
    Question(
        "lot.kind",
        "What dirt will be run?",
        "Any second pass of tailings finds gold, so there the unchanged half matters most.",
        "natural: from the ground. made up: weighed barren gravel with counted grains in it.",
        kind=Choice(get_args(LotKind)),
    ),
    Question(
        "lot.mass",
        "How much of it is there, all in all?",
        "It sets how many runs there can be.",
        "With its unit: 7.5 kg, 40 lb; or 3 buckets of 35 kg, with what one of yours weighs: a 5-gallon bucket of damp "
        "gravel is 30 to 40 kg.",
        kind=Amount(Kind.FEED_MASS),
    ),
    Question(
        "lot.splitting",
        "What will split it into halves?",
        "Scoops and shovels deal heavy grains unevenly, and that looks like a gain.",
        "A riffle splitter is a row of chutes that throw left and right in turn; one of tin or ply does.",
        kind=Choice(get_args(Splitting)),
        default="cone and quarter",
        needed=lambda given: given.get(SORT) != AUDIT,
    ),
    Question(
        "guess.gold",
        "About how much gold is in it?",
        "With too little gold in a run, no number of runs tells; better to know now.",
        "mg per kg: lean gravel 0.3, good gravel 1, stored table tails 1 to 20, rough concentrate 50 to 500. A pan of "
        "8 kg with 4 mg in it is 0.5 mg/kg. Leave it open if you can't say: tracer grains need no guess.",
        kind=Amount(Kind.GRADE),
        needed=lambda given: given.get(SORT) != AUDIT and given.get("lot.kind") != "made up",
        may_be_blank=True,
    ),
    Question(
        "guess.sizes",
        "And how large are its grains?",
        "A few coarse grains scatter far more than many fine ones of the same weight.",
        "coarse: much of it over 0.8 mm (20 mesh). medium: about 0.4 mm. fine: most under 0.3 mm (50 mesh).",
        kind=Choice(("coarse", "medium", "fine")),
        default=lambda given: "fine" if given.get("lot.kind", "").endswith("tailings") else "medium",
        needed=lambda given: bool(given.get("guess.gold")),
    ),
    Question(
        "guess.care",
        "How alike do two runs of yours come out?",
        "It is the part of the scatter that no scale and no splitter takes away.",
        "careful: timed feed, level scoops, water timed every run; about 1 point from run to run. usual: 2 to 3. "
        "hurried: 5 or more. Assumed figures, no source: a nothing-changed check tells your own.",
        kind=Choice(("careful", "usual", "hurried")),
        default="usual",
        needed=lambda given: given.get(SORT) != AUDIT,
    ),
    Question(
        "scales.gold",
        "What is the smallest step of your gold scale?",
        "Under 50 steps of gold on it, a weight is too rough to compare.",
        "With its unit: 0.01 g for a pocket scale, 0.001 g for a milligram scale.",
        kind=Amount(Kind.GOLD_MASS),
        default="0.01 g",
        needed=lambda given: bool(given.get("guess.gold")),
    ),
    Question(
        "held.charge",
        lambda given: "How much dirt is one run fed?" if given.get(SORT) != AUDIT else "How much dirt is a run fed?",
        "The same every time; it also sets how long a run takes.",
        "With its unit: 350 g, 10 kg, 1 lb.",
        kind=Amount(Kind.FEED_MASS),
    ),
    Question(
        TAILS_TOO,
        "Can you catch all tails of every run in a tub, and go over them again?",
        "Gold kept over gold found in all takes the luck of the feed out of it.",
        "With one slower method, the same for every run: a wheel, a pan, a bowl.",
        kind=EITHER,
        default="yes",
        needed=lambda given: not given.get("tails.caught"),
    ),
    Question(
        TRACERS,
        "How many counted tracer grains could you put into one run?",
        "Counted grains need no rich dirt, and a size the gear half-loses tells most.",
        "Gold flakes or stand-ins of one sieve size, marked, and told apart from the dirt's own. 0: none. They stay in "
        "a closed tub, never in a creek.",
        kind=WholeNumber(0, MOST_TRACERS),
        default="0",
        needed=lambda given: can_compare(given) and given.get(TAILS_TOO) == "yes",
    ),
    Question(
        "guess.recount",
        "Count one vial of your grains three times: what does it come to?",
        "A count of fine grains is off by more than people think, and no dirt makes up for it.",
        "Three counts or more, of grains as fine as you mean to count, with their size where you know it: 97 101 92 of "
        "100/140. Left open: 2 % off for grains over 0.3 mm and 10 % at 0.1 to 0.15 mm; half of it careful, half as "
        "much again hurried. Assumed, common practice, no source.",
        kind=Several((WholeNumber(1, MOST_COUNTED),) * 3),
        needed=_may_count,
        may_be_blank=True,
    ),
    Question(
        RUN,
        "How long does such a run take, and cleaning up after it?",
        "Runs are dear: most trials end for want of hours, not of dirt.",
        "Feeding it as you always do, then down to the last pan, with units: 20 min + 15 min. 20 min alone leaves 15 "
        "min for cleaning up.",
        kind=Several((Amount(Kind.MINUTES), Amount(Kind.MINUTES))),
        default="20 min + 15 min",
        needed=lambda given: can_compare(given) and "guess.run" not in given,
    ),
    Question(
        "guess.time",
        "How many hours are there for the whole trial?",
        "Only ways that fit into them are offered.",
        "With its unit: 12 h. All sittings together. Left open: as long as it takes.",
        kind=Amount(Kind.MINUTES),
        needed=can_compare,
        may_be_blank=True,
    ),
)
