"""Glazes made of the same materials: a recipe and its neighbours, as rows of parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from cofire import glass
from cofire.arrays import Array
from cofire.chem.composition import fire, mol_from_wt, solid_mass
from cofire.chem.oxides import INDEX, MOLAR_MASS, OXIDES, vector
from cofire.glass.basis import REACH
from cofire.glass.crystals import phases
from cofire.material_kinds import grain_size
from cofire.model.analysis import require_glaze
from cofire.model.standard_draws import N_ANALYSES, SmoothError
from cofire.records import Material, Part, Recipe, Surface
from cofire.ripeness.melting import TAKES_SILICA, Batch, Size

#: Materials whose analyses are this far apart (wt %, root of the sum of squares) share few their
#: deviations: another deposit or another maker. Our choice.
_APART_WT = 2.0
_NOTHING = 1e-12
#: What molten salts have to take up of grains: all oxides but alumina and those that take.
_NEEDS_TAKING = np.array(
    [o != "Al2O3" and TAKES_SILICA.get(o, 0.0) < 2.0 for o in OXIDES], dtype=float
)


def _size(material: Material, *, stated: bool) -> Size:
    """Its grains; where the recipe says how much of them stays, that is all that fit is told."""
    size = grain_size(material)
    return Size(0.5 * size.d50_um, size.sd_ln, "" if stated else material.grain)


@dataclass(frozen=True, eq=False)
class GlazeSet:
    """Glazes of M materials. ``recipe`` names them in its parts, in this order, and says what is
    common to all: surface, what stays undissolved, fluorine."""

    recipe: Recipe
    grams: Array  # (M, n_oxides) fired oxides of one part of each
    lost: Array  # (M,) what one part loses in the fire
    analysed: bool = True  # whether the materials have analyses that may deviate
    melts_as: tuple[GlazeSet, Array] | None = None  # whose materials (M,) these stand for

    @property
    def materials(self) -> tuple[Material, ...]:
        return tuple(p.material for p in self.recipe.parts)

    @property
    def surface(self) -> Surface:
        return self.recipe.surface

    def mol(self, parts: Array) -> Array:
        """Mole fractions (P, n_oxides) of glazes of ``parts`` (P, M)."""
        return mol_from_wt(parts @ self.grams)

    def drawn_mol(self, parts: Array) -> Array:
        """As ``mol`` for parts (P, N_ANALYSES, M), with the analyses of the materials drawn:
        (P, N_ANALYSES, n_oxides)."""
        if not self.analysed:
            return self.mol(parts)
        return mol_from_wt((parts[:, :, None, :] @ self._drawn_grams)[:, :, 0])

    def fired_shares(self, parts: Array) -> Array:
        """Share (P, M) of each material in the fired weight."""
        fired = parts * (1.0 - np.array([m.loi_percent for m in self.materials]) / 100.0)
        return np.asarray(fired / fired.sum(axis=1, keepdims=True))

    def batch(self, parts: Array) -> Batch:
        """Glazes of ``parts`` (P, M) before they melt. Opacifiers, and what the recipe says stays
        undissolved, are left out: they are solids of the glaze (``solids.mixture``)."""
        if self.melts_as is not None:
            glazes, own = self.melts_as
            return glazes.batch(np.tile(own, (len(parts), 1)))
        melts_c = np.array([m.melts_c for m in self.materials])
        mol = self.grams / np.maximum(solid_mass(self.grams), _NOTHING)[:, None] / MOLAR_MASS
        silica, alumina = mol[:, INDEX["SiO2"]], mol[:, INDEX["Al2O3"]]
        takes = np.where(np.isneginf(melts_c), 0.0, mol @ vector(TAKES_SILICA) - silica)
        # alumina as far as it is not that of a clay, which comes along with its silica
        free = np.maximum(alumina - 0.5 * silica, 0.0)
        needs = mol @ _NEEDS_TAKING + free
        shares = self.fired_shares(parts)
        return Batch(
            shares * self._melts_down(shares),
            melts_c,
            needs,
            np.where(np.isposinf(melts_c), 0.0, np.maximum(takes, 0.0)),
            tuple(_size(m, stated=m.id in self.recipe.undissolved) for m in self.materials),
        )

    def _melts_down(self, shares: Array) -> Array:
        """Part of each material's share (P, M) that melts or dissolves if it is given time: of
        what a melt takes up only some of, that much if it melts by itself at all."""
        down = np.ones_like(shares)
        for k, material in enumerate(self.materials):
            stated = self.recipe.undissolved.get(material.id)
            kind = phases().get(material.grain)
            if stated is not None:
                down[:, k] = 1.0 - stated / 100.0
            elif kind is not None and kind.dissolves_wt is not None:
                alike = [m.grain == material.grain for m in self.materials]
                most = 0.01 * np.mean(kind.dissolves_wt) * np.isfinite(material.melts_c)
                down[:, k] = np.minimum(most / np.maximum(shares[:, alike].sum(axis=1), 1e-9), 1.0)
        return down

    @cached_property
    def _drawn_grams(self) -> Array:
        """(N_ANALYSES, M, n_oxides): analyses deviate by their spread, never below zero; two equal
        analyses deviate alike, whatever the materials are called."""
        wt = np.array([vector(m.oxides_wt_percent) for m in self.materials])
        spread = np.array([vector(m.spread_wt_percent) for m in self.materials])
        error = SmoothError("analyses", _APART_WT)
        half = error.each(wt, N_ANALYSES // 2, len(OXIDES))
        z = np.stack([half, -half], axis=1).reshape(N_ANALYSES, *wt.shape)
        loi = np.array([m.loi_percent for m in self.materials])
        each = np.eye(len(wt))[None].repeat(N_ANALYSES, axis=0)
        drawn = np.maximum(wt + spread * z, 0.0)
        return fire(each, drawn[:, None], loi, self.recipe.fluorine_kept)[0]


def glaze_set(recipe: Recipe, more: Sequence[Material] = ()) -> tuple[GlazeSet, Array]:
    """A recipe's set, perhaps with more materials, and its own parts (M,) in it, as written.

    A material that is named twice has one column. Raises CompositionError for what is no glaze.
    """
    amounts: dict[str, float] = {}
    first: dict[str, Part] = {}
    for part in recipe.parts:
        first.setdefault(part.material.id, part)
        amounts[part.material.id] = amounts.get(part.material.id, 0.0) + part.amount
    for material in more:
        first.setdefault(material.id, Part(material.id, 0.0, material))
        amounts.setdefault(material.id, 0.0)
    parts = tuple(Part(p.written, amounts[key], p.material, p.place) for key, p in first.items())
    wt = np.array([vector(p.material.oxides_wt_percent) for p in parts]).reshape(-1, len(OXIDES))
    loi = np.array([p.material.loi_percent for p in parts])
    grams, lost = fire(np.eye(len(parts)), wt, loi, recipe.fluorine_kept)
    merged = replace(recipe, base=parts, additions=(), notes="", ambiguous=())
    own = np.array([amounts[key] for key in first])
    require_glaze(recipe, mol_from_wt(own @ grams))
    return GlazeSet(merged, grams, lost), own


def model_errors(source: str, melts: glass.Prepared, n: int) -> Array:
    """Standard normal errors (P, n) of a glass model at P glasses; near glasses err alike."""
    return SmoothError(source, REACH).at(melts.position, n).astype(float)  # type: ignore[arg-type]
