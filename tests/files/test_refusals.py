import re
from pathlib import Path

import pytest

from tests.folders import LEAST, ROUGH_TRIAL, rough_runs, write
from trials.files.folder import look_through

GOOD_RUN = "pair,arm,turn,gold_mg\n1,baseline,1,20\n1,changed,2,30\n"

# What a person typed -> the line that says so. The first eight are of the errors the tool must know by heart.
TRIAL_FAULTS = [
    (
        "bare gr",
        LEAST + '[scales]\ngold = "0.1 gr"\n',
        r"\[scales\] gold: 0\.1 gr: 'gr' can mean grain or gram\. Type g, mg or grain",
    ),
    (
        "bare oz",
        LEAST.replace('kind = "natural"', 'kind = "natural"\nmass = "40 oz"'),
        r"\[lot\] mass: 40 oz: Gold is in ozt, feed in lb\. Which\?",
    ),
    ("bare gallons", LEAST + '[held]\nwater = "12 gpm"\n', r"\[held\] water: 12 gpm: US or imperial"),
    (
        "mesh alone",
        LEAST.replace('kind = "natural"', 'kind = "natural"\nsize = "-30"'),
        r"30 mesh: ASTM, Tyler or hobby\?.*0\.600 mm",
    ),
    (
        "two variables",
        LEAST.replace('"mat"\nbaseline', '["pitch", "water"]\nbaseline'),
        r"two variables in one change \(pitch, water\); split them",
    ),
    ("steep sluice", LEAST + '[held]\npitch = "55 deg"\n', r"pitch 55 deg on a sluice; was that 5\.5\?"),
    (
        "no such day",
        LEAST.replace("pairs = 3", 'pairs = 3\nlocked = "2026-02-31"'),
        r"2026-02-31 is not a day; .*check day and month",
    ),
    (
        "can't be undone",
        LEAST.replace('changed = "looped"', 'changed = "looped"\nreversible = "no"'),
        r"can't alternate on one piece of gear; make two alike",
    ),
    ("unknown key", LEAST.replace("measure", "mesure"), r"mesure: is not a key we know; did you mean measure\?"),
    (
        "unknown section key",
        LEAST.replace('kind = "sluice"', 'kind = "sluice"\nwidht = "250 mm"'),
        r"\[gear\] widht: is not a key we know; did you mean width\?",
    ),
    ("unknown measure", LEAST.replace("gold_mass", "gold_weight"), r"measure: gold_weight is not known here"),
    ("no pairs", LEAST.replace("pairs = 3\n", ""), r"pairs: is missing; the least that loads is name, measure, pairs"),
    ("too many pairs", LEAST.replace("pairs = 3", "pairs = 201"), r"pairs: 201 is over 200"),
    ("half a pair", LEAST.replace("pairs = 3", "pairs = 3.5"), r"pairs: 3\.5 is not a whole number"),
    (
        "line without unit",
        LEAST.replace("pairs = 3", "pairs = 3\nworth_having = 20"),
        r'worth_having: 20 is not a line; write it with its unit, as "20 %"',
    ),
    (
        "line in points",
        LEAST.replace("pairs = 3", 'pairs = 3\nworth_having = "2 points"'),
        r'"?2 points"? does not fit measure gold_mass',
    ),
    (
        "line over all",
        LEAST.replace("gold_mass", "tails_gold").replace("pairs = 3", 'pairs = 3\nworth_having = "120 %"'),
        r"120 is not under 100",
    ),
    ("baseline called changed", LEAST.replace("ribbed", "Changed"), r"\[change\] baseline: Changed is what an arm is"),
    ("changed called baseline", LEAST.replace("looped", "baseline"), r"\[change\] changed: baseline is what an arm is"),
    ("same twice", LEAST.replace("looped", "ribbed"), r"baseline and changed must all differ"),
    (
        "look at the end",
        LEAST.replace("pairs = 3", "pairs = 6\nlook_after = 6"),
        r"look_after 6 is not before the last of 6 pairs",
    ),
    ("early look", LEAST.replace("pairs = 3", "pairs = 6\nlook_after = 2"), r"look_after: 2 is under 4"),
    (
        "recovery without tails",
        LEAST.replace("gold_mass", "recovery") + '[tails]\ncaught = "none"\n',
        r'needs the tails, .*tub the tails, or measure = "gold_mass"',
    ),
    (
        "audit with a change",
        LEAST.replace("pairs = 3", "pairs = 3\naudit = true"),
        r"an audit has one arm and no change",
    ),
    ("a person's name", LEAST.replace('name = "mat"', 'name = "two words"'), r"two words is not a name we can use"),
    ("not a section", "gear = 5\n" + LEAST.replace('[gear]\nkind = "sluice"\n', ""), r"\[gear\]: 5 is not a section"),
    ("no number", LEAST + '[held]\nwater = "plenty"\n', r"\[held\] water: plenty"),
    ("decimal comma", LEAST + '[held]\nwater = "7,5 L/min"\n', r"\[held\] water: 7,5 L/min"),
    (
        "wide bed",
        LEAST.replace('kind = "sluice"', 'kind = "sluice"\nwidth = "9 m"'),
        r"\[gear\] width: .*is over 5,000",
    ),
    ("limit under one", LEAST + "[limits]\nminutes = 0.5\n", r"\[limits\] minutes: 0\.5 is under 1"),
    (
        "two lots, one name",
        LEAST.replace("[lot]", "[[lot]]").replace("[gear]", '[[lot]]\nkind = "natural"\n[gear]'),
        r"lots need different names",
    ),
    ("broken toml", "name = \n", r"trial\.toml: Invalid value.*samedirt export --schema"),
]

RUN_FAULTS = [
    (
        "gross under tare",
        "pair,arm,tag,gold_gross_g,gold_tare_g\n1,baseline,HTK,12.2,18.6\n",
        r"row 2 \(HTK\): gold gross 12\.2 is under tare 18\.6; swapped\?",
    ),
    ("tare alone", "pair,arm,gold_tare_g\n1,baseline,18.6\n", r"gold has a tare mass and no gross"),
    (
        "net not the difference",
        "pair,arm,gold_gross_g,gold_tare_g,gold_mg\n1,baseline,18.6,12.2,9\n",
        r"gold_mg 9 is not gross less tare, 6400",
    ),
    (
        "kept over seeded",
        "pair,arm,seeded,kept\n1,baseline,25,27\n",
        r"27 kept are more than the 25 seeded; recount",
    ),
    ("bare oz column", "pair,arm,gold_oz\n1,baseline,0.1\n", r"column gold_oz: Gold is in ozt, feed in lb\. Which\?"),
    ("bare gr column", "pair,arm,gold_gr\n1,baseline,0.1\n", r"column gold_gr: 'gr' can mean grain or gram"),
    ("gallons column", "pair,arm,water_gpm\n1,baseline,3\n", r"column water_gpm: US or imperial"),
    (
        "unknown column",
        "pair,arm,tail_gold_mg\n1,baseline,3\n",
        r"column tail_gold_mg: is not a column we know; did you mean tails_gold_mg\?",
    ),
    ("no arm column", "pair,gold_mg\n1,3\n", r"column arm: is missing"),
    ("twice a column", "pair,arm,gold_mg,gold_g\n1,baseline,3,0.003\n", r"column gold_g: says the same as gold_mg"),
    ("same header twice", "pair,arm,note,note\n1,baseline,a,b\n", r"column 'note' stands 2 times"),
    ("negative", "pair,arm,minutes\n1,baseline,-3\n", r"row 2, minutes: -3.* is under 0\.2"),
    ("decimal comma unquoted", "pair,arm,gold_mg\n1,baseline,0,134\n", r"row 2: 4 values for 3 columns"),
    (
        "decimal comma",
        'pair,arm,gold_mg\n1,baseline,"0,134"\n',
        r"row 2, gold_mg: 0,134 has a comma, which could mark decimals or thousands, in a file .*; write 0\.134",
    ),
    (
        "wrong unit in the cell",
        "pair,arm,gold_mg\n1,baseline,22 L\n",
        r"row 2, gold_mg: 22 L: 'L' is not a unit of gold",
    ),
    ("underscore", "pair,arm,gold_mg\n1,baseline,1_000\n", r"1_000: this is not one number"),
    ("not a number", "pair,arm,gold_mg\n1,baseline,inf\n", r"inf is not a number"),
    (
        "none found, or none weighed",
        "pair,arm,gold_mg\n1,baseline,none\n",
        r"none is not a number.*0 is looked and found",
    ),
    ("thousands", 'pair,arm,fed_g\n1,baseline,"1,234"\n', r"1,234 could be 1\.234 or 1234; write one of these"),
    ("unit in the name", "pair,arm,gold (mg)\n1,baseline,3\n", r"column gold \(mg\): .*did you mean gold_mg\?"),
    ("its unit in the name", "pair,arm,Gold g\n1,baseline,3\n", r"column Gold g: .*did you mean gold_g\?"),
    ("a unit amiss in the name", "pair,arm,gold mgs\n1,baseline,3\n", r"column gold mgs: .*did you mean gold_mg\?"),
    ("no unit in the name", "pair,arm,gold\n1,baseline,3\n", r"column gold: names no unit"),
    ("no such day", "pair,arm,session\n1,baseline,31/02/2026\n", r"session: 31/02/2026 is no day there is"),
    ("no such month", "pair,arm,session\n1,baseline,2026-13-45\n", r"2026-13-45 is no day there is"),
    ("no day at all", "pair,arm,session\n1,baseline,yesterday\n", r"yesterday is told from another day"),
    ("no year of ours", "pair,arm,session\n1,baseline,2126-05-03 am\n", r"2126-05-03 am has the year 2126; check it"),
    ("two days", "pair,arm,session\n1,baseline,3/5/2026\n", r"3/5/2026 could be 2026-05-03 or 2026-03-05"),
    ("half a grain", "pair,arm,grains\n1,baseline,3.5\n", r"3\.5 is not a whole number"),
    ("maybe", "pair,arm,stripped\n1,baseline,maybe\n", r"maybe is neither yes nor no"),
    (
        "no such arm",
        "pair,arm,gold_mg\n1,chnaged,3\n",
        r"pair 1, arm: chnaged is not an arm of this trial; did you mean changed\?",
    ),
    ("a run twice", "pair,arm,gold_mg\n1,baseline,3\n1,baseline,4\n", r"pair 1 baseline: stands more than once"),
    ("a turn twice", "pair,arm,turn\n1,baseline,3\n1,changed,3\n", r"turn 3: is given to more than one run"),
    ("a tag twice", "pair,arm,tag\n1,baseline,HTK\n1,changed,HTK\n", r"tag HTK: is on more than one run"),
    ("a tag twice in capitals", "pair,arm,tag\n1,baseline,HTK\n1,changed,htk\n", r"tag htk: is on more than one run"),
    (
        "a name for a letter",
        "pair,arm,feeder\n1,baseline,Sam\n",
        r"Sam is not a role letter; write A to F, never a name",
    ),
    ("no such lot", "pair,arm,fed_lot\n1,baseline,north\n", r"fed_lot: north is not a lot of this trial"),
    (
        "largest over all",
        "pair,arm,gold_mg,largest_mg\n1,baseline,3,9\n",
        r"largest_mg: 9 is more than all the gold, 3 mg",
    ),
    (
        "known but not void",
        "pair,arm,void_gold_known\n1,baseline,yes\n",
        r"void_gold_known: is given, and the run is not void",
    ),
    ("class without series", "pair,arm,gold_mg 50/100\n1,baseline,3\n", r"class 50/100: .*ASTM, Tyler or hobby"),
    ("settings by class", "pair,arm,minutes 50/100\n1,baseline,3\n", r"minutes is not told by size class"),
    ("thousands, or decimals", "pair;arm;gold_mg\n1;baseline;1.234\n", r"1\.234 could be 1\.234 or 1234"),
    ("empty file", "\n\n", r"is empty; the first line names the columns"),
    ("open quote", 'pair,arm,note\n1,baseline,"lost\n', r"check the quotes"),
    ("not text", b"pair,arm\n1,\xff\xfe\n", r"is not UTF-8 text"),
    ("a NUL", b"pair,arm\n1,base\x00line\n", r"NUL character"),
    ("seeded too many", "pair,arm,seeded\n1,baseline,5001\n", r"seeded: 5001 is over 5,000"),
]


@pytest.mark.parametrize(("trial", "says"), [row[1:] for row in TRIAL_FAULTS], ids=[row[0] for row in TRIAL_FAULTS])
def test_a_fault_in_the_plan_is_named(trial: str, says: str, tmp_path: Path) -> None:
    """Value, place, rule and next step stand in one line."""
    record, problems = look_through(write(tmp_path / "t", trial, GOOD_RUN))
    assert record is None
    assert any(re.search(says, str(problem)) for problem in problems), [str(problem) for problem in problems]
    assert all("\n" not in str(problem) for problem in problems)


@pytest.mark.parametrize(("runs", "says"), [row[1:] for row in RUN_FAULTS], ids=[row[0] for row in RUN_FAULTS])
def test_a_fault_in_the_runs_is_named(runs: str | bytes, says: str, tmp_path: Path) -> None:
    """Value, place, rule and next step stand in one line."""
    record, problems = look_through(write(tmp_path / "t", LEAST, runs))
    assert record is None
    assert any(re.search(says, str(problem)) for problem in problems), [str(problem) for problem in problems]


def test_every_problem_of_both_files_is_listed_at_once(tmp_path: Path) -> None:
    """A plan with two faults and runs with three give five lines."""
    trial = LEAST.replace("pairs = 3", "pairs = 300").replace('"sluice"', '"slouce"')
    runs = "pair,arm,gold_mg,minutes\n1,baseline,x,1\n2,baseline,3,-1\nfour,baseline,3,1\n"
    _, problems = look_through(write(tmp_path / "t", trial, runs))
    places = [problem.place.removeprefix(str(tmp_path / "t") + "/") for problem in problems]
    assert places == [
        "trial.toml, [gear] kind",
        "trial.toml, pairs",
        "runs.csv row 2, gold_mg",
        "runs.csv row 3, minutes",
        "runs.csv row 4, pair",
    ]


def test_the_row_is_that_of_the_file(tmp_path: Path) -> None:
    """Blank lines and quoted line breaks do not shift the row that is named."""
    runs = 'pair,arm,note,gold_mg\n\n1,baseline,"two\nlines",3\n\n1,changed,,x\n'
    _, problems = look_through(write(tmp_path / "t", LEAST, runs))
    assert "runs.csv row 6, gold_mg" in str(problems[0])


def test_units_in_columns_are_read_exactly(tmp_path: Path) -> None:
    """Grams become milligrams, gallons litres, slopes degrees, with no float dust."""
    runs = "pair,arm,gold_g,fed_kg,water_gpm_us,pitch_in_ft,temp_f\n1,baseline,0.0312,0.35,2,1,50\n"
    record, problems = look_through(write(tmp_path / "t", LEAST, runs))
    assert record is not None, problems
    run = record.runs[0]
    assert (run.gold_mg, run.fed_g, run.temp_c) == (31.2, 350.0, 10.0)
    assert run.water_l_min == pytest.approx(7.570823568, abs=1e-9)  # NIST SP 811: 1 US gal = 3.785411784 L
    assert run.pitch_deg == pytest.approx(4.7636, abs=1e-4)  # atan(1/12)
    assert run.typed["gold_mg"] == "0.0312 g"


@pytest.mark.parametrize(
    "runs",
    [
        b"pair;arm;session;gold_mg;grains\n1;baseline;13/05/2026 am;31,5;31\n1;looped;NA;40,25;NaN\n",
        b"sep=;\npair;arm;session;gold_mg;grains\n1;Baseline;13.05.2026 am;31,5;31\n1;changed;;40,25;\n",
        b"pair\tarm\tsession\tgold_mg\tgrains\n1\tribbed\t2026-5-13 am\t31.5 mg\t31.0\n1\tchanged\t\t0.04025 g\t\n",
        "pair;arm;session;gold_mg;grains\n1;baseline;13 May 2026 am;31,5;31\n1;changed;;40,25;\n".encode("utf-16"),
        b"pair,arm,session,gold_mg,grains\n1.0,ribbed,2026-05-13 am,31.5,31.0\n1.0,Looped,NA,40.25,NA\n",
        b"pair|arm|session|gold_g|grains\n1|baseline|2026-05-13 am|0,0315|31\n1|changed||0,04025|<NA>\n",
    ],
)
def test_a_table_is_taken_as_other_programs_write_it(runs: bytes, tmp_path: Path) -> None:
    """Semicolons, tabs, decimal commas, UTF-16, counts as 31.0, NA for blank, an arm by the words of the plan."""
    record, problems = look_through(write(tmp_path / "t", LEAST, runs))
    assert record is not None, problems
    found = [(run.pair, run.arm, run.session, run.gold_mg, run.grains) for run in record.runs]
    assert found == [(1, "baseline", "2026-05-13 am", 31.5, 31), (1, "changed", None, 40.25, None)]


def test_gross_less_tare_has_no_dust(tmp_path: Path) -> None:
    """18.6 - 12.2 is 6.4, and both weighings are kept."""
    runs = "pair,arm,black_sand_gross_g,black_sand_tare_g\n1,baseline,18.6,12.2\n"
    record, _ = look_through(write(tmp_path / "t", LEAST, runs))
    assert record is not None
    run = record.runs[0]
    assert (run.black_sand_g, run.black_sand_gross_g, run.black_sand_tare_g) == (6.4, 18.6, 12.2)


@pytest.mark.parametrize(("cells", "total"), [("3,4", 7.0), ("3,", None)])
def test_a_total_of_classes_is_unknown_if_one_is_blank(cells: str, total: float | None, tmp_path: Path) -> None:
    """Classes only: the total is their sum, unknown if one is blank."""
    runs = f"pair,arm,gold_mg +50,gold_mg -50\n1,baseline,{cells}\n"
    trial = LEAST + '[sizes]\nseries = "ASTM"\n'
    record, problems = look_through(write(tmp_path / "t", trial, runs))
    assert record is not None, problems
    assert record.runs[0].gold_mg == total


def test_blank_is_not_zero(tmp_path: Path) -> None:
    """Blank is not measured; 0 is looked and found none."""
    record, _ = look_through(write(tmp_path / "t", LEAST, "pair,arm,gold_mg\n1,baseline,0\n1,changed,\n"))
    assert record is not None
    assert [run.gold_mg for run in record.runs] == [0.0, None]


def test_a_row_with_no_measurement_is_a_run_not_yet_made(tmp_path: Path) -> None:
    """Pair, arm and turn alone are the plan of a run."""
    from schemas import is_made

    record, _ = look_through(write(tmp_path / "t", LEAST, "pair,arm,turn\n1,baseline,1\n"))
    assert record is not None
    assert not is_made(record.runs[0])


def test_the_whole_form_of_the_design_loads(tmp_path: Path) -> None:
    """Every key of a full plan is taken."""
    record, problems = look_through(write(tmp_path / "t", ROUGH_TRIAL, rough_runs()))
    assert record is not None, problems
    assert record.trial.lots[0].mass_g == 7500.0
    assert len(record.runs) == 12


def test_marks_that_turn_text_round_are_shown_as_codes(tmp_path: Path) -> None:
    """In plan, runs and corrections alike, so that what is read is what is there; other letters stay."""
    trial = LEAST.replace("looped", "loop\u202eed").replace(
        'name = "mat"', 'name = "mat"\nquestion = "more\u2067 gold? né"'
    )
    runs = "pair,arm,note\n1,baseline,\u200fjar \u2066lost\n"
    changes = "when,pair,arm,field,old,new,why\n2026-05-09T10:30:00,1,baseline,note,a,b,\u202dslip\n"
    record, problems = look_through(write(tmp_path / "t", trial, runs, changes))
    assert record is not None, problems
    assert record.trial.change is not None and record.trial.change.changed == ("loop\\u202eed",)
    assert record.trial.question == "more\\u2067 gold? né" and record.corrections[0].why == "\\u202dslip"
    assert record.runs[0].note == "\\u200fjar \\u2066lost"
