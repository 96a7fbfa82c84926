"""Three people from an empty folder to a printed sheet, in a real browser without a network."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from the_browser import (
    ALL,
    NEEDS_CHROMIUM,
    Browser,
    lay_out,
    number,
    printed,
    violations,
)  # fmt: skip
from the_page import Bench, until

from cofire.model.standard_draws import N

pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = NEEDS_CHROMIUM


def test_a_potter_drags_wishes_saves_and_prints(browser: Browser, bench: Bench) -> None:
    page = browser.window()
    lay_out(page, "clear-crackle")
    assert page.inner_text(".word") == "Yes"
    ripe = number(page, "ripe")

    # the peak is dragged down with the mouse: the answer follows, quick and then sharp
    grip = page.locator(".grip[data-path='firing.segment.0.target']").bounding_box()
    x, y = grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y + 20, steps=4)
    page.wait_for_selector("#look[data-draws='512'] .grip.held")
    page.mouse.move(x, y + 40, steps=4)
    page.mouse.up()
    page.wait_for_selector(f"{ALL}")
    page.wait_for_selector("#undo:not([disabled])")
    assert number(page, "ripe") < ripe
    assert float(page.input_value("#controls [data-path='firing.segment.0.target'][type=number]")
                 ) < 943.0  # fmt: skip
    page.click("#undo")
    until(page, f"document.querySelector('[data-number=ripe] data').value == '{ripe!r}'")

    # a word is explained where it stands
    page.click(".lies a.term >> text=shivers")
    page.wait_for_selector("#means[open]")
    assert "flakes" in page.inner_text("#means-text")
    page.keyboard.press("Escape")

    # an amount is typed, kept over a reload, compared, and saved with a reason
    field = "#controls [data-path='glazes.0.base.2'][type=number]"
    page.fill(field, "14")
    page.press(field, "Tab")
    page.wait_for_selector("#redo[disabled]")
    until(page, "document.querySelector('#undo').disabled === false")
    page.reload()
    page.wait_for_selector(ALL)
    assert page.input_value(field) == "14.0"
    page.click("text=Compare and save")
    page.fill("#why1", "it ran a little")
    page.click("text=Save it as a copy in the studio")
    saved = bench.folder / "recipes" / "clear-crackle.toml"
    assert "kaolin = 14" in saved.read_text()
    assert "it ran a little" in (bench.folder / "recipes/history/clear-crackle.toml").read_text()

    # wishes become cards, one is accepted
    page.click("text=Back to the bench")
    page.click("text=Wishes")
    page.fill("#expansion", "8.4")
    page.click("text=Find the nearest recipes")
    page.wait_for_selector("article h2")
    assert violations(page) == []
    page.locator("article").first.get_by_role("button", name="Accept").click()
    page.wait_for_selector(ALL)

    # a sheet to weigh by is printed
    page.click("text=Weigh and print")
    page.fill("#dry", "2 kg")
    page.click("text=Show the sheets")
    page.wait_for_selector(".page")
    sheet = printed(page)
    assert "kaolin" in sheet and "2 kg of dry base" in sheet
    saved.unlink()  # the next test begins with what was shipped


def test_a_touch_on_a_map_and_on_a_blend_becomes_a_recipe(browser: Browser) -> None:
    page = browser.window(viewport={"width": 700, "height": 900})
    lay_out(page, "clear-crackle", "turquoise-crackle")
    draft = page.get_attribute("#bench", "data-draft")
    kaolin = "#controls [data-path='glazes.0.base.2'][type=number]"
    page.goto(f"{browser.bench.origin}/bench/{draft}/map/0?ask=1&show=expansion&with_body=no"
              "&with_firing=no")  # fmt: skip
    page.locator("#take-place").scroll_into_view_if_needed()
    box = page.locator(".pick svg").bounding_box()
    page.mouse.click(box["x"] + 0.3 * box["width"], box["y"] + 0.6 * box["height"])
    across, up = float(page.input_value("#x")), float(page.input_value("#y"))
    shown = page.locator("#map-data")
    at = {key: float(shown.get_attribute(f"data-{key}")) for key in ("x0", "x1", "y0", "y1")}
    assert at["x0"] < across < at["x1"] and at["y0"] < up < at["y1"]
    marked = page.locator(".pick .place").bounding_box()  # where the numbers say that it is
    assert marked["x"] + marked["width"] / 2 == pytest.approx(box["x"] + 0.3 * box["width"], abs=4)
    assert marked["y"] + marked["height"] / 2 == pytest.approx(
        box["y"] + 0.6 * box["height"], abs=4
    )
    page.click("#take-place")
    page.wait_for_selector(ALL)
    fields = page.locator("#controls [data-path^='glazes.0.base'][type=number]").all()
    amounts = [float(one.input_value()) for one in fields]
    assert 100.0 * float(page.input_value(kaolin)) / sum(amounts) == pytest.approx(up, abs=0.1)

    page.goto(f"{browser.bench.origin}/bench/{draft}/blend?ask=1&glaze=0&glaze=1&steps=4")
    page.locator(".hit").nth(2).click()
    page.wait_for_selector(ALL)
    assert float(page.input_value(kaolin)) != up


def test_an_artist_on_a_phone_takes_the_nearest_change_and_outlives_the_server(
    browser: Browser, bench: Bench
) -> None:
    phone: dict[str, Any] = {"viewport": {"width": 390, "height": 844}, "has_touch": True,
                             "is_mobile": True, "device_scale_factor": 2}  # fmt: skip
    page = browser.window(**phone)
    lay_out(page, "clear-crackle", "turquoise-crackle")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    small = page.evaluate(
        """[...document.querySelectorAll('button, select, input, nav a, .button, summary')]
        .filter(e => e.offsetParent && e.getBoundingClientRect().height < 43.5)
        .map(e => e.outerHTML.slice(0, 80))"""
    )
    assert small == []

    # too cold: no, and the way out is one touch away
    field = "#controls [data-path='firing.segment.0.target'][type=number]"
    page.fill(field, "905")
    page.press(field, "Enter")
    page.wait_for_selector(".verdict.no")
    page.wait_for_selector(ALL)
    page.tap("#near")
    page.wait_for_selector("#near-words:not(:empty)")
    until(page, "!document.querySelector('#near-words').textContent.startsWith('Look')")
    page.tap("#take")
    page.wait_for_selector(".verdict.yes")

    # the server is killed while something is changed; nothing is lost
    page.wait_for_selector(ALL)
    bench.kill()
    field = "#controls [data-path='glazes.0.base.2'][type=number]"
    page.fill(field, "13")
    page.press(field, "Enter")
    page.wait_for_selector("#trouble:not([hidden])")
    bench.begin()
    page.wait_for_selector("#trouble[hidden]", state="attached")
    page.wait_for_selector(ALL)
    page.reload()
    page.wait_for_selector(ALL)
    assert page.input_value(field) in ("13", "13.0")

    # two windows: the later is told, and keeps its own
    other = page.context.new_page()
    other.goto(page.url)
    other.wait_for_selector(ALL)
    other.fill(field, "11")
    other.press(field, "Enter")
    other.wait_for_selector("#undo:not([disabled])")
    other.wait_for_timeout(1500)
    page.evaluate("document.body.dataset.same = 'yes'")
    page.fill(field, "17")
    page.press(field, "Enter")
    page.wait_for_selector("text=changed in another window")
    page.click("text=Keep mine as a draft of its own")
    page.wait_for_selector(ALL)
    assert page.input_value(field) in ("17", "17.0")
    browser.wrong = [w for w in browser.wrong if "409" not in w]  # which is how it was told


def test_a_server_that_hangs_is_told_and_asked_again(browser: Browser) -> None:
    page = browser.window()
    page.clock.install()
    lay_out(page, "clear-crackle")
    page.route("**/api/look", lambda asked: None)  # never answered
    with page.expect_request("**/api/look"):
        page.fill("#n-odds", "0.7")
    page.clock.fast_forward(61_000)
    page.wait_for_selector("#trouble:not([hidden])")
    assert "does not answer" in page.inner_text("#trouble")
    page.unroute("**/api/look")
    page.clock.fast_forward(3_000)
    page.wait_for_selector("#trouble[hidden]", state="attached")


_PAGES = (
    "/?choose=1", "/bench/{draft}", "/bench/{draft}/save", "/bench/{draft}/swap/0?gone=kaolin",
    "/bench/{draft}/blend?ask=1&glaze=0&glaze=1&steps=3",
    "/bench/{draft}/map/0?ask=1&show=expansion&with_body=no&with_firing=no", "/shelf",
    "/file/recipes/slipway-crackle", "/history/slipway-crackle", "/new/kilns", "/sheets", "/ask",
    "/sheets/print?glaze=clear-crackle&dry=5+sheep",
    "/ask/fit?ask=1&recipe=clear-crackle&body=raku&coat=3+brushed&wall=6+mm", "/phones",
    "/materials?find=talc", "/words/crazing", "/fired?recipe=clear-crackle", "/no-such-page",
)  # fmt: skip


def test_an_independent_engine_finds_no_violation_by_day_and_by_night(browser: Browser) -> None:
    page = browser.window()
    lay_out(page, "clear-crackle", "turquoise-crackle")
    draft = page.get_attribute("#bench", "data-draft")
    found: dict[str, list[str]] = {}

    def look(path: str) -> None:
        page.emulate_media(color_scheme="light")
        wrong = violations(page)
        page.emulate_media(color_scheme="dark")
        wrong += violations(page, runOnly=["color-contrast"])
        if wrong:
            found[path] = wrong

    for path in _PAGES:
        page.goto(browser.bench.origin + path.format(draft=draft))
        if path == "/bench/{draft}":
            page.wait_for_selector(ALL)
            page.click("details.findings summary")
        look(path)
    page.context.clear_cookies()
    page.goto(f"{browser.bench.origin}/in")
    look("/in")
    browser.wrong = [w for w in browser.wrong if " 404 " not in w and " 400 " not in w]  # as asked
    assert found == {}


def test_what_is_being_typed_outlives_a_reload_and_what_is_refused_does_not(
    browser: Browser,
) -> None:
    page = browser.window()
    lay_out(page, "clear-crackle")
    field = "#controls [data-path='glazes.0.base.2'][type=number]"
    page.fill(field, "14")  # and not left
    page.reload()
    page.wait_for_selector("#undo:not([disabled])")
    assert page.input_value(field) in ("14", "14.0")
    page.fill("#add-0", "tin ox")  # while an answer is on its way
    page.evaluate("document.querySelector('#undo').click()")
    page.wait_for_selector("#undo[disabled]")
    assert page.input_value("#add-0") == "tin ox"
    page.fill("#n-odds", "0.2")
    page.press("#n-odds", "Enter")
    page.wait_for_selector("#trouble:not([hidden])")
    page.reload()
    page.wait_for_selector(ALL)
    assert page.is_hidden("#trouble") and page.input_value("#n-odds") == "0.8"
    browser.wrong = [w for w in browser.wrong if " 400 " not in w]  # which is how it was told


_NARROW = (
    "/?choose=1", "/shelf", "/sheets", "/ask", "/file/recipes/odd", "/phones",
    "/bench/{draft}/save", "/bench/{draft}/swap/0?gone=kaolin", "/bench/{draft}/wishes/0",
    "/fired?recipe=odd", "/ask/fit?ask=1&recipe=odd&body=yard-raku",
)  # fmt: skip


def test_nothing_is_wider_than_the_narrowest_phone_or_with_everything_four_times_as_large(
    browser: Browser, bench: Bench
) -> None:
    name = "<script>alert(1)</script> " + 2 * "Saltgrass-yard-crackle-with-a-name-without-any-end"
    odd = bench.folder / "recipes" / "odd.toml"
    odd.write_text(
        f'name = "{name}"\nsurface = "gloss"\n[base]\n"frit-3134-type" = 90\nkaolin = 10\n'
    )
    page = browser.window()
    lay_out(page, "odd", "turquoise-crackle")
    draft = page.get_attribute("#bench", "data-draft")
    wide = """() => [...document.querySelectorAll('body *')].filter(e => e.checkVisibility()
        && !e.closest('svg, pre, .paper') && e.getBoundingClientRect().right > innerWidth + 1)
        .map(e => e.outerHTML.slice(0, 90))"""
    page.set_viewport_size({"width": 280, "height": 256})
    page.goto(f"{bench.origin}/bench/{draft}")
    found = {}
    for draws in ("512", str(N)):
        page.wait_for_selector(f"#look[data-draws='{draws}']", state="attached")
        found[draws] = page.evaluate(wide)
    for path in _NARROW:
        page.goto(bench.origin + path.format(draft=draft))
        found[path] = page.evaluate(wide)
        if page.evaluate("document.documentElement.scrollWidth > innerWidth"):
            found[path].append("it scrolls")
    odd.unlink()
    assert {where: what for where, what in found.items() if what} == {}


def test_a_slider_is_seen_in_colours_of_ones_own(browser: Browser) -> None:
    page = browser.window(forced_colors="active", reduced_motion="reduce")
    lay_out(page, "clear-crackle")
    slider = page.locator("#controls [data-path='glazes.0.base.0'][type=range]")
    shot = Image.open(io.BytesIO(slider.screenshot())).convert("L")
    line = [shot.getpixel((3, y)) for y in range(8, shot.height - 8)]  # far from the knob
    assert max(line) - min(line) > 100
    assert page.evaluate("getComputedStyle(document.querySelector('.word')).transitionDuration"
                         ) == "0s"  # fmt: skip


def test_the_bench_prints_its_picture_without_its_controls(browser: Browser) -> None:
    page = browser.window()
    lay_out(page, "clear-crackle", "turquoise-crackle")
    text = printed(page)
    assert "MPa" in text and "Undo" not in text and "Add a material" not in text
    assert "Saltgrass Yard raku clay, measured" in text  # on what it stands
    assert "DANGER" in text  # nothing grave stays folded on paper
    # a crackle is printed at true scale: 62 mm on paper
    page.emulate_media(media="print")
    wide = page.evaluate("document.querySelector('.net svg').getBoundingClientRect().width")
    assert wide == pytest.approx(62.0 / 25.4 * 96.0, abs=2.5)


def test_the_script_computes_nothing_and_loads_nothing() -> None:
    from cofire.page import app

    script = (Path(app.__file__).parent / "static" / "bench.js").read_text(encoding="utf-8")
    assert not re.search(r"https?://|import\s|eval\(|Function\(|oxide|expansion|viscosity", script)
    templates = Path(app.__file__).parent / "templates"
    for file in templates.glob("*.html"):
        text = file.read_text(encoding="utf-8")
        assert not re.search(r"\son\w+=|style=|<style|javascript:|https?://(?!\{\{)", text), file
