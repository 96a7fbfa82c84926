"""Whatever is filled in wrong is answered by a page of our own, in words, with a way back."""

from __future__ import annotations

from html.parser import HTMLParser
from urllib.parse import urlencode

import pytest
from test_guests import SCREENS
from the_page import Page

ODD = "5 sheep <b>²</b>"
#: Forms whose answer takes long, or that are no question of a studio's files.
_NOT = ("/in", "/phones", "/phones/out")


class Forms(HTMLParser):
    """The forms of a page: where each sends, how, and what is filled in."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.forms: list[tuple[str, str, list[tuple[str, str]]]] = []
        self.choice: str | None = None
        self.area: str | None = None
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        has = {name: value or "" for name, value in attrs}
        if tag == "form":
            self.forms.append((has.get("action", ""), has.get("method", "get"), []))
        elif tag == "select":
            self.choice = has.get("name")
        elif tag == "option" and self.choice and self.forms and "selected" in has:
            self.forms[-1][2].append((self.choice, has.get("value", "")))
        elif tag == "textarea":
            self.area = has.get("name")
        elif tag == "input" and "name" in has and self.forms and (
            has.get("type") != "checkbox" or "checked" in has
        ):  # fmt: skip
            self.forms[-1][2].append((has["name"], has.get("value", "")))

    def handle_endtag(self, tag: str) -> None:
        if tag == "select":
            if self.choice and self.forms and self.choice not in dict(self.forms[-1][2]):
                self.forms[-1][2].append((self.choice, ""))
            self.choice = None
        elif tag == "textarea":
            self.area = None

    def handle_data(self, data: str) -> None:
        if self.area and self.forms:
            self.forms[-1][2].append((self.area, data))


def test_whatever_is_filled_in_wrong_is_answered_on_a_page_with_a_way_back(page: Page) -> None:
    recipe = page.desk.glaze_file("clear-crackle").read_text(encoding="utf-8")
    page.write("recipes/mine.toml", recipe)
    page.desk.studio.set("mine", "kaolin = 13", why="it ran")
    page.desk.studio.call_material("RIO", "red iron oxide")
    draft = page.lay("mine", "white-crackle").id
    tried, wrong, refused = set(), [], 0
    for path in SCREENS:
        here = path.format(draft=draft)
        answer = page.get(here)
        if "html" not in answer.mimetype:
            continue
        for action, method, fields in Forms(answer.get_data(as_text=True)).forms:
            where = action or here.partition("?")[0]
            names = {name for name, _ in fields} - {"token", "ask", "with_body", "with_firing"}
            if where in _NOT or (where, *sorted(names)) in tried:
                continue
            tried.add((where, *sorted(names)))
            for odd in sorted(names):
                sent = [(name, ODD if name == odd else value) for name, value in fields]
                came = {"Host": page.host, "Referer": f"http://{page.host}{here}"}
                if method == "get":
                    said = page.client.get(f"{where}?{urlencode(sent)}", headers=came)
                else:
                    said = page.client.post(
                        where, data=urlencode(sent), headers=came,
                        content_type="application/x-www-form-urlencoded",
                    )  # fmt: skip
                text = said.get_data(as_text=True)
                refused += said.status_code >= 400
                if said.status_code >= 500 or "<b>²" in text:
                    wrong.append((where, odd, said.status_code))
                if said.status_code >= 400 and not (
                    said.mimetype == "text/html" and 'role="alert"' in text and "<nav" in text
                    and ("There is no such page" not in text)
                    and (f'href="{here}' in text.replace("&amp;", "&") or "<form" in text)
                ):  # fmt: skip
                    wrong.append((where, odd, said.status_code))
    assert not wrong, "\n".join(map(str, wrong))
    assert len(tried) > 20 and refused > 30


@pytest.mark.parametrize(
    ("path", "kept"),
    [
        ("/sheets/print?glaze=not-mine&dry=1+kg&title=Blue+day", "Blue day"),
        ("/sheets/print?glaze=clear-crackle&dry=5+sheep&people=Ada,+Bo", "Ada, Bo"),
        ("/wall?firing=raku-workshop&pots=many&pot=12+x+15+cm&chamber=60+x+50+cm&bins=6", "many"),
        ("/cards?firing=raku-workshop&glaze=nothing", "nothing"),
    ],
)
def test_what_a_sheet_was_asked_stays_in_its_form(page: Page, path: str, kept: str) -> None:
    answer = page.get(path)
    text = answer.get_data(as_text=True)
    assert answer.status_code in (400, 404) and "<form" in text and 'role="alert"' in text
    assert kept in text
