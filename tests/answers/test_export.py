"""What is exported, read back by other means, is what the files say."""

from __future__ import annotations

import csv
import json
import tomllib
from pathlib import Path
from typing import Any

import pytest

import cofire
from cofire.files.library import Library
from cofire.records import Material, Recipe

MINE = """name = "Grün, “matt” = 1"
surface = "matte"
notes = \"\"\"two lines,
and a "quote\"\"\"
fluorine_kept = 0.3
crystals = { wollastonite = 2.5 }
undissolved = { "tin oxide" = 33.3 }
[base]
"3134 type frit" = "1 lb 3 oz"
kaolin = "12,5 g"
[additions]
"tin oxide" = "7.1 g"
"""
UPON = 'surface = "gloss"\n[base]\n"recipe: frit-gloss" = 70\nwhiting = 30.0\n'
STOCK = 'currency = "€"\n["neph sy"]\nhave = "4 kg"\nprice = "2.50 / kg"\n'
CLAY = """[marsh-clay]
names = ["marsh clay; the grey one", "marsh, dug"]
analysis = { SiO2 = 60.1, Al2O3 = 25.2, Fe2O3 = 3.35 }
spread = { SiO2 = 1.5 }
loi = 11.1
source = "invented"
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    for name, text in {
        "studio.toml": 'name = "Saltgrass Yard"\n',
        "recipes/mine.toml": MINE,
        "recipes/upon.toml": UPON,
        "materials/clays.toml": CLAY,
        "stock.toml": STOCK,
        "names.toml": 'RIO = "red iron oxide"\n',
    }.items():
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return tmp_path


def facts(recipe: Recipe) -> tuple[Any, ...]:
    parts = [
        [(p.written, p.amount, p.material.id) for p in some]
        for some in (recipe.base, recipe.additions)
    ]
    kept = (recipe.notes, recipe.fluorine_kept, recipe.undissolved, recipe.crystals)
    return recipe.name, recipe.surface, *kept, *parts


def rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


@pytest.mark.parametrize("shipped", [False, True])
def test_json_holds_what_the_files_say(folder: Path, shipped: bool) -> None:
    studio = cofire.Studio(folder)
    studio.export("all.json", shipped=shipped)
    data = json.loads(Path("all.json").read_text(encoding="utf-8"))
    assert data["stock"] == tomllib.loads(STOCK)
    assert data["names"] == {"RIO": "red iron oxide"}
    assert data["studio"] == {"name": "Saltgrass Yard"}
    assert data["materials"]["marsh-clay"] == tomllib.loads(CLAY)["marsh-clay"]
    kinds = {"recipes": studio.recipes, "bodies": studio.bodies, "firings": studio.firings,
             "kilns": studio.kilns}  # fmt: skip
    for kind, every in kinds.items():
        listed = {one.id for one in every().items if shipped or one.own}
        assert set(data[kind]) == listed - bought(studio)  # which have a list of their own
    for key, said in data["recipes"].items():
        assert facts(studio.recipe({"name": key, **said})) == facts(
            studio.recipe(
                {"name": key, **tomllib.loads(studio.library.recipe_file(key).read_text())}
            )
        )
        if "name" in said:
            assert facts(studio.recipe(said)) == facts(studio.recipe(key))
    for key, said in data["firings"].items():
        assert studio.library.firing(said).to_dict() == studio.library.firing(key).to_dict() | {
            "id": "the firing given"
        }


@pytest.mark.parametrize("shipped", [False, True])
def test_csv_holds_every_recipe_and_material(folder: Path, shipped: bool) -> None:
    studio = cofire.Studio(folder)
    studio.export("sheets", shipped=shipped)
    recipes: dict[str, dict[str, Any]] = {}
    for row in rows(folder / "sheets" / "recipes.csv"):
        said = recipes.setdefault(row["recipe"], {k: row[k] for k in ("name", "surface", "notes")})
        said["fluorine_kept"] = float(row["fluorine_kept"])
        amount = f"{row['amount']} g" if row["unit"] == "g" else float(row["amount"])
        said.setdefault(row["section"], {})[row["material"]] = amount
        for key in ("undissolved", "crystals"):
            said.get(key, {}).update({k: float(v) for k, v in said.get(key, {}).items()})
    assert {"mine", "upon"} <= set(recipes)
    for key, said in recipes.items():
        assert facts(studio.recipe(said)) == facts(studio.recipe(key))
    materials = rows(folder / "sheets" / "materials.csv")
    assert {"marsh-clay"} <= {row["id"] for row in materials}
    for row in materials:
        assert row.pop("overrides") == "False"
        assert as_read(row) == as_known(studio.material(row["id"]).material)
    stock = "\n".join(f"{r['key']} = {r['value']}" for r in rows(folder / "sheets" / "stock.csv"))
    assert tomllib.loads(stock) == tomllib.loads(STOCK)


def test_csv_holds_firings_kilns_and_bodies(folder: Path) -> None:
    cofire.Studio(folder).export("sheets", shipped=True)
    places = {"firings": ("recipes", "firings"), "kilns": ("recipes", "kilns"),
              "bodies": ("materials", "bodies")}  # fmt: skip
    for kind, place in places.items():
        for path, _ in Library(None).files(*place):
            mine = [r for r in rows(folder / "sheets" / f"{kind}.csv") if r["id"] == path.stem]
            read = tomllib.loads("\n".join(f"{r['key']} = {r['value']}" for r in mine))
            assert lists(read) == tomllib.loads(path.read_text(encoding="utf-8"))


def lists(data: Any) -> Any:
    if isinstance(data, dict):
        inside = {key: lists(value) for key, value in data.items()}
        return list(inside.values()) if "1" in inside else inside
    return data


def as_known(material: Material) -> dict[str, Any]:
    known = material.to_dict()
    known["melts"] = known["melts"] or ""
    for key in ("formula", "d50_um", "sieve_mesh"):
        known[key] = known[key] or ""
    return known


def as_read(row: dict[str, str]) -> dict[str, Any]:
    read: dict[str, Any] = {"oxides_wt_percent": {}, "spread_wt_percent": {}}
    for key, cell in row.items():
        if key in ("names", "default_for", "cautions"):
            read[key] = cell.split("\n") if cell else []
        elif key in ("own", "rare"):
            read[key] = cell == "True"
        elif key == "loi_percent":
            read[key] = float(cell)
        elif key in cofire.OXIDES or key.endswith(" spread"):
            within = "spread_wt_percent" if key.endswith(" spread") else "oxides_wt_percent"
            read[within] |= {key.removesuffix(" spread"): float(cell)} if cell else {}
        else:
            read[key] = cell
    return read


def test_nothing_is_replaced(folder: Path) -> None:
    (folder / "sheets").mkdir()
    (folder / "sheets" / "stock.csv").write_text("mine")
    (folder / "all.json").write_text("mine")
    for to in ("sheets", "all.json"):
        with pytest.raises(cofire.CofireError, match="already exists"):
            cofire.Studio(folder).export(to)
    assert [path.name for path in (folder / "sheets").iterdir()] == ["stock.csv"]
    assert (folder / "all.json").read_text() == "mine"


def test_without_a_studio_there_is_nothing_of_ones_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(cofire.CofireError, match="nothing of your own"):
        cofire.Studio().export("all.json")


def bought(studio: cofire.Studio) -> set[str]:
    """Ids of glazes without a recipe."""
    return {path.stem for path, _ in studio.library.files("recipes", "bought")}


def test_lists_as_json_hold_all_facts(folder: Path) -> None:
    studio = cofire.Studio(folder)
    recipes = {one["id"]: one for one in studio.recipes().to_dict()["recipes"]}
    for key in recipes.keys() - bought(studio):
        said = recipes[key]
        assert said.items() >= studio.recipe(key).to_dict().items()
    assert recipes["mine"]["notes"] == 'two lines,\nand a "quote'
    assert recipes["mine"]["additions"][0]["material"] == "tin-oxide"
    for one in studio.materials().to_dict()["materials"]:
        assert {"melts", "grain", "spread_wt_percent", "note", "cautions"} <= one.keys()
