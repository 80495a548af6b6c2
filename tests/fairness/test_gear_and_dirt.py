"""split-tool, leftovers, settled-bed, water, feed and hands: just before the threshold, and just past it."""

from typing import Any

from schemas import Change, Gear, Lot, Run, Sizes
from tests.fairness.asking import by_arm, everywhere, found, good, one, traced, weighed, with_of
from tests.tables import every
from tests.verdicts.cases import counts, masses, trial

SHOVELLED = Lot(kind="natural", splitting="shovel")


@every(
    ("lot", "severity"),
    [
        ({"splitting": "shovel"}, "WEAKENS"),
        ({"splitting": "level scoops", "size": "-30"}, "WEAKENS"),
        ({"splitting": "none", "size": "-0.31 mm"}, "WEAKENS"),
        ({"splitting": "shovel", "size": "+50"}, "WEAKENS"),
        ({"splitting": "shovel", "size": "-50"}, "ok"),
        ({"splitting": "shovel", "size": "50/100"}, "ok"),
        ({"splitting": "shovel", "size": "-30", "pickers_over_mm": 0.3}, "ok"),
        ({"splitting": "shovel", "pickers_over_mm": 2.0}, "WEAKENS"),
        ({"splitting": "riffle splitter"}, "ok"),
        ({"splitting": "spinning"}, "ok"),
        ({"splitting": "cone and quarter"}, "ok"),
        ({}, "not recorded"),
    ],
)
def test_split_tool(lot: dict[str, Any], severity: str) -> None:
    """Shovel, scoops or no split at all, and gold that may be over 50 mesh: 0.300 mm in ASTM E11."""
    plan = trial("gold_mass", lots=(Lot(kind="natural", **lot),), sizes=Sizes(series="ASTM"))
    assert one("split-tool", plan, weighed())[0] == severity


def test_a_picker_makes_the_gold_coarse() -> None:
    """Whatever the size on paper, a piece pulled by hand is coarse gold."""
    plan = trial("gold_mass", lots=(SHOVELLED.model_copy(update={"size": "-50"}),), sizes=Sizes(series="ASTM"))
    assert one("split-tool", plan, weighed())[0] == "ok"
    assert one("split-tool", plan, with_of(weighed(), 2, "baseline", pickers_mg=12.0))[0] == "WEAKENS"


def test_a_size_that_cannot_be_read_is_not_known() -> None:
    """A mesh without its series says nothing of how coarse the gold is."""
    plan = trial("gold_mass", lots=(SHOVELLED.model_copy(update={"size": "-50"}),))
    assert one("split-tool", plan, weighed())[0] == "WEAKENS"


@every(
    ("measure", "caught", "severity"),
    [
        ("recovery", "all", "ok"),
        ("recovery", "grab", "WEAKENS"),
        ("recovery", None, "not recorded"),
        ("tracers", None, "ok"),
        ("tails_gold", "all", "WEAKENS"),
        ("grain_counts", None, "WEAKENS"),
    ],
)
def test_an_uneven_split_leaves_a_closed_share_alone(measure: str, caught: Any, severity: str) -> None:
    """Recovery closes on itself when all tails are caught; tracers are counted in. All else feels the split."""
    plan = trial(measure, lots=(SHOVELLED,), tails={"caught": caught})
    runs = {
        "recovery": good(),
        "tracers": traced(),
        "tails_gold": masses([(100, 104)] * 6, "tails_gold_mg"),
        "grain_counts": counts([(30, 40)] * 6),
    }[measure]
    assert one("split-tool", plan, runs)[0] == severity


def test_only_lots_that_were_fed_are_asked() -> None:
    """A lot that no run was fed from says nothing; of several the bad one is named."""
    lots = (Lot(name="face-1", kind="natural", splitting="spinning"), SHOVELLED.model_copy(update={"name": "face-2"}))
    plan = trial("gold_mass", lots=lots)
    fed = everywhere(weighed(), fed_lot="face-1")
    assert one("split-tool", plan, fed)[0] == "ok"
    both = [r.model_copy(update={"fed_lot": f"face-{1 + (r.pair > 3)}"}) for r in fed]
    severity, message = one("split-tool", plan, both)
    assert severity == "WEAKENS" and message.startswith("Lot face-2 was split by shovel: heavy grains fall unevenly")
    unknown = (lots[0], Lot(name="face-2", kind="natural"))
    assert one("split-tool", trial("gold_mass", lots=unknown), both) == (
        "not recorded",
        "What split the lot of face-2 was not recorded.",
    )


@every(
    ("ticks", "severity"),
    [((True,) * 12, "ok"), ((None,) * 12, "not recorded"), ((True,) * 11 + (False,), "WEAKENS"),
     ((True,) * 11 + (None,), "WEAKENS"), ((False,) * 12, "WEAKENS")],
)  # fmt: skip
def test_leftovers(ticks: tuple[bool | None, ...], severity: str) -> None:
    """Every run wants its strip-down. An empty box among ticked ones says no; a column of empty ones says nothing."""
    runs = [r.model_copy(update={"stripped": tick}) for r, tick in zip(good(), ticks, strict=True)]
    assert one("leftovers", trial(), runs)[0] == severity


def test_runs_without_a_tag_are_named_by_their_place() -> None:
    """Pair and arm stand in for the tag; the runs of a struck pair are not asked."""
    runs = everywhere(good(), stripped=True)
    for pair in (2, 4):
        runs = with_of(runs, pair, "baseline", stripped=False)
    assert one("leftovers", trial(), runs)[1].startswith(
        "No strip-down before the baseline halves of pairs 2 and 4. Rinse under the mat"
    )
    struck = with_of(runs, 4, "changed", void="spill", void_gold_known=False)
    assert "pair 4" not in one("leftovers", trial(), struck)[1]


@every(
    ("ticks", "severity"),
    [((True,) * 12, "ok"), ((False,) * 12, "ok"), ((None,) * 12, "not recorded"), ((False,) * 11 + (None,), "ok"),
     ((True,) * 11 + (False,), "WEAKENS"), ((True,) * 11 + (None,), "WEAKENS")],
)  # fmt: skip
def test_settled_bed(ticks: tuple[bool | None, ...], severity: str) -> None:
    """All clean or all loaded is alike; one that differs is not."""
    runs = [r.model_copy(update={"conditioned": tick}) for r, tick in zip(good(), ticks, strict=True)]
    assert one("settled-bed", trial(), runs)[0] == severity


@every(
    ("check", "kind", "severity"),
    [("leftovers", "pan", "ok"), ("leftovers", "wheel", "WEAKENS"), ("settled-bed", "pan", "ok"),
     ("settled-bed", "wheel", "ok"), ("settled-bed", "finishing table", "WEAKENS")],
)  # fmt: skip
def test_gear_without_a_bed_is_not_asked_for_one(check: str, kind: Any, severity: str) -> None:
    """A pan has nothing to strip; pan and wheel have no bed to load."""
    runs = with_of(everywhere(good(), stripped=True, conditioned=True), 3, "changed", stripped=False, conditioned=False)
    assert one(check, trial(gear=Gear(kind=kind)), runs)[0] == severity


@every(
    ("end", "severity", "words"),
    [
        (85.0, "ok", ""),
        (84.9, "WEAKENS", "The water fell 15 %"),
        (115.0, "ok", ""),
        (115.1, "WEAKENS", "The water rose 15 %"),
    ],
)
def test_water_holds_within_a_run(end: float, severity: str, words: str) -> None:
    """15 % of the reading at the start, up or down."""
    runs = everywhere(good(), water_l_min=100.0, water_end_l_min=100.0)
    said = one("steady-water", trial(), with_of(runs, 3, "changed", water_end_l_min=end))
    assert said[0] == severity and said[1].startswith(words)


@every(
    ("changed", "severity", "words"),
    [
        (102.5, "ok", ""),
        (105.0, "NOTE", "Water leans one way: 105 L/min in the changed runs, 100 in the baseline ones, and so in 6 of"),
        (
            105.1,
            "WEAKENS",
            "The changed gear had 5.1 % more water, 105 against 100 L/min (over 5 %, our default). Re-time",
        ),
        (95.0, "NOTE", "Water leans one way: 95 L/min in the changed runs"),
        (94.9, "WEAKENS", "The changed gear had 5.1 % less water, 94.9 against 100 L/min"),
    ],
)
def test_water_is_the_same_in_both_arms(changed: float, severity: str, words: str) -> None:
    """5 % of the baseline's mean, each run's start and end averaged."""
    runs = by_arm(
        good(), {"water_l_min": 101.0, "water_end_l_min": 99.0}, {"water_l_min": changed, "water_end_l_min": changed}
    )
    said = one("steady-water", trial(), runs)
    assert said[0] == severity and said[1].startswith(words)


def test_a_change_of_water_is_only_asked_to_hold_within_a_run() -> None:
    """What is changed may differ between the arms; a run may still fail to hold."""
    plan = trial(change=Change(variable="water", baseline="low", changed=("high",)))
    runs = by_arm(
        good(), {"water_l_min": 60.0, "water_end_l_min": 60.0}, {"water_l_min": 90.0, "water_end_l_min": 90.0}
    )
    assert one("steady-water", plan, runs)[0] == "ok"
    assert one("steady-water", plan, with_of(runs, 1, "changed", water_end_l_min=70.0))[0] == "WEAKENS"


def test_both_faults_of_the_water_are_told() -> None:
    """One run that fell and an arm that had less are two findings of one check."""
    runs = by_arm(
        good(), {"water_l_min": 100.0, "water_end_l_min": 100.0}, {"water_l_min": 90.0, "water_end_l_min": 90.0}
    )
    said = found("steady-water", trial(), with_of(runs, 2, "baseline", water_end_l_min=80.0))
    assert [finding.severity for finding in said] == ["WEAKENS", "WEAKENS"]
    assert said[0].message.startswith("The water fell 20 % in the baseline half of pair 2 (over 15 %")


@every(
    ("readings", "message"),
    [
        ({}, "The water was not read in any run."),
        ({"water_l_min": 9.0}, "The water at the end of each run was not read."),
    ],
)
def test_water_not_read(readings: dict[str, float], message: str) -> None:
    """Without readings nothing is said of the water but that."""
    assert one("steady-water", trial(), everywhere(good(), **readings)) == ("not recorded", message)


def test_arm_means_wait_for_three_runs() -> None:
    """Of two runs an arm a mean says little: neither water nor feed speaks."""
    runs = by_arm(good(2), {"water_l_min": 90.0, "minutes": 10.0}, {"water_l_min": 100.0, "minutes": 20.0})
    assert one("steady-water", trial(), runs)[0] == "not recorded"
    assert one("feed-rhythm", trial(), runs)[0] == "ok"
    three = by_arm(good(3), {"water_l_min": 90.0, "minutes": 10.0}, {"water_l_min": 100.0, "minutes": 20.0})
    assert (one("steady-water", trial(), three)[0], one("feed-rhythm", trial(), three)[0]) == ("WEAKENS", "WEAKENS")


@every(
    ("warm", "severity", "words"),
    [
        (9.2, "ok", ""),
        (9.3, "NOTE", "Pair 1: 6.2 then 9.3 C (over 3 C, our default)."),
        (14.2, "NOTE", "Pair 1: 6.2 then 14.2 C (over 3 C, our default)."),
        (14.3, "WEAKENS", "Pair 1: 6.2 then 14.3 C (over 8 C, our default)."),
    ],
)
def test_water_temp(warm: float, severity: str, words: str) -> None:
    """Over 3 C within a pair is small print, over 8 C weakens."""
    runs = with_of(everywhere(good(), temp_c=6.2), 1, "changed", temp_c=warm)
    said = one("water-temp", trial(), runs)
    assert said[0] == severity and said[1].startswith(words)


def test_water_temp_names_the_order_and_the_other_pairs() -> None:
    """The half that ran first is told first; without turns there is no first. Other pairs over 3 C are named."""
    runs = with_of(everywhere(good(), temp_c=6.0), 2, "baseline", temp_c=10.0)
    assert one("water-temp", trial(), runs)[1].startswith("Pair 2: 6 then 10 C (over 3 C")
    runs = with_of(runs, 5, "changed", temp_c=15.0)
    assert one("water-temp", trial(), runs)[1].startswith("Pair 5: 6 then 15 C, and over 3 C apart in pair 2 (over 8 C")
    assert one("water-temp", trial(), everywhere(runs, turn=None))[1].startswith("Pair 5: 6 and 15 C")
    assert one("water-temp", trial(), good())[0] == "not recorded"


@every(
    ("baseline", "changed", "severity", "words"),
    [
        (4.0, 4.2, "ok", ""),
        (
            4.0,
            4.21,
            "WEAKENS",
            "Wetting aid differs between the arms: 4 against 4.21 drops in 10 L (over 5 %, our default).",
        ),
        (4.0, None, "WEAKENS", "Wetting aid was in the baseline arm only, 4 drops in 10 L. Same dose, fresh tub."),
        (0.0, 0.0, "ok", ""),
        (0.0, None, "ok", ""),
        (None, None, "not recorded", "Wetting aid was not recorded in any run."),
    ],
)
def test_soap(baseline: float | None, changed: float | None, severity: str, words: str) -> None:
    """The same dose in both arms; an arm with none on record beside a dosed one is taken for undosed."""
    runs = by_arm(good(), {"wetting_drops_10l": baseline}, {"wetting_drops_10l": changed})
    said = one("soap-and-cloud", trial(), runs)
    assert said[0] == severity and said[1].startswith(words)
    plan = trial(change=Change(variable="wetting aid", baseline="none", changed=("4 drops",)))
    assert one("soap-and-cloud", plan, runs)[0] == "ok"


def test_soap_waits_for_both_arms() -> None:
    """One half alone can't be told apart from the other."""
    assert one("soap-and-cloud", trial(), everywhere(good(1)[:1], wetting_drops_10l=3.0))[0] == "ok"


@every(
    ("minutes", "severity", "words"),
    [
        (11.0, "ok", ""),
        (
            12.5,
            "WEAKENS",
            "Feed rate leans one way: 1.68 kg/h in the changed runs, 2.1 in the baseline ones, and so in 6",
        ),
        (12.6, "WEAKENS", "The changed gear was fed 21 % slower, 1.67 against 2.1 kg/h (over 20 %, our default)."),
        (8.34, "WEAKENS", "Feed rate leans one way: 2.52 kg/h"),
        (8.3, "WEAKENS", "The changed gear was fed 20 % faster"),
    ],
)
def test_feed_rhythm(minutes: float, severity: str, words: str) -> None:
    """20 % of the baseline's mean rate: 350 g in 10 minutes is 2.1 kg/h, in 12.5 minutes 1.68."""
    said = one("feed-rhythm", trial(), by_arm(good(), {"minutes": 10.0}, {"minutes": minutes}))
    assert said[0] == severity and said[1].startswith(words)


def test_a_rate_as_read_and_one_reckoned_are_held_to_one_rule() -> None:
    """The same slow feed weakens however it was told, and the wider of both is told. Change itself: silent."""
    read = by_arm(good(), {"feed_kg_h": 10.0}, {"feed_kg_h": 7.9})
    for runs in (read, everywhere(read, minutes=10.0)):
        severity, message = one("feed-rhythm", trial(), runs)
        assert severity == "WEAKENS" and message.startswith("The changed gear was fed 21 % slower, 7.9 against 10 kg/h")
        assert one("one-change", trial(), runs)[0] != "STOP"
    assert one("feed-rhythm", trial(), good())[0] == "not recorded"
    plan = trial(change=Change(variable="feed rate", baseline="slow", changed=("fast",)))
    assert one("feed-rhythm", plan, read)[0] == "ok"


@every(
    ("knew", "measure", "severity", "words"),
    [
        (None, "grain_counts", "not recorded", "Who knew the set-up was not recorded."),
        ("nobody", "grain_counts", "ok", ""),
        ("feeder", "grain_counts", "ok", ""),
        ("panner", "recovery", "NOTE", "The panner knew the set-up. Hand over tagged jars only."),
        ("both", "recovery", "NOTE", "Feeder and panner knew the set-up. Hand over tagged jars only."),
        ("both", "grain_counts", "WEAKENS", "Feeder and panner knew the set-up. Hand over tagged jars only."),
        ("panner", "tracers", "WEAKENS", "The panner knew the set-up. Hand over tagged jars only."),
    ],
)
def test_who_knew(knew: str | None, measure: str, severity: str, words: str) -> None:
    """A scale reads what it reads; an eye that knows counts more. The feeder has to know."""
    runs = {"recovery": good(), "tracers": traced(), "grain_counts": counts([(30, 40)] * 6)}[measure]
    assert one("who-knew", trial(measure, knew=knew), runs) == (severity, words)


@every(("panner", "severity"), [("B", "ok"), ("A", "WEAKENS")])
def test_one_person_who_fed_and_panned_knew(panner: str, severity: str) -> None:
    """The feeder knew and panned too."""
    runs = everywhere(counts([(30, 40)] * 6), feeder="A", panner=panner)
    said = one("who-knew", trial("grain_counts", knew="feeder"), runs)
    assert said[0] == severity
    assert severity == "ok" or said[1].startswith(
        "The panner knew the set-up: A fed and panned the same runs. Hand over"
    )


def test_a_nothing_changed_check_speaks_of_its_repeat_halves() -> None:
    """No gear was changed there, so none is named; and a lone repeat half is no second pass."""
    runs: list[Run] = [
        r.model_copy(update={"minutes": 10.0 if r.arm == "baseline" else 20.0})
        for r in counts([(30, 40)] * 6, "repeat")
    ]
    plan = trial("grain_counts", change=None)
    assert one("feed-rhythm", plan, runs)[1].startswith("The repeat half was fed 50 % slower")
    assert one("control-there", plan, runs[1:])[0] == "ok"
