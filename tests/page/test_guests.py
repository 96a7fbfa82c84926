"""Guests of a class see nothing that would be refused, and the server refuses it anyhow."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from the_browser import ALL, NEEDS_CHROMIUM, Browser
from the_page import Class, Page

from cofire.studio import Studio

pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
pytestmark = NEEDS_CHROMIUM
#: Every page there is, with an answer on it where it gives one.
SCREENS = (
    "/in", "/", "/?choose=1", "/bench/{draft}", "/bench/{draft}/save",
    "/bench/{draft}/wishes/0?ask=1&expansion=7.5&with_body=no&with_firing=no",
    "/bench/{draft}/swap/0?gone=kaolin", "/bench/{draft}/blend?ask=1&glaze=0&glaze=1&steps=2",
    "/bench/{draft}/map/0?ask=1&show=expansion&with_body=no&with_firing=no",
    "/shelf", "/file/recipes/mine", "/file/recipes/white-crackle", "/file/single/names",
    "/new/recipes", "/new/nickname", "/history/mine", "/fired?recipe=mine",
    "/sheets?draft={draft}", "/sheets/print?glaze=mine&dry=1+kg",
    "/wall?firing=raku-workshop&pots=6&pot=12+x+15+cm&chamber=60+x+50+cm&bins=6",
    "/cards?firing=raku-workshop", "/ask", "/ask/fit?ask=1&recipe=mine&body=yard-raku",
    "/materials?find=talc", "/materials/red-iron-oxide", "/words", "/words/crazing",
    "/api/word/crazing", "/api/draft/{draft}", "/phones",
)  # fmt: skip
#: Those that a guest is told not to open; no page leads there.
_CLOSED = ("/new/recipes", "/new/nickname", "/phones")
#: What a guest can see and use that may write: forms that send, and fields outside of a question.
_WRITES = """[...document.querySelectorAll(
    'form[method=post], form[method=post] *, [contenteditable], input, textarea')]
  .filter(e => e.checkVisibility({visibilityProperty: true}) && !e.readOnly
    && !e.closest('form[method=get], #controls, #look, [action="/in"]'))
  .map(e => e.outerHTML.slice(0, 90))"""


@pytest.fixture(scope="module")
def school(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Class]:
    folder = tmp_path_factory.mktemp("class") / "yard"
    Studio.init(folder)
    made = Class(folder)
    recipe = made.page.desk.glaze_file("clear-crackle").read_text(encoding="utf-8")
    made.page.write("recipes/mine.toml", recipe)
    made.page.desk.studio.set("mine", "kaolin = 13", why="it ran")
    made.page.desk.studio.call_material("RIO", "red iron oxide")
    yield made
    made.end()


@pytest.fixture
def draft(school: Class) -> str:
    """Two glazes with something to undo, to do again, and pinned."""
    page = school.page
    made = page.lay("mine", "white-crackle").id
    for version, kaolin in ((1, 14.0), (2, 15.0)):
        change = {"draft": made, "version": version, "changes": [["glazes.0.base.2", kaolin]]}
        assert page.ask("/api/commit", change).status_code == 200
    assert page.ask("/api/undo", {"draft": made, "version": 3}).status_code == 200
    text = (page.folder / "recipes/mine.toml").read_text(encoding="utf-8")
    assert page.send(f"/bench/{made}/take/0", text=text, how="pin").status_code == 303
    return made


@pytest.fixture
def visitor(chromium: Any, school: Class) -> Iterator[Browser]:
    made = Browser(chromium, school)
    yield made
    for window in made.windows:
        window.close()


def _forms(page: Page, path: str) -> set[str]:
    """Where the forms of the owner's page send."""
    html = page.get(path).get_data(as_text=True)
    where = set(re.findall(r'formaction="([^"]+)"', html))
    for form in re.findall(r'<form method="post"[^>]*>', html):
        action = re.search(r'action="([^"]+)"', form)
        where.add(action[1] if action else path.partition("?")[0])
    return where - {"/in"}


def test_every_page_is_among_the_screens(school: Class, draft: str) -> None:
    urls = school.page.app.url_map.bind("")
    seen = {urls.match(path.format(draft=draft).partition("?")[0])[0] for path in SCREENS}
    there = {rule.endpoint for rule in school.page.app.url_map.iter_rules()
             if "GET" in (rule.methods or ())}  # fmt: skip
    assert there - seen == {"static"}


def test_a_guest_sees_nothing_that_would_be_refused(
    school: Class, draft: str, visitor: Browser
) -> None:
    page = visitor.window()
    led: set[str] = set()
    wrong: dict[str, Any] = {}
    for path in SCREENS:
        status = page.goto(school.origin + path.format(draft=draft)).status
        if path in _CLOSED:
            assert status == 403, path
        else:
            assert status == 200, path
        if found := page.evaluate(_WRITES):
            wrong[path] = found
        links = page.eval_on_selector_all("a[href]:not(.skip)", "all => all.map(a => a.href)")
        led |= {link for link in links if link.startswith(school.origin)}
    assert wrong == {}
    # no link leads where a guest may not go
    urls = school.page.app.url_map.bind("")
    one_each = {urls.match(link.removeprefix(school.origin).partition("?")[0].partition("#")[0])[0]:
                link for link in led}  # fmt: skip
    refused = {link for link in one_each.values() if page.request.get(link).status >= 400}
    assert refused == set()


def test_whatever_a_guest_presses_is_answered(school: Class, draft: str, visitor: Browser) -> None:
    page = visitor.window()
    refused: list[str] = []
    page.on("response", lambda a: a.status >= 400 and refused.append(f"{a.status} {a.url}"))
    page.goto(f"{school.origin}/bench/{draft}")
    page.wait_for_selector(ALL)
    before = school.page.drafts.read(draft)
    press = """selector => { for (const e of document.querySelectorAll(selector)) {
      if (!e.checkVisibility() || e.disabled) continue;
      if (e.matches('button, .hit')) { e.dispatchEvent(new MouseEvent('click', {bubbles: true})); }
      else if (e.matches('select')) { e.selectedIndex = e.options.length - 1;
        e.dispatchEvent(new Event('change', {bubbles: true})); }
      else { e.stepDown(2); for (const kind of ['input', 'change'])
        e.dispatchEvent(new Event(kind, {bubbles: true})); } } }"""
    page.evaluate(press, "#controls button")
    page.keyboard.press("Control+z")
    page.evaluate(press, "#controls [type=range]")
    page.evaluate(press, "#controls select")
    page.wait_for_selector("#look[data-draws='512']")
    page.wait_for_selector(ALL)
    assert page.is_hidden("#trouble"), page.inner_text("#trouble")
    # the teacher changes the draft in front of the class
    change = {"draft": draft, "version": before.version, "changes": [["glazes.0.base.2", 11.0]]}
    assert school.page.ask("/api/commit", change).status_code == 200
    page.evaluate("document.querySelector('#controls [type=range]').dispatchEvent("
                  "new Event('input', {bubbles: true}))")  # fmt: skip
    page.wait_for_selector("#trouble:not([hidden])")
    assert page.locator("#trouble button").all_inner_texts() == ["Show what is there now"]
    refused = [one for one in refused if not one.startswith("409")]  # which is how it was told
    # a blend and a map are looked at
    for path in SCREENS[7:9]:
        page.goto(school.origin + path.format(draft=draft))
        page.evaluate(press, ".hit")
        page.mouse.click(300, 500)
    assert refused == []
    assert school.page.drafts.read(draft).version == before.version + 1


def test_the_server_refuses_a_guest_whatever_the_owner_may_send(school: Class, draft: str) -> None:
    forms = set().union(*(_forms(school.page, path.format(draft=draft)) for path in SCREENS))
    assert len(forms) > 15
    session = school.page.guard.enter(school.page.guard.new_code("guest").text, "")
    assert session is not None
    guest, files = school.page.come_in(session.id), _files(school)
    sent = {"token": school.page.guard.token(session), "name": "guest", "text": "x = 1"}
    said = {form: guest.post(form, data=sent, headers={"Host": school.host}).status_code
            for form in forms}  # fmt: skip
    assert set(said.values()) == {403}, said
    assert _files(school) == files


def _files(school: Class) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in school.page.folder.rglob("*")
            if path.is_file()}  # fmt: skip
