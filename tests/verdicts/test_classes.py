"""By size class: values held against an own calculation, not published, what is said, and how often luck alone says it."""

import csv
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy import stats

from schemas import PairsAnswer, Run, SizeCatch, Sizes, Tails, Trial
from tests.charts.drawn import Drawn
from tests.sizes import scaled
from tests.tables import every
from tests.verdicts.cases import run, trial
from trials import reach_verdict
from trials.charts.answers.chosen import answer_chart
from trials.files.trial_file import read_trial
from trials.files.write import trial_text
from trials.measures.recovery import true_recovery
from trials.simulation.dirt import GOLD_SHARES
from trials.simulation.gear import UNCHANGED_RECOVERY
from trials.statistics.holm import holm
from trials.statistics.paired_t import paired_t

LABELS = ("+50", "50/100", "-100")
# The invented pairs of row N24 of tests/published/levels_sizes_audit.csv, mg: kept and in tails of either half.
KEPT0 = [[60, 25, 8], [55, 30, 9], [70, 22, 7], [40, 28, 10]]
TAILS0 = [[2, 4, 6], [3, 4, 7], [2, 3, 5], [1, 5, 8]]
KEPT1 = [[40, 33, 14], [62, 27, 13], [45, 30, 15], [58, 25, 12]]
TAILS1 = [[2, 3, 4], [4, 3, 5], [3, 4, 4], [3, 3, 5]]
ROWS = Path(__file__).parents[1] / "published" / "levels_sizes_audit.csv"
ASTM = Sizes(series="ASTM")


SEEDED_TAILS = """
name = "t"
measure = "recovery"
pairs = 3
[lot]
kind = "natural"
[gear]
kind = "sluice"
[change]
variable = "mat"
baseline = "ribbed"
changed = "looped"
[tails]
caught = "all"
finds = "35 of 50"
[scales]
gold = "0.001 g"
[sizes]
series = "ASTM"
"""
"""Fifty grains were seeded into washed tails, and the tails method found 35 of them."""


def weighed(
    kept0: Any = KEPT0,
    tails0: Any = TAILS0,
    kept1: Any = KEPT1,
    tails1: Any = TAILS1,
    labels: tuple[str, ...] = LABELS,
) -> list[Run]:
    """Runs of gold by size, kept and in the tails."""
    return [
        run(
            pair,
            arm,
            gold_mg=float(sum(kept)),
            tails_gold_mg=float(sum(tails)),
            classes=tuple(
                SizeCatch(label=label, gold_mg=float(k), tails_gold_mg=float(t))
                for label, k, t in zip(labels, kept, tails, strict=True)
            ),
        )
        for pair, halves in enumerate(zip(kept0, tails0, kept1, tails1, strict=True), start=1)
        for arm, kept, tails in (("baseline", *halves[:2]), ("changed", *halves[2:]))
    ]


def counted(before: list[list[int]], after: list[list[int]]) -> list[Run]:
    """Runs of native grains counted by size."""
    return [
        run(
            pair,
            arm,
            grains=sum(found),
            classes=tuple(SizeCatch(label=c, grains=n) for c, n in zip(LABELS, found, strict=True)),
        )
        for pair, halves in enumerate(zip(before, after, strict=True), start=1)
        for arm, found in zip(("baseline", "changed"), halves, strict=True)
    ]


def sized(**more: Any) -> Trial:
    """A plan whose gold is told apart by size."""
    return trial(**{"pairs": 4, "sizes": ASTM, "worth_having": 1.0, **more})


def test_four_worked_pairs() -> None:
    """Total, total at one mix with its shares, and every class with joint limits and p: each to its tolerance."""
    verdict = reach_verdict(sized(), weighed())
    mix, answer = verdict.one_size_mix, verdict.answer
    assert (
        mix is not None and mix.interval is not None and isinstance(answer, PairsAnswer) and answer.interval is not None
    )
    ours = {
        "plain total: mean": answer.estimate,
        "plain total: low": answer.interval.low,
        "plain total: high": answer.interval.high,
        "standardised total: mean": mix.estimate,
        "standardised total: low": mix.interval.low,
        "standardised total: high": mix.interval.high,
    }
    for at, one in enumerate(verdict.classes, start=1):
        assert one.interval is not None
        ours[f"weight of class {at}"] = mix.shares[at - 1]
        ours |= {f"class {at}: mean": one.estimate, f"class {at}: p raw": one.p}
        ours |= {
            f"class {at}: low (Bonferroni 3)": one.interval.low,
            f"class {at}: high (Bonferroni 3)": one.interval.high,
        }
    rows = published("N24")
    assert {row["quantity"] for row in rows} == set(ours)
    for row in rows:
        assert ours[row["quantity"]] == pytest.approx(float(row["value"]), abs=float(row["tol"])), row["quantity"]
    # Holm by hand: the smallest p thrice, the next twice, the last once; of +50, .0339 alone is not enough among three.
    assert [one.p_of_all for one in verdict.classes] == pytest.approx([0.067867, 0.089402, 0.003631], abs=1e-6)
    assert [one.passes for one in verdict.classes] == [None, None, "gains"]


def published(family: str) -> list[dict[str, str]]:
    """The check values of one family."""
    lines = ROWS.read_text(encoding="utf-8").splitlines()[1:]
    return [row for row in csv.DictReader(lines) if row["id"].split("-")[0] == family]


def test_a_mix_of_sizes_alone_moves_the_total() -> None:
    """N22, N23: one gear on coarse, medium and fine gold; and where each class gains a point on finer feed."""
    kept = 100 * np.asarray(UNCHANGED_RECOVERY)
    totals = {sizes: float(np.dot(shares, kept) / np.sum(shares)) for sizes, shares in GOLD_SHARES.items()}
    for row in published("N22"):
        assert totals[row["id"].partition("-")[2]] == pytest.approx(float(row["value"]), abs=float(row["tol"]))

    def half(sizes: str, more: float) -> tuple[list[float], list[float]]:
        fed, share = 1000 * np.asarray(GOLD_SHARES[sizes]) + 0.001, (kept + more) / 100  # none without any gold
        return (fed * share).tolist(), (fed * (1 - share)).tolist()

    (kept0, tails0), (kept1, tails1) = half("coarse", 0.0), half("fine", 1.0)
    labels = ("+8", "8/10", "10/14", "14/20", "20/30", "30/40", "40/50", "50/70", "70/100", "-100")
    runs = weighed([kept0] * 3, [tails0] * 3, [kept1] * 3, [tails1] * 3, labels=labels)
    verdict = reach_verdict(sized(pairs=3), runs)
    plain, one_mix = published("N23")
    values = [tuple(float(end) for end in row["value"].split(" -> ")) for row in (plain, one_mix)]
    assert verdict.answer.estimate == pytest.approx(values[0][1] - values[0][0], abs=0.01)
    first = verdict.pair_results[0]
    assert (first.baseline, first.changed) == pytest.approx(values[0], abs=0.005)
    assert verdict.one_size_mix is not None
    assert verdict.one_size_mix.estimate == pytest.approx(values[1][1] - values[1][0], abs=1e-9)
    base = float(np.dot(verdict.one_size_mix.shares, kept))
    assert (base, base + verdict.one_size_mix.estimate) == pytest.approx(values[1], abs=0.005)


def test_what_the_tails_method_misses_is_put_in() -> None:
    """N36: at 90 % of what was found and 7 of 10 found in the tails, 86.3 % of all gold; silent where it is not known."""
    (row,) = published("N36")
    assert float(true_recovery(np.array(0.9), 0.7)) == pytest.approx(float(row["value"]), abs=float(row["tol"]))
    kept0, tails0 = [[90.0 + d] for d in (-1, 0, 1)], [[10.0 - d] for d in (-1, 0, 1)]
    runs = weighed(kept0, tails0, kept0, tails0, labels=("+50",))
    told = reach_verdict(sized(pairs=3, tails=Tails(caught="all", finds_percent=70.0)), runs).more
    (says,) = [line for line in told if "tails method misses" in line]
    assert "kept 86.3 % of all gold and the changed set-up 86.3 %; of what was found they kept 90.0 and 90.0 %" in says
    assert not [line for line in reach_verdict(sized(pairs=3), runs).more if "tails method misses" in line]
    plan, problems = read_trial(SEEDED_TAILS, "trial.toml")
    assert plan is not None and not problems and plan.tails.finds_percent == 70.0
    (says,) = [line for line in reach_verdict(plan, runs).more if "tails method misses" in line]
    ends = stats.binomtest(35, 50).proportion_ci(0.95, "exact")  # Clopper and Pearson, as the reference library has it
    low, high = (100 * 0.9 * u / (0.9 * u + 0.1) for u in ends)
    assert f"kept 86.3 % ({low:.1f} to {high:.1f}) of all gold" in says and "those of 35 of 50 grains found" in says
    _, problems = read_trial(SEEDED_TAILS.replace("35 of 50", "53 of 50"), "trial.toml")
    assert "53 are more than the 50 they were counted of" in str(problems[0])
    assert 'finds = "35 of 50"' in trial_text(plan)


def test_one_size_alone_and_one_mix_are_said() -> None:
    """The total is not settled, its fine gold is; a question that names sizes hears that the total is all of them."""
    verdict = reach_verdict(sized(question="Does it keep more fine gold?"), weighed())
    assert (
        "The gain shown is in -100 alone: +18.1 points (10.8 to 25.3), limits joint for 3 classes; the total is not "
        "settled." in verdict.more
    )
    assert "At one size mix: +2.6 points (0.9 to 4.4)." in verdict.more
    assert "The question names sizes, and the sentence above is of all together; each stands below." in verdict.more


def test_a_screen_or_a_mat_is_no_size_of_gold() -> None:
    """What is said of sizes is said where the question asks of them, not where a mat is of mesh."""
    questions = {
        "Does it keep more fine gold?": True,
        "Is the 100 mesh gold kept?": True,
        "Does expanded mesh keep more gold?": False,
        "Does the finer screen lose less?": False,
    }
    for question, names_sizes in questions.items():
        more = reach_verdict(sized(question=question), weighed()).more
        assert any("question names sizes" in line for line in more) is names_sizes, question


def test_a_main_class_is_the_question() -> None:
    """With a main class the whole verdict is of its readings, and the others are the family beside it."""
    verdict = reach_verdict(sized(sizes=Sizes(series="ASTM", main="-100")), weighed())
    assert verdict.sentence.startswith("Better beyond luck: +18.1 points in -100 (13.3 to 22.8), 4 pairs")
    assert [one.label for one in verdict.classes] == ["+50", "50/100"] and verdict.size_class == "-100"
    assert "No other size stands out." in verdict.more and verdict.one_size_mix is None


def test_traded_sizes_make_it_the_persons_call() -> None:
    """Fine gained, coarse lost: both are named, and the last word is no more than your call."""
    kept0, kept1 = [[95, 80, 60]] * 6, [[90, 80, 80 + at] for at in (0, 1, 2, 1, 0, 2)]
    kept1 = [[k[0] + at % 2, k[1] + at % 2, k[2]] for at, k in enumerate(kept1)]
    halves = [[[100 - k for k in row] for row in kept] for kept in (kept0, kept1)]
    verdict = reach_verdict(
        sized(pairs=6, limits={"black_sand": 1.5, "minutes": 1.2}), weighed(kept0, halves[0], kept1, halves[1])
    )
    assert verdict.code == "better"
    said = next(line for line in verdict.more if line.startswith("Gains in -100 ("))
    assert "loses in +50 (-4.5 points" in said and said.endswith("do not read the total alone.")
    assert (verdict.last_word, verdict.last_word_why) == ("your call", "one size gains and another loses")


def test_a_class_told_apart_in_one_pair_alone_is_not_tested() -> None:
    """Sieved in the first pair only: it says in how many pairs, and how many it takes."""
    runs = [
        one if one.pair == 1 else one.model_copy(update={"classes": one.classes[:2]})
        for one in counted([[40, 30, 50 + at] for at in range(4)], [[44, 33, 57 - at] for at in range(4)])
    ]
    verdict = reach_verdict(sized(measure="grain_counts", worth_having=20.0), runs)
    assert [one.why_not for one in verdict.classes if not one.tested] == ["told apart in 1 pair; 3 are needed"]


@every(
    ("found", "says"),
    [
        ((40, 30, 7), "7 grains a run, too few to test; join it to 50/100 or feed more"),
        ((8, 40, 30), "8 grains a run, too few to test; join it to 50/100 or feed more"),
        ((40, 30, 0), "none found in 8 runs"),
    ],
)
def test_too_few_to_test_say_so_with_the_remedy(found: tuple[int, ...], says: str) -> None:
    """A thin class stands without a bar, and says what to do; on the chart too."""
    before = [[n + at if n else 0 for n in found] for at in (0, 0, 0, 0)]
    after = [[n + at * (n > 10) for n in found] for at in (3, 1, 2, 4)]
    verdict = reach_verdict(sized(measure="grain_counts", worth_having=20.0), counted(before, after))
    thin = next(one for one in verdict.classes if not one.tested)
    assert thin.why_not == says and thin.interval is None
    chart = Drawn(answer_chart(verdict))
    assert {row["size"] for row in chart.rows_with("size", "low", "high")} == {
        *(one.label for one in verdict.classes if one.tested),
        "total",
    }
    assert says[:20] in chart.words


def test_luck_alone_makes_a_size_stand_out_in_one_trial_of_twenty() -> None:
    """Nothing changed: any class beyond luck in 5.5 % at most, one up and one down in 0.3 %."""
    rng = np.random.default_rng(31)
    trials, pairs = scaled(20_000), 6
    luck = rng.normal(size=(trials, 3, pairs)) * np.array([2.0, 3.0, 5.0])[:, np.newaxis] + rng.normal(
        size=(trials, 1, pairs)
    )
    fit = paired_t(luck)
    passes = holm(fit.p) < 0.05
    traded = (passes & (fit.mean > 0)).any(axis=-1) & (passes & (fit.mean < 0)).any(axis=-1)
    noise = 3 * 100 * math.sqrt(0.05 * 0.95 / trials)
    assert 100 * passes.any(axis=-1).mean() <= 5.5 + noise
    assert 100 * traded.mean() <= 0.3 + noise / 4
