"""Files on the page are the plain text that the terminal uses, and nobody's writing is lost."""

from __future__ import annotations

import re

import pytest
from the_page import Page

from cofire.page.desk import digest

MINE = """\
# Our own, from the yard.
name = "Mine"
surface = "gloss"

[base] # parts
"frit-3134-type" = 80 # the soft one
kaolin = 20
"""


def hash_of(text: str) -> str:
    found = re.search(r'name="hash" value="(\w+)"', text)
    assert found
    return found[1]


def test_a_file_is_shown_and_saved_as_it_is_and_its_history_holds_what_it_was(page: Page) -> None:
    path = page.write("recipes/mine.toml", MINE)
    shown = page.get("/file/recipes/mine").get_data(as_text=True)
    assert "# the soft one" in shown
    new = MINE.replace("kaolin = 20", "kaolin = 18")
    answer = page.send("/file/recipes/mine", text=new, hash=hash_of(shown), why="it crawled")
    assert answer.status_code == 303 and path.read_text() == new
    history = page.desk.studio.history("mine")
    assert [one.version.why for one in history.versions][-1] == "it crawled"
    assert history.versions[0].version.text == MINE
    assert "it crawled" in page.get("/history/mine").get_data(as_text=True)
    assert page.send("/history/mine/1").status_code == 303
    assert path.read_text() == MINE


def test_who_saves_later_is_told_and_loses_nothing(page: Page) -> None:
    path = page.write("recipes/mine.toml", MINE)
    seen = hash_of(page.get("/file/recipes/mine").get_data(as_text=True))
    theirs = MINE.replace("kaolin = 20", "kaolin = 25")
    path.write_text(theirs)  # a text editor
    answer = page.send("/file/recipes/mine", text=MINE + "# mine\n", hash=seen)
    text = answer.get_data(as_text=True)
    assert answer.status_code == 409 and path.read_text() == theirs
    assert "# mine" in text and "kaolin = 25" in text and "changed by somebody else" in text
    # both are on the page: putting it in its place is then meant
    again = page.send("/file/recipes/mine", text=MINE + "# mine\n", hash=hash_of(text))
    assert again.status_code == 303 and path.read_text() == MINE + "# mine\n"
    assert any("kaolin = 25" in one.version.text
               for one in page.desk.studio.history("mine").versions)  # fmt: skip


def test_a_text_that_cannot_be_read_is_not_put_over_a_good_one(page: Page) -> None:
    path = page.write("recipes/mine.toml", MINE)
    answer = page.send("/file/recipes/mine", text="[base\nkaolin", hash=digest(MINE))
    assert answer.status_code == 400 and path.read_text() == MINE
    assert "kaolin" in answer.get_data(as_text=True)


def test_a_recipe_stays_as_it_is_where_its_history_or_the_reason_cannot_be_kept(page: Page) -> None:
    path = page.write("recipes/mine.toml", MINE)
    new = MINE.replace("kaolin = 20", "kaolin = 18")
    answer = page.send("/file/recipes/mine", text=new, hash=digest(MINE), why="turned \u202e")
    assert answer.status_code == 400 and "reason" in answer.get_data(as_text=True)
    page.write("recipes/history/mine.toml", "[[version]\n")  # damaged
    answer = page.send("/file/recipes/mine", text=new, hash=digest(MINE))
    text = answer.get_data(as_text=True)
    assert answer.status_code == 400 and path.read_text() == MINE and "kaolin = 18" in text


def test_a_file_that_was_torn_under_the_bench_is_told_and_kept(page: Page) -> None:
    path = page.write("recipes/mine.toml", MINE)
    draft = page.lay("mine")
    path.write_text("[base\n")
    assert page.send(f"/bench/{draft.id}/save", kind="recipes", k="0").status_code == 400
    assert path.read_text() == "[base\n"
    assert page.get(f"/bench/{draft.id}/save").status_code == 200


def test_saving_from_the_bench_changes_one_line(page: Page) -> None:
    path = page.write("recipes/mine.toml", MINE)
    draft = page.lay("mine")
    said = {"draft": draft.id, "version": 1, "changes": [["glazes.0.base.1", 17.5]]}
    assert page.ask("/api/commit", said).status_code == 200
    compared = page.get(f"/bench/{draft.id}/save").get_data(as_text=True)
    assert "17.5" in compared
    answer = page.send(f"/bench/{draft.id}/save", kind="recipes", k="0", why="less clay")
    assert answer.status_code == 303
    assert path.read_text() == MINE.replace("kaolin = 20", "kaolin = 17.5")
    assert page.desk.studio.history("mine").versions[-1].version.why == "less clay"
    assert "Just as it is saved" in page.get(f"/bench/{draft.id}/save").get_data(as_text=True)


def test_what_a_text_editor_saves_is_seen_at_once(page: Page) -> None:
    def write(high: float) -> None:
        page.write("materials/bodies/ours.toml", 'name = "ours"\nlike = "raku"\nsource = "x"\n'
                   f"[expansion]\nlow = 5.5\nhigh = {high}\nrange_c = [20, 500]\n")  # fmt: skip

    write(6.5)
    draft = page.lay("clear-crackle", body="ours")
    asked = {"draft": draft.id, "version": 1, "changes": []}
    for high, draws in ((7.25, "few"), (8.125, "all")):
        before = page.ask("/api/look", {**asked, "draws": draws}).json
        write(high)
        after = page.ask("/api/look", {**asked, "draws": draws}).json
        assert before and after and after["draws"] == before["draws"]
        assert after["html"] != before["html"]


def test_what_is_wrong_says_where_without_the_folders_above(page: Page) -> None:
    page.write("materials/bodies/ours.toml", 'name = "ours"\nlike = "raku"\nsource = "x"\n'
               "[expansion]\nlow = 5.5\n")  # fmt: skip
    draft = page.lay("clear-crackle", body="ours")
    said = page.ask("/api/look", {"draft": draft.id, "version": 1, "changes": []}).json
    assert said and "materials/bodies/ours.toml, line 4" in said["error"]
    assert str(page.folder) not in said["error"]


@pytest.mark.parametrize("own", [True, False])
def test_a_surface_is_saved_with_the_amounts_and_comments_stay(page: Page, own: bool) -> None:
    name = "clear-crackle"
    shipped = page.desk.glaze_file(name).read_text(encoding="utf-8")
    if own:
        page.write(f"recipes/{name}.toml", f"# mine\n{shipped}")
    draft = page.lay(name)
    changes = [["glazes.0.surface", "gloss"], ["glazes.0.base.2", 14.0]]
    page.ask("/api/commit", {"draft": draft.id, "version": 1, "changes": changes})
    answer = page.send(f"/bench/{draft.id}/save", kind="recipes", k="0", why="calmer")
    assert answer.status_code == 303
    saved = (page.folder / f"recipes/{name}.toml").read_text(encoding="utf-8")
    assert 'surface = "gloss"' in saved and "14" in saved
    comments = [line for line in shipped.splitlines() if line.startswith("#")]
    assert comments and all(line in saved for line in comments) and ("# mine" in saved) == own
    assert "calmer" in page.get(f"/history/{name}").get_data(as_text=True)
    assert page.drafts.read(draft.id).state["glazes"][0]["data"]["surface"] == "gloss"  # type: ignore[union-attr]


def test_what_came_out_is_written_beside_the_glaze(page: Page) -> None:
    answer = page.send("/fired", recipe="clear-crackle", clay="yard-raku", coat="3 brushed",
                       result="crazed 4 mm", words="<b>a fine net</b>")  # fmt: skip
    text = page.get(answer.headers["Location"]).get_data(as_text=True)
    assert "crazed 4 mm" in text and "&lt;b&gt;a fine net" in text
    assert "crazed 4 mm" in (page.folder / "recipes/fired/clear-crackle.toml").read_text()
    learned = page.get("/ask/tile?ask=1&body=yard-raku&tiles=&fired=on")
    assert learned.status_code == 200 and "cofire tile" in learned.get_data(as_text=True)
    assert "--fired" in learned.get_data(as_text=True)
    for form in ({"recipe": "clear-crackle"}, {"recipe": "clear-crackle", "result": "5 sheep"},
                 {"recipe": "clear-crackle", "result": "whole", "clay": "../x"},
                 {"recipe": "../x", "result": "whole"}):  # fmt: skip
        assert page.send("/fired", **form).status_code in (400, 404), form


def test_what_was_put_back_under_the_bench_is_kept(page: Page) -> None:
    """Saved, then put back by hand to what was opened: saving once more does not undo that."""
    path = page.write("recipes/mine.toml", MINE)
    draft = page.lay("mine")
    for version, kaolin in ((1, 17.5), (3, 16.0)):
        changes = [["glazes.0.base.1", kaolin]]
        said = {"draft": draft.id, "version": version, "changes": changes}
        assert page.ask("/api/commit", said).status_code == 200
        answer = page.send(f"/bench/{draft.id}/save", kind="recipes", k="0", why="less clay")
        if version == 1:
            assert answer.status_code == 303
            path.write_text(MINE)
    assert answer.status_code == 400 and path.read_text() == MINE
    assert "changed by somebody else" in answer.get_data(as_text=True)


def test_a_file_changed_under_the_bench_is_told_and_kept(page: Page) -> None:
    path = page.write("recipes/mine.toml", MINE)
    draft = page.lay("mine")
    said = {"draft": draft.id, "version": 1, "changes": [["glazes.0.base.1", 17.5]]}
    page.ask("/api/commit", said)
    theirs = MINE.replace("= 80", "= 75")
    path.write_text(theirs)
    answer = page.send(f"/bench/{draft.id}/save", kind="recipes", k="0", why="less <clay>")
    assert answer.status_code == 400 and path.read_text() == theirs
    assert 'value="less &lt;clay&gt;"' in answer.get_data(as_text=True)
    answer = page.send(f"/bench/{draft.id}/save", kind="recipes", k="0", why="calmer", version="1")
    assert answer.status_code == 409 and 'value="calmer"' in answer.get_data(as_text=True)
    assert "changed by somebody else" in page.get(f"/bench/{draft.id}/save").get_data(as_text=True)
    assert page.send(f"/bench/{draft.id}/save", kind="recipes", k="0", name="Mine two"
                     ).status_code == 303  # fmt: skip
    assert page.desk.studio.recipe("mine-two").base[1].amount == 17.5


def test_a_shipped_file_is_copied_never_changed(page: Page) -> None:
    draft = page.lay("clear-crackle")
    shipped = page.desk.file("recipes", "clear-crackle")
    before = shipped.read_bytes()
    said = {"draft": draft.id, "version": 1, "changes": [["glazes.0.base.2", 14.0]]}
    page.ask("/api/commit", said)
    assert page.send(f"/bench/{draft.id}/save", kind="recipes", k="0").status_code == 303
    assert shipped.read_bytes() == before
    assert (page.folder / "recipes" / "clear-crackle.toml").is_file()
    text = page.send("/file/firings/raku-workshop", text="x = 1", hash="0").get_data(as_text=True)
    assert "came with cofire" in text


def test_a_firing_is_saved_under_a_new_name_and_then_in_place_with_its_comments(page: Page) -> None:
    draft = page.lay("clear-crackle")
    said = {"draft": draft.id, "version": 1, "changes": [["firing.segment.0.target", 950]]}
    page.ask("/api/commit", said)
    answer = page.send(f"/bench/{draft.id}/save", kind="firings", name="Evening raku")
    assert answer.status_code == 303, answer.get_data(as_text=True)
    path = page.folder / "recipes" / "firings" / "evening-raku.toml"
    assert page.desk.studio.library.firing("evening-raku").segments[0].target_c == 950.0
    path.write_text("# our evenings\n" + path.read_text())
    draft = page.lay("clear-crackle", firing="evening-raku")
    said = {"draft": draft.id, "version": 1, "changes": [["firing.segment.0.hold", 20]]}
    page.ask("/api/commit", said)
    assert page.send(f"/bench/{draft.id}/save", kind="firings").status_code == 303
    assert path.read_text().startswith("# our evenings\n")
    assert page.desk.studio.library.firing("evening-raku").segments[0].hold_min == 20.0


def test_a_new_studio_has_nothing_wrong(page: Page) -> None:
    assert "What is wrong" not in page.get("/shelf").get_data(as_text=True)


BAD = {
    "recipes/torn.toml": b"[base\n",
    "recipes/odd.toml": b'name = "Odd"\nsurface = "shiny"\n[base]\nkaolin = 1\n',
    "recipes/binary.toml": b"\xff\xfe\x00\x01",
    "recipes/empty.toml": b"",
    "recipes/firings/bad.toml": b'name = "x"\n',
    "recipes/kilns/bad.toml": b"name = 5\n",
    "materials/bodies/bad.toml": b'like = "nobody"\n',
    "materials/bad.toml": b"[x]\nnames = 5\n",
    "names.toml": b'"RIO" = "nothing at all"\n',
}


def test_bad_files_are_shown_with_what_is_wrong_and_stop_nothing(page: Page) -> None:
    for name, raw in BAD.items():
        path = page.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(raw)
    shelf = page.get("/shelf")
    text = shelf.get_data(as_text=True)
    assert shelf.status_code == 200 and "What is wrong" in text
    for name in BAD:
        assert name.rpartition("/")[2] in text, name
    for path in ("/?choose=1", "/sheets", "/ask"):
        assert page.get(path).status_code == 200, path
    for path in ("/file/recipes/torn", "/file/recipes/odd", "/file/single/names"):
        answer = page.get(path)
        assert answer.status_code == 200 and 'class="wrong"' in answer.get_data(as_text=True), path
    for path in ("/file/recipes/binary", "/materials", "/history/torn"):
        assert page.get(path).status_code in (200, 400), path


def test_new_things_are_made_of_what_is_pasted(page: Page) -> None:
    made = page.send("/new/recipes", name="Pasted", surface="gloss",
                     text="frit 3134 type,80\nkaolin,20")  # fmt: skip
    assert made.status_code == 303, made.get_data(as_text=True)
    made = page.send(
        "/new/materials", name="our talc", supplier="Tide Minerals", date="2026-11",
        text="SiO2,61.2\nMgO,30.9\nAl2O3,0.9\nCaO,0.6\nLOI,5.8",
    )  # fmt: skip
    assert made.status_code == 303, made.get_data(as_text=True)
    assert page.desk.studio.material("our talc").material.own
    assert page.send("/new/nickname", name="RIO", material="red iron oxide").status_code == 303
    assert page.desk.studio.material("RIO").material.id == "red-iron-oxide"
    assert page.send("/nickname/forget", name="RIO").status_code == 303
    log = "time (min),temperature (C)\n" + "\n".join(
        f"{m},{20 + 900 * (1 - 2.718 ** (-m / 40)):.0f}" for m in range(0, 120, 5)
    ) + "\n" + "\n".join(f"{120 + m},{875 * 0.99**m:.0f}" for m in range(0, 120, 5))  # fmt: skip
    made = page.send("/new/kilns", name="yard kiln", like="small-fibre", text=log)
    assert made.status_code == 303, made.get_data(as_text=True)
    curve = "temperature (C),dL/L0 (%)\n" + "\n".join(
        f"{t},{6.2e-4 * (t - 20):.4f}" for t in range(20, 701, 20)
    )
    made = page.send("/new/bodies", name="yard clay", like="raku", text=curve)
    assert made.status_code == 303, made.get_data(as_text=True)
    assert page.desk.studio.body("yard-clay").curve is not None
    assert page.send("/new/bodies", name="yard clay", like="raku", text=curve).status_code == 400


def test_proposals_swaps_blends_and_maps_are_taken_onto_the_bench(page: Page) -> None:
    draft = page.lay("clear-crackle", "frit-gloss")

    def first_text(path: str) -> str:
        text = page.get(path).get_data(as_text=True)
        found = re.search(r'name="text" value="([^"]+)"', text)
        assert found, text
        from html import unescape

        return unescape(found[1])

    wishes = f"/bench/{draft.id}/wishes/0?ask=1&expansion=7.5&with_body=no&with_firing=no"
    proposal = first_text(wishes)
    assert page.send(f"/bench/{draft.id}/take/0", text=proposal, how="pin").status_code == 303
    assert "Pinned" in page.get(f"/bench/{draft.id}").get_data(as_text=True)
    assert page.send(f"/bench/{draft.id}/take/0", text=proposal).status_code == 303
    now = page.drafts.read(draft.id)
    assert now is not None
    glaze = page.desk.recipes(now.state)[0]
    expansion = page.desk.studio.formula(glaze).to_dict()["expansion_20_400_1e6_per_k"]
    assert expansion["value"] > 0.0
    wanted = page.desk.studio.adjust("clear-crackle", ["expansion 7.5"]).proposals[0].recipe
    assert {p.material.id: round(wanted.percent(p), 1) for p in wanted.parts} == {
        p.material.id: round(glaze.percent(p), 1) for p in glaze.parts
    }
    assert first_text(f"/bench/{draft.id}/swap/1?gone=kaolin")
    blend = page.get(f"/bench/{draft.id}/blend?ask=1&glaze=0&glaze=1&steps=3")
    assert blend.status_code == 200 and "hit" in blend.get_data(as_text=True)
    took = page.send(f"/bench/{draft.id}/blend/1", glaze=["0", "1"], add="", steps="3")
    assert took.status_code == 303, took.get_data(as_text=True)
    mapped = page.get(f"/bench/{draft.id}/map/1?ask=1&across=silica+0-30&up=kaolin+5-25"
                      "&show=expansion&with_body=no&with_firing=no")  # fmt: skip
    assert mapped.status_code == 200, mapped.get_data(as_text=True)
    took = page.send(f"/bench/{draft.id}/map/1", across="silica 0-30", up="kaolin 5-25",
                     x="12", y="14")  # fmt: skip
    assert took.status_code == 303, took.get_data(as_text=True)
    now = page.drafts.read(draft.id)
    assert now is not None
    mapped_glaze = page.desk.recipes(now.state)[1]
    shares = {p.material.id: mapped_glaze.percent(p) for p in mapped_glaze.parts}
    assert abs(sum(v for k, v in shares.items() if "silica" in k) - 12.0) < 0.01
