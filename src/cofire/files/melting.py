"""How an own material melts, where its file does not say: read off its analysis."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cofire.arrays import Array
from cofire.chem.oxides import vector
from cofire.records import Material

#: Analyses whose oxides and LOI, scaled to 100, differ by less in all (wt %) melt alike. Of the
#: shipped materials no frit is so near to a mineral but pumice, a natural glass; our choice.
_ALIKE_WT = 15.0
#: Farther off, up to three that melt within so many °C of one another tell too: of the shipped
#: materials left out one by one none is told wrong.
_KIN_WT, _MOST_KIN, _KIN_C = 40.0, 3, 200.0
#: A silicate without volatiles that holds boron, lead or much alkali beside little alumina was
#: melted once: minerals with boron hold water, and spars hold 17 % of alumina or more (wt %; from
#: memory of their formulas).
_FIRED_LOI, _SILICA, _BORON, _LEAD, _ALKALI, _SPAR_ALUMINA = 1.5, 10.0, 1.5, 5.0, 8.0, 12.0
#: As much barium, strontium or zinc beside silica and no water comes from a frit too (wt %).
_HEAVY = 8.0
#: More fluorine is that of a salt (wt %).
_SALT_FLUORINE = 15.0


def with_melting(own: Material, shipped: Sequence[Material]) -> Material:
    """The material with what its analysis tells of melting, grains and spread, as far as its file
    is silent. Like analyses give the same, whatever the materials are called."""
    like = _like(own, shipped)
    if like is not None:
        own = replace(
            own,
            grain=own.grain or like.grain,
            spread_wt_percent=own.spread_wt_percent or like.spread_wt_percent,
        )
    if own.melting != "unknown":
        return own
    if like is not None:
        return replace(own, melts_c=like.melts_c, melting="alike", melts_like=like.id)
    if is_melted(own.oxides_wt_percent, own.loi_percent):
        return replace(own, melts_c=float("-inf"), melting="glass")
    if kin := _kin(own, shipped):
        return replace(own, melts_c=kin.melts_c, melting="alike", melts_like=kin.id)
    return own


def _like(own: Material, shipped: Sequence[Material]) -> Material | None:
    """The shipped material of the nearest analysis, if it is near."""
    near = _within(_ALIKE_WT, own, shipped)
    return near[0] if near else None


def _kin(own: Material, shipped: Sequence[Material]) -> Material | None:
    """The nearest of several that are not far and melt alike; None where they do not."""
    kin = _within(_KIN_WT, own, shipped)[:_MOST_KIN]
    melts = [m.melts_c for m in kin]
    alike = len(set(melts)) == 1 or max(melts, default=np.inf) - min(melts, default=0.0) < _KIN_C
    return kin[0] if len(kin) > 1 and alike else None


def _within(most_wt: float, own: Material, shipped: Sequence[Material]) -> list[Material]:
    """Materials whose analyses are not farther, the nearest first."""
    if not shipped:
        return []
    gaps = np.abs(np.array([_row(m) for m in shipped]) - _row(own)).sum(axis=1)
    return [shipped[int(k)] for k in np.argsort(gaps, kind="stable") if gaps[k] < most_wt]


def is_melted(oxides_wt_percent: dict[str, float], loi_percent: float) -> bool:
    """Whether an analysis can only be that of a frit or another glass."""
    wt = {oxide: oxides_wt_percent.get(oxide, 0.0) for oxide in _NEEDED}
    if abs(loi_percent) > _FIRED_LOI or wt["SiO2"] < _SILICA or wt["F"] > _SALT_FLUORINE:
        return False
    alkali = wt["Na2O"] + wt["K2O"] + wt["Li2O"]
    heavy = wt["BaO"] + wt["SrO"] + wt["ZnO"]
    return (
        wt["B2O3"] >= _BORON
        or wt["PbO"] >= _LEAD
        or heavy >= _HEAVY
        or (alkali >= _ALKALI and wt["Al2O3"] < _SPAR_ALUMINA)
    )


_NEEDED = ("SiO2", "Al2O3", "B2O3", "Na2O", "K2O", "Li2O", "PbO", "BaO", "SrO", "ZnO", "F")


def _row(material: Material) -> Array:
    row = np.append(vector(material.oxides_wt_percent), material.loi_percent)
    return np.asarray(100.0 * row / max(row.sum(), 1e-9))
