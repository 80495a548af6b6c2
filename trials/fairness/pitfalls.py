"""Twenty-five ways in which gear seems to gain when nothing changed, and what stands against each: a map."""

from typing import Final

from trials.fairness.pitfall import Pitfall, Stand


def _check(what: str, *names: str) -> Stand:
    return Stand("check", what, names)


def _paper(what: str, *printed: str) -> Stand:
    return Stand("paper", what, printed=printed)


PITFALLS: Final[tuple[Pitfall, ...]] = (
    Pitfall(
        "second pass",
        "tails hold real gold, so any second pass finds some",
        (
            Stand("plan", "every change has an unchanged arm; an audit of stored tails by weight is refused"),
            _check("pairs without an unchanged half stop the verdict", "control-there"),
            _check(
                "an unchanged half written as 0 counts as a run that found none; over a fifth stop", "too-many-zeros"
            ),
            _check("two passes told as one run take longer, which weakens", "feed-rhythm"),
            Stand("verdict", "only the difference is the change's; what the unchanged gear found is said beside it"),
        ),
    ),
    Pitfall(
        "feed drift",
        "the face or the pile changes between the two set-ups",
        (
            Stand("plan", "each pair is two halves of one lot, run one after the other in a balanced drawn order"),
            _check(
                "halves of different lots stop, unlike halves and pairs over two sittings weaken",
                "same-lot",
                "like-halves",
                "same-session",
            ),
            _check("one set-up always first stops", "first-turn"),
        ),
    ),
    Pitfall(
        "coarse nugget",
        "one picker outweighs thousands of flour grains",
        (
            _paper(
                "pickers are booked apart, and the largest piece left in the gold is asked for", "pickers", "largest"
            ),
            _check(
                "a piece over a fifth of a run weakens; an odd pair, and a verdict that rests on one, are told",
                "big-piece",
                "odd-pair",
                "one-pair-carries",
            ),
            Stand("verdict", "beside a big piece stands the mean with it and without"),
        ),
        "pieces under a fifth of a run that all fall to one set-up: which half goes where is a coin for every pair",
    ),
    Pitfall(
        "order and learning",
        "the second set-up gets a practised hand and warm water",
        (
            Stand("plan", "half of the pairs begin with either set-up, drawn from a stored seed"),
            _paper("the runs stand on the creek sheet in the order drawn", "set-up to fit"),
            _check("one set-up always first stops, nearly always weakens", "first-turn"),
            _check(
                "another order than drawn, an effect of going first and a drift of the day are told",
                "drawn-order",
                "order-effect",
                "drift",
            ),
        ),
    ),
    Pitfall(
        "the hand knows",
        "the favourite is fed slower and searched harder",
        (
            _paper(
                "the panner gets codes only, by the alphabet, and the key stays sealed",
                "Codes only.",
                "Open after the last weighing.",
            ),
            _paper("start and end of every run are written down", "start", "end"),
            _check("a panner who knew weakens a count, and is told of beside a weight", "who-knew"),
            _check("a set-up fed slower by over a fifth weakens", "feed-rhythm"),
        ),
        "a panner who knew and says that he did not, and a feed slower by less than a fifth: codes and clock on the "
        "papers stand against both",
    ),
    Pitfall(
        "two things changed",
        "a new mat and a new pitch at once",
        (
            Stand("plan", "a change has one variable; two are refused"),
            _paper("the settings to hold stand on every sheet, with a box for what was read", "Hold these:", "read"),
            _check(
                "settings or hands that differ between the set-ups stop the verdict; what was to be held and was not "
                "read is told",
                "one-change",
            ),
        ),
        "a second change that has no column, as another screen, and a setting apart by less than the check lets pass: "
        "the creek sheet names the set-up to fit and what to hold",
    ),
    Pitfall(
        "concentrate for gold",
        "more black sand looks like more gold",
        (
            _paper(
                "gold has boxes for magnet and loupe, and black sand is weighed apart",
                "magnet",
                "loupe",
                "black sand, dry, g",
            ),
            Stand("entry", "gold and black sand are two columns"),
            _check("gold weighed uncleaned weakens", "clean-gold"),
            Stand("verdict", "black sand stands beside every gain, with its limit"),
        ),
    ),
    Pitfall(
        "recovery alone",
        "slower feed or more sand wins",
        (
            _paper("start, end and clean-up of every run are written down", "start", "end", "clean-up,"),
            _check("a set-up fed slower by over a fifth weakens", "feed-rhythm"),
            Stand(
                "verdict",
                "minutes and black sand are told with limits; over them, or not shown to be within, the last "
                "word is not keep",
            ),
        ),
    ),
    Pitfall(
        "clean bed at the start",
        "the first run fills the traps, and keeps more or less than the next",
        (
            Stand("plan", "told to feed the same starter charge on both sides, for gear that loads up"),
            _paper("a starter charge has its tick on every row, for gear that loads up", "starter"),
            _check("beds loaded in some runs and clean in others weaken", "settled-bed"),
        ),
    ),
    Pitfall(
        "carry-over",
        "gold left by one run shows in the next",
        (
            Stand("plan", "in a balanced order each set-up follows the other about as often"),
            _paper("the places where gold hides each have a tick before every run", "lip", "hose"),
            _check("a run without a strip-down weakens", "leftovers"),
        ),
        "a strip-down that is ticked and was not done, and how much was carried over: a blank run, barren dirt put "
        "through, would show it",
    ),
    Pitfall(
        "gold under the mat",
        "it appears at the next teardown",
        (
            _paper("on a sluice the mat has a tick of its own before every run", "mat"),
            _check("a run without a strip-down weakens", "leftovers"),
        ),
        "a mat that is ticked and was not lifted, and gold that stays under it to the end: a blank run would show it",
    ),
    Pitfall(
        "moisture",
        "wet kilograms lie by 3 to 12 %",
        (
            Stand("entry", "the mass fed is that of dry dirt, by its definition"),
            _paper("halves are weighed before the first run", "halves weighed"),
            _check(
                "unlike halves weaken, and stop from 15 %; small gaps that lean to one set-up are told; no mass "
                "weakens",
                "like-halves",
                "thin-record",
            ),
        ),
        "wet halves of one set-up written down as dry: drying a sample of every lot stands against it; recovery and "
        "tracers need no mass",
    ),
    Pitfall(
        "magnetics",
        "gold goes out with the magnet, more in one set-up",
        (
            _paper("the magnet has a tick on every row of the panner", "magnet"),
            _check("gold weighed without it in some runs weakens", "clean-gold"),
        ),
        "a magnet used on all and harder on some: the panner has codes only, and pans the magnetics of all alike",
    ),
    Pitfall(
        "scale drift",
        "warm-up, draught or battery",
        (
            _paper(
                "a check weight is read first and last; its readings stay on the paper",
                "CHECK WEIGHT, first",
                "CHECK WEIGHT, last",
            ),
            _paper("jars are weighed in the order of their codes, which mixes the set-ups", "Codes only."),
            _check("gold of under 50 steps of the scale weakens, of under 10 stops", "scale-fine-enough"),
        ),
        "a scale that wandered while one set-up's jars were weighed before the other's: the order of the codes stands "
        "against it",
    ),
    Pitfall(
        "screening difference",
        "a blinded or torn mesh, another maker's 50",
        (
            Stand("plan", "a pair is two halves of one lot, screened before it is halved"),
            Stand("entry", "a mesh number needs its sieve series; classes may not overlap"),
        ),
        "halves screened apart on different screens: one lot screened once, before it is halved, gives both the same",
    ),
    Pitfall(
        "water or temperature drift",
        "a clogging filter, a cold morning",
        (
            _paper(
                "water at start and end of every run has its boxes where it can be timed, and so has the temperature",
                "water,",
                "temp,",
            ),
            _check(
                "water that fell, water or temperature apart between the set-ups, and a drift of the day",
                "steady-water",
                "water-temp",
                "one-change",
                "drift",
            ),
        ),
    ),
    Pitfall(
        "wetting aid build-up",
        "soap from one run floats or sinks the next one's gold",
        (
            _paper("the drops stand among the settings to hold, where the plan names them", "wetting aid"),
            _check("wetting aid in one set-up only, or another dose, weakens or stops", "soap-and-cloud", "one-change"),
            Stand("plan", "the balanced order shares out what builds up in a tub"),
        ),
    ),
    Pitfall(
        "clay in recirculated water",
        "thicker water and fines that return",
        (
            Stand("plan", "the halves of a pair run one after the other, in a balanced order"),
            _check(
                "one set-up always first stops; a drift over the day and an effect of going first are told",
                "first-turn",
                "drift",
                "order-effect",
            ),
        ),
        "fresh water for one set-up only, for cloud has no column: common practice is the same tub for both halves of "
        "a pair",
    ),
    Pitfall(
        "tail grabs",
        "a scoop of tails stands for all of them",
        (
            Stand("plan", "recovery without tails is refused, and anything but all of them warned of"),
            _paper("a tub for the tails of every run has its tick", "tails tub"),
            _check("tails not kept whole weaken", "tails-kept"),
        ),
    ),
    Pitfall(
        "stopping while ahead",
        "the trial ends when the favourite leads",
        (
            Stand("plan", "the number of pairs is fixed and locked; one early look at a 99 % bar, if planned"),
            _paper(
                "the sheet says when to call the verdict, and not before", "call it after the last pair, not before"
            ),
            Stand("verdict", "no mean, interval or word before the planned pairs are in"),
            _check("pairs past the plan weaken, and closing short", "extended", "closed-short"),
            _check(
                "a plan locked or changed after the first run weakens; more pairs planned in time are told",
                "plan-first",
            ),
        ),
        "a plan written when the trial was ahead and dated before it: printed papers and a logbook lock it in time",
    ),
    Pitfall(
        "best of many",
        "the good bucket, or the best of five measures, gets told",
        (
            Stand("plan", "one main measure, named before the first run"),
            _check(
                "two runs struck after weighing, all of one set-up, stop; one is told; closing short weakens",
                "voids-even",
                "closed-short",
            ),
            _check("a measure changed after the first run weakens, as does a plan locked after it", "plan-first"),
            Stand(
                "verdict",
                "void runs, amendments and corrected values are told beside every verdict, every run in the "
                "report; the logbook hides no trial",
            ),
        ),
        "a trial that nobody loads, a plan dated before it was made, a pair struck after weighing and told as struck "
        "before: runs loaded as they are made stand against all three",
    ),
    Pitfall(
        "flakes used again",
        "they flatten, lose edges, and stay in the gear",
        (
            Stand("plan", "told to recount before every run, and to retire bent ones"),
            _paper("the grains counted in have a box on every row", "grains in"),
            _check("over 5 % of the tracers unaccounted for, in all or in one set-up, weakens", "grains-home"),
        ),
        "a fresh set that always goes to one set-up, for flakes that flatten have no column: the balanced order shares "
        "out what wears from run to run",
    ),
    Pitfall(
        "salting",
        "boots, pans and bottles hold gold",
        (
            _paper(
                "jars carry codes, are not opened at the creek, and the key stays sealed",
                "Do not open jars.",
                "key folded and sealed",
            ),
            _check("counts that agree better than counting luck, and an odd pair, are told", "too-tidy", "odd-pair"),
        ),
        "gold brought into one set-up's jars on purpose, and what pans and boots held before the start: a blank pan "
        "before the first run is common practice",
    ),
    Pitfall(
        "drift of the judge",
        "counts made late at night",
        (
            _paper(
                "jars are counted in the order of their codes, which mixes the set-ups; a recount has its box",
                "Codes only.",
                "recount",
            ),
            Stand("entry", "two counts of a jar that differ are not taken: count until two agree"),
            _check("a judge who knew weakens a count", "who-knew"),
            _check("counts that scatter more, or less, than counting luck are told", "over-dispersion", "too-tidy"),
        ),
    ),
    Pitfall(
        "segregation in the bucket",
        "the bottom is rich in heavies",
        (
            Stand(
                "plan",
                "which half goes to which set-up is a coin for every pair; no split and poor splitters are warned of",
            ),
            _paper("the half to feed is printed on every row", "half", "first", "second"),
            _check(
                "no split at all, and a shovel or scoops on coarse gold, weaken; unlike halves too",
                "split-tool",
                "like-halves",
            ),
        ),
    ),
)
