"""Three people from an empty folder to a printed sheet with the keyboard alone: the focus is never
lost, hidden or invisible on the way."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from the_browser import ALL, NEEDS_CHROMIUM, Browser, printed
from the_page import Bench, until

pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = NEEDS_CHROMIUM
#: What is wrong with the focus now; empty where it can be seen.
_FOCUS = """selector => {
  const at = document.activeElement, there = at?.matches(selector);
  const wrong = (words) => [there, words];
  if (!at || at === document.body) return wrong('lost');
  const part = at.matches('.grip') ? at.querySelector('.reach') : at;
  const box = part.getBoundingClientRect(), style = getComputedStyle(at);
  const x = (Math.max(box.left, 0) + Math.min(box.right, innerWidth)) / 2;
  const y = (Math.max(box.top, 0) + Math.min(box.bottom, innerHeight)) / 2;
  const top = document.elementFromPoint(x, y);
  const said = at.outerHTML.slice(0, 120);
  if (!top || !(at.contains(top) || top.closest('label')?.control === at))
    return wrong('hidden: ' + said + ' under ' + top?.outerHTML.slice(0, 60));
  const ring = at.matches('.grip')
    ? getComputedStyle(part).stroke !== 'none'
    : style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
  return wrong(ring ? '' : 'no ring: ' + said);
}"""


class Keys:
    """Somebody without a mouse."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self.wrong: list[str] = []

    def to(self, selector: str, most: int = 60, back: bool = False) -> None:
        """With the Tab key, no further than anybody has patience for."""
        for _ in range(most):
            self.page.keyboard.press("Shift+Tab" if back else "Tab")
            if self.seen(selector):
                return
        raise AssertionError(f"{selector} is not reached in {most} steps")

    def is_at(self, selector: str) -> bool:
        return bool(self.page.evaluate("s => document.activeElement.matches(s)", selector))

    def seen(self, selector: str = "*") -> bool:
        """Whether the focus is there; and it can be seen, or that is noted."""
        there, wrong = self.page.evaluate(_FOCUS, selector)
        if wrong:
            self.wrong.append(wrong)
        return bool(there)

    def press(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def type(self, words: str) -> None:
        self.page.keyboard.type(words)

    def fill(self, selector: str, words: str, **how: Any) -> None:
        self.to(selector, **how)
        self.press("Control+a")
        self.type(words)

    def open(self, selector: str, leads: str, **how: Any) -> None:
        """A link or a button, and what is there afterwards."""
        self.to(selector, **how)
        self.press("Enter")
        self.page.wait_for_selector(leads)
        self.page.wait_for_load_state()  # the rings come with the style sheet


@pytest.fixture
def keys(browser: Browser) -> Iterator[Keys]:
    page = browser.window()
    made = Keys(page)
    yield made
    browser.wrong = [one for one in browser.wrong if " 400 " not in one]  # what was said in words
    assert not made.wrong, "\n".join(made.wrong)


def lay_out(keys: Keys, *glazes: str) -> None:
    for n, name in enumerate(glazes):
        keys.to(f"#glaze{n}")
        keys.type(name)
    keys.to("#firing")
    keys.type("Saltgrass Yard raku day")
    keys.to("#body")
    keys.type("Saltgrass Yard raku clay")
    keys.open("button.main", ALL)


def settled(keys: Keys) -> None:
    keys.page.wait_for_selector("#undo:not([disabled])")
    keys.page.wait_for_selector(ALL)
    keys.seen()


_KAOLIN = "[data-path='glazes.0.base.2']"


def test_a_potter_adjusts_a_crackle(keys: Keys, bench: Bench) -> None:
    page = keys.page
    lay_out(keys, "Saltgrass clear")
    keys.press("Tab")
    assert keys.is_at(".skip")  # past the links of every page, and past the picture
    keys.press("Enter", "Tab")
    assert keys.is_at(".skip[href='#controls']")
    keys.press("Enter", "Tab")
    assert keys.is_at("#controls a[href$='/save']")
    # an amount by arrows; the focus stays where it is when the answer comes
    keys.to(f"{_KAOLIN}[type=range]")
    keys.press("ArrowRight", "ArrowRight")
    settled(keys)
    assert keys.is_at(f"{_KAOLIN}[type=range]")
    # a material on top, and out again
    keys.fill("#add-0", "tin oxide")
    keys.open("[data-add='glazes.0.add.additions']", "text=+ tin oxide")
    settled(keys)
    keys.to("[data-remove='glazes.0.additions.1']", back=True)
    keys.press("Enter")
    until(page, "!document.querySelector('[data-remove^=\"glazes.0.additions.1\"]')")
    settled(keys)
    keys.to("#undo", back=True)
    keys.press("Enter", "Enter")  # one cannot be undone twice as quickly as one can press
    settled(keys)

    keys.open("a[href*='/wishes/0']", "#expansion")
    keys.fill("#expansion", "8.4")
    for choice in ("#wb", "#wf"):
        keys.to(choice)
        keys.type("no")
    keys.open("button.main", "article h2")
    keys.open("article button.main", ALL)

    keys.open("a[href$='/save']", "text=Save it as a copy in the studio")
    keys.fill("#why1", "a finer net")
    keys.open("button.main", "text=Back to the bench")
    saved = bench.folder / "recipes" / "clear-crackle.toml"
    assert "a finer net" in (saved.parent / "history" / saved.name).read_text()
    keys.open("a[href^='/bench/']", ALL)
    keys.open("a[href^='/sheets?draft=']", "#dry")
    keys.fill("#dry", "2 kg")
    keys.open("button.main", ".page")
    assert "2 kg of dry base" in printed(page)
    saved.unlink()


def test_a_teacher_prints_a_day_and_batch_sheets(keys: Keys) -> None:
    page = keys.page
    keys.open("nav a[href='/ask']", "a[href='/ask/day']")
    keys.open("a[href='/ask/day']", "#pots")
    keys.to("#firing")
    keys.type("Saltgrass Yard raku day")
    keys.fill("#pots", "many")
    keys.open("button.main", "[role=alert]")  # what was wrong is said, and the rest is still there
    keys.fill("#pots", "6")
    keys.open("button.main", "pre")
    keys.open("a[href^='/wall']", ".page")
    assert "9:00" in printed(page)

    page.go_back()
    keys.open("nav a[href='/sheets']", "#pieces")
    keys.to("#glaze0")
    keys.type("Clear water")  # with lithium, which no school mixes
    keys.fill("#pieces", "14 students x 5 tiles and 2 pots")
    keys.to("#as")
    keys.type("slips")
    keys.to("input[name=school]")
    keys.press("Space")
    keys.open("button.main", "[role=alert]")
    assert "a school must not mix it" in page.inner_text("[role=alert]")
    keys.to("#glaze0")
    keys.type("Saltgrass clear")
    keys.open("button.main", ".page")
    assert "Saltgrass clear crackle" in printed(page)


def test_an_artist_tests_two_glazes_in_one_firing(keys: Keys) -> None:
    page = keys.page
    page.set_viewport_size({"width": 700, "height": 620})  # as with everything twice as large
    lay_out(keys, "Saltgrass clear", "Samphire creek")
    # the peak by its grip; then the way out of a no
    keys.to(".grip[data-path='firing.segment.0.target']")
    keys.press(*["PageDown"] * 4)
    page.wait_for_selector(".verdict.no")
    settled(keys)
    assert keys.is_at(".grip[data-path='firing.segment.0.target']")
    keys.to("#near", back=True)
    keys.press("Enter")
    page.wait_for_selector("#take")
    keys.seen()
    keys.press("Enter")
    page.wait_for_selector(".verdict.yes")
    page.wait_for_selector(ALL)
    assert not keys.is_at("body")
    # a word is explained where it stands, and the focus comes back to it
    keys.to("a.term")
    word = page.evaluate("document.activeElement.textContent")
    keys.press("Enter")
    page.wait_for_selector("#means[open]")
    keys.press("Escape")
    until(page, f"document.activeElement.textContent === {word!r}")
    keys.to("details.size summary", most=30)
    keys.press("Enter")
    keys.to("#mm")
    keys.press("ArrowRight")
    # the order is turned
    keys.to("[data-set='glazes.turn']", most=80)
    keys.press("Enter")
    settled(keys)
    assert keys.is_at("[data-set='glazes.turn']")
    keys.open("a[href^='/sheets?draft=']", "#bucket", back=True)
    keys.fill("#bucket", "3 l")
    keys.open("button.main", ".page")
    assert "Samphire creek crackle" in printed(page)
