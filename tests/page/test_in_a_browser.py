"""The page in a real browser: no page breaks a rule of access; what was typed is kept; slow callers keep nobody out."""

import re
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tests.commands.typed_in import plan_of, planned, read, stored, tags_of
from tests.folders import rough_bed
from tests.page.visitor import Visitor
from tests.sizes import SIZE
from trials.files.folder import read_folder
from trials.keeping.storing import store_answers
from trials.logbook.logbook import Logbook
from trials.page.from_template import HERE as PAGE
from trials.page.from_template import bare
from trials.page.guard import MOST_BYTES

NO_CHART = '<svg xmlns="http://www.w3.org/2000/svg" width="300" height="200"/>'
DOOR = bare("Who is there?", "That is not the code.", asks_for_code=True)
SCHEMES = ("light", "dark")
CONTRASTS = ("color-contrast",)
BROKEN = """async ([width, contrasts, isWhole]) => {
  if (!("axe" in window)) return null;
  const behind = new Map([[null, ""]]), looks = new Set();
  for (const one of document.querySelectorAll("html, body, body *")) {
    const style = getComputedStyle(one);
    const under = [behind.get(one.parentElement), style.backgroundColor, style.backgroundImage, style.opacity].join();
    behind.set(one, under);
    const isField = one.matches("input, select, textarea"), nodes = [...one.childNodes];
    const own = nodes.filter(node => node.nodeType === 3).map(node => node.data.trim()).join("");
    if (!own && !isField || !one.checkVisibility()) continue;
    const type = [one.localName, one.className, one.matches(":disabled"), style.color, style.fontSize, style.fontWeight];
    const isRead = /[\\p{L}\\p{N}].*[\\p{L}\\p{N}]/u.test(own);
    const look = [under, ...type, style.textShadow, isRead].join();
    one.toggleAttribute("data-look", !looks.has(look));
    looks.add(look);
  }
  axe.configure({rules: contrasts.map(id => ({id, selector: isWhole ? "*" : "[data-look]"}))});
  const rules = Object.fromEntries(contrasts.map(id => [id, {enabled: true}]));
  const found = await axe.run(document, {resultTypes: ["violations"], rules});
  const wide = document.documentElement.scrollWidth;
  const small = [...document.querySelectorAll("a, button, select, summary, .choice, input")].filter(one => {
    const box = one.getBoundingClientRect();
    return box.width && box.height && !one.matches("[type=radio], [type=checkbox], .skip") &&
      (box.height < 43.5 || box.width < 43.5);
  });
  return [
    ...found.violations.map(one => [one.id, one.nodes[0].html]),
    ...(wide > width ? [`${wide} px wide`] : []),
    ...small.map(one => one.outerHTML.slice(0, 120)),
  ];
}"""


def broken_rules(page: Any, axe: Any, contrasts: tuple[str, ...] = CONTRASTS) -> list[object]:
    """The rules of access that a page breaks: what axe-core finds, what is wider than the screen, targets under 44 px.

    All its rules on all of the page, contrast once for each colour, size and ground of a text; at full size contrast is
    looked at on all of the page too.
    """
    asked = [page.viewport_size["width"], contrasts, SIZE >= 1]
    found = page.evaluate(BROKEN, asked)
    if found is None:
        page.evaluate(axe.axe_script)
        found = page.evaluate(BROKEN, asked)
    return list(found)


SCRIPT = re.compile(r"<script [^>]*></script>")
OWN_SCRIPTS = "".join(["() => {", *((PAGE / name).read_text("utf-8") for name in ("helpers.js", "page.js")), "}"])


def test_no_page_breaks_a_rule_of_access(open_at: Any, tmp_path: Path) -> None:
    """Every page, light and dark: axe-core finds nothing, nothing is wider than 390 px, no target is under 44 px.

    Page after page is put in the place of the one before, with its looks and its scripts, so that axe is read in once.
    """
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    stored(tmp_path, read_folder(rough_bed(tmp_path / "rough-bed")))
    record = planned(tmp_path, plan_of(name="half", pairs=3, spares=1))
    tag = tags_of(record)[0]
    places = ["check", "verdict", "decide", "history", "export", "runs", "papers", "worth", "panner", "aside", ""]
    places += ["plan?tracers=0", "rehearse", "attach", "run/TAX"]
    paths = ["/", "/plan", "/load", *(f"/trial/rough-bed/{place}".rstrip("/") for place in places)]
    paths += [f"/trial/half/run/{tag}", f"/trial/half/strike/{tag}", "/trial/rough-bed/correct/TAX", "/trial/half/runs"]
    paths += [f"/trial/half/run/{tag}?view=panner", f"/trial/half/attach?tag={tag}", "/trial/half/plan"]
    visitor = Visitor(tmp_path / "logbook.duckdb")
    pages = [("/door", DOOR), *((path, visitor.get(path).text) for path in paths)]
    page = open_at(viewport={"width": 390, "height": 800})
    # the charts are looked at by tests of their own
    page.route("**/chart/*", lambda route: route.fulfill(content_type="image/svg+xml", body=NO_CHART))
    page.goto("/")
    for at, scheme in enumerate(SCHEMES):
        page.emulate_media(color_scheme=scheme)
        for path, text in pages if SIZE >= 1 else pages[at :: len(SCHEMES)]:
            page.set_content(SCRIPT.sub("", text))
            page.evaluate(OWN_SCRIPTS)
            assert broken_rules(page, axe) == [], path


def test_what_is_kept_of_a_form(open_at: Any, tmp_path: Path) -> None:
    """What was typed alone stands again, over nothing that was stored since; a browser that keeps nothing is told of.

    A stopwatch goes on while its tab is closed, and Back after Store finds the run stored.
    """
    record = planned(tmp_path, plan_of(pairs=3, spares=0))
    tag, other, third = tags_of(record)[:3]
    page = open_at(viewport={"width": 390, "height": 800})
    page.add_init_script("if (location.hash) Storage.prototype.setItem = () => { throw new Error('private') }")
    page.goto(f"/trial/rough-bed/run/{tag}#private")
    page.get_by_text("This browser keeps nothing").wait_for()
    page.get_by_role("button", name="+ 1").click()
    page.locator('[name="minutes"]').fill("9")
    page.get_by_role("button", name=f"Store {tag}").click()
    correct = f"/trial/rough-bed/correct/{tag}"
    page.goto(correct)
    page.locator('[name="note"]').fill("wet")
    book = Logbook(tmp_path / "logbook.duckdb")
    run = next(one for one in read(tmp_path).runs if one.tag == tag)
    store_answers(book, "rough-bed", run, {"grains": "7"}, why="misread", now=datetime(2026, 5, 3), stands=False)
    page.goto(correct)
    assert page.locator('[name="note"]').input_value() == "wet"
    assert page.locator('[name="grains"]').input_value() == "7"
    page.goto(f"/trial/rough-bed/run/{other}")
    page.get_by_role("button", name="+ 1").click()
    page.goto(f"/trial/rough-bed/run/{other}")  # a tab closed half way
    page.get_by_text("did not store stands in its fields again").wait_for()
    assert page.locator('[name="grains"]').input_value() == "1"
    page.locator('[name="minutes"]').fill("9.5")
    page.get_by_role("button", name=f"Store {other}").click()
    page.get_by_text(f"{other} stored (2 of 6)").wait_for()
    page.go_back()
    page.get_by_text("entered already").wait_for()
    page.clock.install()
    page.goto(f"/trial/rough-bed/run/{third}")
    timed = page.locator('.field:has([name="minutes"])')
    timed.get_by_role("button", name="Start").click()
    page.clock.fast_forward("09:30")  # as a phone that slept all the while: no timer ran
    timed.get_by_role("button", name="Stop").click()
    assert page.locator('[name="minutes"]').input_value().startswith("9.5")


def test_a_folder_with_photos_is_loaded_without_them(open_at: Any, tmp_path: Path) -> None:
    """Of a folder what is read is sent, and its pictures are not; where no script leaves them out, it says what to do."""
    folder = rough_bed(tmp_path / "trials" / "rough-bed")
    (folder / "sluice.jpg").write_bytes(b"x" * (MOST_BYTES + 1))
    for java_script_enabled, told in ((False, "without the pictures"), (True, "rough-bed: new, 12 runs.")):
        page = open_at(viewport={"width": 390, "height": 800}, java_script_enabled=java_script_enabled)
        page.goto("/load")
        page.locator('[name="folder"]').set_input_files(tmp_path / "trials")
        page.get_by_role("button", name="Load").click()
        page.get_by_text(told).wait_for()
    assert read(tmp_path) == read_folder(folder)
