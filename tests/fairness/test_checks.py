"""Every check: a trial that trips it just past its threshold, one that does not just before, and its words."""

from datetime import date
from typing import Any

from schemas import Change, Held, Lot, Tails
from schemas.trial import Amendment
from tests.fairness.asking import GOOD, by_arm, found, one
from tests.tables import every
from tests.verdicts.cases import counts, recovery_runs, run, trial
from trials.fairness.checklist import CHECKS, judge_all
from trials.fairness.evidence import gather


@every(
    ("field", "one_arm", "other", "severity", "words"),
    [
        ("pitch_deg", 4.0, 4.25, "ok", ""),
        ("pitch_deg", 4.0, 4.5, "WEAKENS", "Pitch leans one way: 4.5 deg in the changed runs, 4 in the baseline ones"),
        (
            "pitch_deg",
            4.0,
            4.51,
            "STOP",
            "Pitch also differs: 4 against 4.51 deg (over 0.5 deg, our default). Put it back or plan it apart.",
        ),
        ("water_l_min", 100.0, 116.0, "ok", ""),
        (
            "water_l_min",
            100.0,
            117.0,
            "STOP",
            "Water also differs: 100 against 117 L/min (over 15 %, our default). Put it back or plan it apart.",
        ),
        ("rpm", 10.0, 12.0, "STOP", "Speed also differs: 10 against 12 rpm"),
        ("feeder", "A", "B", "STOP", "The feeder also differs: A against B. Let the same person do both halves"),
        ("feeder", "A", "A", "ok", ""),
    ],
)
def test_one_change(field: str, one_arm: Any, other: Any, severity: str, words: str) -> None:
    """Pitch over 0.5 deg, others over 15 % of their middle, or other hands, stop a trial."""
    severity_found, message = one(
        "one-change", trial(), by_arm(recovery_runs(GOOD, feeder="A"), {field: one_arm}, {field: other})
    )
    assert severity_found == severity and message.startswith(words)


@every(
    ("variable", "field"),
    [("pitch", "pitch_deg"), ("water", "water_l_min"), ("feed rate", "feed_kg_h"), ("pitch", "depth_mm")],
)
def test_the_change_itself_may_differ(variable: Any, field: str) -> None:
    """What is changed, and the depth it drags along, is no second change."""
    plan = trial(change=Change(variable=variable, baseline="low", changed=("high",)))
    assert one("one-change", plan, by_arm(recovery_runs(GOOD, feeder="A"), {field: 4.0}, {field: 8.0}))[0] == "ok"


def test_a_setting_off_its_held_value_is_small_print() -> None:
    """A run's own reading is checked against what was to be held."""
    plan = trial(held=Held(water_l_min=8.0))
    severity, message = one("one-change", plan, by_arm(recovery_runs(GOOD), {"water_l_min": 9.5}, {"water_l_min": 9.5}))
    assert severity == "NOTE" and message.startswith("Water was to be held at 8 L/min and read 9.5 in pair 1")


def test_no_setting_read() -> None:
    """Without its input a check says so, and neither stops nor weakens."""
    assert one("one-change", trial(), recovery_runs(GOOD)) == ("not recorded", "No setting was read in any run.")


def test_control_there() -> None:
    """A passed pair with a changed half only stops; the one under way does not."""
    runs = [r for r in recovery_runs(GOOD) if not (r.arm == "baseline" and r.pair in (2, 5))]
    severity, message = one("control-there", trial(), runs)
    assert severity == "STOP"
    assert message == "No unchanged half in pairs 2 and 5. Any second pass finds gold; run the other half unchanged."
    under_way = [r for r in recovery_runs(GOOD[:3]) if not (r.arm == "baseline" and r.pair == 3)]
    assert one("control-there", trial(), under_way)[0] == "ok"


@every(
    ("fed", "measure", "severity"),
    [
        (102.5, "grain_counts", "ok"),
        (102.6, "grain_counts", "WEAKENS"),
        (107.5, "grain_counts", "WEAKENS"),
        (107.6, "grain_counts", "STOP"),
        (120.0, "tracers", "WEAKENS"),
    ],
)
def test_like_halves(fed: float, measure: str, severity: str) -> None:
    """Over 5 % weakens, over 15 % stops a ratio measure: the gap is in % of the mean of the halves."""
    runs = (
        counts([(30, 40)] * 6)
        if measure == "grain_counts"
        else [run(p, a, seeded=25, kept=20 + p % 3) for p in range(1, 7) for a in ("baseline", "changed")]
    )
    runs = [r.model_copy(update={"fed_g": 100.0}) for r in runs]
    runs[5] = runs[5].model_copy(update={"fed_g": fed})
    runs[4] = runs[4].model_copy(update={"fed_g": 200 - fed})
    severity_found, message = one("like-halves", trial(measure), runs)
    assert severity_found == severity
    if severity != "ok":
        assert message.startswith("Pair 3: halves differ by ") and message.endswith("Re-split by weight.")


def test_same_lot() -> None:
    """Halves of two lots are no pair."""
    plan = trial(lots=(Lot(name="face-1", kind="natural"), Lot(name="face-2", kind="natural")))
    runs = by_arm(recovery_runs(GOOD), {"fed_lot": "face-1"}, {"fed_lot": "face-1"})
    assert one("same-lot", plan, runs)[0] == "ok"
    runs[7] = runs[7].model_copy(update={"fed_lot": "face-2"})
    severity, message = one("same-lot", plan, runs)
    assert severity == "STOP" and message.startswith(
        "Pair 4: halves came from face-1 and face-2. A pair is two halves of one lot"
    )
    assert one("same-lot", plan, recovery_runs(GOOD))[0] == "not recorded"
    mixed = by_arm(recovery_runs(GOOD), {"fed_lot": "face-1"}, {"fed_lot": "face-2"})
    (said,) = found("same-lot", plan, mixed)
    assert said.pairs == (1, 2, 3, 4, 5, 6) and said.message.startswith(
        "Pair 1: halves came from face-1 and face-2, and from two lots in pairs 2, 3, 4, 5 and 6 too. A pair is two"
    )


def test_same_session() -> None:
    """A pair over two sessions weakens."""
    runs = by_arm(recovery_runs(GOOD), {"session": "2026-05-03 am"}, {"session": "2026-05-03 am"})
    assert one("same-session", trial(), runs)[0] == "ok"
    runs[3] = runs[3].model_copy(update={"session": "2026-05-04 am"})
    assert one("same-session", trial(), runs) == (
        "WEAKENS",
        "Pair 2 spans two sessions. Run both halves in one sitting.",
    )


@every(
    ("firsts", "severity"),
    [
        ("bcb", "ok"),
        ("bbb", "STOP"),
        ("bc", "ok"),
        ("bb", "ok"),
        ("bbbbcc", "ok"),
        ("bbbbbc", "WEAKENS"),
        ("cccccc", "STOP"),
    ],
)
def test_first_turn(firsts: str, severity: str) -> None:
    """From 3 pairs: one arm first in under a third weakens, in none stops."""
    runs = []
    for pair, first in enumerate(firsts, start=1):
        for arm, kept in (("baseline", 80.0), ("changed", 80.0 + GOOD[pair - 1])):
            turn = 2 * pair - 1 + (arm[0] != first)
            runs.append(run(pair, arm, turn=turn, gold_mg=kept, tails_gold_mg=100 - kept))
    severity_found, message = one("first-turn", trial(), runs)
    assert severity_found == severity
    if firsts == "bbbbbc":
        assert message.startswith(
            "The changed gear ran second in 5 of 6 pairs. Order and change cannot be told apart; draw"
        )


def test_order_not_recorded() -> None:
    """No turns, no answer about order."""
    runs = [r.model_copy(update={"turn": None}) for r in recovery_runs(GOOD)]
    assert one("first-turn", trial(), runs)[0] == "not recorded"


@every(
    ("locked", "severity", "words"),
    [
        (date(2026, 5, 3), "ok", ""),
        (date(2026, 5, 4), "WEAKENS", "Plan locked 1 day after the first run. A hunch only; plan a new trial."),
        (None, "not recorded", "Plan date not known."),
    ],
)
def test_plan_first(locked: date | None, severity: str, words: str) -> None:
    """A plan locked after the first run is a hunch; no date is no fault."""
    runs = [r.model_copy(update={"session": "2026-05-03 am"}) for r in recovery_runs(GOOD)]
    assert one("plan-first", trial(locked=locked), runs) == (severity, words)


@every(("caught", "severity"), [("all", "ok"), ("grab", "WEAKENS"), ("lip cuts", "WEAKENS"), (None, "not recorded")])
def test_tails_kept(caught: Any, severity: str) -> None:
    """Anything but all tails shows gold kept, not recovery; a mass of gold kept needs none."""
    plan = trial(tails=Tails(caught=caught))
    severity_found, message = one("tails-kept", plan, recovery_runs(GOOD))
    assert severity_found == severity
    assert (
        severity != "WEAKENS"
        or message
        == f"Tails were caught as {caught}, not all of them: this shows gold kept, not recovery. Tub the tails."
    )
    assert one("tails-kept", trial("gold_mass", tails=Tails(caught=caught)), recovery_runs(GOOD))[0] == "ok"


@every(
    ("plan", "update", "words"),
    [
        (
            {"knew": None},
            {"turn": None, "fed_g": None},
            "Not recorded: turn, fed mass, who knew. Order, like halves and hand cannot be judged",
        ),
        ({"knew": None}, {}, "Not recorded: who knew. Hand cannot be judged"),
        ({}, {"fed_g": None}, "Not recorded: fed mass. Like halves cannot be judged"),
    ],
)
def test_thin_record(plan: dict[str, Any], update: dict[str, Any], words: str) -> None:
    """One finding stands for all that is missing of turn, mass fed and who knew."""
    runs = [r.model_copy(update=update) for r in recovery_runs(GOOD)]
    severity, message = one("thin-record", trial(**plan), runs)
    assert severity == "WEAKENS" and message.startswith(words)
    assert one("thin-record", trial(), recovery_runs(GOOD))[0] == "ok"


@every(("zeros", "severity"), [(2, "ok"), (3, "STOP")])
def test_too_many_zeros(zeros: int, severity: str) -> None:
    """Over a fifth of the runs with none stops a ratio: 2 of 12 do not, 3 do."""
    halves = [(0 if i < zeros else 5 + i, 9 + i) for i in range(6)]
    severity_found, message = one("too-many-zeros", trial("grain_counts"), counts(halves))
    assert severity_found == severity
    assert (
        severity == "ok"
        or message == "3 of 12 runs found none (over 20 %, our default). Pool classes, feed more, or count tracers."
    )


def test_extended_and_closed_short_wait_for_the_end() -> None:
    """Neither speaks before the planned pairs are in."""
    plan = trial(pairs=8, amended=(Amendment(when=date(2026, 5, 9), what="pairs", was="3", now="8", why="dirt"),))
    assert one("extended", plan, recovery_runs(GOOD))[0] == "ok"
    assert one("closed-short", plan, recovery_runs(GOOD))[0] == "ok"


def test_an_odd_pair_is_a_note_that_drops_nothing() -> None:
    """A pair off by far is named for its notes (Grubbs, 2 %)."""
    severity, message = one("odd-pair", trial(), recovery_runs((0.1, 0.2, 0.0, 0.15, 0.05, 9.0)))
    assert (severity, message) == ("NOTE", "Pair 6 lies far from the others. Read its notes; it stays in the sum.")


@every(
    ("gains", "severity", "words"),
    [
        ((0.6, 0.2, 1.4, 0.1, 0.9, -0.4, 1.2, 0.5), "NOTE", "Zero is just outside: without any one of most pairs (5 of 8)"),
        ((1.0, 0.9, 1.1, 1.0, 0.9, 1.1, 1.0, 0.9), "ok", ""),
        ((0.8, 1.5, -0.3, 0.5, 0.2, 0.7, 0.5, 0.4), "NOTE", "Without pair 1 zero would be inside."),
        ((0.6, 0.2, 1.4, 0.1, 0.9, -0.9, 1.2, 0.2), "ok", ""),
    ],
)  # fmt: skip
def test_one_pair_carries_from_eight_pairs(gains: tuple[float, ...], severity: str, words: str) -> None:
    """Told from 8 pairs only, and of a difference beyond luck only: of one that is not, none is dropped to make it so."""
    said = one("one-pair-carries", trial(pairs=8), recovery_runs(gains))
    assert said[0] == severity and said[1].startswith(words), said
    assert one("one-pair-carries", trial(), recovery_runs(gains[:6]))[0] == "ok"


def test_order_effect_is_never_said_to_be_absent() -> None:
    """Where none is seen the words say how easily it is missed."""
    severity, message = one("order-effect", trial(), recovery_runs(GOOD))
    assert (severity, message) == ("ok", "No effect of going first was seen; with 6 pairs one is easily missed.")


def test_counts_that_scatter_more_than_counting() -> None:
    """Grains that split worse than chance are usual: a detail of the report, for the interval carries it."""
    severity, message = one(
        "over-dispersion",
        trial("grain_counts"),
        counts([(100, 180), (150, 90), (120, 60), (90, 170), (200, 120), (80, 160)]),
    )
    assert (severity, message) == ("ok", "Runs differ by more than counting luck: usual, the interval carries it.")
    assert (
        one(
            "over-dispersion",
            trial("grain_counts"),
            counts([(100, 105), (150, 140), (120, 126), (90, 95), (200, 190), (80, 84)]),
        )[1]
        == ""
    )


def test_every_check_answers_and_says_what_it_is() -> None:
    """Each check has a name of its own, what it looks at, a source, and at least one line in any verdict."""
    assert len({check.name for check in CHECKS}) == len(CHECKS)
    assert all(check.looks_at and check.source for check in CHECKS)
    said = {finding.check for finding in judge_all(gather(trial(), recovery_runs(GOOD)))}
    assert said == {check.name for check in CHECKS}


def test_findings_stand_worst_first() -> None:
    """Stops before weakenings before notes."""
    runs = by_arm(recovery_runs(GOOD), {"pitch_deg": 4.0, "fed_g": 350.0}, {"pitch_deg": 5.5, "fed_g": 375.0})
    order = [finding.severity for finding in judge_all(gather(trial(), runs))]
    ranks = ["STOP", "WEAKENS", "NOTE", "not recorded", "ok"]
    assert order == sorted(order, key=ranks.index) and order[0] == "STOP"
