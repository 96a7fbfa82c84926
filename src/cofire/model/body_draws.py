"""Plausible versions of a clay body and of how its wall cools."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, fields, replace
from functools import cached_property, lru_cache

import numpy as np

from cofire.arrays import Array
from cofire.firing.wall import INSIDE_OF_POT
from cofire.fit.cracking import EDGE_ENERGY
from cofire.fit.crackle import FLAWS_PER_MM
from cofire.fit.stress import QUARTZ_STEP_PERCENT, body_strain
from cofire.glass.estimate import Z90
from cofire.model.clay import as_made
from cofire.model.law_draws import draw_law
from cofire.model.standard_draws import N, Source, normals, rank_of
from cofire.records import Body, Shape

#: Heat that fired clay of about 20 % pores conducts, W/(m K), 5 % and 95 % ends; from memory.
CONDUCTS_W_M_K = (0.4, 1.0)
#: Heat that a wall loses in air and in a bin over that of the middle law, 1 sd of the logarithm:
#: emissivity, draught and how thick the wall really is leave seconds in air known to 40 % (90 %,
#: with what the inside loses); what burns in a bin and how it lies, to a half. From memory.
AIR_HEAT_SPREAD, BIN_HEAT_SPREAD = 0.15, 0.25
#: Combustibles give off smoke as long as the ware keeps them hot: cellulose breaks down between
#: 315 and 400 °C, hemicellulose from 220 °C on (Yang et al., Fuel 86 (2007) 1781). Temperature of
#: the ware when the smoke ends, 5 % and 95 % ends.
SMOKE_ENDS_C = (250.0, 400.0)
#: Share of their free strain that grains of silica hand on, 5 % and 95 % ends. A wall feels most of
#: it while it passes (from memory: full in vitreous ware, a third in open clay); fine cracks
#: take up the rest, and more as it cools, so that a coat is squeezed by little: with a third,
#: crackles on raku clay would seldom show black nets, and they do (common practice). One deviate
#: for both.
TAKEN_UP_BY_WALL, TAKEN_UP = (0.3, 1.0), (0.0, 0.25)
#: Step of pure cristobalite at 226 °C, per cent of length; from memory.
_CRISTOBALITE_STEP_PERCENT = 1.0
#: Tensile strength, MPa, of porous bisque and of vitreous ware, and open pores (%) up to which ware
#: is vitreous; from memory.
_STRENGTH_MPA, _VITREOUS_MPA, _VITREOUS_PERCENT = (5.0, 12.0), (25.0, 60.0), 3.0
#: Radius of a rim over the wall's thickness: between a round one and a bead; common practice, no
#: source.
RIM_OVER_WALL = (0.5, 0.8)
#: How unsure the number of flaws that start cracks is, 1 sd of its logarithm: without tiles, and
#: with them; our choice.
FLAWS_SPREAD, _KNOWN_FLAWS_SPREAD = 1.0, 0.3
#: Share of its open pores that soaked clay fills with water, from memory of bricks.
_SOAKED = (0.6, 0.95)
#: 5 % to 95 % of a normal distribution is this many standard deviations wide.
_WIDTH_SD = 2 * Z90


def from_pair(pair: tuple[float, float], source: Source | Array, n: int = N) -> Array:
    """Normal draws (n,) whose 5 % and 95 % ends are ``pair``, of a source or of standard normal
    deviates; never below a tenth of the low."""
    low, high = pair
    z = source if isinstance(source, np.ndarray) else normals(source, n)
    drawn = 0.5 * (low + high) + (high - low) / _WIDTH_SD * z
    return np.maximum(drawn, 0.1 * low)


def in_air(shape: Shape, air_heat: Array, inside: Array) -> Array:
    """Heat that a wall loses in air (n,) over that of the middle one, both faces together."""
    of_inside = 1.0 if shape == "tile" else (1.0 + inside) / (1.0 + INSIDE_OF_POT)
    return np.asarray(air_heat * of_inside)


def heat_in_air(shape: Shape, n: int = N) -> Array:
    """The same, drawn: of any body."""
    return in_air(shape, _air_heat(n), rank_of(normals("body inside", n)))


def _air_heat(n: int) -> Array:
    return np.exp(AIR_HEAT_SPREAD * normals("heat in air", n))


@dataclass(frozen=True, eq=False)
class BodyDraws:
    """N versions of one body and of how its wall cools, arrays (N,)."""

    alpha_1e6_per_k: Array
    youngs_gpa: Array
    poisson: Array
    cristobalite_step: Array  # a strain
    quartz: Array  # share of the strain of free quartz that squeezes the coat
    wall_quartz: Array  # and that strains the wall
    gain: Array  # of a measured curve
    moisture: Array  # growth in moist air within ten years, a strain
    moist_early: Array  # 0 to 1: how much of the early growth comes
    steam_j_mol: Array  # activation energy of taking up moisture
    toughness_mpa_m05: Array
    strength_mpa: Array
    rim_over_wall: Array
    edge_energy: Array  # over that of a crack that runs
    onset_factor: Array  # on the stress that starts cracks in a coat
    slow: Array  # on what slow growth takes from it
    relaxation: Array  # of a coat after its stress has frozen, a strain
    scatter_mpa: Array  # this pot's stress over that of its like
    flaws_per_mm: Array  # of a coat, that start cracks
    soaked: Array  # share of the open pores that water fills
    conducts_w_m_k: Array
    inside: Array  # heat that a pot's inner face loses in air, over that of the outer
    air_heat: Array  # lost in air, over that of the middle law
    bin_heat: Array  # and in a bin
    smoke_ends_c: Array  # temperature of the ware below which combustibles no longer smoke
    body: Body

    def some(self, n: int) -> BodyDraws:
        """The first ``n`` of the draws."""
        return self if n == len(self.poisson) else self.those(slice(n))

    def those(self, rows: slice) -> BodyDraws:
        """Those draws."""
        return self._each(lambda values: values[rows])

    @cached_property
    def middle(self) -> BodyDraws:
        """One body in the middle of all."""
        return self._each(lambda values: np.array([np.median(values)]))

    def tiled(self, times: int) -> BodyDraws:
        """All draws, repeated ``times`` times."""
        return self if times == 1 else self._each(lambda values: np.tile(values, times))

    def only(self, groups: Iterable[str]) -> BodyDraws:
        """The same with the doubts of ``GROUPS`` that are named; all others in their middle."""
        names = frozenset().union(*(GROUPS[g] for g in GROUPS.keys() - set(groups)))
        middles = {k: np.full_like(getattr(self, k), np.median(getattr(self, k))) for k in names}
        return replace(self, **middles)

    def _each(self, change: Callable[[Array], Array]) -> BodyDraws:
        drawn = (f.name for f in fields(self) if f.name != "body")
        return replace(self, **{name: change(getattr(self, name)) for name in drawn})  # type: ignore[arg-type]

    def with_alpha(self, alpha_1e6_per_k: float) -> BodyDraws:
        """The same body with one mean expansion known, whatever its file says.

        A measured curve keeps its shape.
        """
        gain = self.gain
        if self.body.curve is not None:
            to_c = self.body.range_c[1]
            measured = 1e6 * float(middle_strain(self.body, np.array([to_c]))[0]) / (to_c - 20.0)
            gain = np.full_like(gain, alpha_1e6_per_k / measured)
        alpha = np.full_like(self.alpha_1e6_per_k, alpha_1e6_per_k)
        return replace(self, alpha_1e6_per_k=alpha, gain=gain)

    def strain(self, t_c: Array) -> Array:
        """Strain (N,) from 20 °C to ``t_c`` (N,), or (1,) for all alike, or (N, T) for one row or
        all, dimensionless.

        A measured curve goes on beyond its end as it ended.
        """
        if t_c.shape != (1,):
            return self._strain(t_c)
        if t_c[0] not in self._strains:  # every glaze stops at the same temperatures
            self._strains[t_c[0]] = self._strain(t_c)
        return self._strains[t_c[0]]

    @cached_property
    def _strains(self) -> dict[float, Array]:
        return {}

    def _strain(self, t_c: Array) -> Array:

        def like(values: Array) -> Array:
            return values if np.ndim(t_c) == 1 else values[:, None]

        if self.body.curve is None:
            return body_strain(
                t_c,
                like(self.alpha_1e6_per_k),
                self.body.range_c[1],
                like(self.cristobalite_step),
                like(self.quartz),
            )
        return np.asarray(like(self.gain) * middle_strain(self.body, np.asarray(t_c)))

    def alpha_to(self, t_c: Array) -> Array:
        """Mean expansion from 20 °C to ``t_c`` (N,), 1e-6/K."""
        return np.asarray(1e6 * self.strain(t_c) / np.maximum(t_c - 20.0, 1.0))


#: Doubts of a body and of coats on it, by the name of their group.
GROUPS: dict[str, frozenset[str]] = {
    "moisture": frozenset({"moisture", "moist_early", "steam_j_mol"}),
    "law": frozenset({"onset_factor", "slow", "relaxation", "edge_energy", "rim_over_wall"}),
    "pots": frozenset({"scatter_mpa"}),
}
GROUPS["body"] = frozenset(f.name for f in fields(BodyDraws)) - {"body"} - frozenset().union(
    *GROUPS.values()
)  # fmt: skip


def middle_strain(body: Body, t_c: Array) -> Array:
    """Strain (...,) from 20 °C of a body with a measured curve; beyond its end it goes on as it
    ended."""
    assert body.curve is not None
    at, strain = body.curve
    beyond = np.maximum(t_c - at[-1], 0.0)
    return np.asarray(np.interp(t_c, at, strain) + _last_slope(body) * beyond)


@lru_cache(maxsize=16)  # asked for again at every temperature
def _last_slope(body: Body) -> float:
    """Strain by °C over the last 50 °C of a measured curve."""
    assert body.curve is not None
    at, strain = body.curve
    end = at >= at[-1] - 50.0
    end[-2:] = True
    return float(np.polyfit(at[end], strain[end], 1)[0])


def draw_body(body: Body, n: int = N) -> BodyDraws:
    """Draw a body within the width its file gives, as it is made up and bisqued."""
    body, law = as_made(body), draw_law(n)

    def percent(pair: tuple[float, float] | None, z: Source | Array) -> Array:
        if not pair or pair[1] <= 0.0:
            return np.zeros(n)
        return 0.01 * np.maximum(from_pair(pair, z, n), 0.0)

    def evenly(ends: tuple[float, float], source: Source) -> Array:
        return ends[0] + (ends[1] - ends[0]) * rank_of(normals(source, n))

    taken_up = from_pair(TAKEN_UP, "quartz taken up", n)
    by_wall = from_pair(TAKEN_UP_BY_WALL, "quartz taken up", n)
    step = percent(body.cristobalite_step_percent, "body cristobalite")
    if not step.any():
        free = percent(body.free_cristobalite_percent, "body cristobalite")
        step = 0.01 * _CRISTOBALITE_STEP_PERCENT * taken_up * free
    quartz = percent(body.quartz_step_percent, "body quartz") / (0.01 * QUARTZ_STEP_PERCENT)
    wall_quartz = quartz
    if not quartz.any():
        free = percent(body.free_quartz_percent, "body quartz")
        quartz, wall_quartz = taken_up * free, by_wall * free
    pores = body.open_porosity_percent
    vitreous = pores is not None and pores[1] <= _VITREOUS_PERCENT
    onset = law.flaws
    if body.onset_factor is not None:
        onset = from_pair(body.onset_factor, "flaws of the coat", n)
    flaws, spread = body.flaws_per_mm, _KNOWN_FLAWS_SPREAD
    if flaws is None:
        flaws, spread = FLAWS_PER_MM, FLAWS_SPREAD
    return BodyDraws(
        alpha_1e6_per_k=from_pair(body.alpha_1e6_per_k, "body expansion", n),
        youngs_gpa=from_pair(body.youngs_modulus_gpa, "body stiffness", n),
        poisson=from_pair(body.poisson, "body poisson", n),
        cristobalite_step=step,
        quartz=quartz,
        wall_quartz=wall_quartz,
        gain=1.0 + body.curve_error_percent / 100.0 / Z90 * normals("body curve", n),
        moisture=percent(body.moisture_expansion_percent, law.moisture),
        moist_early=law.early,
        steam_j_mol=law.steam_j_mol,
        toughness_mpa_m05=from_pair(body.toughness_mpa_m05, "body toughness", n),
        strength_mpa=from_pair(_VITREOUS_MPA if vitreous else _STRENGTH_MPA, "body strength", n),
        rim_over_wall=evenly(RIM_OVER_WALL, "rim"),
        edge_energy=evenly(EDGE_ENERGY, "edge energy"),
        onset_factor=onset,
        slow=law.slow,
        relaxation=law.relaxation,
        scatter_mpa=body.scatter_mpa * normals("pot", n),
        flaws_per_mm=flaws * np.exp(spread * normals("crack starts", n)),
        soaked=np.clip(from_pair(_SOAKED, "soaked", n), 0.0, 1.0),
        conducts_w_m_k=from_pair(CONDUCTS_W_M_K, "body conduction", n),
        inside=rank_of(normals("body inside", n)),
        air_heat=_air_heat(n),
        bin_heat=np.exp(BIN_HEAT_SPREAD * normals("heat in a bin", n)),
        smoke_ends_c=from_pair(SMOKE_ENDS_C, "smoke ends", n),
        body=body,
    )
