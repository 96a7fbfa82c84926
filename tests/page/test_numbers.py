"""The page computes nothing itself: its numbers are those of the Python API, to the digit."""

from __future__ import annotations

import random
import re
import shlex
from typing import Any

import pytest
from markupsafe import escape
from the_page import Page

from cofire.answers.quick_pair import DRAWS, QuickPair
from cofire.cli.main import COMMANDS
from cofire.model.outcome import standard_error
from cofire.page.on_ask import PAGES, QUESTIONS, TYPED

_FRITS = ("frit-3134-type", "frit-3110-type", "frit-3195-type")
_OTHERS = ("kaolin", "silica", "whiting", "zinc oxide", "talc", "wollastonite", "nepheline syenite")
_CELL = re.compile(r'data-number="(\w+)"><data value="([^"]+)">')


def random_recipe(dice: random.Random) -> dict[str, Any]:
    """A low-fire glaze of one frit and some of the rest."""
    base = {dice.choice(_FRITS): dice.uniform(45.0, 85.0)}
    base |= {name: dice.uniform(1.0, 15.0) for name in dice.sample(_OTHERS, dice.randint(1, 4))}
    base = {name: round(amount, 2) for name, amount in base.items()}
    surface = dice.choice(("gloss", "crackle", "satin", "matte"))
    return {"name": f"glaze {dice.random():.4f}", "surface": surface, "base": base}


def numbers_of(html: str) -> dict[str, list[float]]:
    found: dict[str, list[float]] = {}
    for name, value in _CELL.findall(html):
        found.setdefault(name, []).append(float(value))
    return found


def numbers_in(answer: dict[str, Any]) -> dict[str, list[float]]:
    """The same numbers in the JSON of a pair."""
    found: dict[str, list[float]] = {}
    for glaze in answer["glazes"]:
        for pull in glaze["pulls"]:
            for word in ("under", "ripe", "runs"):
                found.setdefault(word, []).append(pull["odds"][word])
        fit = glaze["fit"]
        found.setdefault("stress", []).append(fit["stress_mpa"]["value"])
        found.setdefault("crazes", []).append(fit["odds"]["crazes_at_once"])
        found.setdefault("crazes_later", []).append(fit["odds"]["crazes_by_horizon"])
        found.setdefault("shivers", []).append(fit["odds"]["shivers"])
        if fit["crackle_mm"]:
            found.setdefault("crackle", []).append(fit["crackle_mm"]["value"])
        found.setdefault("odds", []).append(glaze["odds"])
    found["together"] = [answer["odds_together"]]
    return found


def look(page: Page, glaze: dict[str, Any], draws: str) -> dict[str, Any]:
    draft = page.lay("clear-crackle")
    changes = [["glazes.0.data", glaze]]
    answer = page.ask("/api/look", {"draft": draft.id, "version": 1, "changes": changes,
                                    "draws": draws, "width": 800})  # fmt: skip
    assert answer.status_code == 200 and answer.json, answer.get_data(as_text=True)
    return dict(answer.json)


def test_two_hundred_random_recipes_say_what_their_answer_holds(page: Page) -> None:
    dice = random.Random(20261126)
    draft = page.lay("clear-crackle")
    _ = page.desk.studio
    page.desk._quick = QuickPair(64)  # what is compared are digits
    for _ in range(200):
        changes = [["glazes.0.data", random_recipe(dice)]]
        answer = page.ask("/api/look", {"draft": draft.id, "version": 1, "changes": changes}).json
        held = page.desk.quick(page.desk.changed(draft.state, changes))
        assert answer and numbers_of(answer["html"]) == numbers_in(held.pair.to_dict())


def test_random_recipes_are_as_the_api_says_and_quick_is_near_to_it(page: Page) -> None:
    dice = random.Random(7)
    for _ in range(5):
        glaze = random_recipe(dice)
        sharp = look(page, glaze, "all")
        answer = page.desk.studio.pair([glaze], "raku-workshop", body="yard-raku", odds=0.5)
        assert numbers_of(sharp["html"]) == numbers_in(answer.to_dict())
        quick = numbers_of(look(page, glaze, "few")["html"])
        for name in ("under", "ripe", "runs", "crazes", "shivers", "odds"):
            for few, many in zip(quick[name], numbers_of(sharp["html"])[name], strict=True):
                assert abs(few - many) < 5.0 * standard_error(max(many, 0.02), DRAWS) + 0.005, name


def test_two_glazes_on_the_page_are_those_of_the_command_line(page: Page) -> None:
    draft = page.lay("clear-crackle", "turquoise-crackle")
    asked = {"draft": draft.id, "version": 1, "changes": [], "draws": "all"}
    answer = page.ask("/api/look", asked).json
    pair = page.desk.studio.pair(
        ["clear-crackle", "turquoise-crackle"], "raku-workshop", body="yard-raku"
    )
    assert answer and numbers_of(answer["html"]) == numbers_in(pair.to_dict())
    assert answer["sentence"] == pair.sentence


def test_a_bought_glaze_on_the_page_is_that_of_the_command_line(page: Page) -> None:
    firing = "earthenware-cone-06"
    draft = page.lay("salt-marsh-clear", "clear-crackle", firing=firing)
    asked = {"draft": draft.id, "version": 1, "changes": [], "draws": "all"}
    found = []
    for _ in range(2):
        answer = page.ask("/api/look", asked).json
        pair = page.desk.studio.pair(["salt-marsh-clear", "clear-crackle"], firing,
                                     body="yard-raku")  # fmt: skip
        assert answer and numbers_of(answer["html"]) == numbers_in(pair.to_dict())
        found.append(answer["html"])
        written = page.send("/fired", recipe="salt-marsh-clear", clay="raku", coat="3 brushed",
                            result="whole after 6 weeks")  # fmt: skip
        assert written.status_code == 303
    assert found[0] != found[1]  # a tile was learned


def test_whether_an_overlap_runs_is_said_while_something_is_dragged(page: Page) -> None:
    draft = page.lay("clear-crackle", "turquoise-crackle")
    for target, runs in ((943.0, False), (1090.0, True)):
        change = [["firing.segment.0.target", target], ["firing.segment.1.target", target - 30.0]]
        state = page.desk.changed(draft.state, change)
        quick, sharp = page.desk.quick(state).pair, page.desk.sharp(state).pair
        assert [one.overlaps[0].runs.max() > 0.5 for one in (quick, sharp)] == [runs, runs]
        assert quick.yes == sharp.yes
        asked = {"draft": draft.id, "version": 1, "changes": change}
        html = page.ask("/api/look", asked).json["html"]  # type: ignore[index]
        assert 'fill="#5f6f73"' in html and "runs with" in html


def test_each_pull_says_what_every_glaze_is_then(page: Page) -> None:
    draft = page.lay("clear-crackle", "turquoise-crackle")
    look = page.desk.sharp(draft.state)
    html = page.ask("/api/look", {"draft": draft.id, "version": 1, "changes": [],
                                  "draws": "all"}).json["html"]  # type: ignore[index]  # fmt: skip
    says = re.findall(r"<title>(pot \d+ at [^<]*)</title>", html)
    assert len(says) == look.pair.firing.pulls[0].count
    assert html.count('class="cut"') == 2 * len(says)
    for glaze in look.pair.glazes:
        for said, pull in ((says[0], glaze.pulls[0]), (says[-1], glaze.pulls[-1])):
            under = re.search(rf"{glaze.recipe.name} (\d+|under 1) % under", said)
            assert under, said
            share = 0.0 if under[1] == "under 1" else float(under[1])
            assert share == pytest.approx(100.0 * pull.odds.under, abs=1.5)


def test_the_nearest_change_on_the_page_is_that_of_the_command_line(page: Page) -> None:
    draft = page.lay("clear-crackle", "turquoise-crackle")
    cold = [["firing.segment.0.target", 905.0]]
    found = page.ask("/api/change", {"draft": draft.id, "changes": cold}).json
    state = page.desk.changed(draft.state, cold)
    pair = page.desk.studio.pair([g["data"] for g in state["glazes"]], state["firing"]["data"],
                                 body="yard-raku")  # fmt: skip
    assert found and pair.change is not None and found["words"] == pair.change_words
    after = page.desk.changed(state, found["changes"])
    assert page.desk.sharp(after).pair.odds_together == pair.change.odds


def test_every_command_is_on_the_page_or_named_with_what_to_type(page: Page) -> None:
    assert sorted(COMMANDS) == sorted([*QUESTIONS, *PAGES, *TYPED])
    assert set(ASKED) == set(QUESTIONS)  # each is asked below
    for where, title in PAGES.values():
        assert title and page.get(where).status_code in (200, 303)
    everything = page.get("/ask").get_data(as_text=True)
    for command, words in TYPED.items():
        assert words.startswith(f"cofire {command}") and escape(words) in everything


ASKED = {
    "formula": "recipe=clear-crackle&firing=",
    "fit": "recipe=clear-crackle&body=raku&firing=&coat=3+brushed&wall=6+mm",
    "firing": "firing=raku-workshop&recipes=clear-crackle&wall=6+mm&all=on",
    "lustre": "recipe=copper-lustre&firing=raku-workshop",
    "shake": "recipe=frit-gloss&body=&firing=&batch=200+g&scale=0.1+g",
    "levers": "recipe=frit-gloss&want=stress+at+most+0&body=raku&firing=&coat=3+brushed&wall=6+mm",
    "compose": "formula=0.3+Na2O,+0.7+CaO,+0.35+Al2O3,+3+SiO2,+0.3+B2O3",
    "tile": "tiles=clear-crackle,+3+brushed,+crazed+4+mm&body=raku&firing=",
    "day": "firing=raku-workshop&pots=6&pot=12+x+15+cm&chamber=40+x+45+cm&bins=3",
    "card": "",
    "stock": "",
}


@pytest.mark.parametrize("command", ASKED)
def test_an_answer_in_words_is_what_the_command_line_prints(
    page: Page, command: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from html import unescape

    from cofire.cli.main import main

    monkeypatch.chdir(page.folder)
    answer = page.get(f"/ask/{command}?ask=1&{ASKED[command]}")
    text = answer.get_data(as_text=True)
    assert answer.status_code == 200, text
    said = re.search(r'<pre tabindex="0" aria-label="Answer">(.*?)</pre>', text, re.S)
    typed = re.search(r"The same in a terminal: <code>(.*?)</code>", text, re.S)
    assert said and typed
    monkeypatch.setattr("sys.argv", shlex.split(unescape(typed[1])))
    capsys.readouterr()
    with pytest.raises(SystemExit) as left:
        main()
    assert left.value.code in (0, 1)
    assert capsys.readouterr().out.strip() == unescape(said[1]).strip()
