"""The verdict chart draws what the verdict says, and nothing past it."""

import datetime as dt
import json
import math
import re
from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from schemas import Amendment, Change, Finding, Gear, Interval, Lot, PairResult, PairTally, Run, Trial, Verdict, VoidRun
from tests.charts.drawn import Drawn
from tests.charts.invented import MINUTES, NO_NUMBERS, ROUGH, SAND, SMOOTH, as_scatter, invented, rough_bed, with_answer
from tests.tables import every
from trials import reach_verdict
from trials.charts import palette
from trials.charts.bars import ARROW_PX
from trials.charts.verdict_chart import verdict_chart

DEMO = Path(__file__).parents[2] / "demo_trials"


@cache
def bed(*, narrow: bool = False) -> Drawn:
    """The rough bed as it is drawn, made once."""
    return Drawn(verdict_chart(rough_bed(), narrow=narrow))


def three_pairs(**more: object) -> Verdict:
    """Three pairs whose interval is far wider than they are."""
    before, after = (71.0, 64.0, 69.5), (73.0, 70.0, 69.0)
    verdict = invented("recovery", before, after, "not_settled", "Not settled: +2.5 points.", line_typed=1.0)
    return with_answer(verdict, **{"interval": Interval(low=-35.0, high=40.0, level=0.95), **more})


def with_pair(verdict: Verdict, number: int, **change: object) -> Verdict:
    """The same verdict with one pair told otherwise."""
    pairs = [p.model_copy(update=change) if p.pair == number else p for p in verdict.pair_results]
    return verdict.model_copy(update={"pair_results": tuple(pairs)})


@every("narrow", [False, True])
def test_rows_are_the_pairs_in_order(narrow: bool):
    """Every pair is a row with both its runs, in pair order, against the measure with its unit."""
    drawn = bed(narrow=narrow)
    circles = drawn.marks("point", shape="circle", stroke=palette.BASELINE)
    rows = next(rows for layer in circles if (rows := [r for r in drawn.rows(layer) if "baseline" in r]))
    assert [(r["pair"], r["baseline"], r["changed"]) for r in rows] == list(
        zip(range(1, 7), SMOOTH, ROUGH, strict=True)
    )
    assert "gold grains kept" in drawn.axis_titles()


def test_arms_have_their_shapes():
    """Baseline is a hollow circle, changed a filled diamond, and the key says which is which."""
    drawn = bed()
    assert drawn.marks("point", shape="circle", stroke=palette.BASELINE, fill=palette.PAPER)
    assert drawn.marks("point", shape="diamond", stroke=palette.CHANGED, fill=palette.CHANGED)
    assert "baseline: smooth" in drawn.words
    assert "changed: rough" in drawn.words


def test_interval_is_the_verdicts_in_percent():
    """The bar ends where the verdict's interval does, as % by exp, and the mean and line likewise."""
    verdict = rough_bed()
    drawn = Drawn(verdict_chart(verdict))
    (bar,) = [r for layer in drawn.marks("bar", height=10) for r in drawn.rows(layer)]
    assert verdict.answer.interval is not None
    assert bar["at"] == bar["low"] == pytest.approx(100 * math.expm1(verdict.answer.interval.low))
    assert bar["to"] == bar["high"] == pytest.approx(100 * math.expm1(verdict.answer.interval.high))
    (mean,) = drawn.rows_with("estimate")
    assert mean["estimate"] == pytest.approx(100 * math.expm1(verdict.answer.estimate or 0))
    (band,) = [r for layer in drawn.marks("rect") for r in drawn.rows(layer)]
    assert (band["low"], band["high"]) == pytest.approx((100 * (1 / 1.2 - 1), 20.0))
    assert "difference of a pair, % more grains" in drawn.axis_titles()


def test_points_stay_points():
    """Recovery is drawn in points, not as a ratio."""
    verdict = three_pairs()
    drawn = Drawn(verdict_chart(verdict))
    assert sorted(r["difference"] for r in drawn.rows_with("difference", "y")) == sorted(verdict.answer.differences)
    assert "difference of a pair, points (recovery)" in drawn.axis_titles()


def test_less_gold_in_tails_is_to_the_right():
    """For gold in tails a positive number is less lost: halving it is +50 %, the line of 20 % runs -25 to +20."""
    verdict = invented("tails_gold", (8.0, 6.0, 4.0), (4.0, 3.0, 2.0), "better", "x", line_typed=20.0)
    drawn = Drawn(verdict_chart(verdict))
    assert [r["difference"] for r in drawn.rows_with("difference", "y")] == pytest.approx([50.0] * 3)
    (band,) = [r for layer in drawn.marks("rect") for r in drawn.rows(layer)]
    assert (band["low"], band["high"]) == pytest.approx((-25.0, 20.0))
    assert "difference of a pair, % less gold lost" in drawn.axis_titles()


def test_unsettled_tails_words_turn_with_the_axis():
    """Words beside the bar take the axis' sense, less lost being a plus, so the two never disagree."""
    verdict = invented("tails_gold", (8.0, 6.0, 4.0), (4.0, 7.0, 3.0), "not_settled", "x")
    drawn = Drawn(verdict_chart(verdict))
    (bar,) = [r for layer in drawn.marks("bar", height=10) for r in drawn.rows(layer)]
    assert f"{bar['low']:+.0f} to {bar['high']:+.0f}" in drawn.words
    assert "% less gold lost\n" in drawn.words


@every("narrow", [False, True])
def test_numbers_and_level_are_written(narrow: bool):
    """Estimate, both limits and the level of the interval stand in words beside the bar."""
    words = bed(narrow=narrow).words
    for part in ("39 % more grains", "11 to 73", "95 % interval"):
        assert part in words


def test_other_levels_are_named():
    """A 96 % interval is called one."""
    verdict = three_pairs(interval=Interval(low=-3.0, high=9.0, level=0.96))
    assert "96 % interval" in Drawn(verdict_chart(verdict)).words


def test_a_bar_past_the_axis_gets_arrows_and_numbers():
    """An interval wider than the axis is drawn to both edges, with an arrow and its number at each."""
    drawn = Drawn(verdict_chart(three_pairs()))
    low, high = drawn.domain("at")
    (bar,) = [r for layer in drawn.marks("bar", height=10) for r in drawn.rows(layer)]
    assert (bar["at"], bar["to"]) == (low, high)
    assert drawn.marks("point", shape="triangle-left")
    assert drawn.marks("point", shape="triangle-right")
    assert {r["number"] for r in drawn.rows_with("number")} == {"-35", "+40"}


def test_no_arrow_where_the_bar_fits():
    """A bar that fits has no arrow."""
    assert not bed().rows_with("number")


def test_zero_is_a_solid_line():
    """Zero is a solid line, the band's edges are dashed."""
    drawn = bed()
    zero = [m for m in drawn.marks("rule") if drawn.rows(m) == [{"at": 0.0}]]
    assert [m["mark"].get("strokeDash") for m in zero] == [None]
    edges = [
        m
        for m in drawn.marks("rule", strokeDash=[4, 3])
        if any(r.get("at") == 20.0 or abs(r.get("at", 0) - 20) < 1e-9 for r in drawn.rows(m))
    ]
    assert edges


@every(("code", "shape"), [("better", palette.UP), ("worse", palette.DOWN)])
def test_outcome_shapes(code: str, shape: str):
    """Better points up, worse down, and the key repeats the word."""
    drawn = Drawn(verdict_chart(rough_bed(code=code)))
    assert drawn.marks("point", shape=shape)
    assert f"mean: {code}" in drawn.words


def test_unsettled_is_an_open_bar():
    """What is not settled is an open bar; no difference worth having is a filled one."""
    fills = [
        Drawn(verdict_chart(rough_bed(code=code))).marks("bar", height=10)[0]["mark"]["fill"]
        for code in ("not_settled", "no_difference")
    ]
    assert fills[0] == palette.PAPER != fills[1]


def test_void_pairs_are_marked():
    """A void pair is grey and hollow, its line dashed, with the word and the reason; its difference is not drawn."""
    verdict = with_pair(rough_bed(), 3, status="void", note="spill", difference=None)
    verdict = with_answer(verdict, differences=verdict.answer.differences[:2] + verdict.answer.differences[3:])
    drawn = Drawn(verdict_chart(verdict))
    assert "void: spill" in drawn.words
    grey = [r["pair"] for m in drawn.marks("point", stroke=palette.FAINT, fill=palette.PAPER) for r in drawn.rows(m)]
    assert grey == [3, 3]
    assert [r["pair"] for m in drawn.marks("rule", strokeDash=[3, 3]) for r in drawn.rows(m)] == [3]
    assert [r["pair"] for r in drawn.rows_with("difference", "y")] == [1, 2, 4, 5, 6]


def test_empty_and_open_pairs_say_so():
    """An empty pair says none found, one not made not yet run."""
    verdict = with_pair(rough_bed(), 2, status="empty", baseline=0.0, changed=0.0)
    verdict = with_pair(verdict, 6, status="open", baseline=None, changed=None)
    words = Drawn(verdict_chart(verdict)).words
    assert "none found" in words
    assert "not yet run" in words


def test_a_nugget_is_a_star_and_moves_nothing():
    """A large piece is a star beside its row with its weight; the axis stays as it was."""
    before, after = (21.0, 14.2, 16.0), (24.0, 15.2, 19.0)
    verdict = invented("gold_mass", before, after, "better", "x")
    plain = Drawn(verdict_chart(verdict))
    runs = [
        Run(pair=2, arm="changed", gold_mg=15.2, pickers_mg=310.0),
        Run(pair=3, arm="baseline", gold_mg=16.0, largest_mg=3.3),
        Run(pair=1, arm="baseline", gold_mg=21.0, largest_mg=3.0),
    ]
    drawn = Drawn(verdict_chart(verdict, runs=runs))
    stars = {
        r["pair"]: m["mark"]["fill"]
        for m in drawn.marks("point", shape=palette.STAR)
        for r in drawn.rows(m)
        if "pair" in r
    }
    assert stars == {2: palette.CHANGED, 3: palette.PAPER}
    assert "310 mg of pickers" in drawn.words
    assert "3.3 mg in one piece" in drawn.words
    assert drawn.domain("baseline") == plain.domain("baseline")
    assert "a large piece, by arm" in drawn.words
    assert "a large piece" not in plain.words


def test_the_whole_sentence_is_the_title():
    """A sentence of 200 letters is broken into lines and complete."""
    sentence = (
        "Better beyond luck, with a cost: "
        + "39 % more grains than the bed that was painted twice " * 4
        + "(11 to 73)."
    )
    assert len(sentence) > 200
    for narrow, most in ((False, 76), (True, 40)):
        drawn = Drawn(verdict_chart(rough_bed(sentence=sentence), narrow=narrow))
        assert drawn.title == sentence
        assert max(map(len, drawn.spec["title"]["text"])) <= most


def test_a_long_question_is_left_out():
    """A short question stands under the title, a long one does not."""
    assert bed().subtitle.startswith("Does the roughened bed")
    assert Drawn(verdict_chart(rough_bed(question="why " * 90))).subtitle == ""


def test_narrow_fits_a_phone():
    """No panel of the narrow form is wider than 320 px, and the costs stand below."""
    drawn = bed(narrow=True)
    assert max(drawn.widths()) <= 320
    assert "hconcat" not in str(drawn.spec)


def test_costs_are_drawn_and_said():
    """Each cost has its ratio, its limits, its limit tick, and a word for how it stands."""
    unknown = MINUTES.model_copy(update={"status": "not recorded", "ratio": None, "low": None, "high": None})
    drawn = Drawn(verdict_chart(rough_bed(costs=(SAND, unknown))))
    (sand,) = [r for m in drawn.marks("bar", height=9) for r in drawn.rows(m)]
    assert (sand["ratio"], sand["low"], sand["high"]) == (1.9, 1.72, 2.11)
    assert {r["limit"] for r in drawn.rows_with("limit")} == {1.5, 1.2}
    for words in ("1.90 times: over", "limit 1.5 (our default)", "not recorded", "one-sided 95 % limits"):
        assert words in drawn.words


def test_the_footer_tells_what_must_be_known():
    """Pairs, what weakens it, amendments, voids, lot, dates and seed stand under the chart."""
    checks = (Finding(check="thin-record", severity="WEAKENS"), Finding(check="order", severity="NOTE"))
    amended = Amendment(when=dt.date(2026, 5, 2), what="pairs", was="4", now="6", why="more dirt")
    verdict = rough_bed(
        checks=checks,
        amendments=(amended,),
        voids=(VoidRun(pair=3, arm="changed", why="spill"),),
        pairs=PairTally(planned=6, complete=6, void=1),
    )
    words = Drawn(verdict_chart(verdict)).words
    for part in (
        "6 planned, 6 complete, 1 void",
        "Checks: weakened by thin-record",
        "locked: pairs",
        "pair 3, changed: spill",
        "seed 41",
        "table tailings",
        "2026-05-01 am",
    ):
        assert part in words
    assert "order" not in words


@every(
    ("stuff", "sizes", "words"),
    [
        ("lead", None, "The grains are lead, a stand-in for gold, their size not recorded."),
        ("other", "50/100 ASTM", "The grains are a stand-in for gold, size 50/100 ASTM."),
        (None, "30/50", "The grains are gold, size 30/50."),
    ],
)
def test_tracer_grains_are_named_with_their_size(stuff: str | None, sizes: str | None, words: str):
    """Under the title stands what the grains are made of and how large; it stays on a chart without a title."""
    verdict = invented("tracers", (80.0, 75.0, 70.0), (90.0, 85.0, 75.0), "better", "x")
    verdict = verdict.model_copy(update={"stand_in": stuff, "grain_sizes": sizes})
    assert words in Drawn(verdict_chart(verdict)).subtitle
    assert Drawn(verdict_chart(verdict, headed=False)).title == words


@every("narrow", [False, True])
def test_the_last_word_stands_in_the_picture(narrow: bool):
    """What to do, and why, stands on a band under the title; a page that has said it has it once."""
    told = rough_bed(last_word="your call", last_word_why="more gold, but black sand is over its limit")
    words = Drawn(verdict_chart(told, narrow=narrow)).words
    assert "Your call: more gold, but black sand is over its limit." in " ".join(words.split("\n"))
    bare = Drawn(verdict_chart(told, narrow=narrow, headed=False))
    assert "Your call" not in bare.words and "title" not in bare.spec


def dots_of(verdict: Verdict) -> list[tuple[float, float]]:
    """Where each pair's dot stands in its panel, in the unit of the axis and in pixels."""
    drawn = Drawn(verdict_chart(verdict))
    circles = drawn.marks("point", shape="circle", fill=palette.INK)
    return [(r["at"], r["y"]) for layer in circles for r in drawn.rows(layer) if "difference" in r]


def test_equal_pairs_are_dots_upon_one_another():
    """Five equal differences are five whole dots in a pile on the line of zero, white-edged, none over another."""
    alike = (70.0, 71.0, 72.0, 73.0, 74.0)
    verdict = invented("recovery", (*alike, 60.0), (*alike, 63.0), "not_settled", "x")
    pile = sorted(y for at, y in dots_of(verdict) if at == 0.0)
    assert len(pile) == 5
    assert min(b - a for a, b in pairwise(pile)) >= math.sqrt(42 * 4 / math.pi)


def test_no_dot_lies_under_an_arrow():
    """What is past the axis is an arrow outside the plot, its number above all dots; whatever is on it is a dot."""
    before = (20.0, 26.0, 58.0, 23.0, 34.0, 30.0)
    verdict = invented("gold_mass", before, (29.9, 26.0, 52.0, 35.0, 36.0, 200.0), "not_settled", "x", line_typed=20.0)
    drawn = Drawn(verdict_chart(verdict))
    dots, arrow = dots_of(verdict), next(r for r in drawn.rows_with("count") if r["value"] > 500)
    assert len(dots) + arrow["count"] == 6
    heads = drawn.marks("point", shape="triangle-right")
    assert [h["encoding"]["xOffset"] for h in heads if arrow in drawn.rows(h)] == [{"value": ARROW_PX}]
    numbers = [m for m in drawn.marks("text") if arrow in drawn.rows(m)]
    assert arrow["y"] + numbers[0]["mark"]["dy"] < min(y for _, y in dots) - palette.TEXT_PX / 2


def test_many_past_one_edge_are_counted():
    """More than three past an edge share an arrow that says how many they are, and from where to where."""
    before, after = [100.0] * 12, [100.1] * 8 + [130.0, 140.0, 150.0, 160.0]
    words = Drawn(verdict_chart(invented("gold_mass", before, after, "better", "x"))).words
    assert "4 pairs, +30 % to +60 %" in words


def test_a_diamond_on_its_circle_leaves_a_ring():
    """Two runs of one value are both seen: the circle is wider than the diamond in it."""
    drawn = Drawn(verdict_chart(rough_bed()))
    (circle,) = {m["mark"]["size"] for m in drawn.marks("point", shape="circle", stroke=palette.BASELINE)} - {80}
    (diamond,) = {m["mark"]["size"] for m in drawn.marks("point", shape="diamond")} - {80}
    assert math.sqrt(4 * circle / math.pi) > math.sqrt(2 * diamond)


def test_a_nothing_changed_chart_has_no_costs():
    """Where nothing was changed, nothing can cost."""
    verdict = as_scatter(rough_bed(), sd=0.2, sd_limits=Interval(low=0.1, high=0.4, level=0.95), alike="alike")
    assert verdict.costs
    assert "What it costs" not in Drawn(verdict_chart(verdict)).words


PICTURES = {
    "steeper-pitch": ("Revert:", "The grains are gold, size 30/50 and 50/100 ASTM."),
    "lean-buckets": ("Retest:",),
    "twin-inserts": ("Nothing changed",),
    "finer-screen": ("Your call:",),
    "two-mats": ("Keep:",),
}


def test_pictures_to_show_a_friend(samedirt):
    """Every demo's picture, as `verdict --chart` writes it, carries its last word, and every counted pair is a dot."""
    assert samedirt("load", *(DEMO / name for name in PICTURES)).code == 0
    for name, parts in PICTURES.items():
        said = samedirt("verdict", name, "--chart", f"{name}.svg", "--json")
        assert said.code == 0
        svg = Path(f"{name}.svg").read_text(encoding="utf-8")
        for part in parts:
            assert part in svg, name
        assert ("What it costs" in svg) == (name != "twin-inserts")
        verdict = json.loads(said.out)
        dots = re.findall(r'aria-label="at: [^"]*; pair: \d+; difference of a pair', svg)
        assert len(dots) == len(verdict["answer"]["differences"]), name


def test_unfinished_shows_no_number():
    """Before the planned pairs are in there is no value, mean, band or interval: rows in words only."""
    pairs = tuple(PairResult(pair=n, status="counted" if n < 4 else "open") for n in range(1, 7))
    verdict = rough_bed(**NO_NUMBERS, code="incomplete", pair_results=pairs, costs=())
    runs = [Run(pair=1, arm="changed", grains=40, pickers_mg=12.0)]
    drawn = Drawn(verdict_chart(verdict, runs=runs))
    assert not drawn.rows_with("difference", "y")
    assert not drawn.marks("bar")
    assert not drawn.marks("rect")
    assert "12" not in drawn.words
    assert drawn.words.count("not yet run") == 3
    assert drawn.words.count("shown when all planned pairs are in") == 3


def test_spares_are_rows_only_when_called():
    """A spare not needed is no row; one that stands in for a void pair is, while the trial is unfinished."""
    open_spare = PairResult(pair=7, status="open")
    verdict = rough_bed()
    verdict = verdict.model_copy(update={"pair_results": (*verdict.pair_results, open_spare)})
    assert "not yet run" not in Drawn(verdict_chart(verdict)).words
    called = verdict.model_copy(update={"code": "incomplete", "pairs": PairTally(planned=6, complete=5, void=1)})
    assert "not yet run" in Drawn(verdict_chart(called)).words


def test_blocked_shows_rows_without_a_mean():
    """Behind a stop the runs may be seen, but no difference and no interval."""
    drawn = Drawn(verdict_chart(rough_bed(**NO_NUMBERS, code="blocked", costs=())))
    assert len(drawn.rows_with("baseline", "changed")) >= 6
    assert not drawn.rows_with("at")


def test_scatter_draws_its_sd():
    """A nothing-changed check calls its arms baseline and repeat, and draws one SD to either side of zero."""
    limits = Interval(low=1.2, high=4.8, level=0.95)
    verdict = as_scatter(three_pairs(), sd=1.9, sd_limits=limits, alike="not shown")
    drawn = Drawn(verdict_chart(verdict))
    assert "baseline\nrepeat" in drawn.words
    (line,) = [r for m in drawn.marks("rule", strokeDash=[2, 2]) for r in drawn.rows(m)]
    assert (line["at"], line["to"]) == (-1.9, 1.9)


def test_no_interval_is_said():
    """Where all pairs agree and no limits exist, the mean stands alone and says so."""
    drawn = Drawn(verdict_chart(three_pairs(interval=None)))
    assert "no interval" in drawn.words
    assert not drawn.marks("bar")


@every("pairs", [3, 6, 12, 40])
def test_labels_never_touch(pairs: int):
    """Whatever the number of pairs, labelled rows are at least 13 px apart and the chart stays on one page."""
    values = [70.0 + (7 * i) % 11 for i in range(pairs)]
    verdict = invented("recovery", values, [v + i % 3 for i, v in enumerate(values)], "better", "x")
    drawn = Drawn(verdict_chart(verdict))
    panel = next(
        p
        for p in drawn.spec["vconcat"][0]["vconcat"]
        if "layer" in p and "scale" in str(p["layer"][0]["encoding"].get("y", {})) and p["height"] > 60
    )
    labelled = panel["layer"][0]["encoding"]["y"]["axis"]["values"]
    row = panel["height"] / pairs
    assert all((b - a) * row >= 13 for a, b in pairwise(labelled))
    assert panel["height"] <= 400


def test_more_than_two_arms_are_refused():
    """A graded verdict is refused by name instead of being drawn wrong."""
    with pytest.raises(ValueError, match="rough-bed has 3 arms"):
        verdict_chart(rough_bed(arms=("a", "b", "c")))


def test_a_reached_verdict_is_drawn_as_it_reads():
    """The rough bed judged by the program itself is drawn with the limits of its sentence, 11 to 73 %."""
    trial = Trial(
        name="rough-bed",
        measure="grain_counts",
        worth_having=20.0,
        pairs=6,
        knew="nobody",
        lots=(Lot(kind="table tailings"),),
        gear=Gear(kind="finishing table"),
        change=Change(variable="texture", baseline="smooth", changed=("rough",)),
    )
    runs = [
        Run(pair=i + 1, arm=arm, turn=2 * i + 1 + (i + k) % 2, fed_g=350.0, grains=grains[i])
        for i in range(6)
        for k, (arm, grains) in enumerate((("baseline", SMOOTH), ("changed", ROUGH)))
    ]
    verdict = reach_verdict(trial, runs)
    drawn = Drawn(verdict_chart(verdict, runs=runs))
    (bar,) = [r for layer in drawn.marks("bar", height=10) for r in drawn.rows(layer)]
    assert (round(bar["low"]), round(bar["high"])) == (11, 73)
    assert drawn.title == verdict.sentence
    assert "39 % more grains\n11 to 73" in drawn.words
