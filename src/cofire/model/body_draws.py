"""Plausible versions of a clay body and of how its wall cools."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np

from cofire.arrays import Array
from cofire.fit.stress import stepped_strain
from cofire.glass.estimate import Z90
from cofire.model.standard_draws import N, Source, normals, rank_of
from cofire.records import Body

#: Heat that fired clay of about 20 % pores conducts, W/(m K), 5 % and 95 % ends; from memory.
CONDUCTS_W_M_K = (0.4, 1.0)
#: Combustibles give off smoke as long as the ware keeps them hot: cellulose breaks down between
#: 315 and 400 °C, hemicellulose from 220 °C on (Yang et al., Fuel 86 (2007) 1781). Temperature of
#: the ware when the smoke ends, 5 % and 95 % ends.
SMOKE_ENDS_C = (250.0, 400.0)
#: Step of pure quartz at 573 °C, per cent of length, along a random grain (from memory of Heaney
#: et al., Rev. Mineral. 29 (1994): 1.35 % of volume).
QUARTZ_STEP_PERCENT = 0.45
#: 5 % to 95 % of a normal distribution is this many standard deviations wide.
_WIDTH_SD = 2 * Z90


def from_pair(pair: tuple[float, float], source: Source, n: int = N) -> Array:
    """Normal draws (n,) whose 5 % and 95 % ends are ``pair``; never below a tenth of the low."""
    low, high = pair
    drawn = 0.5 * (low + high) + (high - low) / _WIDTH_SD * normals(source, n)
    return np.maximum(drawn, 0.1 * low)


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

    @cached_property
    def middle(self) -> BodyDraws:
        """One body in the middle of all."""
        return self._each(lambda values: np.array([np.median(values)]))

    def tiled(self, times: int) -> BodyDraws:
        """All draws, repeated ``times`` times."""
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

    If no step was measured, it follows from the free quartz; but it strains only the wall, not the
    coat. If it strained the coat as well, glazes that set near there would seldom craze, and on
    raku clay they do (common practice): grains that shrink away from open clay are taken up by
    small cracks.
    """
    if body.quartz_step_percent[1] > 0.0:
        return body.quartz_step_percent
    low, high = body.free_quartz_percent
    return QUARTZ_STEP_PERCENT * low / 100.0, QUARTZ_STEP_PERCENT * high / 100.0


def draw_body(body: Body, n: int = N) -> BodyDraws:
    """Draw a body within the width its file gives."""

    def share(pair: tuple[float, float] | None, source: Source) -> Array:
        if not pair or pair[1] <= 0.0:
            return np.zeros(n)
        return 0.01 * np.maximum(from_pair(pair, source, n), 0.0)

    return BodyDraws(
        alpha_1e6_per_k=from_pair(body.alpha_1e6_per_k, "body expansion", n),
        youngs_gpa=from_pair(body.youngs_modulus_gpa, "body stiffness", n),
        poisson=from_pair(body.poisson, "body poisson", n),
        cristobalite_step=share(body.cristobalite_step_percent, "body cristobalite"),
        quartz_step=share(body.quartz_step_percent, "body quartz"),
        wall_quartz_step=share(_wall_step(body), "body quartz"),
        gain=1.0 + body.curve_error_percent / 100.0 / Z90 * normals("body curve", n),
        moisture=share(body.moisture_expansion_percent, "body moisture"),
        toughness_mpa_m05=from_pair(body.toughness_mpa_m05, "body toughness", n),
        conducts_w_m_k=from_pair(CONDUCTS_W_M_K, "body conduction", n),
        inside=rank_of(normals("body inside", n)),
        smoke_ends_c=from_pair(SMOKE_ENDS_C, "smoke ends", n),
        body=body,
    )
