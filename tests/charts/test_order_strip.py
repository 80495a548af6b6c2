"""The order strip shows runs as they were made."""

from collections.abc import Sequence

from schemas import Run
from tests.charts.drawn import Drawn
from tests.charts.invented import NO_NUMBERS, ROUGH, SMOOTH, invented, rough_bed
from tests.tables import every
from trials.charts import palette
from trials.charts.files import chart_svg
from trials.charts.order_strip import order_strip

Changes = dict[tuple[int, str], dict[str, object]]


def runs_of(changes: Changes | None = None, pairs: Sequence[int] = range(1, 7)) -> list[Run]:
    """Runs of the rough bed in a drawn order, some of them changed."""
    made = []
    for pair in pairs:
        for k, (arm, grains) in enumerate((("baseline", SMOOTH), ("changed", ROUGH))):
            run = Run(
                pair=pair,
                arm=arm,
                turn=2 * pair - 1 + (pair + k) % 2,
                session="day 1" if pair < 4 else "day 2",
                grains=grains[pair - 1],
            )
            made.append(run.model_copy(update=(changes or {}).get((pair, arm), {})))
    return made


def test_every_run_stands_at_its_turn():
    """Each run's number is drawn at the turn in which it was really run, with its arm's shape."""
    verdict = rough_bed()
    runs = runs_of()
    drawn = Drawn(order_strip(verdict, runs))
    circles = [r for m in drawn.marks("point", shape="circle") for r in drawn.rows(m) if "turn" in r]
    diamonds = [r for m in drawn.marks("point", shape="diamond") for r in drawn.rows(m) if "turn" in r]
    assert {(r["turn"], r["value"]) for r in circles + diamonds} == {(run.turn, run.grains) for run in runs}
    assert {r["arm"] for r in circles} == {"baseline"}
    assert {"turn, as really run", "gold grains kept"} <= drawn.axis_titles()


def test_three_pairs_have_no_line():
    """With 3 pairs there are points only; from 4 pairs on a line through the middle of each."""
    verdict = rough_bed()
    assert not Drawn(order_strip(verdict, runs_of(pairs=range(1, 4)))).marks("line")
    (line,) = Drawn(order_strip(verdict, runs_of())).marks("line")
    drawn = Drawn(order_strip(verdict, runs_of()))
    assert drawn.rows(line)[0] == {"turn": 1.5, "value": (31 + 47) / 2}


def test_sessions_are_ruled_off_and_named():
    """A dashed rule stands between two sessions, each named above."""
    verdict = rough_bed()
    drawn = Drawn(order_strip(verdict, runs_of()))
    assert [r["turn"] for m in drawn.marks("rule", strokeDash=[5, 4]) for r in drawn.rows(m)] == [6.5]
    assert "day 1\nday 2" in drawn.words


def test_water_and_temperature_are_strips_where_recorded():
    """Water and temperature are strips of their own; with neither recorded there is none."""
    verdict = rough_bed()
    runs = [run.model_copy(update={"water_l_min": 8.0 + (run.turn or 0) / 10}) for run in runs_of()]
    assert "water, L/min" in Drawn(order_strip(verdict, runs)).axis_titles()
    assert "water, deg C" not in Drawn(order_strip(verdict, runs)).axis_titles()
    river = [run.model_copy(update={"water_l_min": 1200.0 + (run.turn or 0) * 34}) for run in runs]
    svg = chart_svg(order_strip(verdict, river))
    assert ">1,230<" in svg and "e+" not in svg
    cold = [run.model_copy(update={"temp_c": 9.0}) for run in runs]
    assert "water, deg C" in Drawn(order_strip(verdict, cold)).axis_titles()


@every("grains", [44, None])
def test_void_runs_are_grey_crosses(grains: int | None):
    """A void run is a grey cross, at the foot where it has no number, and no part of the line."""
    verdict = rough_bed()
    pairs = [p.model_copy(update={"status": "void"}) if p.pair == 2 else p for p in verdict.pair_results]
    verdict = verdict.model_copy(update={"pair_results": tuple(pairs)})
    runs = runs_of({(2, "changed"): {"void": "spill", "grains": grains}})
    drawn = Drawn(order_strip(verdict, runs))
    crosses = [r for m in drawn.marks("point", shape=palette.DIAGONAL_CROSS) for r in drawn.rows(m)]
    assert [r["void"] for r in crosses] == ["spill"]
    assert "Grey crosses are void runs" in drawn.words
    (line,) = drawn.marks("line")
    assert len(drawn.rows(line)) == 5


def test_a_nugget_is_clipped_with_an_arrow():
    """A run that one piece lifts past the axis is a star inside its edge, with an arrow and both numbers."""
    before, after = (21.0, 14.2, 16.0), (24.0, 15.2, 19.0)
    verdict = invented("gold_mass", before, after, "better", "x")
    runs = [
        Run(pair=p, arm=arm, turn=2 * p - k, gold_mg=values[p - 1])
        for p in (1, 2, 3)
        for k, (arm, values) in enumerate((("baseline", before), ("changed", after)))
    ]
    plain = Drawn(order_strip(verdict, runs[1:]))
    runs[0] = runs[0].model_copy(update={"gold_mg": 400.0, "largest_mg": 380.0})
    drawn = Drawn(order_strip(verdict, runs))
    assert drawn.domain("value", "y") == plain.domain("value", "y")
    (star,) = drawn.rows_with("real")[:1]
    assert star["real"] == 400.0
    assert star["value"] < drawn.domain("value", "y")[1]
    assert drawn.marks("point", shape="triangle-up")
    assert "400 with 380 mg" in drawn.words


def test_no_turns_is_said():
    """Without turns the chart says that the order can't be drawn, and what to write."""
    verdict = rough_bed()
    runs = [run.model_copy(update={"turn": None}) for run in runs_of()]
    words = Drawn(order_strip(verdict, runs)).words
    assert "No turns were recorded" in words
    assert "Write the turn beside each run" in words


def test_unfinished_trials_show_no_values():
    """While the verdict holds its runs back, so does the strip."""
    pairs = tuple(
        p.model_copy(update={"baseline": None, "changed": None, "difference": None}) for p in rough_bed().pair_results
    )
    verdict = rough_bed(**NO_NUMBERS, code="incomplete", pair_results=pairs)
    drawn = Drawn(order_strip(verdict, runs_of()))
    assert not drawn.marks("point")
    assert "when all planned pairs are in" in drawn.words


def test_sentence_and_stand_in_are_in_the_picture():
    """The verdict's whole sentence and the grains' stuff stand under the title."""
    verdict = rough_bed(stand_in="tungsten")
    subtitle = Drawn(order_strip(verdict, runs_of())).subtitle
    assert verdict.sentence in subtitle
    assert "tungsten, a stand-in for gold" in subtitle


def test_narrow_fits_a_phone():
    """No panel of the narrow form is wider than 320 px."""
    verdict = rough_bed()
    assert max(Drawn(order_strip(verdict, runs_of(), narrow=True)).widths()) <= 320
