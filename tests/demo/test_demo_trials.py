"""The shipped trials load, are drawn as they stand, and end as their stories say."""

import csv
import io
import math
import re
import warnings
from collections.abc import Mapping
from pathlib import Path
from statistics import fmean, median

import pytest

import demo_trials
from demo_trials.draw import runs_text, write_all
from demo_trials.recipe import Recipe
from demo_trials.recipes import RECIPES
from schemas import Record, Verdict
from trials.files.folder import read_folder
from trials.listing.joint import over_lots
from trials.listing.joint_words import joint_sentence
from trials.measures.catalogue import measure_named
from trials.plans.draw import planned_runs
from trials.verdicts.reach import reach_verdict

FOLDERS = demo_trials.folders()
JUDGED = [folder for folder in FOLDERS if folder.name != "sluice-audit"]
ENDS: Mapping[str, tuple[str, str | None]] = {
    "rough-bed": ("better", "your call"),
    "twin-inserts": ("scatter", None),
    "tails-second-pass": ("better", "keep"),
    "two-mats": ("no_difference", "keep"),
    "finer-screen": ("better", "your call"),
    "steeper-pitch": ("worse", "revert"),
    "lean-buckets": ("not_settled", "retest"),
    "four-grits": ("better", "keep"),
    "shallow-mat": ("better", "your call"),
    "finer-screen-bench": ("better", "keep"),
    "finer-screen-flat": ("no_difference", "your call"),
}
FAULTS = ("STOP", "WEAKENS", "NOTE")
PLACES = re.compile(r"\b([A-Z]\w+) (Creek|River|Bend|Gulch|Bar|Valley|Hill|County|Fork|Lake)\b")


@pytest.fixture(scope="module")
def records() -> Mapping[str, Record]:
    """Every shipped trial, read as a person's own would be."""
    return {folder.name: read_folder(folder) for folder in FOLDERS}


@pytest.fixture(scope="module")
def verdicts(records: Mapping[str, Record]) -> Mapping[str, Verdict]:
    """The verdict of every shipped trial that can have one."""
    judged = {name: records[name] for name in ENDS}
    return {name: reach_verdict(one.trial, one.runs, one.corrections) for name, one in judged.items()}


def story_of(folder: Path) -> str:
    """The README of a trial."""
    return (folder / "README.md").read_text(encoding="utf-8")


def quoted(story: str) -> list[str]:
    """The sentences a story quotes: its block quotes, line by line."""
    return [line.removeprefix("> ") for line in story.splitlines() if line.startswith("> ")]


def test_every_shipped_folder_is_listed():
    """`folders()` names all trial folders of the package, each once, the recipes in the same order."""
    here = Path(demo_trials.__file__).parent
    assert sorted(FOLDERS) == sorted(path.parent for path in here.glob("*/trial.toml"))
    assert [folder.name for folder in FOLDERS] == [recipe.name for recipe in RECIPES]


def test_each_folder_loads_under_its_own_name(records: Mapping[str, Record]):
    """No problem is found in any of them, and the trial is called as its folder."""
    assert [record.trial.name for record in records.values()] == list(records)
    assert all(record.runs for record in records.values())


def test_runs_are_reproduced_byte_for_byte(tmp_path: Path):
    """Drawing again into an empty folder gives the very files that are shipped."""
    written = write_all(tmp_path)
    assert [path.read_bytes() for path in written] == [(folder / "runs.csv").read_bytes() for folder in FOLDERS]


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda recipe: recipe.name)
def test_every_run_was_made_in_the_order_drawn(recipe: Recipe, records: Mapping[str, Record]):
    """Pair, arm, turn and tag of every run, spares too, are those the seed of its plan draws; the sittings hold all."""
    record = records[recipe.name]
    made, drawn = (
        [(run.pair, run.arm, run.turn, run.tag) for run in runs]
        for runs in (sorted(record.runs, key=lambda run: run.turn or 0), planned_runs(record.trial))
    )
    assert made == drawn
    assert sum(sitting.runs for sitting in recipe.sittings) == len(made)


def test_each_trial_ends_as_promised(verdicts: Mapping[str, Verdict]):
    """Code and last word of every trial are those of its story, and none merely leans."""
    assert {name: (one.code, one.last_word) for name, one in verdicts.items()} == ENDS
    assert not any(one.leaning for one in verdicts.values())


def test_together_they_show_every_measure_and_every_end():
    """All five measures, and all outcomes of a finished trial, appear among them."""
    assert {read_folder(folder).trial.measure for folder in FOLDERS} == {
        "recovery",
        "gold_mass",
        "tracers",
        "grain_counts",
        "tails_gold",
    }
    assert {code for code, _ in ENDS.values()} == {"better", "worse", "no_difference", "not_settled", "scatter"}


@pytest.mark.parametrize("folder", JUDGED, ids=lambda folder: folder.name)
def test_a_story_quotes_its_verdict(folder: Path, verdicts: Mapping[str, Verdict]):
    """Every quoted sentence is one the verdict says, the main one among them; the last word is the computed one."""
    verdict, story = verdicts[folder.name], story_of(folder)
    at_the_look = {"Not finished: 6 of 12 planned pairs. Planned look: not settled, go on."}
    said = {verdict.sentence, *verdict.more}
    assert verdict.sentence in quoted(story)
    assert set(quoted(story)) - said <= (at_the_look if folder.name == "two-mats" else set())
    assert f"Last word: {verdict.last_word or 'none'}." in story


def test_the_cost_flag_of_rough_bed_is_the_sand(verdicts: Mapping[str, Verdict]):
    """Better, with black sand over its limit and minutes within."""
    costs = {cost.name: cost for cost in verdicts["rough-bed"].costs}
    assert (costs["black sand"].status, costs["minutes"].status) == ("over", "within")
    assert costs["black sand"].ratio == pytest.approx(2.0, abs=0.1)


def test_lean_buckets_tells_what_weakens_it(records: Mapping[str, Record], verdicts: Mapping[str, Verdict]):
    """The range of its weights, the steps of the scale and the pair in two sittings stand in its story."""
    record, story = records["lean-buckets"], " ".join(story_of(FOLDERS[6]).split())
    weights = [run.gold_mg or 0.0 for run in record.runs]
    assert record.trial.scales.gold_g == 0.001, "a step is 1 mg"
    assert f"only {math.floor(median(weights))} steps of the scale in the middle run" in story
    assert "with 20 to 60 mg in a run" in story
    assert 20 <= min(weights) <= max(weights) <= 60
    (apart,) = (f for f in verdicts["lean-buckets"].checks if f.check == "same-session")
    assert apart.pairs == (4,)
    assert "pair 4 spans two sessions" in story


def test_two_mats_was_not_settled_at_its_look(records: Mapping[str, Record]):
    """After six pairs the plan's look says go on, as its story quotes; in the end the time saved is told."""
    record = records["two-mats"]
    early = reach_verdict(record.trial, [run for run in record.runs if run.pair <= 6])
    assert (early.code, early.answer.estimate) == ("incomplete", None)
    assert early.sentence in quoted(story_of(FOLDERS[3]))
    minutes = [fmean(r.total_minutes for r in record.runs if r.arm == arm) for arm in record.trial.arms]
    assert round(minutes[0] - minutes[1]) == 7


def test_tails_second_pass_tells_both_weights(records: Mapping[str, Record]):
    """The mean weights in the story are those of the file, to the milligram."""
    runs = records["tails-second-pass"].runs
    base, changed = (round(fmean(r.gold_mg for r in runs if r.arm == arm)) for arm in ("baseline", "changed"))
    story = " ".join(story_of(FOLDERS[2]).split())
    assert f"weighed {changed} mg a run" in story
    assert f"gave {base} mg" in story
    assert f"the {changed - base} mg between" in story


def test_finer_screen_keeps_its_mishaps_on_record(records: Mapping[str, Record], verdicts: Mapping[str, Verdict]):
    """A void run stood in for by the spare, a correction that is in force, an amendment before the first run."""
    record, verdict = records["finer-screen"], verdicts["finer-screen"]
    struck = [run for run in record.runs if run.is_void]
    assert [(run.pair, run.arm, run.void_gold_known, run.gold_mg, run.tails_gold_mg) for run in struck] == [
        (4, "changed", False, None, None)
    ]
    assert (verdict.pairs.complete, verdict.pairs.void, verdict.pairs.beyond) == (8, 1, 0)
    (correction,) = record.corrections
    (run,) = [run for run in record.runs if run.key == (correction.pair, correction.arm)]
    assert float(correction.new or "") == getattr(run, correction.field)
    assert f"{correction.old} for {correction.new} mg" in story_of(FOLDERS[4])
    (amendment,) = record.trial.amended
    assert record.trial.limits is not None
    assert float(amendment.now) == record.trial.limits.minutes
    assert record.trial.locked is not None
    assert record.trial.locked <= amendment.when
    assert amendment.when.isoformat() < min(run.session or "" for run in record.runs)
    minutes = next(cost for cost in verdict.costs if cost.name == "minutes")
    assert minutes.status == "within"
    assert minutes.low is not None
    assert minutes.low > float(amendment.was), "the amended limit is what lets the minutes pass"


def test_the_twins_are_shown_alike(verdicts: Mapping[str, Verdict]):
    """What lets rough-bed follow: alike, inside the line of 20 %."""
    answer = verdicts["twin-inserts"].answer
    assert answer.kind == "scatter" and answer.alike == "alike"


def test_lean_buckets_needs_many_pairs(verdicts: Mapping[str, Verdict]):
    """A new trial would need several times as many pairs as were run, and just as many as a reference library says."""
    verdict = verdicts["lean-buckets"]
    assert verdict.answer.sd is not None
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # what another package warns of while it loads is not ours
        from statsmodels.stats.power import TTestPower

    effect = math.log(1.20) / verdict.answer.sd  # a gain of 20 %
    needed = math.ceil(TTestPower().solve_power(effect, power=0.8, alpha=0.05, alternative="two-sided"))
    assert verdict.answer.pairs_for_new_trial == needed > 5 * verdict.pairs.planned
    assert verdict.answer.sd > (verdict.answer.floor or 0.0), (
        "the larger of scatter and floor is what a new trial reckons with"
    )


def test_the_audit_answers_as_its_story_says(records: Mapping[str, Record]):
    """Where losses start, in the words of the story; the table there adds up from the file."""
    record = records["sluice-audit"]
    verdict = reach_verdict(record.trial, record.runs)
    assert verdict.sentence in " ".join(story_of(FOLDERS[-1]).split()) and verdict.last_word is None
    parts = [part for run in record.runs for part in run.classes]
    for label in ("+20", "20/30", "30/50", "50/100"):
        sums = [sum(getattr(p, f) for p in parts if p.label == label) for f in ("seeded", "kept", "in_tails")]
        assert f"| {label} | {' | '.join(map(str, sums))} |" in story_of(FOLDERS[-1])


def test_steeper_pitch_tells_its_small_grains(records: Mapping[str, Record]):
    """The counts of the finer class in the story are those of the file."""
    kept = dict.fromkeys(("baseline", "changed"), 0)
    for run in records["steeper-pitch"].runs:
        kept[run.arm] += next(part.kept or 0 for part in run.classes if part.label == "50/100")
    story = " ".join(story_of(FOLDERS[5]).split())
    assert f"it kept {kept['changed']} of 320, where the old pitch kept {kept['baseline']}." in story


def test_four_grits_and_the_shallow_mat_tell_their_numbers(
    records: Mapping[str, Record], verdicts: Mapping[str, Verdict]
):
    """The third grit is the last that pays and the fourth is over in sand; fine gold is gained and coarse lost."""
    answer = verdicts["four-grits"].answer
    assert answer.kind == "levels"
    assert (answer.pick, answer.first_could_be_best, answer.first_enough) == ("120 grit",) * 3
    sand = {level.level: cost.status for level in answer.levels for cost in level.costs if cost.name == "black sand"}
    assert (sand["120 grit"], sand["80 grit"]) == ("within", "over")
    blocks: dict[int, dict[str, int]] = {}
    for run in records["four-grits"].runs:
        blocks.setdefault(run.pair, {})[run.arm] = run.classes[0].kept or 0
    led = sum(max(block, key=lambda arm: block[arm]) == "80 grit" for block in blocks.values())
    story = {recipe.name: " ".join(story_of(FOLDERS[at]).split()) for at, recipe in enumerate(RECIPES)}
    assert f"in {led} blocks of {len(blocks)} it came from 80" in story["four-grits"]
    kept: dict[tuple[str, str], int] = {}
    for run in records["shallow-mat"].runs:
        for part in run.classes:
            kept[run.arm, part.label] = kept.get((run.arm, part.label), 0) + (part.kept or 0)
    told = [
        f"{kept['changed', label]}, {they} {kept['baseline', label]}"
        for label, they in (("50/100", "where the deep loops kept"), ("+20", "and they kept"))
    ]
    assert all(f"it kept {words}" in story["shallow-mat"] for words in told)


def test_the_finer_screen_is_not_settled_over_its_lots(records: Mapping[str, Record]):
    """The story of the third lot tells what the logbook says of all three."""
    told = [reach_verdict(one.trial, one.runs) for name, one in records.items() if name.startswith("finer-screen")]
    lots = [verdict.answer.estimate for verdict in told]
    found = over_lots([lot for lot in lots if lot is not None], math.log(1 / 0.8))
    story = " ".join(story_of(FOLDERS[10]).split())
    assert joint_sentence(measure_named("tails_gold"), found) in story


def test_the_record_is_whole_and_only_what_the_stories_tell_is_found_fault_with(verdicts: Mapping[str, Verdict]):
    """Turn, fed mass, session and the like are all there.

    Pair 4 of lean-buckets was run in two sittings, and its gold is few steps of the scale; the finer screen takes more
    minutes, so that it was fed a little slower in every pair. Nothing else is stopped, weakened or noted: no odd pair,
    no drift, no order other than the one drawn.
    """
    found = {(name, f.check, f.severity) for name, one in verdicts.items() for f in one.checks if f.severity in FAULTS}
    assert found == {
        ("finer-screen", "feed-rhythm", "NOTE"),
        ("lean-buckets", "same-session", "WEAKENS"),
        ("lean-buckets", "scale-fine-enough", "WEAKENS"),
    }


@pytest.mark.parametrize("name", [name for name in ENDS if name != "four-grits"])
def test_either_half_goes_first_about_as_often(name: str, verdicts: Mapping[str, Verdict]):
    """Of the planned pairs, the changed half was first in half of them; of 5 in two or three."""
    planned = [one for one in verdicts[name].pair_results if one.pair <= verdicts[name].pairs.planned]
    first = sum(one.first == "changed" for one in planned)
    assert abs(2 * first - len(planned)) <= len(planned) % 2


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_a_story_names_every_column_and_its_unit(folder: Path):
    """Each column of `runs.csv` stands in the story, and each unit that its measured columns end in."""
    story = " ".join(story_of(folder).split())
    columns = next(csv.reader(io.StringIO((folder / "runs.csv").read_text(encoding="utf-8"))))
    assert [name for name in columns if f"`{name.split()[0]}`" not in story] == []
    units = {"g": " g)", "kg": " kg)", "mg": " mg)", "deg": "degrees", "l_min": "L/min)", "c": " C)"}
    for ending, word in units.items():
        assert word in story or not any(name.endswith(f"_{ending}") for name in columns)
    assert "(min)" in story


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_a_story_is_plain_and_placed_nowhere_real(folder: Path):
    """Only Cinder Bend on Ossel Creek, said to be invented and drawn; none of the words that belong elsewhere."""
    text = "".join(path.read_text(encoding="utf-8") for path in sorted(folder.iterdir()) if path.is_file())
    assert {" ".join(found) for found in PLACES.findall(text)} == {"Cinder Bend", "Ossel Creek"}
    assert "Invented" in text
    assert "assumed noise model (no source)" in " ".join(text.split())
    assert not re.search(
        r"\b(p-value|confidence|significan\w*|degrees of freedom|variant|treatment|winner|null)\b", text
    )


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda recipe: recipe.name)
def test_values_are_as_a_person_writes_them(recipe: Recipe):
    """Half minutes, half degrees of temperature, whole grains and milligrams; every tag once, its check letter right."""
    rows = list(csv.DictReader(io.StringIO(runs_text(recipe))))
    for column in ("minutes", "cleanup_minutes", "temp_c"):
        assert all(float(row[column]) % 0.5 == 0 for row in rows if row[column])
    for column in ("grains", "gold_mg", "tails_gold_mg"):
        assert all(row[column].isdigit() for row in rows if row.get(column))
    letters = "CDFHJKLNPRTVX"
    places = [[letters.index(letter) for letter in row["tag"]] for row in rows]
    assert all((first + 8 * second) % 13 == check for first, second, check in places)
    assert len({row["tag"] for row in rows}) == len(rows)
