"""When a glaze counts as ripe: the tests, their numbers, and what each surface asks for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cofire.arrays import Array, Mask
from cofire.ripeness.stages import Melt, pores_left, ripple_left, run_mm, slide_mm, with_clay


@dataclass(frozen=True, eq=False)
class Criteria:
    """All numbers that decide ripeness; every one is an input.

    Grain radius: milled frits and studio materials pass 75 µm and centre near 25 µm (common
    practice, no source). Ripples: brush marks and pinholes of a studio coat are 2 to 3 mm across
    (common practice, no source); a coat counts as level when a twentieth of the ripple is left.
    The roughness that fused grains leave is about a millimetre long; when it is gone the surface
    feels smooth though brush marks show (common practice, no source).
    Run: a clear foot of a quarter inch is what pots are commonly given, so a glaze that creeps
    farther past its edge glues the pot down (common practice, no source).
    """

    grain_radius_um: float = 25.0
    pores_left: float = 0.05
    ripple_mm: float = 2.5
    ripple_left: float = 0.05
    satin_ripple_mm: float = 1.5
    grain_ripple_mm: float = 1.0
    run_limit_mm: float = 6.0
    #: A matte's crystals need this long below the liquidus, and must not be melted away after that;
    #: from memory, crystals of lime and zinc mattes show within minutes.
    matte_min: float = 5.0
    #: So many grains, by share of the coat, keep a surface dry however well it sealed: they stand
    #: out of the melt between them; our choice.
    dry_solid: float = 0.2
    #: A dry matte has only to hold together: some of the pores closed, not all.
    dry_pores_left: float = 0.60


DEFAULT = Criteria()


@dataclass(frozen=True, eq=False)
class Stages:
    """The effect of a firing on each draw, arrays (...,): shares left, millimetres slid at half the
    height of a pot, and millimetres run past the glaze line."""

    pores_left: Array
    ripple_left: Array
    satin_ripple_left: Array
    grain_ripple_left: Array
    slide_mm: Array
    run_mm: Array
    crystal_min: Array  # time for crystals that remain; inf if not asked
    solid: Array  # share of the coat that has not melted or dissolved


def stages_of(
    fluidity_1_pa: Array,
    coat_mm: Array | float,
    melt: Melt,
    by: Criteria,
    crystal_min: Array | None = None,
    solid: Array | float = 0.0,
) -> Stages:
    """The effect of a firing, from the integral of dt/eta over it, 1/Pa."""
    gamma = melt.surface_tension_n_m
    flowed = with_clay(fluidity_1_pa, coat_mm, melt)
    return Stages(
        pores_left=pores_left(fluidity_1_pa, by.grain_radius_um, gamma),
        ripple_left=ripple_left(fluidity_1_pa, coat_mm, by.ripple_mm, gamma),
        satin_ripple_left=ripple_left(fluidity_1_pa, coat_mm, by.satin_ripple_mm, gamma),
        grain_ripple_left=ripple_left(fluidity_1_pa, coat_mm, by.grain_ripple_mm, gamma),
        slide_mm=slide_mm(flowed, coat_mm, melt.density_kg_m3),
        run_mm=run_mm(flowed, coat_mm, melt),
        crystal_min=np.full(np.shape(fluidity_1_pa), np.inf)
        if crystal_min is None
        else crystal_min,
        solid=np.broadcast_to(solid, np.shape(fluidity_1_pa)),
    )


def ripe_enough(stages: Stages, surface: str, by: Criteria) -> Mask:
    """Whether each draw has got as far as its surface asks, bool (...,).

    Gloss, crackle and lustre must level; satin may keep longer ripples; a matte must seal and have
    had time to grow its crystals and keep them, which keeps it from levelling; a dry matte must
    only hold together.
    """
    sealed = stages.pores_left <= by.pores_left
    if surface in ("gloss", "crackle", "lustre"):
        return np.asarray(sealed & (stages.ripple_left <= by.ripple_left))
    if surface == "satin":
        return np.asarray(sealed & (stages.satin_ripple_left <= by.ripple_left))
    if surface == "matte":
        return np.asarray(sealed & (stages.crystal_min >= by.matte_min))
    if surface == "dry matte":
        return np.asarray(stages.pores_left <= by.dry_pores_left)
    raise ValueError(f"unknown surface {surface!r}")


def dryness(stages: Stages, by: Criteria) -> dict[str, Array]:
    """Why a matte is dry, odds that sum to one: its grains have not melted or dissolved, it is
    underfired, crystals have grown, or nothing makes it so and it shines."""
    grains = stages.solid >= by.dry_solid
    open_ = ~grains & (stages.pores_left > by.pores_left)
    crystals = ~grains & ~open_ & (stages.crystal_min >= by.matte_min)
    why = {"unmelted grains": grains, "underfired": open_, "crystals": crystals}
    odds = {name: np.asarray(true.mean()) for name, true in why.items()}
    return {**odds, "nothing": np.asarray(1.0 - sum(odds.values()))}


def runs(stages: Stages, by: Criteria) -> Mask:
    """Whether each draw has run past its edge by more than the limit, bool (...,)."""
    return np.asarray(stages.run_mm > by.run_limit_mm)
