"""Odd requests are answered in words: no bug, and no page that offers what it then refuses."""

from __future__ import annotations

import re
import shutil

import pytest
from the_page import Page

_DAY = "/ask/day?ask=1&firing=raku-workshop&pot=12 x 15 cm&chamber=60 x 50 cm"


@pytest.mark.parametrize(
    ("path", "said"),
    [
        (f"{_DAY}&pots=18&bins=6", "pots"),
        ("/ask/fit?ask=1&recipe=clear-crackle&body=yard-raku", "crack"),
        ("/ask/lustre?ask=1&recipe=copper-lustre&firing=raku-workshop", "reduc"),
    ],
)
def test_every_question_is_answered_in_the_words_of_the_terminal(
    page: Page, path: str, said: str
) -> None:
    answer = page.get(path)
    assert answer.status_code == 200
    assert said in answer.get_data(as_text=True)


@pytest.mark.parametrize("count", ["abc", "²", "1e3", "9" * 5000, "-1"])
@pytest.mark.parametrize("path", ["/wall?firing=raku-workshop", f"{_DAY}&bins=6"])
def test_a_count_that_is_none_is_refused_in_words(page: Page, path: str, count: str) -> None:
    answer = page.get(f"{path}&pots={count}")
    assert answer.status_code == 400
    assert "number of pots" in answer.get_data(as_text=True)


@pytest.mark.parametrize("asked", ["glaze=²", "glaze=nope", "glaze=9", "steps=²", "steps=99"])
def test_a_blend_of_what_is_not_there_is_refused_in_words(page: Page, asked: str) -> None:
    draft = page.lay("clear-crackle")
    assert page.get(f"/bench/{draft.id}/blend?ask=1&{asked}").status_code == 400


@pytest.mark.parametrize(
    ("kind", "k", "status"),
    [("recipes", "abc", 400), ("recipes", "9", 400), ("recipes", "-1", 400), ("kilns", "0", 404)],
)
def test_only_what_lies_on_the_bench_is_saved(page: Page, kind: str, k: str, status: int) -> None:
    draft = page.lay("clear-crackle")
    answer = page.send(f"/bench/{draft.id}/save", kind=kind, k=k, name="zz")
    assert answer.status_code == status
    assert not list(page.folder.rglob("zz.toml"))


def test_a_kiln_of_a_very_long_name_is_no_bug(page: Page) -> None:
    assert page.send("/new/kilns", name="k" * 600, text="zz").status_code == 400


def test_a_bought_glaze_is_offered_where_it_can_be_asked_about_and_nowhere_else(page: Page) -> None:
    for path in ("/?choose", "/ask/fit", "/ask/firing", "/fired", "/shelf"):
        assert "salt-marsh-clear" in page.get(path).get_data(as_text=True), path
    for path in ("/ask/formula", "/ask/shake", "/sheets"):
        assert "salt-marsh-clear" not in page.get(path).get_data(as_text=True), path
    shelf = page.get("/shelf").get_data(as_text=True)
    bought = shelf[shelf.index("Bought ready-made") :].partition("</section>")[0]
    assert bought.count("<li>") == 1 and "/file/bought/salt-marsh-clear" in bought
    draft = page.lay("salt-marsh-clear")
    for path in ("wishes/0", "swap/0", "map/0"):
        answer = page.get(f"/bench/{draft.id}/{path}")
        assert answer.status_code == 400 and "bought ready-made" in answer.get_data(as_text=True)
    sheet = page.get("/sheets/print?glaze=salt-marsh-clear&dry=1+kg")
    assert "bought ready-made" in sheet.get_data(as_text=True)


@pytest.mark.parametrize("x", ["1e309", "nan", "-inf", "²", ""])
@pytest.mark.filterwarnings("error")
def test_no_place_of_a_map_is_endless(page: Page, x: str) -> None:
    draft = page.lay("clear-crackle")
    form = {"x": x, "y": "10", "across": "silica", "up": "kaolin"}
    assert page.send(f"/bench/{draft.id}/map/0", **form).status_code == 400


def test_hardly_any_crack_is_said_in_words_not_as_a_distance_that_is_a_limit(page: Page) -> None:
    draft = page.lay("clear-crackle", firing="earthenware-cone-06", body="talc-earthenware")
    asked = {"draft": draft.id, "version": 1, "changes": [], "draws": "all"}
    html = page.ask("/api/look", asked).json["html"]  # type: ignore[index]
    assert "a few long cracks at most" in html and "200.0 mm" not in html


@pytest.mark.parametrize(
    ("path", "kept"),
    [
        ("wishes/0?ask=1&more=soft+as+moss", "soft as moss"),
        ("map/0?ask=1&across=silica+40-5", "silica 40-5"),
        ("blend?ask=1&glaze=0&add=tin+oxide+9-9", "tin oxide 9-9"),
    ],
)
def test_what_was_filled_in_stays_beside_what_is_wrong_with_it(
    page: Page, path: str, kept: str
) -> None:
    draft = page.lay("clear-crackle")
    answer = page.get(f"/bench/{draft.id}/{path}")
    text = answer.get_data(as_text=True)
    assert answer.status_code == 400 and kept in text and 'role="alert"' in text


def test_a_long_paste_stays_beside_what_is_wrong_with_it(page: Page) -> None:
    sent = {"name": "<i>log</i>", "text": "time (min),temperature (C)\n0,warm", "like": "gas-raku"}
    text = page.send("/new/kilns", **sent).get_data(as_text=True)
    assert "0,warm" in text and "&lt;i&gt;log" in text and 'value="gas-raku" selected' in text
    fired = page.send("/fired", recipe="clear-crackle", result="5 sheep", coat="3 brushed")
    assert "5 sheep" in fired.get_data(as_text=True)


def _version(page: Page, path: str) -> str:
    """Which version of the draft a form was shown for."""
    found = re.search(r'name="version" value="(\d+)"', page.get(path).get_data(as_text=True))
    assert found, path
    return found[1]


def test_a_form_of_another_time_does_nothing_to_what_lies_there_now(page: Page) -> None:
    draft = page.lay("clear-crackle", "white-crackle")
    changes = [["glazes.0.base.2", 14.0]]
    page.ask("/api/commit", {"draft": draft.id, "version": 1, "changes": changes})
    at, text = f"/bench/{draft.id}", page.desk.glaze_file("frit-gloss").read_text(encoding="utf-8")
    seen = {
        f"{at}/save": _version(page, f"{at}/save"),
        f"{at}/take/0": _version(page, f"{at}/swap/0?gone=kaolin"),
        f"{at}/map/0": _version(page, f"{at}/map/0?ask=1&show=expansion&with_body=no"
                                      "&with_firing=no"),
        f"{at}/blend/0": _version(page, f"{at}/blend?ask=1&glaze=0&glaze=1&steps=1"),
    }  # fmt: skip
    # another window turns the order: what was the first is the second now
    turned = {"draft": draft.id, "version": 2, "changes": [["glazes.turn", True]]}
    assert page.ask("/api/commit", turned).status_code == 200
    before = page.drafts.read(draft.id)
    form = {"kind": "recipes", "k": "0", "why": "x", "text": text, "x": "9", "y": "9",
            "glaze": ["0", "1"], "steps": "1", "add": ""}  # fmt: skip
    for path, version in seen.items():
        for how in ({}, {"how": "pin"}) if "take" in path else ({},):
            answer = page.send(path, version=version, **form, **how)
            told = answer.get_data(as_text=True)
            assert answer.status_code == 409 and "another window" in told, path
    assert page.drafts.read(draft.id) == before
    assert not (page.folder / "recipes/clear-crackle.toml").exists()
    assert not (page.folder / "recipes/white-crackle.toml").exists()


def test_drafts_that_were_tidied_away_are_begun_anew(page: Page) -> None:
    page.lay("clear-crackle")
    shutil.rmtree(page.folder / ".bench")
    assert page.get("/").status_code == 200
    assert page.lay("clear-crackle").version == 1


@pytest.mark.parametrize(
    ("name", "id"), [("透明釉 貫入", "透明釉-貫入"), ("طلاء شفاف", "طلاء-شفاف"), ("№ 7", "no-7")]
)
def test_a_name_of_any_script_is_a_name(page: Page, name: str, id: str) -> None:
    made = page.send(
        "/new/recipes", name=name, surface="gloss", text="frit 3134 type,80\nkaolin,20"
    )
    assert made.status_code == 303 and (page.folder / f"recipes/{id}.toml").is_file()
    asked = "/ask/fit?ask=1&body=raku&recipe="
    for where in ("/file/recipes/", "/history/", "/fired?recipe=", asked):
        assert page.get(where + id).status_code == 200, where
    assert name in page.get("/shelf").get_data(as_text=True)


@pytest.mark.parametrize("name", ["-", "...", "☂", "!!"])
def test_a_name_without_a_letter_is_refused_in_words(page: Page, name: str) -> None:
    made = page.send(
        "/new/recipes", name=name, surface="gloss", text="frit 3134 type,80\nkaolin,20"
    )
    assert made.status_code == 400 and "neither a letter" in made.get_data(as_text=True)


def test_what_is_to_know_of_one_glaze_names_it(page: Page) -> None:
    for name in ("a", "b"):
        page.write(f"recipes/{name}.toml", f'name = "Tide {name}"\nsurface = "gloss"\n[base]\n'
                   '"frit-3134-type" = 90\nkaolin = 10\n')  # fmt: skip
    draft = page.lay("a", "b")
    asked = {"draft": draft.id, "version": 1, "changes": [], "draws": "all"}
    html = page.ask("/api/look", asked).json["html"]  # type: ignore[index]
    said = re.findall(r'<p class="wrong">(.*?)</p>', html)
    assert said and all("Tide" in one for one in said)
