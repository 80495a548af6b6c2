"""Scale, clean gold, pieces, grains, tracers and voids: just before the threshold, and just past it."""

from typing import Any

from schemas import Run, Scales, SizeCatch, Sizes
from tests.fairness.asking import by_arm, everywhere, found, good, one, traced, weighed, with_of
from tests.tables import every
from tests.verdicts.cases import counts, masses, recovery_runs, run, trial

MILLIGRAM = Scales(gold_g=0.001)


@every(
    ("gold_mg", "severity", "words"),
    [
        (50.0, "ok", ""),
        (49.0, "WEAKENS", "0.049 g in the middle run, on a 0.001 g scale, is 49 steps (under 50, our default)."),
        (10.0, "WEAKENS", "0.01 g in the middle run, on a 0.001 g scale, is 10 steps (under 50, our default)."),
        (9.0, "STOP", "0.009 g in the middle run, on a 0.001 g scale, is 9 steps (under 10, our default)."),
    ],
)
def test_scale_fine_enough(gold_mg: float, severity: str, words: str) -> None:
    """50 divisions (NIST Handbook 44); under 10 a mass is mostly the scale."""
    said = one("scale-fine-enough", trial("gold_mass", scales=MILLIGRAM), masses([(gold_mg, gold_mg)] * 6))
    assert said[0] == severity and said[1].startswith(words)


def test_the_middle_run_is_what_counts() -> None:
    """One rich run does not make a scale fine, and one poor run does not make it coarse."""
    plan = trial("gold_mass", scales=MILLIGRAM)
    assert one("scale-fine-enough", plan, masses([(40, 42), (45, 900), (38, 41)] * 2))[0] == "WEAKENS"
    assert one("scale-fine-enough", plan, masses([(80, 82), (75, 2), (78, 81)] * 2))[0] == "ok"


@every(
    ("measure", "kept", "lost", "severity"),
    [("recovery", 40.0, 10.0, "ok"), ("recovery", 40.0, 9.0, "WEAKENS"), ("gold_mass", 40.0, 90.0, "WEAKENS"),
     ("tails_gold", 400.0, 9.0, "STOP")],
)  # fmt: skip
def test_each_measure_is_weighed_by_its_own_gold(measure: str, kept: float, lost: float, severity: str) -> None:
    """Kept, lost, or both together."""
    runs = [run(p, a, gold_mg=kept, tails_gold_mg=lost) for p in (1, 2, 3) for a in ("baseline", "changed")]
    assert one("scale-fine-enough", trial(measure, 3, scales=MILLIGRAM), runs)[0] == severity


def test_counts_need_no_scale_and_a_scale_needs_its_division() -> None:
    """Silent for counts; not recorded without a division."""
    assert one("scale-fine-enough", trial("grain_counts", scales=MILLIGRAM), counts([(3, 4)] * 6))[0] == "ok"
    assert one("scale-fine-enough", trial("gold_mass"), weighed()) == (
        "not recorded",
        "The division of the gold scale was not recorded.",
    )


@every(
    ("ticks", "severity", "words"),
    [
        ({"magnet": True, "loupe": True, "dry": True}, "ok", ""),
        ({}, "not recorded", "Not recorded of the gold weighed: magnet, loupe, dry."),
        ({"magnet": True}, "not recorded", "Not recorded of the gold weighed: loupe, dry."),
        (
            {"magnet": False},
            "WEAKENS",
            "Gold of all 12 runs not magnet-cleaned. Black sand weighs as gold; clean and reweigh.",
        ),
        ({"dry": False}, "WEAKENS", "Gold of all 12 runs not dry. Water weighs as gold; air-dry and reweigh."),
        (
            {"magnet": False, "loupe": True, "dry": False},
            "WEAKENS",
            "Gold of all 12 runs not magnet-cleaned and of all 12 runs not dry. Black sand and water weigh as gold; clean, air-dry and",
        ),
        ({"loupe": False}, "WEAKENS", "Gold of all 12 runs not looked over with a loupe. Black sand weighs as gold"),
    ],
)
def test_clean_gold(ticks: dict[str, bool], severity: str, words: str) -> None:
    """Magnet, loupe and dry, of every weighing."""
    said = one("clean-gold", trial("gold_mass", scales=MILLIGRAM), weighed(**ticks))
    assert said[0] == severity and said[1].startswith(words)


def test_steps_are_counted_as_a_person_counts_them() -> None:
    """1.2 mg on a .1 mg scale are 12 steps, though in floats 1.2 / .1 is a hair under 12."""
    plan = trial("gold_mass", scales=Scales(gold_g=0.0001))
    assert "is 12 steps" in one("scale-fine-enough", plan, masses([(1.2, 1.2)] * 6))[1]


def test_an_empty_box_beside_ticked_ones_says_no() -> None:
    """One weighing without its tick is told; where none was found there was nothing to clean."""
    runs = with_of(weighed(magnet=True, loupe=True, dry=True), 2, "baseline", magnet=None)
    assert one("clean-gold", trial("gold_mass", scales=MILLIGRAM), runs)[1].startswith(
        "Gold of the baseline half of pair 2 not magnet-cleaned."
    )
    none_found = with_of(runs, 2, "baseline", magnet=None, gold_mg=0.0)
    assert one("clean-gold", trial("gold_mass", scales=MILLIGRAM), none_found)[0] == "ok"
    assert one("clean-gold", trial("grain_counts"), counts([(3, 4)] * 6, magnet=False))[0] == "ok"


@every("measure", ["grain_counts", "tracers"])
def test_black_sand_left_among_the_grains_of_one_arm(measure: str) -> None:
    """A count is made worse by it: some runs cleaned and others not weaken, all alike is well."""
    runs = counts([(30, 40)] * 6) if measure == "grain_counts" else traced()
    apart = by_arm(runs, {"magnet": None}, {"magnet": True})
    severity, message = one("clean-gold", trial(measure), apart)
    assert severity == "WEAKENS" and message.startswith("Black sand was left among the grains of ")
    assert one("clean-gold", trial(measure), everywhere(runs, magnet=True))[0] == "ok"
    severity, message = one("clean-gold", trial(measure), runs)
    assert severity == "not recorded" and message.startswith("Whether a magnet drew the black sand off the grains")


def sized(coarse_baseline: float, coarse_changed: float, measure: str = "gold_mass") -> list[Run]:
    """Six pairs of 100 mg found, so much of it over 20 mesh, with a little luck; kept and lost for recovery."""
    luck = (1.5, -1.0, 0.5, -1.5, 1.0, -0.5)
    runs = []
    for r in weighed() if measure == "gold_mass" else good():
        coarse = (coarse_baseline if r.arm == "baseline" else coarse_changed) + luck[r.pair - 1]
        fine = (r.gold_mg or 0.0) + (r.tails_gold_mg or 0.0) - coarse
        parts = (
            SizeCatch(label="-20", gold_mg=fine - (r.tails_gold_mg or 0.0), tails_gold_mg=r.tails_gold_mg),
            SizeCatch(label="+20", gold_mg=coarse, tails_gold_mg=None if r.tails_gold_mg is None else 0.0),
        )
        runs.append(r.model_copy(update={"classes": parts}))
    return runs


@every(
    ("coarse", "measure", "severity"),
    [((10.0, 14.0), "gold_mass", "ok"), ((10.0, 19.0), "gold_mass", "WEAKENS"), ((10.0, 19.0), "recovery", "WEAKENS")],
)
def test_halves_screened_apart_differ_in_their_coarse_gold(
    coarse: tuple[float, float], measure: str, severity: str
) -> None:
    """Half of 10 points of all the gold found, kept and lost, the same way in every pair."""
    said = one("like-halves", trial(measure, sizes=Sizes(series="ASTM")), sized(*coarse, measure))
    assert said[0] == severity
    assert severity == "ok" or said[1].startswith("Coarse gold as a share of all found leans one way:"), said


@every(("largest", "severity"), [(21.6, "ok"), (21.7, "WEAKENS")])
def test_big_piece(largest: float, severity: str) -> None:
    """20 % of the run's own gold: 21.6 of 108 mg."""
    runs = with_of(weighed(largest_mg=3.0), 3, "changed", largest_mg=largest)
    assert one("big-piece", trial("gold_mass", scales=MILLIGRAM), runs)[0] == severity


def test_big_piece_is_shown_with_and_without() -> None:
    """At the end the run is named, and the mean told both ways.

    By hand: six pairs of 100 and 110 mg, but the third changed half holds 160, 60 of it one piece. Geometric means of
    the ratios: (1.1^5 x 1.6)^(1/6) = 1.171 with it, (1.1^5 x 1.0)^(1/6) = 1.083 without.
    """
    runs = with_of(masses([(100, 110)] * 6, largest_mg=2.0), 3, "changed", gold_mg=160.0, largest_mg=60.0, tag="HTK")
    severity, message = one("big-piece", trial("gold_mass", scales=MILLIGRAM), runs)
    assert severity == "WEAKENS" and message == (
        "One piece is 38 % of run HTK (over 20 %, our default). Book it as a picker, same size limit in both arms. With "
        "such pieces +17 % gold kept, without them +8.3 % gold kept."
    )


def test_big_pieces_in_several_pairs() -> None:
    """The worst run is named, the other pairs with it; recovery is told in points.

    By hand: 80 of 100 mg against 82 in every pair; without 40 and 30 mg of the changed halves of pairs 2 and 5 they
    keep 42 of 60 and 52 of 70: 70.00 and 74.29 %. Means: +2, and (4 x 2 - 10 - 5.71)/6 = -1.29 points.
    """
    runs = everywhere(recovery_runs([2.0] * 6), largest_mg=1.0)
    runs = with_of(with_of(runs, 2, "changed", largest_mg=40.0), 5, "changed", largest_mg=30.0)
    severity, message = one("big-piece", trial(scales=MILLIGRAM), runs)
    assert severity == "WEAKENS" and message.startswith(
        "One piece is 49 % of the changed half of pair 2, and one over 20 % of a run in pair 5 too (over 20 %"
    )
    assert message.endswith("With such pieces +2.0 points, without them -1.3 points.")


@every(
    ("measure", "runs", "severity"),
    [
        ("gold_mass", weighed(), "not recorded"),
        ("tails_gold", masses([(100, 104)] * 6, "tails_gold_mg", largest_mg=90.0), "ok"),
        ("grain_counts", counts([(30, 40)] * 6, largest_mg=90.0, gold_mg=100.0), "ok"),
    ],
)
def test_big_piece_asks_only_gold_kept(measure: str, runs: list[Run], severity: str) -> None:
    """The largest piece is part of the gold kept; lost gold and counts have none."""
    assert one("big-piece", trial(measure, scales=MILLIGRAM), runs)[0] == severity


def classed(**of_class: Any) -> list[Run]:
    """Counts by class, the same in every run."""
    parts = tuple(SizeCatch(label=label, **values) for label, values in of_class["classes"].items())
    return everywhere(of_class["runs"], classes=parts)


@every(("grains", "severity"), [(20, "ok"), (19, "NOTE")])
def test_enough_grains(grains: int, severity: str) -> None:
    """20 grains a run and class (Clifton et al. 1969)."""
    runs = classed(runs=counts([(90, 99)] * 6), classes={"30/50": {"grains": 60}, "50/100": {"grains": grains}})
    assert one("enough-grains", trial("grain_counts", sizes=Sizes(series="ASTM")), runs)[0] == severity


def test_enough_grains_joins_a_class_to_its_neighbour() -> None:
    """The next coarser class, and for the coarsest the next finer one; the mean is over all runs."""
    classes = {"-100": {"grains": 3}, "+20": {"grains": 12}, "50/100": {"grains": 70}, "20/30": {"grains": 30}}
    runs = classed(runs=counts([(120, 130)] * 6), classes=classes)
    assert one("enough-grains", trial("grain_counts", sizes=Sizes(series="ASTM")), runs)[1] == (
        "12 grains a run in +20 and 3 grains a run in -100 (under 20, our default): shown, not tested. Join +20 to 20/30 "
        "and -100 to 50/100, or feed more."
    )
    alone = classed(runs=counts([(120, 130)] * 6), classes={"+20": {"grains": 12}})
    assert one("enough-grains", trial("grain_counts"), alone)[1].endswith("shown, not tested. Feed more.")


def test_enough_grains_counts_what_was_seeded() -> None:
    """Of tracers it is the number fed that makes a class; of weighed classes without counts nothing is known."""
    parts = {"30/50": {"seeded": 25, "kept": 12, "in_tails": 13}, "50/100": {"seeded": 19, "kept": 9, "in_tails": 10}}
    runs = classed(runs=traced(), classes=parts)
    assert one("enough-grains", trial("tracers", sizes=Sizes(series="ASTM")), runs)[1].startswith(
        "19 grains a run in 50/100 (under 20"
    )
    weighed_only = classed(runs=weighed(), classes={"30/50": {"gold_mg": 60.0}})
    assert one("enough-grains", trial("gold_mass"), weighed_only)[0] == "not recorded"
    assert one("enough-grains", trial("gold_mass"), weighed())[0] == "ok"


@every(("missing", "severity"), [(5, "ok"), (6, "WEAKENS")])
def test_grains_home(missing: int, severity: str) -> None:
    """Over 5 % of all tracers seeded, the trial added up: 60 of 1,200 is not, 72 is."""
    runs = [r.model_copy(update={"in_tails": 100 - missing - (r.kept or 0)}) for r in traced()]
    assert one("grains-home", trial("tracers"), runs)[0] == severity


def test_grains_home_leaves_out_tails_that_were_not_searched() -> None:
    """Half the runs searched: of 6 x 100 seeded. None searched: not recorded."""
    runs = [r.model_copy(update={"in_tails": None if r.arm == "baseline" else 90 - (r.kept or 0)}) for r in traced()]
    assert one("grains-home", trial("tracers"), runs)[1].startswith("60 of 600 grains unaccounted (over 5 %")
    assert one("grains-home", trial("tracers"), everywhere(runs, in_tails=None))[0] == "not recorded"
    assert one("grains-home", trial(), good())[0] == "ok"


VOID = {"void": "spill", "void_gold_known": False}
KNOWN = {"void": "spill", "void_gold_known": True}
UNSAID = {"void": "spill", "void_gold_known": None}


@every(
    ("struck", "severity", "words"),
    [
        ([], "ok", ""),
        ([("changed", VOID)], "ok", ""),
        (
            [("changed", VOID), ("changed", VOID)],
            "NOTE",
            "2 changed runs voided, none in the other arm. Mend what stops them",
        ),
        ([("changed", VOID), ("changed", VOID), ("baseline", VOID)], "ok", ""),
        (
            [("changed", UNSAID)],
            "NOTE",
            "1 changed run voided after weighing, or without a word of whether the gold was known, none in the other arm.",
        ),
        (
            [("changed", UNSAID), ("changed", KNOWN)],
            "STOP",
            "2 changed runs voided after weighing, or without a word of",
        ),
        ([("changed", UNSAID), ("baseline", UNSAID), ("changed", VOID)], "WEAKENS", "1 changed run voided after"),
        (
            [("baseline", KNOWN)],
            "NOTE",
            "1 baseline run voided after weighing, none in the other arm. Strike a run before",
        ),
        (
            [("changed", KNOWN), ("changed", KNOWN)],
            "STOP",
            "2 changed runs voided after weighing, none in the other arm.",
        ),
        (
            [("changed", KNOWN), ("changed", KNOWN), ("baseline", KNOWN)],
            "STOP",
            "2 changed runs voided after weighing, 1 in the other arm. Retest.",
        ),
        (
            [("changed", KNOWN), ("baseline", KNOWN), ("changed", KNOWN), ("baseline", KNOWN)],
            "WEAKENS",
            "2 changed runs voided after weighing, 2 in the other arm. Strike a run before its gold is seen, and write",
        ),
    ],
)
def test_voids_even(struck: list[tuple[str, dict[str, Any]]], severity: str, words: str) -> None:
    """Two of one arm struck with their gold known, and fewer of the other, stop a trial; two pairs weaken it.

    The four worst of twelve pairs left out whole make "better" of nothing in 14.5 % of trials (own simulation, not
    published: fair trials of the noise model, the pairs struck whose differences spoke most against the change). Blank
    counts as known.
    """
    runs = good(10)
    for pair, (arm, how) in enumerate(struck, start=1):
        runs = with_of(runs, pair, arm, **how)
    said = one("voids-even", trial(pairs=6, spares=4), runs)
    assert said[0] == severity and said[1].startswith(words)


@every(("without", "severity"), [(0, "ok"), (1, "WEAKENS")])
def test_passed_runs_want_their_tails(without: int, severity: str) -> None:
    """A run whose turn has passed and whose tails gold is blank shows gold kept only; the pair under way may wait."""
    runs = good()
    runs = with_of(runs, 6, "changed", tails_gold_mg=None)
    if without:
        runs = with_of(runs, 2, "changed", tails_gold_mg=None)
    assert one("tails-kept", trial(), runs)[0] == severity


def test_pairs_struck_whole_weaken() -> None:
    """Both halves of two pairs, as a table of the worst ones would be: equal in both arms, and told all the same."""
    runs = good(10)
    for pair in (2, 5):
        for arm in ("baseline", "changed"):
            runs = with_of(runs, pair, arm, **UNSAID)
    (said,) = found("voids-even", trial(pairs=6, spares=4), runs)
    assert said.severity == "WEAKENS" and said.pairs == (2, 5)


def test_no_check_tells_the_same_thing_twice() -> None:
    """One void run that was known: one finding, of one check."""
    runs = with_of(good(7), 2, "changed", **KNOWN)
    assert len(found("voids-even", trial(spares=1), runs)) == 1
