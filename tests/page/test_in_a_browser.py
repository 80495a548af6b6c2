"""The page in a real browser: the round by touch at 390 px and by keyboard alone; no page breaks a rule of access."""

import re
import socket
import threading
import time
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
import uvicorn

from tests.commands.typed_in import plan_of, planned, read, stored, tags_of
from tests.folders import ROUGH, SMOOTH, rough_bed
from tests.sizes import SIZE
from trials.files.folder import read_folder
from trials.keeping.storing import store_answers
from trials.logbook.logbook import Logbook
from trials.page.app import page_app
from trials.page.desk import Desk
from trials.page.from_template import bare
from trials.page.guard import MOST_BYTES

NO_CHART = '<svg xmlns="http://www.w3.org/2000/svg" width="300" height="200"/>'
DOOR = bare("Who is there?", "That is not the code.", asks_for_code=True)
SCHEMES = ("light", "dark")
SMALL = """() => [...document.querySelectorAll('a, button, select, summary, .choice, input')].filter(one => {
  const box = one.getBoundingClientRect();
  return box.width && box.height && !one.matches('[type=radio], [type=checkbox], .skip') &&
    (box.height < 43.5 || box.width < 43.5);
}).map(one => one.outerHTML.slice(0, 120))"""


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    """The page of the logbook in the folder of the test, served in this process."""
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        port = listening.getsockname()[1]
        app = page_app(Desk(Logbook(tmp_path / "logbook.duckdb")), port)
        server = uvicorn.Server(uvicorn.Config(app, log_level="error", ws="none"))
        running = threading.Thread(target=lambda: server.run(sockets=[listening]))
        running.start()
        while not server.started:
            time.sleep(0.01)
        yield f"http://127.0.0.1:{port}"
        server.should_exit = True
        running.join()


@pytest.fixture
def open_at(browser: Any, address: str) -> Iterator[Any]:
    """Open pages; at the end none complained, and none asked for anything but this machine."""
    asked: list[str] = []
    said: list[str] = []
    opened: list[Any] = []

    def opener(**how: Any) -> Any:
        context = browser.new_context(base_url=address, **how)
        page = context.new_page()
        page.on("request", lambda request: asked.append(request.url))
        page.on("console", lambda message: said.append(message.text))
        page.on("pageerror", lambda error: said.append(str(error)))
        opened.append(context)
        return page

    yield opener
    for context in opened:
        context.close()
    assert [url for url in asked if not url.startswith(address)] == []
    assert [text for text in said if "422" not in text and "413" not in text] == []  # told by the page itself


def test_no_page_breaks_a_rule_of_access(open_at: Any, tmp_path: Path) -> None:
    """Every page, light and dark: axe-core finds nothing, nothing is wider than 390 px, no target is under 44 px."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright").Axe()
    stored(tmp_path, read_folder(rough_bed(tmp_path / "rough-bed")))
    record = planned(tmp_path, plan_of(name="half", pairs=3, spares=1))
    tag = tags_of(record)[0]
    places = ["check", "verdict", "decide", "history", "export", "runs", "papers", "worth", "panner", "aside", ""]
    places += ["plan?tracers=0", "rehearse", "attach", "run/TAX"]
    paths = ["/", "/plan", "/load", *(f"/trial/rough-bed/{place}".rstrip("/") for place in places)]
    paths += [f"/trial/half/run/{tag}", f"/trial/half/strike/{tag}", "/trial/rough-bed/correct/TAX", "/trial/half/runs"]
    paths += [f"/trial/half/run/{tag}?view=panner", f"/trial/half/attach?tag={tag}", "/trial/half/plan"]
    looks = {scheme: open_at(viewport={"width": 390, "height": 800}, color_scheme=scheme) for scheme in SCHEMES}
    for page in looks.values():  # the charts are looked at by tests of their own
        page.route("**/chart/*", lambda route: route.fulfill(content_type="image/svg+xml", body=NO_CHART))
        page.route("**/door", lambda route: route.fulfill(content_type="text/html", body=DOOR))
    for at, path in enumerate(["/door", *paths]):
        for scheme in SCHEMES if SIZE >= 1 else (SCHEMES[at % 2],):
            page = looks[scheme]
            page.goto(path)
            found = axe.run(page).response["violations"]
            assert [(one["id"], one["nodes"][0]["html"]) for one in found] == [], path
            assert page.evaluate("document.documentElement.scrollWidth") <= 390, path
            assert page.evaluate(SMALL) == [], path


def test_the_round_by_touch(open_at: Any, tmp_path: Path) -> None:
    """On a phone's width with a finger: runs with stopwatch and counter, a slip, a tab closed half way, the verdict."""
    record = planned(tmp_path, plan_of(pairs=3, spares=0))
    page = open_at(viewport={"width": 390, "height": 800}, has_touch=True, is_mobile=True)
    page.goto("/")
    page.get_by_role("link", name="rough-bed").first.tap()
    page.get_by_role("link", name="Runs", exact=True).tap()
    for at, tag in enumerate(tags_of(record)):
        page.locator(".go.tag", has_text=tag).tap()
        run = next(one for one in record.runs if one.tag == tag)
        grains = (SMOOTH if run.arm == "baseline" else ROUGH)[run.pair - 1]
        page.locator('[name="fed_g"]').fill("350")
        page.locator('[name="grains"]').fill(str(grains - 1))
        page.get_by_role("button", name="+ 1").tap()
        page.locator('[name="cleanup_minutes"]').fill("400" if at == 0 else "4")
        if at == 0:
            timed = page.locator('.field:has([name="minutes"])')
            timed.get_by_role("button", name="Start").tap()
            page.goto("/")  # a tab closed half way
            page.goto(f"/trial/rough-bed/run/{tag}")
            assert page.locator('[name="grains"]').input_value() == str(grains)
            page.get_by_text("did not store stands in its fields again").wait_for()
            timed.get_by_role("button", name="Stop").tap()
        page.locator('[name="minutes"]').fill("9.5")
        page.get_by_role("button", name=f"Store {tag}").tap()
        if at == 0:
            page.get_by_text("Did you mean 40 min?").first.wait_for()
            page.locator('[name="cleanup_minutes"]').fill("4")
            page.get_by_role("button", name=f"Store {tag}").tap()
        page.get_by_text(f"{tag} stored ({at + 1} of 6)").wait_for()
    page.go_back()
    page.get_by_text("entered already").wait_for()
    page.goto("/trial/rough-bed/verdict")
    assert "3 pairs" in page.locator("h1").inner_text()
    page.wait_for_function("[...document.images].every(one => one.complete && one.naturalWidth)")
    assert all(run.minutes == 9.5 and run.cleanup_minutes == 4 for run in read(tmp_path).runs)


def test_what_is_kept_of_a_form(open_at: Any, tmp_path: Path) -> None:
    """What was typed alone stands again, over nothing that was stored since; a browser that keeps nothing is told of."""
    record = planned(tmp_path, plan_of(pairs=3, spares=0))
    tag = tags_of(record)[0]
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
    asleep = open_at(viewport={"width": 390, "height": 800})
    asleep.clock.install()
    asleep.goto(f"/trial/rough-bed/run/{tags_of(record)[1]}")
    timed = asleep.locator('.field:has([name="minutes"])')
    timed.get_by_role("button", name="Start").click()
    asleep.clock.fast_forward("09:30")  # as a phone that slept all the while: no timer ran
    timed.get_by_role("button", name="Stop").click()
    assert asleep.locator('[name="minutes"]').input_value().startswith("9.5")


def test_a_decision_by_keyboard_alone(open_at: Any, tmp_path: Path) -> None:
    """From the list to a stored decision with Tab, arrows, Space and Enter; what has the focus is always seen."""
    stored(tmp_path, read_folder(rough_bed(tmp_path / "rough-bed")))
    page = open_at(viewport={"width": 1100, "height": 800})
    page.goto("/")

    def tab_to(words: str) -> None:
        for _ in range(60):
            page.keyboard.press("Tab")
            here = page.evaluate(
                "() => (document.activeElement.innerText || document.activeElement.value || '').trim()"
            )
            if here == words:
                assert page.evaluate("() => getComputedStyle(document.activeElement).outlineStyle") != "none"
                return
        raise AssertionError(words)

    for words, leads_to in (("rough-bed", "**/trial/rough-bed"), ("Decide", "**/decide")):
        tab_to(words)
        page.keyboard.press("Enter")
        page.wait_for_url(leads_to)
    tab_to("keep")
    page.keyboard.press("Space")
    page.keyboard.press("Tab")
    page.keyboard.type("less to pan")
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile("said="))
    assert "rough-bed decided: keep" in page.locator(".said").inner_text()
    assert read(tmp_path).corrections[-1].why == "less to pan"


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
