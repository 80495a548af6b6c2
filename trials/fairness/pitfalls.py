"""Twenty-five ways in which gear seems to gain when nothing changed, and what stands against each: a map."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

Where = Literal["plan", "paper", "entry", "check", "verdict"]
WHERES: Final[tuple[Where, ...]] = ("plan", "paper", "entry", "check", "verdict")


@dataclass(frozen=True, slots=True)
class Stand:
    """One thing that stands against a pitfall.

    Attributes
    ----------
    where
        Where in the round it stands.
    what
        What it does, in a few words.
    checks
        The fair-run checks that do it, by name; only where that is how.
    """

    where: Where
    what: str
    checks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Pitfall:
    """One way to see a gain that is none.

    Attributes
    ----------
    name
        What it is called.
    fakes
        How it fakes a gain.
    stands
        What stands against it.
    unseen
        What of it no number of the record can show, and what the paper asks for instead; blank where the data shows it.
    """

    name: str
    fakes: str
    stands: tuple[Stand, ...]
    unseen: str = ""

    @property
    def checks(self) -> tuple[str, ...]:
        """The names of all checks that look for it."""
        return tuple(name for stand in self.stands for name in stand.checks)


def _check(what: str, *names: str) -> Stand:
    return Stand("check", what, names)


PITFALLS: Final[tuple[Pitfall, ...]] = (
    Pitfall(
        "second pass",
        "tails hold real gold, so any second pass finds some",
        (
            Stand("plan", "a re-run of tails has an unchanged arm, and can't be planned without"),
            _check("pairs without an unchanged half stop the verdict", "control-there"),
            Stand("verdict", "only the difference is the change's; what the unchanged gear found is said beside it"),
        ),
    ),
    Pitfall(
        "feed drift",
        "the face or the pile changes between the two set-ups",
        (
            Stand("plan", "each pair is two halves of one lot, run one after the other in a balanced drawn order"),
            _check(
                "halves of different lots stop; unlike halves and pairs over two days weaken",
                "same-lot",
                "like-halves",
                "same-session",
            ),
        ),
    ),
    Pitfall(
        "coarse nugget",
        "one picker outweighs thousands of flour grains",
        (
            Stand("paper", "pickers are booked apart, in a box of their own"),
            _check(
                "a piece over a fifth of a run, an odd pair, a verdict that rests on one",
                "big-piece",
                "odd-pair",
                "one-pair-carries",
            ),
        ),
    ),
    Pitfall(
        "order and learning",
        "the second set-up gets a practised hand and warm water",
        (
            Stand("plan", "half of the pairs begin with either set-up, drawn from a stored seed"),
            _check(
                "one set-up always first stops; the effect of going first and a drift of the day are told",
                "first-turn",
                "drawn-order",
                "order-effect",
                "drift",
            ),
        ),
    ),
    Pitfall(
        "the hand knows",
        "the favourite is fed slower and cleaned harder",
        (
            Stand("paper", "the panner gets codes only, in another order"),
            _check("who knew is told; a slower feed in one set-up weakens", "who-knew", "feed-rhythm"),
        ),
        "that the favourite's gold was panned harder: the paper asks for tagged jars and a panner who does not know",
    ),
    Pitfall(
        "two things changed",
        "a new mat and a new pitch at once",
        (
            Stand("plan", "two variables in one change are refused"),
            _check("settings as run that differ between the set-ups stop the verdict", "one-change"),
        ),
    ),
    Pitfall(
        "concentrate for gold",
        "more black sand looks like more gold",
        (
            Stand("entry", "gold and black sand are two columns, and a weight of gold has ticks for magnet and loupe"),
            _check("gold weighed uncleaned weakens", "clean-gold"),
            Stand("verdict", "black sand stands beside every gain, with its limit"),
        ),
    ),
    Pitfall(
        "recovery alone",
        "slower feed or more sand wins",
        (
            _check("a slower feed in one set-up weakens", "feed-rhythm"),
            Stand("verdict", "minutes and black sand are told with limits; over them the last word is not keep"),
        ),
    ),
    Pitfall(
        "clean bed at the start",
        "the first run fills the traps, and keeps more or less than the next",
        (
            Stand("paper", "a starter charge has its tick on every row"),
            _check("beds loaded in some runs and clean in others weaken", "settled-bed"),
        ),
    ),
    Pitfall(
        "carry-over",
        "gold left by one run shows in the next",
        (
            Stand("plan", "in a balanced order each set-up follows the other equally often"),
            Stand("paper", "lip, mat and hose each have a tick before every run"),
            _check("a run without a strip-down weakens", "leftovers"),
        ),
        "how much was carried over, which shrinks a true difference: the paper asks for the strip-down",
    ),
    Pitfall(
        "gold under the mat",
        "it appears at the next teardown",
        (
            Stand("paper", "the mat has a tick of its own before every run"),
            _check("a run without a strip-down weakens", "leftovers"),
        ),
        "gold that stays under a mat to the end: the paper asks for the strip-down",
    ),
    Pitfall(
        "moisture",
        "wet kilograms lie by 3 to 12 %",
        (
            Stand("entry", "the mass fed is asked for dry"),
            _check("halves of unlike mass weaken", "like-halves"),
        ),
        "one wet half among dry ones: the paper asks for dry mass, and recovery and counts do not need it",
    ),
    Pitfall(
        "magnetics",
        "gold goes out with the magnet, more in one set-up",
        (
            Stand("paper", "the magnet has a tick on every row of the panner"),
            _check("gold weighed without it weakens", "clean-gold"),
        ),
        "gold dragged off by the magnet: the paper asks for the same magnet on every run",
    ),
    Pitfall(
        "scale drift",
        "warm-up, draught or battery",
        (
            Stand("paper", "a check weight is read first and last"),
            Stand("paper", "jars are weighed in the order of their codes, which mixes the set-ups"),
            _check("under 50 steps of the scale weakens, under 10 stops", "scale-fine-enough"),
        ),
        "a scale that wandered between two check weights: the paper asks for both",
    ),
    Pitfall(
        "screening difference",
        "a blinded or torn mesh, another maker's 50",
        (
            Stand("plan", "one lot is screened once, then halved"),
            Stand("entry", "a mesh number needs its sieve series; classes may not overlap"),
            _check("classes with few grains are told", "enough-grains"),
        ),
        "a torn mesh: one lot screened once, before it is halved, gives both halves the same",
    ),
    Pitfall(
        "water or temperature drift",
        "a clogging filter, a cold morning",
        (
            Stand("paper", "water at start and end and the temperature have boxes on every row"),
            _check(
                "water that fell, water or temperature apart between the set-ups",
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
            Stand("paper", "drops are among the settings held"),
            _check("wetting aid in one set-up only weakens", "soap-and-cloud"),
        ),
        "soap that builds up in a tub: the balanced order shares it out; the paper asks for fresh water",
    ),
    Pitfall(
        "clay in recirculated water",
        "thicker water and fines that return",
        (
            Stand("plan", "the halves of a pair run one after the other, in a balanced order"),
            _check("a drift over the day and an effect of going first are told", "drift", "order-effect"),
        ),
        "cloud by itself: the balanced order shares it out; the paper asks for fresh water",
    ),
    Pitfall(
        "tail grabs",
        "a scoop of tails stands for all of them",
        (
            Stand("plan", "recovery without tails is refused, and anything but all of them warned of"),
            _check("tails not kept whole weaken", "tails-kept"),
        ),
    ),
    Pitfall(
        "stopping while ahead",
        "the trial ends when the favourite leads",
        (
            Stand("plan", "the number of pairs is fixed and locked; one early look at a 99 % bar, if planned"),
            Stand("verdict", "no mean, interval or word before the planned pairs are in"),
            _check("pairs past the plan weaken, as does closing short", "extended", "closed-short"),
        ),
    ),
    Pitfall(
        "best of many",
        "the good bucket, or the best of five measures, gets told",
        (
            Stand("plan", "one main measure, named before the first run"),
            _check("runs struck after weighing, all of one set-up, stop the verdict", "voids-even"),
            Stand("verdict", "every run is listed, void ones too; the logbook hides no trial"),
        ),
    ),
    Pitfall(
        "flakes used again",
        "they flatten, lose edges, and stay in the gear",
        (
            Stand("plan", "told to recount before every run, and to retire bent ones"),
            _check("over 5 % of the tracers unaccounted for weakens", "grains-home"),
        ),
        "flakes that flatten: the balanced order shares them out; the paper asks for a recount",
    ),
    Pitfall(
        "salting",
        "boots, pans and bottles hold gold",
        (
            Stand("plan", "the unchanged half is run with the same boots and pans"),
            _check("more missing or agreeing better than counting allows is told", "too-tidy", "odd-pair"),
        ),
        "gold brought in on purpose to one set-up's jars: tags tell nobody which those are until the key is opened",
    ),
    Pitfall(
        "drift of the judge",
        "counts made late at night",
        (
            Stand("paper", "jars are counted in the order of their codes; there is a box for a recount"),
            _check("counts that scatter more, or less, than counting luck are told", "over-dispersion", "too-tidy"),
        ),
    ),
    Pitfall(
        "segregation in the bucket",
        "the bottom is rich in heavies",
        (
            Stand(
                "plan",
                "which half goes to which set-up is a coin for every pair; poor splitters are warned of in numbers",
            ),
            _check("a shovel on coarse gold weakens, unlike halves too", "split-tool", "like-halves"),
        ),
    ),
)


def pitfall_page() -> str:
    """Write the map as a page: each pitfall, what stands against it and where, and what no data can show.

    >>> pitfall_page().splitlines()[0]
    '# Twenty-five ways to see a gain that is none, and what stands against each'
    """
    return "\n".join(_page_lines()) + "\n"


def _page_lines() -> Iterator[str]:
    yield "# Twenty-five ways to see a gain that is none, and what stands against each"
    yield ""
    yield "Written by `samedirt check --pitfalls` from the code; the names in brackets are fair-run checks."
    for number, pitfall in enumerate(PITFALLS, start=1):
        yield ""
        yield f"## {number}. {pitfall.name.capitalize()}"
        yield ""
        yield f"How it fakes: {pitfall.fakes}."
        yield ""
        for stand in pitfall.stands:
            named = f" ({', '.join(stand.checks)})" if stand.checks else ""
            yield f"- {stand.where}: {stand.what}{named}"
        if pitfall.unseen:
            yield f"- cannot be seen in the data: {pitfall.unseen}"
