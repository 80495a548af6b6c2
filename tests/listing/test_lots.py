"""One change on several lots: check values, own simulation, what counts and what does not, and the whole program.

Data sets and answers stand with their sources in `tests/published/`. No published answer of the plain t over Immer's or
the BCG trials was found: theirs are library-checked. Means over lots are used as they are, so that a data set told in
its own units is laid out as trials of tracers (points) or of gold by weight (log of a ratio).
"""

import csv
import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy import stats

from tests.folders import write
from tests.sizes import scaled
from tests.tables import every
from trials.listing.joint import FEWEST_LOTS, joint_of, over_lots
from trials.listing.joint_words import ToldChange, joint_lines, luck_sentence
from trials.listing.same_change import same_changes
from trials.listing.what_next import what_next
from trials.logbook.pages import ListedTrial, Remembered
from trials.statistics.limits import next_value_limits
from trials.statistics.paired_t import paired_t, t_limits

PUBLISHED = Path(__file__).parents[1] / "published"


def rows_of(name: str) -> list[dict[str, str]]:
    """The rows of a published file; its first line names the source."""
    return list(csv.DictReader((PUBLISHED / name).read_text(encoding="utf-8").splitlines()[1:]))


def immer() -> dict[str, list[tuple[float, float]]]:
    """By place, the yields of the varieties M and T in two years."""
    by = {(row["Loc"], row["Var"]): row for row in rows_of("E_immer.csv")}
    places = dict.fromkeys(place for place, _ in by)
    return {
        place: [(float(by[place, "M"][year]), float(by[place, "T"][year])) for year in ("Y1", "Y2")] for place in places
    }


def bcg() -> list[tuple[float, float]]:
    """The risk of each trial, vaccinated not and vaccinated."""
    return [
        (
            int(row["cpos"]) / (int(row["cpos"]) + int(row["cneg"])),
            int(row["tpos"]) / (int(row["tpos"]) + int(row["tneg"])),
        )
        for row in rows_of("F_bcg.csv")
    ]


def means_of(row_id: str) -> list[float]:
    """What the rows of one data set stand on, a mean of each lot."""
    match row_id:
        case "N53":
            return [math.log(one / other) for other, one in bcg()]
        case "N54":
            found = rows_of("F_hine1989.csv")
            return [100 * (int(row["ai"]) / int(row["n1i"]) - int(row["ci"]) / int(row["n2i"])) for row in found]
        case "N55":
            return [sum(t - m for m, t in years) / len(years) for years in immer().values()]
    return [2.4, 3.9, 1.1]


def asked(row: dict[str, str]) -> Any:
    """Our answer to one row."""
    if row["id"] == "N51":
        mean, further = t_limits(13.71, 3.55, 22), next_value_limits(13.71, 3.55, 22)
        return (mean.low, mean.high, further.low, further.high)
    if row["id"].startswith("N52"):
        return next_value_limits(0.0, 1.0, int(row["id"].partition("-")[2])).high
    found = over_lots(means_of(row["id"]), None)
    assert found.interval is not None and found.next_lot is not None
    return {
        "mean": found.mean,
        "SD between trials": found.sd,
        "low": found.interval.low,
        "high": found.interval.high,
        "next lot low": found.next_lot.low,
        "next lot high": found.next_lot.high,
        "p": found.p,
    }[row["quantity"]]


def test_every_check_value_is_ours() -> None:
    """N50 to N55, each to the tolerance of its row."""
    rows = [row for row in rows_of("lots.csv") if row["id"] != "N56"]
    assert len(rows) == 35
    for row in rows:
        theirs = [float(number) for number in row["value"].split()]
        assert np.ravel(asked(row)) == pytest.approx(theirs, rel=0, abs=float(row["tol"])), (row["id"], row["quantity"])


def test_trials_that_scatter_alike_have_the_limits_of_hartung_and_knapp() -> None:
    """N56, an identity: with equal variances of trials any share between lots drops out (Hartung & Knapp 2001)."""
    means, variance = np.array([2.4, 3.9, 1.1, 0.2, 5.0]), 0.7
    for between in (0.0, 2.0):
        weights = np.full(means.size, 1 / (variance + between))
        middle = (weights * means).sum() / weights.sum()
        se = math.sqrt((weights * (means - middle) ** 2).sum() / ((means.size - 1) * weights.sum()))
        reach = stats.t.ppf(0.975, means.size - 1) * se
        found = over_lots(means.tolist(), None).interval
        assert found is not None
        assert (found.low, found.high) == pytest.approx((middle - reach, middle + reach), abs=1e-9)


@every("lots", [3, 5, 8, 12])
def test_limits_and_the_next_lot_hold_what_they_promise(lots: int) -> None:
    """Own simulation, not published: lots differ by 1.5 points (SD), 6 pairs a lot, scatter 1 to 3 points from lot to lot.

    The limits hold the true mean in 94 % at least, the next lot's measured mean is in its range in 94 to 96 %.
    """
    rng, many, true = np.random.default_rng(lots), scaled(60_000, 6_000), 2.0
    scatter = rng.uniform(1.0, 3.0, (many, lots + 1)) / math.sqrt(6)
    measured = true + 1.5 * rng.standard_normal((many, lots + 1)) + scatter * rng.standard_normal((many, lots + 1))
    fit = paired_t(measured[:, :-1])
    further = next_value_limits(fit.mean, fit.sd, lots)
    held = float(np.mean((fit.low <= true) & (true <= fit.high)))
    next_held = float(np.mean((further.low <= measured[:, -1]) & (measured[:, -1] <= further.high)))
    assert held >= 0.94
    assert 0.94 <= next_held <= 0.96


def listed(name: str, estimate: float | None = 2.0, day: int = 1, lot: str = "lot", **other: Any) -> ListedTrial:
    """A trial of one mat, with its word; `other` goes to the trial or to the word."""
    own = {key: other.pop(key) for key in list(other) if key in ListedTrial.__slots__}
    base: dict[str, Any] = {"measure": "recovery", "gear": "sluice", "variable": "mat", "baseline": "Old mat"}
    base |= {"changed": ["looped"], "lots": [lot], "lot_kinds": ["natural"], "last_session": f"2026-05-{day:02}"}
    told: dict[str, Any] = {
        "code": "better",
        "leaning": False,
        "estimate": estimate,
        "worth_having": 1.0,
        "unit": "points",
    }
    told |= {
        "shown": estimate,
        "shown_low": 0.0,
        "shown_high": 4.0,
        "pairs_planned": 6,
        "sentence": "",
        "last_word": None,
    } | other
    return ListedTrial(trial=name, word=Remembered(name, "0", **told), **(base | own))


def test_what_is_the_same_and_what_counts() -> None:
    """By change, measure, gear and tails, without case and spaces; never by outcome; lots, not trials, are counted."""
    lines = [
        listed("nine", -3.0, 9, "upper cut", code="worse"),
        listed("eight", None, 8, code="blocked"),
        listed("seven", 4.0, 7, "Upper  Cut", baseline="old  MAT", leaning=True),
        listed("six", 1.0, 6, code="not_settled"),
        listed("five", 2.0, 5, gear="pan"),
        listed("four", 2.5, 4, changed=["looped", "deep"], level_named="deep"),
        listed("three", 2.0, 3, lot_kinds=["sluice tailings"]),
        listed("two", 5.0, 2, size_class="50/100"),
        listed("one", None, 1, code="set_aside"),
        listed("zero", 3.0, 1, code="no_difference"),
    ]
    mat, pan, tails = same_changes(lines)
    assert [[one.trial for one in lot.trials] for lot in mat.lots] == [["nine", "seven"], ["six"], ["zero"]]
    assert ([one.trial for one in pan.trials], [one.trial for one in tails.trials]) == (["five"], ["three"])
    joint = joint_of(mat)
    assert joint is not None
    assert joint.means == (0.5, 1.0, 3.0)  # the two on the upper cut averaged
    said = joint_lines(ToldChange(mat, joint))
    assert said == [
        "On 3 lots so far: +1.5 points (-1.8 to +4.8), not settled. A trial on the next lot may show -5.1 to +8.1.",
        (
            "Looked at after every lot from the third on, luck alone shows something by now in about 5 of 100 changes that do "
            "nothing."
        ),
        "By lot: upper cut: nine and seven (leaning).",
        "six and zero name no lot, so each counts as ground of its own.",
        (
            "Not counted: eight (no verdict); two (of 50/100 alone); one (set aside); four (graded: its limits hold for all "
            "levels at once)."
        ),
    ]


@every(
    "means, line, said",
    [
        ([2.4, 3.9, 3.1, 2.9], 1.0, "better beyond luck, surely past your 1-point line"),
        ([-2.4, -3.9, -3.1], 1.0, "worse beyond luck"),
        ([0.2, -0.1, 0.0], 1.0, "no difference worth having, inside your 1-point line"),
        ([0.4, 0.5, 0.45], 1.0, "real but small, inside your 1-point line"),
        ([2.0, 2.0, 2.0], 1.0, "not settled: all lots agree exactly, so luck can't be judged."),
    ],
)
def test_the_four_outcomes_over_lots(means: list[float], line: float, said: str) -> None:
    """Those of a trial, against the newest line; lots that agree exactly settle nothing."""
    trials = [listed(f"t{k}", mean, 9 - k, worth_having=line if not k else 99.0) for k, mean in enumerate(means)]
    (same,) = same_changes(trials)
    joint = joint_of(same)
    assert joint is not None
    assert said in joint_lines(ToldChange(same, joint))[0]


def test_with_one_lot_and_with_two_nothing_is_joined() -> None:
    """One speaks for its ground, two stand side by side; how often luck shows by now is told from three."""
    one, two = listed("a", 2.0, 2, "cut"), listed("b", 3.0, 1)
    for trials, said in (
        ([one], "One lot: it speaks for this ground."),
        ([one, two], "On 2 lots so far: +2.0 points (0.0 to +4.0) on cut and +3.0 points (0.0 to +4.0) on b."),
    ):
        (same,) = same_changes(trials)
        assert joint_of(same) is None
        assert len(same.lots) < FEWEST_LOTS
        assert joint_lines(ToldChange(same, None))[0].startswith(said)
    assert "in about 13 of 100" in luck_sentence(7)
    assert "in over 18 of 100" in luck_sentence(30)


def next_lines(*trials: ListedTrial) -> list[str]:
    """What the record leaves open."""
    return [one.said for one in what_next(trials, same_changes(trials))]


def test_what_next_is_drawn_from_the_record_with_its_reason() -> None:
    """The newest of each kind, three at most, the newest trial first; nothing of what was settled or given up."""
    open_one = listed("open", 1.0, 9, variable="riffle", code="not_settled", pairs_for_new_trial=14)
    better, audit = listed("good", 2.0, 8), listed("audit", None, 7, changed=None, code="audit", losses_start="50/100")
    costly = listed("costly", 2.0, 6, variable="pitch", costs_over=["black sand"], black_sand=1.9, decided="revert")
    costs = listed("costs", 2.0, 5, variable="pitch", costs_over=["black sand"], black_sand=1.9)
    unsettled = "open is not settled: a new trial would need about 14 pairs at its scatter."
    one_lot = "good was better on one lot alone; a trial on other ground tells whether it holds there."
    losses = "audit saw losses start at 50/100; a change that aims there is the one to plan."
    assert next_lines(open_one, better, audit, costly, costs) == [unsettled, one_lot, losses]
    assert next_lines(costly, costs) == [
        "costs has 1.9 times the black sand, over its limit: weigh that; samedirt decide costs records what you do."
    ]
    settled = listed("later", 2.0, 10, variable="riffle", code="no_difference")
    assert next_lines(settled, open_one) == []
    elsewhere = listed("elsewhere", 2.0, 9, "other cut", code="not_settled", pairs_for_new_trial=5)
    assert next_lines(elsewhere, better) == [
        "elsewhere is not settled; samedirt verdict elsewhere says what a new trial needs."
    ]
    assert next_lines(listed("kept", code="not_settled", decided="keep"), listed("no", leaning=True)) == []


PLAN = """
name = "{name}"
measure = "{measure}"
pairs = {pairs}
knew = "nobody"
lot = {{name = "{name}", kind = "natural"}}
gear = {{kind = "sluice"}}
change = {{variable = "mat", baseline = "ribbed", changed = "looped"}}
"""


def laid_out(folder: Path, name: str, measure: str, columns: str, pairs: list[tuple[str, str]]) -> None:
    """A trial on a lot of its own, from the cells of both halves of each pair."""
    rows = [f"pair,arm,turn,session,minutes,fed_g,{columns}"]
    for at, halves in enumerate(pairs):
        both = list(zip(("baseline", "changed"), halves, strict=True))[:: 1 if at % 2 else -1]
        rows += [f"{at + 1},{arm},{2 * at + 1 + k},2026-05-03,10,1000,{cells}" for k, (arm, cells) in enumerate(both)]
    write(folder / name, PLAN.format(name=name, measure=measure, pairs=len(pairs)), "\n".join(rows) + "\n")


def joint_row_of(samedirt: Callable[..., Any], folder: Path) -> dict[str, Any]:
    """Load all trials of a folder, and ask the logbook for their change."""
    assert samedirt("load", *sorted(path.name for path in folder.iterdir() if path.is_dir())).code == 0
    (row,) = json.loads(samedirt("logbook", "--change", "looped", "--json").out)["same_change"]
    found: dict[str, Any] = row
    return found


def check_values(row_id: str, row: dict[str, Any], factor: float) -> None:
    """What the program says of a data set is what its rows say, in units `factor` times theirs."""
    ours = {"mean": row["estimate"], "SD between trials": row["sd"], "p": row["p"]}
    ours |= {end: row["interval"][end] for end in ("low", "high")}
    ours |= {f"next lot {end}": row["next_lot"][end] for end in ("low", "high")}
    for wanted in (one for one in rows_of("lots.csv") if one["id"] == row_id):
        scale = 1.0 if wanted["quantity"] == "p" else factor
        assert ours.pop(wanted["quantity"]) == pytest.approx(scale * float(wanted["value"]), abs=1e-6)
    assert ours == {}


def test_immers_six_places_through_the_program(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """N55: variety T less M, each place a lot; yields as tracers, .4 points a bushel, both years twice for four pairs."""
    for place, years in immer().items():
        pairs = [(f"5000,{20 * m:.0f}", f"5000,{20 * t:.0f}") for m, t in years * 2]
        laid_out(tmp_path, place.lower(), "tracers", "seeded,kept", pairs)
    row = joint_row_of(samedirt, tmp_path)
    check_values("N55", row, 0.4)
    assert (len(row["lots"]), row["code"]) == (6, "better")
    said = " ".join(samedirt("logbook", "--change", "looped").out.split())
    assert "On 6 lots so far: +9.5 points (1.4 to 17.6), better beyond luck, no line was set" in said
    assert "A trial on the next lot may show -12 to +31." in said


def test_the_bcg_trials_through_the_program(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """N53: log risk ratios, each trial a lot; risks as gold by weight, three pairs about the ratio of its trial."""
    for number, (other, one) in enumerate(bcg(), start=1):
        pairs = [(repr(1e5 * other), repr(1e5 * one * shift)) for shift in (1.1, 1.0, 1 / 1.1)]
        laid_out(tmp_path, f"t{number}", "gold_mass", "gold_mg", pairs)
    row = joint_row_of(samedirt, tmp_path)
    check_values("N53", row, 1.0)
    assert (len(row["lots"]), row["code"], row["shown"]["unit"]) == (13, "worse", "%")


def test_recoveries_told_apart_by_size_are_taken_at_one_mix(samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """Coarse gains 2 points and fine 8 on every lot; by the lots' own mixes that would be 3, 5 and 7 points.

    By hand: at one mix of half and half, the mean of a sixth, a half and five sixths fine, each lot has 5 points.
    """
    columns = "gold_mg +50,gold_mg -50,tails_gold_mg +50,tails_gold_mg -50"
    for name, fine in (("a", 1000), ("b", 3000), ("c", 5000)):
        coarse, pairs = 6000 - fine, []
        for luck in (0.01, -0.01, 0.0, 0.0):
            kept = [(0.80, 0.50), (0.82 + luck, 0.58 + luck)]
            pairs.append(
                tuple(f"{coarse * c:.0f},{fine * f:.0f},{coarse * (1 - c):.0f},{fine * (1 - f):.0f}" for c, f in kept)
            )
        laid_out(tmp_path, name, "recovery", columns, pairs)
        plan = (tmp_path / name / "trial.toml").read_text()
        (tmp_path / name / "trial.toml").write_text(f'{plan}tails = {{caught = "all"}}\nsizes = {{series = "ASTM"}}\n')
    row = joint_row_of(samedirt, tmp_path)
    assert row["at_one_mix"]
    assert [lot["estimate"] for lot in row["lots"]] == pytest.approx([5.0, 5.0, 5.0], abs=0.02)
    assert "All trials are taken at one mix of sizes." in row["said"]
