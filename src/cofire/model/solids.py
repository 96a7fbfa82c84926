"""What stays solid in a glaze: opacifier that does not dissolve, crystals a matte grows.

The property models see only the glass around them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cofire import glass
from cofire.arrays import Array
from cofire.chem.composition import mol_from_wt, wt_from_mol
from cofire.chem.oxides import OXIDES
from cofire.errors import did_you_mean, refusal
from cofire.glass.crystals import LOCKED, Phase, mixed_expansion, phases, stiffening
from cofire.glass.estimate import Z90
from cofire.records import Recipe


@dataclass(frozen=True, eq=False)
class Mixture:
    """Glasses (N) with solids of P kinds in them.

    ``melt_mol`` (N, n_oxides) is the glass without them, ``volume`` (N, P) their volume shares and
    ``wt_percent`` (N, P) their weight per cent of the glaze. ``stated`` says which shares the
    recipe itself gives.
    """

    kinds: list[Phase]
    melt_mol: Array
    melts: glass.Prepared  # the same in the form that all glass models share
    volume: Array
    wt_percent: Array
    stated: tuple[bool, ...]

    @property
    def stiffening(self) -> Array:
        """What the solids add to log10 of viscosity (N,)."""
        return stiffening(self.volume.sum(axis=-1))

    def expansion(
        self,
        of_glass: Array,
        youngs_gpa: Array,
        poisson: Array,
        pick: NDArray[np.intp] | None = None,
        to_c: Array | float = 300.0,
    ) -> Array:
        """Expansion (N,), 1e-6/K, of glass and solids together from 20 °C to ``to_c``; of the rows
        that ``pick`` says."""
        if not self.kinds:
            return of_glass
        bulk = youngs_gpa / (3.0 * (1.0 - 2.0 * poisson))
        shear = youngs_gpa / (2.0 * (1.0 + poisson))
        volume = self.volume if pick is None else self.volume[pick]
        return mixed_expansion(of_glass, bulk, shear, volume, self.kinds, to_c)


def mixture(
    recipe: Recipe,
    mol: Array,
    dissolving: Array | None = None,
    amounts: Array | None = None,
    left: Mapping[str, Array] | None = None,
) -> Mixture:
    """Split glazes (N, n_oxides), in moles, into glass and solids; ``amounts`` (N, n_parts) are
    their parts where these differ from the recipe's.

    Solids are what the recipe states; else opacifiers beyond what a low-fire melt dissolves, at
    the middle of what is known of that or drawn with the normal deviates ``dissolving`` (N,); and
    what is ``left`` (N,) of other kinds, weight per cent of the glaze.
    Raises CompositionError for an unknown kind of solid, or more of it than the glaze can hold.
    """
    n = len(mol)
    wt = wt_from_mol(mol)
    shares: dict[str, Array] = {}
    stated: dict[str, bool] = {}
    for name, percent in recipe.crystals.items():
        if name not in phases():
            raise refusal(
                "no-such-crystal",
                recipe.place,
                called=name,
                hint=did_you_mean(name, phases()) or f"Known: {', '.join(phases())}.",
            )
        shares[name], stated[name] = np.full(n, percent), True
    if amounts is None:
        amounts = np.tile([p.amount for p in recipe.parts], (n, 1))
    kept = amounts * np.array([1.0 - p.material.loi_percent / 100.0 for p in recipe.parts])
    brings = 100.0 * kept / kept.sum(axis=1, keepdims=True)
    free: dict[str, Array] = {}  # grains of each kind that the recipe does not state
    for part, brought in zip(recipe.parts, brings.T, strict=True):
        grain = part.material.grain
        if not grain:
            continue
        if grain not in phases():
            raise refusal(
                "no-such-grain",
                part.material.place,
                id=part.material.id,
                grain=grain,
                hint=did_you_mean(grain, phases()) or f"Known: {', '.join(phases())}.",
            )
        own = recipe.undissolved.get(part.material.id)
        if own is None:
            free[grain] = free.get(grain, np.zeros(n)) + brought
        elif own > 0.0:
            shares[grain] = shares.get(grain, np.zeros(n)) + brought * own / 100.0
            stated[grain] = True
    beyond = {k: _left(phases()[k], loose, dissolving) for k, loose in free.items()}
    # what melts by itself is a melt of its own where there is little else
    itself = {p.material.grain for p in recipe.parts if np.isfinite(p.material.melts_c)} & set(free)
    if itself:
        other = 100.0 - np.sum([free[k] for k in itself], axis=0)
        most = other / np.maximum(np.sum([beyond[k] for k in itself], axis=0), 1e-9)
        beyond |= {k: beyond[k] * np.clip(most, 0.0, 1.0) for k in itself}
    for grain, some in (*beyond.items(), *(left or {}).items()):
        if some.any():
            shares[grain] = shares.get(grain, np.zeros(n)) + some
            stated.setdefault(grain, False)
    kinds = [phases()[k] for k in shares]
    if not kinds:
        return Mixture([], mol, glass.prepare(mol), np.zeros((n, 0)), np.zeros((n, 0)), ())
    solid = np.stack(list(shares.values()), axis=1)
    solid = solid * _room(recipe, wt, solid, kinds, stated)[:, None]
    melt = np.maximum(wt - solid @ np.array([k.wt for k in kinds]), 0.0)
    melt_mol = mol_from_wt(melt)
    # 100 g of glaze: volumes of glass and solids in cm³
    volume = solid / np.array([k.density_g_cm3 for k in kinds])
    melts = glass.prepare(melt_mol)
    of_glass = melt.sum(axis=1) / glass.middle_density(melts)
    volume = volume / (volume.sum(axis=1) + of_glass)[:, None]
    if (volume.sum(axis=1) >= LOCKED).any():
        raise refusal("solids-lock-it", recipe.place, recipe=recipe.name, locked=100 * LOCKED)
    return Mixture(kinds, melt_mol, melts, volume, solid, tuple(stated[k.id] for k in kinds))


def _left(kind: Phase, brought: Array, dissolving: Array | None) -> Array:
    """Weight per cent of the glaze (N,) that stays as grains unless the recipe says how much."""
    n = len(brought)
    if kind.dissolves_wt is None:
        return np.zeros(n)
    low, high = kind.dissolves_wt
    dissolves = np.full(n, 0.5 * (low + high))
    if dissolving is not None:
        dissolves = dissolves + 0.5 * (high - low) / Z90 * dissolving
    return np.asarray(np.clip(brought - dissolves, 0.0, brought))


def _room(
    recipe: Recipe, wt: Array, solid: Array, kinds: list[Phase], stated: dict[str, bool]
) -> Array:
    """Factor (N,) that solids must shrink by so that the glaze holds enough of their oxides."""
    taken = solid @ np.array([k.wt for k in kinds])
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(taken > 0.0, wt / taken, np.inf)
    short = int(share.min(axis=0).argmin())
    middle = float(np.median(share.min(axis=1)))
    if middle < 1.0 and any(stated.values()):
        raise refusal(
            "too-little-for-solids",
            recipe.place,
            recipe=recipe.name,
            oxides=OXIDES[short],
            middle=100 * middle,
        )
    return np.asarray(np.minimum(share.min(axis=1), 1.0))
