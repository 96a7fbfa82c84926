"""The whole chemistry again in exact fractions, with a parser of its own and no shared code.

Atomic weights are those of periodictable as exact decimals, so that nothing but the arithmetic is
compared: every shipped formula, and thousands of random recipes of them, to 1e-9.
"""

from __future__ import annotations

import random
import re
from fractions import Fraction

import periodictable
import pytest

from cofire.chem.oxides import OXIDES
from cofire.files.library import Library
from cofire.model.analysis import analyse
from cofire.records import Material, Part, Recipe

LIB = Library(None)
WITH_FORMULA = [m for m in LIB.materials.values() if m.formula]
#: oxide -> (element, atoms of it, atoms of oxygen); written down anew.
COUNTED = {
    "SiO2": ("Si", 1, 2), "B2O3": ("B", 2, 3), "Al2O3": ("Al", 2, 3), "Li2O": ("Li", 2, 1),
    "Na2O": ("Na", 2, 1), "K2O": ("K", 2, 1), "MgO": ("Mg", 1, 1), "CaO": ("Ca", 1, 1),
    "SrO": ("Sr", 1, 1), "BaO": ("Ba", 1, 1), "ZnO": ("Zn", 1, 1), "PbO": ("Pb", 1, 1),
    "TiO2": ("Ti", 1, 2), "ZrO2": ("Zr", 1, 2), "SnO2": ("Sn", 1, 2), "P2O5": ("P", 2, 5),
    "Fe2O3": ("Fe", 2, 3), "MnO": ("Mn", 1, 1), "CuO": ("Cu", 1, 1), "CoO": ("Co", 1, 1),
    "Bi2O3": ("Bi", 2, 3), "F": ("F", 1, 0), "NiO": ("Ni", 1, 1), "Cr2O3": ("Cr", 2, 3),
    "V2O5": ("V", 2, 5), "Ag": ("Ag", 1, 0), "Au": ("Au", 1, 0), "CeO2": ("Ce", 1, 2),
    "Sb2O3": ("Sb", 2, 3), "MoO3": ("Mo", 1, 3), "CdO": ("Cd", 1, 1),
}  # fmt: skip
FLUXES = {"Li2O", "Na2O", "K2O", "MgO", "CaO", "SrO", "BaO", "ZnO", "PbO"}
_TOKEN = re.compile(r"([A-Z][a-z]?|\(|\))([0-9.]*)")


def weight(element: str) -> Fraction:
    return Fraction(repr(getattr(periodictable, element).mass))


def mass(oxide: str) -> Fraction:
    element, n, oxygen = COUNTED[oxide]
    return n * weight(element) + oxygen * weight("O")


def atoms_in(formula: str) -> dict[str, Fraction]:
    """A stack of groups, each multiplied when it closes."""
    total: dict[str, Fraction] = {}
    for part in re.split("[·*+]", formula):
        lead = re.match(r"[0-9.]+", part)
        times = Fraction(lead[0]) if lead else Fraction(1)
        groups: list[dict[str, Fraction]] = [{}]
        for sign, count in _TOKEN.findall(part[len(lead[0]) if lead else 0 :]):
            n = Fraction(count or 1)
            if sign == "(":
                groups.append({})
                continue
            inner = groups.pop() if sign == ")" else {sign: Fraction(1)}
            for element, have in inner.items():
                groups[-1][element] = groups[-1].get(element, Fraction(0)) + n * have
        for element, have in groups[0].items():
            total[element] = total.get(element, Fraction(0)) + times * have
    return total


def grams_of(formula: str) -> tuple[dict[str, Fraction], Fraction]:
    """Grams of each oxide from one gram, and the loss while all fluorine stays."""
    atoms = atoms_in(formula)
    whole = sum((n * weight(e) for e, n in atoms.items()), Fraction(0))
    found = {
        oxide: atoms[element] / n * mass(oxide) / whole
        for oxide, (element, n, _) in COUNTED.items()
        if element in atoms
    }
    return found, 1 - solid(found)


def solid(grams: dict[str, Fraction]) -> Fraction:
    """Fluorine stands in the place of half as much oxygen."""
    oxygen = grams.get("F", Fraction(0)) * weight("O") / (2 * weight("F"))
    return sum(grams.values(), Fraction(0)) - oxygen


@pytest.mark.parametrize("material", WITH_FORMULA, ids=lambda m: m.id)
def test_every_formula_to_the_last_digit(material: Material) -> None:
    assert material.formula
    grams, loss = grams_of(material.formula)
    shown = {o: v for o, v in material.oxides_wt_percent.items() if v}
    assert shown.keys() == grams.keys()
    for oxide, exact in grams.items():
        assert shown[oxide] == pytest.approx(float(100 * exact), rel=1e-9)
    assert material.loi_percent == pytest.approx(float(100 * loss), abs=1e-9)


def test_thousands_of_recipes_to_the_last_digit() -> None:
    """Fluorides, hydrates, nitrates, sulfates and chlorides among them, whatever stays of F."""
    dice = random.Random(20261126)
    compared = 0
    for _ in range(3000):
        chosen = dice.sample(WITH_FORMULA, dice.randint(2, 8))
        parts = [Fraction(dice.randint(1, 9999), 100) for _ in chosen]
        kept = Fraction(dice.choice(["0", "0.25", "0.5", "1"]))
        fired: dict[str, Fraction] = {}
        lost = Fraction(0)
        for amount, material in zip(parts, chosen, strict=True):
            grams, loss = grams_of(material.formula or "")
            lost += amount * loss
            for oxide, gram in grams.items():
                fired[oxide] = fired.get(oxide, Fraction(0)) + amount * gram
        gone = (1 - kept) * fired.get("F", Fraction(0))
        lost += gone - gone * weight("O") / (2 * weight("F"))
        fired = {o: g * kept if o == "F" else g for o, g in fired.items() if o != "F" or kept}
        moles = {o: g / mass(o) for o, g in fired.items()}
        flux = sum((n for o, n in moles.items() if o in FLUXES), Fraction(0))
        if not flux or not {"SiO2", "B2O3"} & moles.keys():
            continue
        base = tuple(Part(m.id, float(a), m) for m, a in zip(chosen, parts, strict=True))
        answer = analyse(Recipe("x", "x", base, (), "gloss", fluorine_kept=float(kept)))
        whole, all_moles = sum(parts, Fraction(0)), sum(moles.values(), Fraction(0))
        assert answer.loi_percent == pytest.approx(float(100 * lost / whole), abs=1e-9)
        for k, oxide in enumerate(OXIDES):
            have, n = fired.get(oxide, Fraction(0)), moles.get(oxide, Fraction(0))
            exact = float(100 * have / solid(fired))
            assert answer.oxides_wt_percent[k] == pytest.approx(exact, abs=1e-9)
            assert 100 * answer.mol[k] == pytest.approx(float(100 * n / all_moles), abs=1e-9)
            assert answer.unity[k] == pytest.approx(float(n / flux), rel=1e-9, abs=1e-12)
        assert solid(fired) + lost == whole
        compared += 1
    assert compared > 2000
