"""What is exported comes back into an empty studio as it was, and never over what is there."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

import cofire
from cofire.files.exported import read_exported
from cofire.files.places import shipped

FILES = {
    "studio.toml": 'name = "Saltgrass Yard"\n',
    "recipes/mine.toml": """name = "Grün, “matt” = 1"
surface = "matte"
notes = \"\"\"two lines,
and a "quote\"\"\"
fluorine_kept = 0.3
crystals = { wollastonite = 2.5 }
undissolved = { "tin oxide" = 33.3 }
[base]
"3134 type frit" = "1 lb 3 oz"
"bag 7" = "12,5 g"
"marsh, dug" = "0.1 g"
[additions]
"tin oxide" = "7.1 g"
""",
    "recipes/upon.toml": 'surface = "gloss"\n[base]\n"recipe: frit-gloss" = 70\nwhiting = 30.1\n',
    "recipes/small.toml": 'surface = "gloss"\n[base]\nmilk = 0.000012345678901234\nflint = 7\n',
    "materials/clays.toml": """[marsh-clay]
names = ["marsh clay; the grey one", "marsh, dug"]
analysis = { SiO2 = 60.10000000001, Al2O3 = 25.2, Fe2O3 = 3.35 }
spread = { SiO2 = 1.5 }
loi = 11.1
source = "invented"
note = "line one\\nline two"
cautions = ["wet-boots"]
[our-frit]
names = ["milk"]
analysis = { SiO2 = 60, B2O3 = 20, Na2O = 10, CaO = 10 }
loi = 0
supplier = "Tide Minerals"
date = "2026-11"
source = "certificate"
[zircon-2]
names = ["zircon two"]
formula = "ZrSiO4"
melts = "never"
grain = "zircon"
source = "formula"
[kaolin-ideal]
names = ["kaolin"]
default_for = ["kaolin"]
overrides = true
analysis = { SiO2 = 47.0, Al2O3 = 38.0, K2O = 1.2 }
loi = 13.8
melts = "1750 C"
source = "certificate"
""",
    "materials/cautions/own.toml": """[wet-boots]
severity = "note"
act = ["mixing"]
text = "Wear boots."
source = "common practice, no source"
""",
    "stock.toml": """currency = "shells"
["bag 7"]
have = "4,25 kg"
price = "2.50 / kg"
[milk]
have = "1 lb"
""",
    "names.toml": '"bag 7" = "whiting"\n',
}


def laid_out(folder: Path) -> Path:
    for name, text in FILES.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    for kind, inner, file in (("materials", "bodies", "raku"), ("recipes", "kilns", "small-fibre"),
                              ("recipes", "firings", "raku-workshop")):  # fmt: skip
        path = folder / kind / inner / "ours.toml"
        path.parent.mkdir(parents=True, exist_ok=True)
        text = (shipped(kind) / inner / f"{file}.toml").read_text(encoding="utf-8")
        path.write_text(text.replace('name = "', 'name = "our ', 1), encoding="utf-8")
    rows = "".join(f"{t},{0.0006 * t:.5f}\n" for t in range(20, 620, 20))
    (folder / "materials/bodies/clay.csv").write_text(f"temperature (C),dL/L0 (%)\n{rows}")
    measured = (shipped("materials") / "bodies" / "red-earthenware.toml").read_text("utf-8")
    head, _, rest = measured.partition("[expansion]")
    after = rest[rest.index("\n[") :]
    (folder / "materials/bodies/dug.toml").write_text(
        head.replace('name = "', 'name = "dug ', 1)
        + '[expansion]\ncurve = "clay.csv"\n' + after
    )  # fmt: skip
    return folder


@pytest.fixture
def full(tmp_path: Path) -> cofire.Studio:
    return cofire.Studio(laid_out(tmp_path / "full"))


@pytest.fixture
def empty(tmp_path: Path) -> cofire.Studio:
    (tmp_path / "empty").mkdir()
    (tmp_path / "empty" / "studio.toml").touch()
    return cofire.Studio(tmp_path / "empty")


def again(studio: cofire.Studio) -> cofire.Studio:
    """The same studio, its files read anew."""
    assert studio.library.studio
    return cofire.Studio(studio.library.studio)


def everything(studio: cofire.Studio) -> dict[str, object]:
    """All that a studio holds, without the places of its files."""
    studio = again(studio)
    facts = {
        "recipes": [studio.recipe(one.id) for one in studio.recipes().items if one.own],
        "bodies": [studio.body(one.id) for one in studio.bodies().items if one.own],
        "firings": [studio.library.firing(one.id) for one in studio.firings().items if one.own],
        "kilns": [studio.kiln(one.id) for one in studio.kilns().items if one.own],
        "materials": sorted(
            (one for one in studio.materials().materials if one.own), key=lambda m: m.id
        ),
        "stock": [studio.stock()],
    }
    said = {kind: [one.to_dict() for one in some] for kind, some in facts.items()}
    assert all(said.values())
    return json.loads(json.dumps(said, sort_keys=True))


@pytest.mark.parametrize("all_", [False, True])
@pytest.mark.parametrize("name", ["out.json", "sheets"])
def test_all_comes_back(
    full: cofire.Studio, empty: cofire.Studio, tmp_path: Path, name: str, all_: bool
) -> None:
    full.export(tmp_path / name, shipped=all_)
    answer = empty.restore(tmp_path / name)
    assert answer.written and answer.yes
    assert answer.things["recipes"] == 3 and answer.things["materials"] == 4
    assert everything(empty) == everything(full)
    again(full).export(tmp_path / "a")
    again(empty).export(tmp_path / "b")
    first, second = (read_exported(tmp_path / one) for one in "ab")
    assert first.pop("studio") and first == second
    once_more = again(empty).restore(tmp_path / name)
    assert once_more.yes and not once_more.files


def test_sheets_come_back_one_by_one_through_a_spreadsheet(
    full: cofire.Studio, empty: cofire.Studio, tmp_path: Path
) -> None:
    """With semicolons, a mark of UTF-8 and Windows' ends of lines."""
    full.export(tmp_path / "sheets")
    for kind in ("cautions", "materials", "names", "recipes", "stock", "curves", "bodies",
                 "kilns", "firings"):  # fmt: skip
        path = tmp_path / "sheets" / f"{kind}.csv"
        with path.open(newline="", encoding="utf-8") as lines:
            rows = list(csv.reader(lines))
        with path.open("w", newline="", encoding="utf-8-sig") as out:
            csv.writer(out, delimiter=";", lineterminator="\r\n").writerows(rows)
        assert again(empty).restore(path).written, kind
    assert everything(empty) == everything(full)


def test_stock_comes_back_as_a_list_too(
    full: cofire.Studio, empty: cofire.Studio, tmp_path: Path
) -> None:
    full.export(tmp_path / "sheets")
    for kind in ("cautions", "materials", "names"):
        again(empty).restore(tmp_path / "sheets" / f"{kind}.csv")
    assert again(empty).import_stock(tmp_path / "sheets" / "stock.csv").written
    assert again(empty).stock().to_dict() == full.stock().to_dict()


def test_nothing_is_replaced(full: cofire.Studio, empty: cofire.Studio, tmp_path: Path) -> None:
    full.export(tmp_path / "out.json")
    assert empty.library.studio
    mine = empty.library.studio / "recipes" / "mine.toml"
    mine.parent.mkdir()
    mine.write_text('surface = "gloss"\n[base]\nflint = 1\n')
    stopped = again(empty).restore(tmp_path / "out.json")
    assert not stopped.yes and not stopped.written
    assert [one.name for one in stopped.clashes] == ["mine"]
    assert not (empty.library.studio / "materials").exists()
    assert again(empty).restore(tmp_path / "out.json", on_clash="rename").written
    assert again(empty).recipe("mine-2").notes == full.recipe("mine").notes
    assert again(empty).recipe("mine-2").name == "Grün, “matt” = 1 2"
    assert mine.read_text() == 'surface = "gloss"\n[base]\nflint = 1\n'


def test_a_curve_is_not_replaced_without_a_word(
    full: cofire.Studio, empty: cofire.Studio, tmp_path: Path
) -> None:
    full.export(tmp_path / "out.json")
    assert empty.library.studio
    curve = empty.library.studio / "materials" / "bodies" / "clay.csv"
    curve.parent.mkdir(parents=True)
    rows = "".join(f"{t},{0.0007 * t:.4f}\n" for t in range(20, 620, 20))
    curve.write_text(f"temperature (C),dL/L0 (%)\n{rows}")
    was = curve.read_text()
    stopped = again(empty).restore(tmp_path / "out.json")
    assert not stopped.written and [one.name for one in stopped.clashes] == ["clay.csv"]
    assert curve.read_text() == was


def test_a_stock_of_remarks_keeps_them(full: cofire.Studio, tmp_path: Path) -> None:
    cofire.Studio.init(tmp_path / "new")
    full.export(tmp_path / "out.json")
    was = (tmp_path / "new" / "stock.toml").read_text()
    assert cofire.Studio(tmp_path / "new").restore(tmp_path / "out.json").written
    assert (tmp_path / "new" / "stock.toml").read_text().startswith(was)
    assert everything(cofire.Studio(tmp_path / "new"))["stock"] == everything(full)["stock"]


def test_recipes_without_their_materials_say_what_to_do(
    full: cofire.Studio, empty: cofire.Studio, tmp_path: Path
) -> None:
    full.export(tmp_path / "sheets")
    with pytest.raises(cofire.CofireError, match=r"materials\.csv  of the same export first"):
        empty.restore(tmp_path / "sheets" / "recipes.csv")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda d: d["recipes"].update({"../../x": d["recipes"]["upon"]}), "no name for a file"),
        (lambda d: d["recipes"]["upon"]["base"].update({"unobtainium": 3}), "unobtainium"),
        (lambda d: d["recipes"].update(upon=None), "upon"),
        (lambda d: d["recipes"]["upon"].update(base=[1, None]), "upon"),
        (lambda d: d["materials"]["our-frit"]["analysis"].update(SiO2=20), "add up to"),
        (lambda d: d.update(kitchen={"a": 1}), "kitchen"),
        (lambda d: d.pop("schema"), "not what “cofire export” wrote"),
    ],
)
def test_a_broken_export_writes_nothing(
    full: cofire.Studio, empty: cofire.Studio, tmp_path: Path, change: object, told: str
) -> None:
    full.export(tmp_path / "out.json")
    data = json.loads((tmp_path / "out.json").read_text(encoding="utf-8"))
    change(data)  # type: ignore[operator]
    (tmp_path / "out.json").write_text(json.dumps(data))
    with pytest.raises(cofire.CofireError, match=told) as caught:
        empty.restore(tmp_path / "out.json")
    assert "tmp" not in str(caught.value).replace(str(tmp_path), "")
    assert empty.library.studio
    assert [one.name for one in empty.library.studio.iterdir()] == ["studio.toml"]


def test_a_recipe_of_one_line_comes_back_from_a_sheet(
    full: cofire.Studio, empty: cofire.Studio, tmp_path: Path
) -> None:
    assert full.library.studio
    (full.library.studio / "recipes" / "alone.toml").write_text(
        'surface = "gloss"\n[base]\n"frit-3134-type" = 7\n', "utf-8"
    )
    again(full).export(tmp_path / "sheets")
    empty.restore(tmp_path / "sheets")
    assert [one.amount for one in again(empty).recipe("alone").base] == [7.0]
