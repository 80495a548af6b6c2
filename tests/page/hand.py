"""A person at a page in a real browser: by mouse on a wide screen, by touch on a narrow one, or by keyboard alone."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

MOUSE, TOUCH, KEYS = "mouse", "touch", "keys"
WIDTHS = {MOUSE: 1100, TOUCH: 390, KEYS: 1100}
MOST_TABS = 60
IS_THERE = """one => {
  const here = document.activeElement;
  return here === one || (one.type === "radio" && here.name === one.name);
}"""
HOW_FAR = """one => {
  const sorts = "a[href], button, select, summary, textarea, [tabindex], input:not([type=hidden])";
  const all = [...document.querySelectorAll(sorts)].filter(each => each.offsetParent !== null || each.matches(".skip"));
  const here = all.indexOf(document.activeElement);
  const radios = new Set();
  return all.slice(here + 1, all.indexOf(one)).filter(each => {
    const isFirst = each.type !== "radio" || !radios.has(each.name);
    if (each.type === "radio") radios.add(each.name);
    return isFirst;
  }).length;
}"""
IS_SEEN = "() => getComputedStyle(document.activeElement).outlineStyle !== 'none'"


@dataclass
class Hand:
    """One way to do everything on a page; `arrived` is done on every page that is come to."""

    page: Any
    sort: str = MOUSE
    arrived: Callable[[], None] | None = None

    def go_by(self, sort: str) -> None:
        """Do what follows in this way, on a screen of its width."""
        self.sort = sort
        self.page.set_viewport_size({"width": WIDTHS[sort], "height": 800})

    def press(self, one: Any) -> None:
        """Press a link or a button, and wait for where it leads."""
        with self.page.expect_navigation(wait_until="domcontentloaded"):
            self.touch(one)
            if self.sort == KEYS:
                self.page.keyboard.press("Enter")
        if self.arrived is not None:
            self.arrived()

    def link(self, words: str) -> None:
        """Press the link of these words."""
        self.press(self.page.get_by_role("link", name=words, exact=True).first)

    def button(self, words: str) -> None:
        """Press the button of these words."""
        self.press(self.page.get_by_role("button", name=words, exact=True))

    def type(self, name: str, text: str) -> None:
        """Type a text over what stands in a field."""
        one = self.page.locator(f'[name="{name}"]')
        self.touch(one)
        if self.sort == KEYS:
            self.page.keyboard.press("Control+A")
            self.page.keyboard.type(text)
        else:
            one.fill(text)

    def choose(self, name: str, value: str) -> None:
        """Choose one of several."""
        one = self.page.locator(f'[name="{name}"][value="{value}"]')
        self.touch(one)
        if self.sort == KEYS and not one.is_checked():
            self.page.keyboard.press("Space")
            while not one.is_checked():
                self.page.keyboard.press("ArrowDown")

    def select(self, name: str, value: str) -> None:
        """Choose from a list that opens."""
        one = self.page.locator(f'select[name="{name}"]')
        if self.sort == KEYS:
            self.touch(one)
            self.page.keyboard.type(value)
        else:
            one.select_option(value)

    def touch(self, one: Any) -> None:
        """Go to something: a click, a tap, or Tab after Tab until it has the focus, which is seen."""
        if self.sort == TOUCH:
            one.tap()
        elif self.sort == MOUSE:
            one.click()
        else:
            sought = one.element_handle()
            for _ in range(max(0, self.page.evaluate(HOW_FAR, sought) - 1)):
                self.page.keyboard.press("Tab")
            for _ in range(MOST_TABS):
                self.page.keyboard.press("Tab")
                if self.page.evaluate(IS_THERE, sought):
                    assert self.page.evaluate(IS_SEEN), "the focus is not seen"
                    return
            raise AssertionError(f"Tab never comes to {one}")
