"""What may come into a recipe."""

from __future__ import annotations

from pathlib import Path

import pytest

import cofire
from cofire.answers.change.available_materials import available_materials, read_allowed
from cofire.errors import UnknownNameError
from cofire.files.library import Library

LIB = Library.open(None)
SHELF = available_materials(LIB)


def test_poison_is_never_proposed() -> None:
    for bad in ("lead", "barium", "cadmium", "soluble-caustic"):
        assert not any(bad in m.cautions for m in SHELF)


def test_names_with_commas_can_be_listed() -> None:
    names = read_allowed(LIB, ["soda-borosilicate frit, 3110 type,kaolin", "silica"])
    assert names == ["soda-borosilicate frit, 3110 type", "kaolin", "silica"]
    with pytest.raises(UnknownNameError):
        read_allowed(LIB, ["kaolin,unobtainium"])
    with pytest.raises(UnknownNameError):
        read_allowed(LIB, [""])


def test_ideal_and_rare_minerals_are_not_proposed() -> None:
    ids = {m.id for m in SHELF}
    for one in (
        "albite",
        "nepheline-syenite-ideal",
        "petalite-ideal",
        "inyoite",
        "boron-phosphate",
    ):
        assert one not in ids
    # what a plain name means stays, though its analysis is a formula's
    assert {"kaolin-ideal", "wollastonite-ideal", "whiting", "silica", "kyanite"} <= ids
    assert available_materials(LIB, ["albite"])[0].id == "albite"


STOCK = """[kaolin]
have = "4 kg"
[talc]
have = "0 kg"
["calcium borate frit"]
have = "2 kg"
[silica]
price = "1 per kg"
[litharge]
have = "1 kg"
[inyoite]
have = "300 g"
"""


@pytest.fixture
def studio(tmp_path: Path) -> cofire.Studio:
    (tmp_path / "studio.toml").write_text("")
    (tmp_path / "stock.toml").write_text(STOCK)
    return cofire.Studio(tmp_path)


def test_in_stock_is_what_is_left_and_no_poison(studio: cofire.Studio) -> None:
    ids = {m.id for m in studio._allowed("stock")}
    assert ids == {"kaolin-ideal", "frit-3134-type", "inyoite"}
    (studio.library.studio / "stock.toml").write_text('[talc]\nhave = "0 g"\n')  # type: ignore[operator]
    with pytest.raises(cofire.CofireError, match="anything is left"):
        studio.adjust("clear-crackle", ["expansion 7.5"], allowed="stock")


def test_changes_bring_in_only_what_is_in_stock(studio: cofire.Studio) -> None:
    had = {p.material.id for p in studio.recipe("clear-crackle").parts}
    allowed = had | {"kaolin-ideal", "frit-3134-type", "inyoite"}
    for proposal in studio.adjust("clear-crackle", ["expansion 8"], allowed="stock").proposals:
        assert {p.material.id for p in proposal.recipe.parts} <= allowed
    for swapped in studio.swap("clear-crackle", "kaolin", allowed="stock").recipes:
        for way in swapped.ways:
            assert {p.material.id for p in way.recipe.parts} <= allowed
    unity = "0.3 Na2O, 0.7 CaO, 0.35 Al2O3, 3 SiO2, 0.3 B2O3"
    left = {"kaolin-ideal", "frit-3134-type", "inyoite"}
    for way in studio.compose(unity, allowed="stock").ways:
        assert {p.material.id for p in way.recipe.parts} <= left
