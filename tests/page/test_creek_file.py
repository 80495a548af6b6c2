"""The file for the creek: one file, blind for the panner, typed into offline and handed over as a sheet."""

import os
import re
import signal
from collections.abc import Callable, Iterator
from pathlib import Path
from shutil import copyfile
from typing import Any

import pytest

from schemas import Change, Record, Sizes
from tests.commands.typed_in import BOOK, plan_of, planned, read, tags_of
from tests.page.test_in_a_browser import CONTRASTS, SCHEMES, broken_rules
from tests.papers.plans import PLANS, crowded, lead_audit, rough_bed, two_mats
from tests.papers.reading import codes
from tests.papers.test_blind import veiled
from tests.sizes import SIZE
from trials.logbook.logbook import Logbook
from trials.page.creek_file import creek_file_html, panner_file_html
from trials.papers.cautions import cautions_for
from trials.talk.one_run import run_of_answers

AAA = (*CONTRASTS, "color-contrast-enhanced")
"""Contrast of 7 to 1, as WCAG 2.2 asks at level AAA (1.4.6): the file is read in the sun."""


@pytest.mark.parametrize("plan", PLANS)
def test_each_file_is_one_file(plan: Callable[..., Record]) -> None:
    """Under 300 KB, nothing fetched, no text of a person ends the script; every run in its order, every caution."""
    record = plan(name="one", question='</script><img src="x">')
    made = creek_file_html(record), panner_file_html(record)
    for page in made:
        assert len(page.encode()) < 300_000
        assert not re.search(r"<[a-z][^>]*\s(src|href|action|data)=|url\(|@import|https?:|fetch\(|import\(", page)
        assert page.count("</script>") == 2 and page.count("<script") == 2
        assert "<img" not in page
    creek = made[0]
    by_turn = sorted(record.runs, key=lambda run: run.turn or 0)
    assert re.findall(r'data-tag="(\w+)"', creek) == [run.tag for run in by_turn]
    assert re.findall(r'data-tag="(\w+)"', made[1]) == sorted(codes(record))
    for caution in cautions_for(record.trial, record.runs, "creek"):
        assert f"<b>{caution.about}.</b>" in creek


@pytest.mark.parametrize("plan", PLANS)
def test_the_panners_file_is_blind(plan: Callable[..., Record]) -> None:
    """The same bytes under any seed, and however the codes are dealt; no set-up, no question, no number seeded."""
    seen = {veiled(panner_file_html(record), record) for record in (plan(seed=seed) for seed in range(3))}
    assert len(seen) == 1
    record = plan(seed=987_654)
    runs = zip(record.runs, reversed(codes(record)), strict=True)
    turned = Record(trial=record.trial, runs=tuple(run.model_copy(update={"tag": tag}) for run, tag in runs))
    page = panner_file_html(record)
    assert page == panner_file_html(turned)
    change, question = record.trial.change, record.trial.question
    told = [question, *((change.baseline, *change.changed) if change else ())]
    assert not [text for text in told if text and text in page]


def test_no_change_leaves_a_mark_on_the_panners_file() -> None:
    """Whatever is changed, whatever was stored of the runs, and however many grains were counted in."""
    change = Change(variable="texture", baseline="xyzzy", changed=("plugh",), reversible="with work")
    record = two_mats()
    half = Record(
        trial=record.trial, runs=tuple(run.model_copy(update={"temp_c": 4.0, "void": "spill"}) for run in record.runs)
    )
    assert panner_file_html(two_mats(change=change)) == panner_file_html(record) == panner_file_html(half)
    assert "137" in creek_file_html(lead_audit())
    assert "137" not in panner_file_html(lead_audit())


def test_what_a_plan_says_stands_in_the_form() -> None:
    """Number and unit each in its place; size classes where a mesh number says which series it is of."""
    page = creek_file_html(lead_audit())
    assert 'name="fed_kg" value="10000"' in page
    fed = page[page.index('name="unit fed_kg"') :]
    assert "<option selected>g</option>" in fed[: fed.index("</select>")]
    assert page.count("<option selected>°C</option>") == 1 and "<option>C</option>" not in page
    by_class = creek_file_html(lead_audit(sizes=Sizes(series="ASTM")))
    assert 'name="kept 50/100"' in by_class and 'name="kept' in page and "50/100" not in page


@pytest.fixture
def phone(browser: Any) -> Iterator[Any]:
    """Open a file on a phone with no network: 390 px wide, by finger; at the end nothing complained, nothing was asked."""
    said: list[str] = []
    opened: list[Any] = []

    def pick_up(**how: Any) -> Any:
        size = {"width": 390, "height": 800}
        context = browser.new_context(viewport=size, has_touch=True, is_mobile=True, offline=True, **how)
        context.on("console", lambda message: said.append(message.text))
        context.on("weberror", lambda error: said.append(str(error.error)))
        context.on("request", lambda request: said.append(request.url) if "file:" not in request.url else None)
        opened.append(context)
        return context

    yield pick_up
    for context in opened:
        context.close()
    assert said == []


def in_a_tab(phone: Any, file: Path) -> Any:
    """A new tab with the file in it."""
    page = phone.new_page()
    page.goto(file.as_uri())
    return page


def drawing(browser: Any) -> set[int]:
    """The processes in which the pages of this browser are drawn, by their ids."""
    asked = browser.new_browser_cdp_session()
    found = asked.send("SystemInfo.getProcessInfo")["processInfo"]
    asked.detach()
    return {one["id"] for one in found if one["type"] == "renderer"}


def type_in(page: Any, at: int) -> None:
    """Type a run by finger; day, unit and hand stay as they were from the first on."""
    if at == 0:
        page.locator('[name="unit fed_g"]').select_option("kg")
        page.locator('[name="session"]').fill("2026-05-03 am")
        page.locator('[name="feeder"][value="A"]').check()
    page.locator('[name="fed_g"]').fill("0,35")
    page.locator('.field:has([name="grains"])').get_by_role("button", name="+ 1").tap()
    page.locator('[name="minutes"]').fill(f"{9 + at}.5")
    page.locator('[name="gross black_sand_g"]').fill("18.6")
    page.locator('[name="tare black_sand_g"]').fill("12.2")
    if at % 5 == 0:
        page.locator('[name="loupe ticks"]').check()
        page.locator('[name="note"]').fill('=wet, "cold"')
    if at == 1:
        page.locator('[name="note"]').fill("NA")


def test_the_runs_at_the_creek(browser: Any, phone: Any, samedirt: Callable[..., Any], tmp_path: Path) -> None:
    """The tab killed after each of twelve (six in a short run of the tests); file and text load as what enter stores."""
    record = planned(tmp_path, plan_of(pairs=6 if SIZE >= 1 else 3, spares=0, locked=None))
    assert "phone-creek-rough-bed.html" in samedirt("sheet", "rough-bed", "--phone", "--to", "out").out
    assert read(tmp_path).trial.locked is not None
    refused = samedirt("sheet", "rough-bed", "--phone", "--spreadsheet", "x.csv")
    assert refused.code == 2 and "two ways to fill in the runs" in refused.err
    for book in ("typed.duckdb", "text.duckdb"):
        copyfile(tmp_path / BOOK, tmp_path / book)
    file, pocket = tmp_path / "out" / "phone-creek-rough-bed.html", phone(accept_downloads=True)
    tags = tags_of(record)
    page = in_a_tab(pocket, file)
    for at, tag in enumerate(tags):
        page.locator(f'[data-tag="{tag}"]').tap()
        type_in(page, at)
        if at == 0:
            with page.expect_event("crash"):
                for process in drawing(browser):
                    os.kill(process, signal.SIGKILL)  # as a phone that needs the room, with no time to save anything
            page.close()
            page = in_a_tab(pocket, file)
        else:
            page.goto(file.as_uri())
    page.get_by_text(f"{len(tags)} of {len(tags)} runs begun").wait_for()
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save as a file").tap()
    saved.value.save_as(tmp_path / saved.value.suggested_filename)
    page.get_by_role("button", name="Copy as text").tap()
    (tmp_path / "pasted.txt").write_text(f"From the creek:\n{page.locator('#text').input_value()}\nbye", "utf-8")
    assert f"{len(tags)} rows read" in samedirt("load", "creek-rough-bed.csv").out
    assert f"{len(tags)} rows read" in samedirt("load", "pasted.txt", "--logbook", "text.duckdb").out
    assert "nothing new" in samedirt("load", "pasted.txt").out
    told = {"session": "2026-05-03 am", "feeder": "A"}
    told |= {"fed_g": "0.35 kg", "grains": "1", "black_sand_g": "18.6 12.2", "water_l_min": "8 8", "pitch_deg": "4"}
    seen = {"ticks": "loupe", "note": '=wet, "cold"'}
    for run in read(tmp_path).runs:
        laid_out = next(one for one in record.runs if one.key == run.key)
        turn = run.turn or 0
        noted = seen if turn % 5 == 1 else {"note": "NA"} if turn == 2 else {}
        answers = told | {"minutes": f"{8 + turn}.5"} | noted
        assert run == run_of_answers(answers, laid_out, record.trial)[0]
    assert Logbook(tmp_path / "text.duckdb").read("rough-bed").runs == read(tmp_path).runs
    words = [word for name, text in (told | seen).items() for word in ("--set", f"{name}={text}")]
    typed = ("enter", "rough-bed", tags[0], *words, "--set", "minutes=9.5", "--logbook", "typed.duckdb")
    assert samedirt(*typed).code == 0
    by_command = Logbook(tmp_path / "typed.duckdb").read("rough-bed").runs
    assert [run for run in by_command if run.tag == tags[0]] == [
        run for run in read(tmp_path).runs if run.tag == tags[0]
    ]
    page.locator(f'[data-tag="{tags[0]}"]').tap()
    page.locator('[name="grains"]').fill("7")
    page.get_by_role("button", name="Back to the list").tap()
    (tmp_path / "changed.txt").write_text(page.locator("#text").input_value(), "utf-8")
    assert "stored 1, here 7; put the old value back" in samedirt("load", "changed.txt").err
    assert "1 correction" in samedirt("load", "changed.txt", "--why", "counted again").out


def test_it_can_be_read_in_the_sun_and_tells_what_it_keeps(phone: Any, tmp_path: Path) -> None:
    """Rules of access, contrast of 7 to 1, targets of 44 px, 390 px wide, light and dark; slips and losses are told."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    file, other = tmp_path / "creek.html", tmp_path / "panner.html"
    file.write_text(creek_file_html(crowded()), "utf-8")
    other.write_text(panner_file_html(rough_bed()), "utf-8")
    page = phone().new_page()
    for at, path in enumerate((file, other)):
        for scheme in SCHEMES if SIZE >= 1 else (SCHEMES[at],):
            page.emulate_media(color_scheme=scheme)
            page.goto(path.as_uri())
            for _ in ("the list", "a run"):
                assert broken_rules(page, axe, AAA) == [], (path, scheme)
                page.locator("[data-tag]").first.evaluate("one => one.click()")
                page.locator("#one").wait_for()
            assert page.locator("#of-run").bounding_box()["height"] < 200  # it stays in sight above the fields
    file.write_text(creek_file_html(rough_bed()), "utf-8")
    page.goto(file.as_uri())
    page.locator("[data-tag]").first.tap()
    page.locator('[name="gross black_sand_g"]').fill("12.2")
    page.locator('[name="tare black_sand_g"]').fill("18.6")
    page.get_by_text("sand: gross 12.2 is under tare 18.6; swapped?").wait_for()
    page.locator('[name="minutes"]').fill("9:12")
    page.get_by_text("minutes: 9:12 is not a number.").wait_for()
    page.evaluate("localStorage.clear()")
    page.locator('[name="minutes"]').fill("9")
    page.get_by_text("threw away what it had kept. What stands here was kept once more").wait_for()
    page.reload()
    assert page.locator('[name="tare black_sand_g"]').input_value() == "18.6"
    page.once("dialog", lambda asked: asked.accept())
    page.get_by_role("button", name="Throw away what was typed here").tap()
    page.get_by_text("0 of 12 runs begun").wait_for()
    assert page.locator("#text").input_value() == ""
    page.add_init_script("Storage.prototype.setItem = () => { throw new Error('private') }")
    page.reload()
    page.get_by_text("This browser keeps nothing").wait_for()
    page.locator("[data-tag]").first.tap()
    page.locator('[name="minutes"]').fill("9")
    page.get_by_role("button", name="Back to the list").tap()
    assert ",9,," in page.locator("#text").input_value()
