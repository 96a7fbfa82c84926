"""Opacifier and crystals: what the glass loses, and what people are told."""

from __future__ import annotations

from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest

from cofire.answers.formula import formula
from cofire.chem.oxides import INDEX
from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.glass.crystals import phases
from cofire.model.analysis import analyse
from cofire.model.glaze_set import glaze_set
from cofire.model.solids import _left, mixture

BASE = 'name = "{name}"\nsurface = "{surface}"\n{more}\n[base]\n{parts}\n'
WHITE = "frit-3134-type = 80\nkaolin = 10\n[additions]\n"


def recipe(cofire, more: str = "", parts: str = "", surface: str = "gloss"):  # type: ignore[no-untyped-def]
    text = BASE.format(name="yard white", surface=surface, more=more, parts=WHITE + parts)
    return Library().recipe(cofire.write("white.toml", text))


def solids(cofire, more: str = "", parts: str = ""):  # type: ignore[no-untyped-def]
    read = recipe(cofire, more, parts)
    mixed = mixture(read, analyse(read).mol[None, :])
    return {k.id: float(w) for k, w in zip(mixed.kinds, mixed.wt_percent[0], strict=True)}


def test_more_zircon_leaves_more_grains(cofire) -> None:  # type: ignore[no-untyped-def]
    some, much = (solids(cofire, parts=f"zircon = {n}")["zircon"] for n in (8, 16))
    assert 0.0 < some < much


def test_a_little_tin_dissolves(cofire) -> None:  # type: ignore[no-untyped-def]
    assert solids(cofire, parts="tin-oxide = 0.2") == {}


def test_what_the_recipe_states_is_taken(cofire) -> None:  # type: ignore[no-untyped-def]
    read = recipe(cofire, 'undissolved = { "tin oxide" = 50 }', "tin-oxide = 10")
    mixed = mixture(read, analyse(read).mol[None, :])
    fired = sum(p.amount * (1 - p.material.loi_percent / 100) for p in read.parts)
    assert mixed.wt_percent[0, 0] == pytest.approx(100.0 * 5.0 / fired)
    assert mixed.stated == (True,)


def test_grains_leave_the_glass(cofire) -> None:  # type: ignore[no-untyped-def]
    read = recipe(cofire, "undissolved = { zircon = 100 }", "zircon = 10")
    mol = analyse(read).mol[None, :]
    assert mixture(read, mol).melt_mol[0, INDEX["ZrO2"]] == pytest.approx(0.0, abs=1e-9)


def test_zircon_left_as_grains_lowers_the_expansion(cofire) -> None:  # type: ignore[no-untyped-def]
    """Zircon expands by about 4e-6/K (from memory), less than any low-fire glaze."""
    lib = Library()
    fired = formula(lib, recipe(cofire, "undissolved = { zircon = 100 }", "zircon = 15")).as_fired
    plain = formula(lib, recipe(cofire)).expansion
    assert fired is not None
    assert fired.expansion.value < plain.value - 0.1
    assert fired.stiffening_log10 > 0.02


def test_crystals_take_their_oxides(cofire) -> None:  # type: ignore[no-untyped-def]
    read = recipe(cofire, "crystals = { wollastonite = 10 }", "whiting = 20", surface="matte")
    mol = analyse(read).mol[None, :]
    before, after = mol[0, INDEX["CaO"]], mixture(read, mol).melt_mol[0, INDEX["CaO"]]
    assert after < before


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ("crystals = { wollastonite = 60 }", "too little CaO"),
        ("crystals = { kryptonite = 5 }", "not a known crystal"),
        ("crystals = { anorthit = 5 }", "anorthite"),
        ("crystals = 5", "table of names"),
        ("crystals = { wollastonite = -5 }", "percentage"),
        ("undissolved = { zircon = 120 }", "percentage"),
        ("undissolved = { feldspar = 10 }", "not a material of this recipe"),
        ("undissolved = { kaolin = 10 }", "not a material that stays as grains"),
    ],
)
def test_nonsense_is_refused_in_words(cofire, more: str, said: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(CofireError) as error:
        formula(Library(), recipe(cofire, more, "whiting = 2"))
    told = error.value
    assert said in f"{told.message} {told.hint}"


def test_what_dissolves_is_drawn_between_its_ends() -> None:
    """A kind of which 3 to 5 % dissolve, as a 90 % interval: of 10 %, 7 to 5 % stay, 6 % in the
    middle; of 1 % nothing stays, and no draw leaves more than was brought."""
    kind = replace(next(iter(phases().values())), dissolves_wt=(3.0, 5.0))
    z90 = NormalDist().inv_cdf(0.95)
    drawn = np.array([-z90, 0.0, z90, -9.0, 9.0])
    left = _left(kind, np.full(5, 10.0), drawn)
    assert left[:3] == pytest.approx(np.array([7.0, 6.0, 5.0]), rel=1e-3)
    assert left[3] == 10.0 and left[4] >= 0.0
    assert _left(kind, np.full(5, 10.0), None) == pytest.approx(np.full(5, 6.0))
    assert _left(kind, np.ones(3), None) == pytest.approx(np.zeros(3))


def test_spodumene_is_left_where_a_melt_holds_no_more() -> None:
    """A little dissolves, a great share stays in part, in a firing more of it the shorter it is;
    by itself it is a melt of its own, whatever is asked of it in the fire."""

    def left(percent: float) -> float:
        base = {"spodumene-concentrate": percent, "frit-3134-type": 100 - percent}
        kept = {name: amount for name, amount in base.items() if amount}
        read = Library().recipe({"name": "g", "surface": "gloss", "base": kept})
        return float(mixture(read, analyse(read).mol[None, :]).wt_percent.sum())

    some = [left(percent) for percent in (10.0, 40.0, 60.0, 99.0, 100.0)]
    assert some[0] == some[4] == 0.0 < some[1] < some[2] and some[3] <= 1.0
    both = {"spodumene-concentrate": 50, "petalite-commercial": 45, "frit-3134-type": 5}
    read = Library().recipe({"name": "g", "surface": "gloss", "base": both})
    drawn = mixture(read, np.tile(analyse(read).mol, (5, 1)), np.linspace(-4.0, 4.0, 5))
    assert drawn.wt_percent.sum(axis=1).max() <= 5.0 + 1e-9


def test_a_firing_and_the_melt_share_out_what_spodumene_is_left() -> None:
    """Together never more than was brought, and in a firing at least what no time dissolves."""
    base = {"spodumene-concentrate": 55.0, "frit-3134-type": 45.0}
    read = Library().recipe({"name": "g", "surface": "gloss", "base": base})
    glazes, parts = glaze_set(read)
    batch = glazes.batch(parts[None, :])
    never = float(mixture(read, glazes.mol(parts[None, :])).wt_percent.sum())
    spodumene = [m.grain == "beta-spodumene" for m in glazes.materials].index(True)
    assert 100.0 * batch.share[0, spodumene] + never == pytest.approx(55.0, abs=0.2)
