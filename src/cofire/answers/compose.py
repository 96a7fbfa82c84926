"""From a unity formula to recipes: the inverse of the unity formula."""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from cofire.answers.change.available_materials import effort_to_get
from cofire.answers.findings.cautions import material_cautions
from cofire.arrays import Array
from cofire.chem.composition import fire, flux_moles, unity
from cofire.chem.oxides import INDEX, MOLAR_MASS, OXIDES, vector
from cofire.errors import did_you_mean, refusal
from cofire.files.library import Library
from cofire.findings import Finding
from cofire.formulate.rebuild import Rebuilt, WantedAmounts, rebuild
from cofire.material_kinds import is_soluble, keeps_up, settles
from cofire.read.number import NUMBER, convention, number, short
from cofire.record import Record
from cofire.records import Material, Part, Recipe, Surface
from cofire.words import plain_digits

EXAMPLE = "“0.3 Na2O, 0.7 CaO, 0.35 Al2O3, 3 SiO2”"
#: Fluxes of a unity formula may miss 1 by this, because printed ones are rounded.
_ROUNDED = 0.06
#: More moles of an oxide, to one of flux, are a slip of the pen; our choice.
_MOST_MOLES = 60.0
#: A formula is reached when no oxide misses by more, moles; our choice: a printed digit.
_REACHED = 0.005
#: One more material has to lower the sum of misses by this, mole per cent; our choice.
_WORTH = 0.3
#: What a gram costs beside a hundredth of a mole missed: little, since the formula comes first.
_PART_COST = 5e-5
#: Words, numbers, and anything else that has to be refused.
_PIECE = re.compile(rf"[A-Za-z][A-Za-z0-9]*|{NUMBER}|(?<=\s),[0-9]+|[^\s,;:=+]+")
_OXIDE = {o.lower(): o for o in OXIDES}


@dataclass(frozen=True, eq=False, repr=False)
class Composed(Record):
    """A recipe of 100 parts, its unity moles, and their errors (oxide -> moles)."""

    recipe: Recipe
    unity: Array
    missed: dict[str, float]
    loi_percent: float
    json_also: ClassVar = ("reached",)
    json_spreads: ClassVar = ("recipe",)

    @property
    def deviation(self) -> float:
        """The sum of its errors, moles."""
        return sum(abs(v) for v in self.missed.values())

    @property
    def trouble(self) -> float:
        """Number of lines to weigh; solubles and a settling slurry count extra."""
        soluble = sum(p.amount for p in self.recipe.base if is_soluble(p.material))
        loose = 0.5 if settles(self.recipe) else 0.0
        return len(self.recipe.base) + (3.0 if soluble > 2.0 else 0.0) + loose

    @property
    def reached(self) -> bool:
        return all(abs(v) <= _REACHED for v in self.missed.values())


@dataclass(frozen=True, eq=False, repr=False)
class ComposeAnswer(Record):
    unity_wanted: Array  # moles (n_oxides,)
    ways: tuple[Composed, ...]
    sentence: str
    yes: bool
    findings: tuple[Finding, ...]
    schema: ClassVar = "compose"


def read_unity(text: str) -> Array:
    """“0.3 Na2O, 0.7 CaO, …” in either order -> unity moles (n_oxides,). Raises QuantityError."""
    amounts: dict[str, float] = {}
    pieces = _PIECE.findall(plain_digits(short(text)))
    commas = convention(p for p in pieces if _is_number(p))
    for first, second in itertools.zip_longest(pieces[::2], pieces[1::2], fillvalue=""):
        moles_said, name = (first, second) if _is_number(first) else (second, first)
        oxide = _OXIDE.get(name.lower())
        if oxide is None or not _is_number(moles_said):
            wrong = name if _is_number(moles_said) and name else f"{first} {second}".strip()
            raise refusal(
                "no-oxide-with-moles",
                wrong=wrong,
                hint=did_you_mean(name, OXIDES) or f"Write for example {EXAMPLE}.",
            )
        if oxide in amounts:
            raise refusal("oxide-twice", oxide=oxide, example=EXAMPLE)
        amounts[oxide] = float(number(moles_said, commas))
    moles = vector(amounts)
    if (moles > _MOST_MOLES).any():
        raise refusal("too-many-moles", most=_MOST_MOLES)
    if (moles < 0.0).any() or not np.isfinite(moles).all():
        raise refusal("moles-not-above-zero", example=EXAMPLE)
    flux = float(flux_moles(moles))
    if not flux > 0.0 or moles[INDEX["SiO2"]] + moles[INDEX["B2O3"]] <= 0.0:
        raise refusal("formula-without-flux-or-silica", example=EXAMPLE)
    if abs(flux - 1.0) > _ROUNDED:
        raise refusal("fluxes-not-one", flux=flux)
    return moles


def _is_number(text: str) -> bool:
    return re.fullmatch(NUMBER, text) is not None


def compose(
    library: Library,
    wanted: Array,
    materials: Sequence[Material],
    *,
    chosen: bool,
    most: int = 6,
    surface: Surface = "gloss",
    of: Sequence[Material] = (),
) -> ComposeAnswer:
    """Recipes for unity moles (n_oxides,).

    With ``chosen`` all the materials may be used, otherwise as few as possible, at most ``most``.
    Those ``of`` a recipe that has the formula are tried together too, if they are among them.
    Raises CompositionError if they bring none of it.
    """
    wt = np.array([vector(m.oxides_wt_percent) for m in materials]).reshape(-1, len(OXIDES))
    loi = np.array([m.loi_percent for m in materials])
    grams, lost = fire(np.eye(len(materials)), wt, loi, 0.5)
    moles = grams / MOLAR_MASS
    there = (wanted > 0.0) | (moles.max(axis=0, initial=0.0) > 1e-6)
    if not len(materials) or not (moles[:, wanted > 0.0].sum() > 0.0):
        raise refusal("materials-bring-nothing")
    # parts are grams for 100 moles of flux; the fluxes are met exactly, since they count as 1
    flux = float(flux_moles(wanted))
    target = WantedAmounts(
        moles[:, there].T, 100.0 * wanted[there], flux_moles(moles), 100.0 * flux
    )
    cost = np.array([_cost(m) for m in materials])
    use = np.full(len(materials), chosen)
    solutions = rebuild(target, np.zeros(len(materials)), cost, use, 0 if chosen else most, _WORTH)
    if of and not chosen:
        theirs = np.isin([m.id for m in materials], [m.id for m in of])
        solutions += rebuild(target, np.zeros(len(materials)), cost, theirs, 0, _WORTH)
    if not solutions:
        raise refusal("materials-bring-no-flux")
    ways = [_composed(one, materials, wanted, moles, lost, surface) for one in solutions]
    ways = _different(ways)
    ways.sort(key=lambda w: (not w.reached, w.trouble if w.reached else w.deviation))
    best = ways[0]
    return ComposeAnswer(
        wanted,
        tuple(ways[:3] if not chosen else ways[:1]),
        _sentence(best),
        best.reached,
        tuple(material_cautions(library, [best.recipe])),
    )


def _different(ways: Sequence[Composed]) -> list[Composed]:
    """The same recipe found twice is one."""
    seen: dict[tuple[tuple[str, float], ...], Composed] = {}
    for way in ways:
        key = tuple(sorted((p.material.id, round(p.amount, 1)) for p in way.recipe.base))
        seen.setdefault(key, way)
    return list(seen.values())


def _cost(material: Material) -> float:
    """Clay is cheap, since it keeps the glaze in suspension; solubles are not."""
    return _PART_COST * effort_to_get(material) * (0.5 if keeps_up(material) else 1.0)


def _composed(
    one: Rebuilt,
    materials: Sequence[Material],
    wanted: Array,
    moles: Array,
    lost: Array,
    surface: Surface,
) -> Composed:
    parts = np.where(one.parts > 1e-6 * one.parts.sum(), one.parts, 0.0)
    formula = unity(parts @ moles) * float(flux_moles(wanted))
    missed = {
        o: float(d) for o, d in zip(OXIDES, formula - wanted, strict=True) if abs(d) >= 0.0005
    }
    share = 100.0 * parts / parts.sum()
    base = tuple(Part(m.id, float(p), m) for m, p in zip(materials, share, strict=True) if p > 0.0)
    base = tuple(sorted(base, key=lambda p: -p.amount))
    recipe = Recipe("composed", "From a unity formula", base, (), surface)
    return Composed(recipe, formula, missed, float(share @ lost))


def _sentence(best: Composed) -> str:
    names = ", ".join(p.material.name for p in best.recipe.base)
    if best.reached:
        return f"Yes: {names} make this formula."
    short = ", ".join(f"{o} {d:+.3f}" for o, d in best.missed.items() if abs(d) > _REACHED)
    return f"No recipe found makes this formula: the nearest, of {names}, misses {short}."
