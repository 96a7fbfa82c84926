"""Plausible versions of a glaze and a body: what is unknown is drawn, not assumed away.

Seeded, so that the same question always gets the same answer. Each source of doubt has its own
stream, so that adding a glaze does not change the odds of another.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from cofire import glass
from cofire.arrays import Array
from cofire.fit.cracking import TOUGHNESS_MPA_M05, TOUGHNESS_SPREAD
from cofire.fit.stress import stepped_strain
from cofire.glass.estimate import Z90
from cofire.model.analysis import analyse, draw_mol
from cofire.model.melting import WORKING_C
from cofire.model.solids import Mixture, mixture
from cofire.read.coat import SPREAD, Coat
from cofire.records import Body, Recipe
from cofire.ripeness.stages import Melt, crystal_minutes

#: Draws per question. The odds then have a standard error of at most 0.5 per cent.
N = 10_000
#: Distinct analyses among the draws; each is used N / N_ANALYSES times with other errors.
N_ANALYSES = 400
#: Thermocouple error and place in a kiln whose top and bottom differ by 16 °C, 1 sd, °C; common
#: practice, no source.
KILN_SPREAD_C = 8.0
#: Stiffer melts, log10 Pa·s, hardly grow crystals within hours: at this viscosity the fastest law
#: of growth gives some micrometres a minute; our choice.
_CRYSTALS_LOG10_ETA = 6.0
#: No silicate melt pulls less; from memory.
LEAST_TENSION_MN_M = 120.0
#: Heat that fired clay of about 20 % pores conducts, W/(m K), 5 % and 95 % ends; from memory.
CONDUCTS_W_M_K = (0.4, 1.0)
#: Combustibles give off smoke as long as the ware keeps them hot: cellulose breaks down between
#: 315 and 400 °C, hemicellulose from 220 °C on (Yang et al., Fuel 86 (2007) 1781). Temperature of
#: the ware when the smoke ends, 5 % and 95 % ends.
SMOKE_ENDS_C = (250.0, 400.0)
#: Step of pure quartz at 573 °C, per cent of length, along a random grain (from memory of Heaney
#: et al., Rev. Mineral. 29 (1994): 1.35 % of volume).
QUARTZ_STEP_PERCENT = 0.45
#: Temperatures through which a glaze's expansion is drawn, °C.
_BEND_C = (90.0, 385.0, 680.0)
#: 5 % to 95 % of a normal distribution is this many standard deviations wide.
_WIDTH_SD = 2 * 1.6448536


def rng_for(*about: str) -> np.random.Generator:
    """A generator that depends on nothing but these words."""
    return np.random.default_rng(zlib.crc32("\0".join(about).encode()))


def from_pair(pair: tuple[float, float], rng: np.random.Generator, n: int = N) -> Array:
    """Normal draws (n,) whose 5 % and 95 % ends are ``pair``; never below a tenth of the low."""
    low, high = pair
    drawn = 0.5 * (low + high) + (high - low) / _WIDTH_SD * rng.standard_normal(n)
    return np.maximum(drawn, 0.1 * low)


@dataclass(frozen=True, eq=False)
class GlazeDraws:
    """N versions of one glaze; arrays (N,), or one row per analysis (N_ANALYSES)."""

    solids: Mixture  # of each analysis; its melt is what the glass models see
    melts: glass.Prepared
    pick: NDArray[np.intp]  # (N,) which analysis each draw uses
    curve: glass.ViscosityCurve
    viscosity_error: Array  # (N,) times the 90 % half-width
    kiln_offset_c: Array
    alpha_error: Array
    youngs_gpa: Array
    poisson: Array
    coat_mm: Array
    melt: Melt
    liquidus_c: Array
    toughness_mpa_m05: Array

    def log10_eta(self, t_c: Array) -> Array:
        """log10 of viscosity (Pa·s) at temperatures (T,), shape (N, T).

        The kiln's own error is taken up here: a pot 8 °C hotter is a thinner glaze.
        """
        return np.asarray(self._log10_eta(t_c), dtype=float)

    def _log10_eta(self, t_c: Array) -> NDArray[np.float32]:
        # known to a tenth of a decade at best: single precision takes half the time
        at = t_c[None, :]
        value = self.curve.log10_eta(at) + self.solids.stiffening[:, None]
        slope = (self.curve.log10_eta(at + 4.0) - self.curve.log10_eta(at - 4.0)) / 8.0
        width = self.curve.width(at, 0.9)
        i = self.pick
        out = width.astype(np.float32)[i]
        out *= self.viscosity_error.astype(np.float32)[:, None]
        moved = slope.astype(np.float32)[i]
        moved *= self.kiln_offset_c.astype(np.float32)[:, None]
        out += moved
        out += value.astype(np.float32)[i]
        return out

    def crystal_minutes(self, time_s: Array, t_c: Array) -> Array:
        """Minutes (N,) that crystals had to grow along the ware's history (T,) and are kept."""
        flows = self.curve.isokom(_CRYSTALS_LOG10_ETA)[self.pick]
        return crystal_minutes(time_s, t_c, self.liquidus_c, flows)

    def fluidity(self, t_c: Array) -> NDArray[np.float32]:
        """1/eta, 1/(Pa·s), at temperatures (T,), shape (N, T)."""
        flow = self._log10_eta(t_c)
        flow *= np.float32(-np.log(10.0))
        np.exp(flow, out=flow)
        return flow

    def some(self, n: int) -> GlazeDraws:
        """The first ``n`` of the draws."""
        return replace(
            self,
            pick=self.pick[:n],
            viscosity_error=self.viscosity_error[:n],
            kiln_offset_c=self.kiln_offset_c[:n],
            alpha_error=self.alpha_error[:n],
            youngs_gpa=self.youngs_gpa[:n],
            poisson=self.poisson[:n],
            coat_mm=self.coat_mm[:n],
            liquidus_c=self.liquidus_c[:n],
            toughness_mpa_m05=self.toughness_mpa_m05[:n],
            melt=Melt(np.asarray(self.melt.surface_tension_n_m)[:n], self.melt.density_kg_m3),
        )

    def alpha_1e6_per_k(self, to_c: Array) -> Array:
        """Mean linear expansion from 20 °C to ``to_c`` (N,), with the model's error drawn."""
        of_glass = glass.mean_expansion(self.melts, to_c, self.pick) + self.alpha_error
        return self.solids.pick(self.pick).expansion(of_glass, self.youngs_gpa, self.poisson)

    def strain(self, t_c: Array) -> Array:
        """Strain of the glass from 20 °C to temperatures (T,), shape (N, T): between three of
        them its mean expansion is a parabola, flat beyond (as ``glass.mean_expansion``)."""
        ends = _BEND_C
        means = [self.alpha_1e6_per_k(np.full(len(self.pick), end)) for end in ends]
        t = np.clip(t_c, ends[0], ends[-1])
        alpha = 0.0
        for k, mean in enumerate(means):
            others = [end for j, end in enumerate(ends) if j != k]
            basis = np.prod([(t - o) / (ends[k] - o) for o in others], axis=0)
            alpha = alpha + mean[:, None] * basis
        return np.asarray(1e-6 * alpha * (t_c - 20.0))


def draw_glaze(
    recipe: Recipe, coat: Coat, n: int = N, spread_c: float = KILN_SPREAD_C
) -> GlazeDraws:
    """``n`` draws of a glaze: material spread, model error, coat thickness, place in the kiln."""
    rng = rng_for("glaze", recipe.id, recipe.name)
    analyses = min(N_ANALYSES, max(n // 10, 20))
    mol = draw_mol(recipe, analyses, rng)
    solids = mixture(recipe, mol, rng_for("solids", recipe.id, recipe.name))
    melts = glass.prepare(solids.melt_mol)
    nominal_mol = mixture(recipe, analyse(recipe).mol[None, :]).melt_mol
    nominal = glass.prepare(nominal_mol)
    pick = np.arange(n) % analyses
    z = rng.standard_normal((5, n))
    curve = glass.viscosity(melts)
    modulus = glass.youngs_modulus(nominal)
    gamma = glass.surface_tension(nominal_mol, WORKING_C)
    liquidus = glass.liquidus(nominal)
    return GlazeDraws(
        solids=solids,
        melts=melts,
        pick=pick,
        curve=curve,
        viscosity_error=curve.error_factors(rng.random(n)),
        kiln_offset_c=spread_c * z[0],
        alpha_error=glass.expansion_errors(nominal, rng.random(n))[0],
        youngs_gpa=np.maximum(modulus.value + modulus.sd * z[1], 20.0),
        poisson=np.full(n, float(glass.poisson_ratio(nominal)[0])),
        coat_mm=coat.fired_mm * np.exp(SPREAD * z[2]),
        melt=Melt(
            1e-3 * np.maximum(gamma.value + gamma.sd * z[3], LEAST_TENSION_MN_M),
            float(glass.melt_density(nominal)[0]),
        ),
        liquidus_c=liquidus.value + liquidus.sd * z[4] - spread_c * z[0],
        toughness_mpa_m05=TOUGHNESS_MPA_M05
        + TOUGHNESS_SPREAD * rng_for("toughness", recipe.id, recipe.name).standard_normal(n),
    )


@dataclass(frozen=True, eq=False)
class BodyDraws:
    """N versions of one body and of how its wall cools, arrays (N,)."""

    alpha_1e6_per_k: Array
    youngs_gpa: Array
    poisson: Array
    cristobalite_step: Array
    quartz_step: Array  # as the coat feels it
    wall_quartz_step: Array  # as the wall feels it
    gain: Array  # of a measured curve
    moisture: Array  # growth in moist air within ten years, a strain
    toughness_mpa_m05: Array
    conducts_w_m_k: Array
    inside: Array  # heat that a pot's inner face loses in air, over that of the outer
    smoke_ends_c: Array  # temperature of the ware below which combustibles no longer smoke
    body: Body

    def some(self, n: int) -> BodyDraws:
        """The first ``n`` of the draws."""
        return self._each(lambda values: values[:n])

    def spread(self, n: int) -> BodyDraws:
        """``n`` of the draws whose expansions stand for all: one from each of ``n`` equal ranks."""
        if n in self._spread:
            return self._spread[n]
        order = np.argsort(self.alpha_1e6_per_k, kind="stable")
        ranks = ((np.arange(n) + 0.5) * len(order) / n).astype(int)
        rows = rng_for("spread", self.body.id).permutation(order[ranks])
        self._spread[n] = self._each(lambda values: values[rows])
        return self._spread[n]

    @cached_property
    def _spread(self) -> dict[int, BodyDraws]:
        return {}

    @cached_property
    def middle(self) -> BodyDraws:
        """One body in the middle of all."""
        return self._each(lambda values: np.array([np.median(values)]))

    def tiled(self, times: int) -> BodyDraws:
        """All draws, so many times over."""
        return self._each(lambda values: np.tile(values, times))

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
        """Strain from 20 °C to ``t_c`` (N,), or (N, T) for one row or all, dimensionless.

        A measured curve goes on beyond its end as it ended.
        """

        def like(values: Array) -> Array:
            return values if np.ndim(t_c) == 1 else values[:, None]

        if self.body.curve is None:
            return stepped_strain(
                t_c,
                like(self.alpha_1e6_per_k),
                self.body.range_c[1],
                like(self.cristobalite_step),
                like(self.quartz_step),
            )
        return np.asarray(like(self.gain) * middle_strain(self.body, np.asarray(t_c)))

    def alpha_to(self, t_c: Array) -> Array:
        """Mean expansion from 20 °C to ``t_c`` (N,), 1e-6/K."""
        return np.asarray(1e6 * self.strain(t_c) / np.maximum(t_c - 20.0, 1.0))


def middle_strain(body: Body, t_c: Array) -> Array:
    """Strain (...,) from 20 °C of a body with a measured curve; beyond its end it goes on as it
    ended."""
    assert body.curve is not None
    at, strain = body.curve
    beyond = np.maximum(t_c - at[-1], 0.0)
    end = at >= at[-1] - 50.0
    end[-2:] = True
    last = float(np.polyfit(at[end], strain[end], 1)[0])
    return np.asarray(np.interp(t_c, at, strain) + last * beyond)


def _wall_step(body: Body) -> tuple[float, float]:
    """How far quartz makes the wall step at 573 °C, per cent of length.

    Where no step was measured, free quartz tells; but only what strains the wall within itself. Had
    it the same hold on the coat, glazes that set near there would hardly craze, and on raku clay
    they do (common practice): grains that shrink away from open clay take it up in small cracks.
    """
    if body.quartz_step_percent[1] > 0.0:
        return body.quartz_step_percent
    low, high = body.free_quartz_percent
    return QUARTZ_STEP_PERCENT * low / 100.0, QUARTZ_STEP_PERCENT * high / 100.0


def draw_body(body: Body, n: int = N) -> BodyDraws:
    """Draw a body within the width its file gives."""
    rng = rng_for("body", body.id, body.name)
    alpha = from_pair(body.alpha_1e6_per_k, rng, n)
    youngs, poisson = (from_pair(p, rng, n) for p in (body.youngs_modulus_gpa, body.poisson))
    steps = [
        0.01 * np.maximum(from_pair(pair, rng, n), 0.0) if pair[1] > 0.0 else np.zeros(n)
        for pair in (
            body.cristobalite_step_percent,
            body.quartz_step_percent,
            _wall_step(body),
        )
    ]
    gain = 1.0 + body.curve_error_percent / 100.0 / Z90 * rng.standard_normal(n)
    wet = body.moisture_expansion_percent
    moisture = 0.01 * from_pair(wet, rng, n) if wet and wet[1] > 0.0 else np.zeros(n)
    return BodyDraws(
        alpha_1e6_per_k=alpha,
        youngs_gpa=youngs,
        poisson=poisson,
        cristobalite_step=steps[0],
        quartz_step=steps[1],
        wall_quartz_step=steps[2],
        gain=gain,
        moisture=moisture,
        toughness_mpa_m05=from_pair(body.toughness_mpa_m05, rng, n),
        conducts_w_m_k=from_pair(CONDUCTS_W_M_K, rng, n),
        inside=rng.random(n),
        smoke_ends_c=from_pair(SMOKE_ENDS_C, rng, n),
        body=body,
    )
