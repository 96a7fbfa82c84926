"""Draws of glazes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from cofire import glass
from cofire.arrays import Array, Mask, blocks, running_sum
from cofire.chem.composition import mol_from_wt, wt_from_mol
from cofire.chem.oxides import vector
from cofire.fit.cracking import toughness_mpa_m05
from cofire.glass.crystals import LOCKED, phases
from cofire.model.conditions import PYROMETER_SD_C, Conditions
from cofire.model.glaze_set import GlazeSet, model_errors
from cofire.model.solids import Mixture, mixture
from cofire.model.standard_draws import N_ANALYSES, N, Source, normals, rank_of
from cofire.read.coat import SPREAD
from cofire.ripeness.melting import Grains, Steps, diffused_um2, saturated, slack, undissolved
from cofire.ripeness.stages import CREEP_ANGLE_DEG, Melt, crystal_minutes

#: Stiffer melts, log10 Pa·s, grow almost no crystals within hours: at this viscosity the fastest
#: law of growth gives some micrometres a minute; our choice.
_CRYSTALS_LOG10_ETA = 6.0
#: Surface tension is taken here, °C; it changes by 4 mN/m in 100 °C, far less than it is known.
_WORKING_C = 950.0
#: No silicate melt pulls less; from memory.
_LEAST_TENSION_MN_M = 120.0
#: Correlation of the toughness of two glazes that are nothing alike: tests and their scatter are
#: the same for all of them; our choice.
_COMMON_TOUGHNESS = 0.8
#: Decades of Pa·s from 1 within which viscosities are reckoned: far more than a melt or a rock has,
#: and no more than a fluidity in single precision can hold. Where the models run wild, beyond any
#: measured glass, the glaze is as thin, or as stiff, as if they ran on.
_MOST_DECADES = 30.0
#: What is worked out once of a glaze and holds with grains in it too.
_KNOWN_BY_GLAZE = ("grains", "_gap_c")
#: Where melting is worked out, °C.
_MELTING_C = np.arange(300.0, 1501.0, 10.0)
#: Doubt of melting points, K, of ln of how fast grains dissolve, and of the share at which they
#: lock; from memory: tables of minerals differ by 20 K, diffusion in melts of one viscosity by a
#: factor of 3 either way, and odd grains lock from 0.56 to 0.72.
_MELTS_SD_C, _DISSOLVES_SD, _PACKING_SD = 20.0, 1.2, 0.04
#: Grains by which their part in expansion is worked out, wt %: enough to see, and far from locked.
_LEFT_WT = (0.1, 10.0)
#: Share of their shrinking that grains of quartz pass on, both ends: the larger ones tear
#: loose (from memory of quartz in porcelain; the same is taken for bodies).
_GRAINS_HOLD = (0.3, 1.0)
#: The annealing point has a model of its own, which need not agree with the curve at 10^12 Pa·s:
#: from the first to the second of these a glaze follows either, or anything between. Our choice.
_STIFF_END_LOG10_ETA = (8.0, 11.0)
#: Doubt of the angle of creep: both its parts are known to 20 or 10 degrees, 90 %.
_CREEP_SD_DEG = 14.0
#: Fired clay of bodies, shares of weight (from memory of analyses), and how much of it is tried.
_CLAY_WT = vector({"SiO2": 0.68, "Al2O3": 0.26, "K2O": 0.03, "Fe2O3": 0.03})
_CLAY_TRIED = 0.05
#: Temperatures through which a glaze's expansion is drawn, °C.
_BEND_C = (90.0, 385.0, 680.0)


@dataclass(frozen=True, eq=False)
class GlazeDraws:
    """``n`` versions of each of P glazes, glaze by glaze: arrays (P n,); ``solids`` and ``curve``
    have a row for each analysis instead, and ``pick`` says which row a draw uses."""

    glazes: GlazeSet
    parts: Array  # (P, M)
    n: int
    stated: Mixture  # of each glaze (P), its analyses as stated
    solids: Mixture  # of each analysis; its melt is what the glass models see
    curve: glass.ViscosityCurve
    pick: NDArray[np.intp]
    viscosity_error: Array  # times the 90 % half-width
    kiln_offset_c: Array
    alpha_error: Array
    youngs_gpa: Array
    poisson: Array
    coat_mm: Array
    surface_tension_n_m: Array
    melt_density_kg_m3: Array
    to_annealing: Array  # share of the way from the curve to the annealing point
    liquidus_c: Array
    toughness_mpa_m05: Array
    melts_later_c: Array  # than tables say
    dissolves_by: Array  # factor on how fast grains dissolve
    grain_size_error: Array  # times the doubt of ln size of each material
    packing: Array  # share of grains at which they lock
    creep_angle_deg: Array
    grains_hold: Array  # share of their shrinking that grains pass on
    pull: Array  # when it leaves the kiln, from 0, at the first pull, to 1, at the last
    #: Without and with the usual grains that are left, and how many times those each draw has.
    left: tuple[Mixture, Mixture, Array] | None = None

    @property
    def middle(self) -> glass.Prepared:
        """The melt of each glaze (P), its analyses as stated."""
        return self.stated.melts

    @property
    def melt(self) -> Melt:
        """The melt of each draw, as it hangs on a wall."""
        return Melt(
            self.surface_tension_n_m,
            self.melt_density_kg_m3,
            self.creep_angle_deg,
            self.clay_stiffens,
        )

    @cached_property
    def clay_stiffens(self) -> Array:
        """Decades of viscosity by a share of clay (P n,), as fast as it is taken up."""
        by_share = np.repeat(_clay_stiffens(self.stated), self.n)
        return np.asarray(by_share * np.sqrt(self.dissolves_by))

    def log10_eta(self, t_c: Array) -> NDArray[np.float32]:
        """log10 of viscosity (Pa·s) at temperatures (T,), shape (P n, T)."""
        return self.eta_of(self.eta_rows(t_c))

    def eta_rows(self, t_c: Array) -> NDArray[np.float32]:
        """What ``eta_of`` makes the log10 of viscosity of, for each analysis, at temperatures (T,):
        middle, width, slope and what another stiff end would add, (4, analyses, T)."""
        # known to a tenth of a decade at best: single precision takes half the time
        at = t_c[None, :]
        value = self.curve.log10_eta(at) + self.solids.stiffening[:, None]
        slope, width = self.curve.slope(at), self.curve.width(at, 0.9)
        # two models of the stiff end, each as likely as the other and all between them
        soft, stiff = _STIFF_END_LOG10_ETA
        late = self.curve.log10_eta(at - self._gap_c[:, None]) + self.solids.stiffening[:, None]
        late = (late - value) * np.clip((value - soft) / (stiff - soft), 0.0, 1.0)
        return np.stack([value, width, slope, late]).astype(np.float32)

    def eta_of(self, rows: NDArray[np.float32], draws: slice = slice(None)) -> NDArray[np.float32]:
        """log10 of viscosity (Pa·s) of each draw, or of some, (P n, T).

        The kiln's own error is taken up here: a pot 8 °C hotter is a thinner glaze.
        """
        value, *moves = rows
        pick = self.pick[draws]
        out: NDArray[np.float32] = value[pick]
        shares = (self.viscosity_error, self.kiln_offset_c, self.to_annealing)
        for row, share in zip(moves, shares, strict=True):
            moved = row[pick]
            moved *= share[draws].astype(np.float32)[:, None]
            out += moved
        np.clip(out, -_MOST_DECADES, _MOST_DECADES, out=out)
        return out

    @cached_property
    def _gap_c(self) -> Array:
        """How far the annealing point lies above 10^12 Pa·s of the curve, of each analysis."""
        gap = glass.annealing_point(self.middle).value - glass.viscosity(self.middle).isokom(12.0)
        return np.repeat(gap, len(self.solids.melt_mol) // len(self.parts))

    def crystal_minutes(self, time_s: Array, t_c: Array) -> Array:
        """Minutes (P n,) that crystals had to grow along the ware's history (T,) and are kept."""
        flows = self.curve.isokom(_CRYSTALS_LOG10_ETA)[self.pick] - self.kiln_offset_c
        return crystal_minutes(time_s, t_c, self.liquidus_c, flows)

    def fluidity(self, t_c: Array) -> NDArray[np.float32]:
        """1/eta, 1/(Pa·s), at temperatures (T,), shape (P n, T)."""
        rows = self.eta_rows(t_c)
        out = np.empty((len(self.pick), len(t_c)), dtype=np.float32)
        for some in blocks(len(out)):
            flow = self.eta_of(rows, some)
            flow *= np.float32(-np.log(10.0))
            np.exp(flow, out=out[some])
        return out

    @property
    def opacified(self) -> Array:
        """Share of the volume (P n,) of opacifiers and stated crystals."""
        return np.asarray(self.solids.volume.sum(axis=-1)[self.pick])

    @cached_property
    def grains(self) -> Grains:
        """What is solid of each glaze by temperature, before grains dissolve."""
        return self.glazes.batch(self.parts).grains(_MELTING_C)

    def undissolved(self, steps: Steps, hotter_c: Array | float = 0.0) -> Array:
        """Share of the coat that is solid, by size of grain, in the middle of each of K ``steps``
        (S, K, P n), of a firing that is hotter by ``hotter_c`` (P n,)."""
        # in single precision: shares are known to some per cent
        hotter, offset, later, by, liquidus, error = np.stack(
            np.broadcast_arrays(
                hotter_c, self.kiln_offset_c, self.melts_later_c, self.dissolves_by,
                self.liquidus_c, self.grain_size_error,
            )
        ).astype(np.float32)  # fmt: skip
        t_c, hottest_c = (t.astype(np.float32)[:, None] for t in (steps.t_c, steps.hottest_c))
        glaze, sizes = np.repeat(np.arange(len(self.parts)), self.n), self.grains.sizes
        left = np.empty((len(sizes), *steps.flow.shape), dtype=np.float32)
        for rows in blocks(len(glaze)):
            moved = hotter[rows] + offset[rows] - later[rows]
            solid = self.grains.at(hottest_c + moved, glaze[rows])
            diffused = by[rows] * diffused_um2(t_c + hotter[rows], steps.flow[:, rows])
            lost = diffused * np.maximum(1.0 - solid.sum(axis=0), 0.0)
            lost = running_sum(lost) - 0.5 * lost
            full = saturated(liquidus[rows] - hotter[rows], hottest_c)
            for k, of in enumerate(sizes):
                radius_um = of.radius_um * np.exp(of.doubt * error[rows])
                left[k, :, rows] = solid[k] * np.maximum(undissolved(lost, radius_um), full)
        return left

    def flowed(self, steps: Steps, hotter_c: Array | float = 0.0) -> tuple[Array, Array]:
        """Integral of dt/eta, 1/Pa, up to the end of each step (K, P n), of melt and grains; and
        the grains at the end (S, P n)."""
        others, packing = self.opacified.astype(np.float32), self.packing.astype(np.float32)
        left = self.undissolved(steps, hotter_c)
        flowed = np.empty(steps.flow.shape)
        for rows in blocks(len(packing)):
            loose = slack(left[:, :, rows].sum(axis=0), others[rows], packing[rows])
            flowed[:, rows] = running_sum((steps.flow[:, rows] * loose).astype(float))
        return flowed, left[:, -1].astype(float)

    def with_grains(self, left: Array) -> GlazeDraws:
        """The same glazes with grains that are left (S, P n) in them, as their glass lacks them."""
        kinds = sorted({of.kind for of in self.grains.sizes} & set(phases()))
        if not kinds:
            return self
        # expansion is straight in what is left: the usual share of each glaze is enough
        of_kind = [np.array([of.kind == k for of in self.grains.sizes]) for k in kinds]
        wt = np.stack([100.0 * self.by_glaze(left[rows].sum(axis=0)) for rows in of_kind])
        usual = np.clip(wt.mean(axis=2), *_LEFT_WT)
        recipe, mol = self.glazes.recipe, self.glazes.mol(self.parts)
        left_wt = dict(zip(kinds, usual, strict=True))
        mixed = mixture(recipe, mol, amounts=self.parts, left=left_wt)
        times = wt.sum(axis=0) / usual.sum(axis=0)[:, None]
        within = replace(self, left=(self.stated, mixed, times.ravel()))
        within.__dict__.update({k: v for k, v in self.__dict__.items() if k in _KNOWN_BY_GLAZE})
        return within

    def by_glaze(self, values: Array | Mask) -> Array:
        """Draws (P n,) as rows of glazes (P, n)."""
        return np.asarray(np.reshape(values, (len(self.parts), self.n)))

    def some(self, n: int) -> GlazeDraws:
        """The first ``n`` draws of a single glaze."""
        if n == self.n:
            return self  # with all that is worked out already
        return self._each(lambda values: values[:n], n)

    def those(self, which: Mask) -> GlazeDraws:
        """Those draws (n,) of a single glaze."""
        return self._each(lambda values: values[which], int(which.sum()))

    def restreamed(self, at: Conditions, layer: int, stream: int) -> GlazeDraws:
        """The same under the coat of a layer, in another stream of coats and places."""
        count, unmoved = len(self.parts), self.liquidus_c + self.kiln_offset_c
        offset = np.tile(kiln_offsets_c(at, self.n, stream), count)
        return replace(
            self,
            coat_mm=np.tile(coats_mm(at, self.n, layer, stream), count),
            kiln_offset_c=offset,
            liquidus_c=unmoved - offset,
        )

    def _each(self, change: Callable[[Array], Array], n: int) -> GlazeDraws:
        changed = {f.name: change(getattr(self, f.name)) for f in fields(self)[6:-1]}
        return replace(self, n=n, left=None, **changed)  # type: ignore[arg-type]

    @cached_property
    def _expands(self) -> glass.ExpansionTerms:
        """Of the glass of each draw (P n,), with the model's error drawn."""
        value, bend = glass.expansion_terms(self.solids.melts).of(self.pick)
        return glass.ExpansionTerms(value + self.alpha_error, bend)

    @cached_property
    def _expands_with(self) -> tuple[glass.ExpansionTerms, ...]:
        """Without and with the usual grains that are left, of each draw (P n,)."""
        assert self.left is not None
        glaze = np.repeat(np.arange(len(self.parts)), self.n)
        return tuple(glass.expansion_terms(some.melts).of(glaze) for some in self.left[:2])

    def alpha_1e6_per_k(self, to_c: Array) -> Array:
        """Mean linear expansion (P n,) from 20 °C to ``to_c`` (P n,), or (1,) for all alike."""
        of_glass = self._expands.up_to(to_c)
        alpha = self.solids.expansion(of_glass, self.youngs_gpa, self.poisson, self.pick)
        return alpha if self.left is None else alpha + self._alpha_of_grains(to_c)

    def _alpha_of_grains(self, to_c: Array) -> Array:
        """What grains that are left add to expansion (P n,): they expand, and the glass lacks
        them."""
        if self.left is None:
            return np.zeros(len(to_c))
        *mixtures, times = self.left
        glaze = np.repeat(np.arange(len(self.parts)), self.n)

        def parts_of(some: Mixture, terms: glass.ExpansionTerms) -> tuple[Array, Array]:
            of_glass = terms.up_to(to_c)
            whole = some.expansion(of_glass, self.youngs_gpa, self.poisson, glaze, to_c)
            return of_glass, whole - of_glass

        (glass_bare, grains_bare), (glass_with, grains_with) = map(
            parts_of, mixtures, self._expands_with
        )
        return (glass_with - glass_bare + self.grains_hold * (grains_with - grains_bare)) * times

    @property
    def bend(self) -> Array:
        """Coefficients (P n, 3) of the mean expansion by temperature, for ``strain_along``."""
        means = [self.alpha_1e6_per_k(np.full(len(self.pick), end)) for end in _BEND_C]
        return np.stack(means, axis=1) @ np.linalg.inv(np.vander(_BEND_C, 3)).T


def strain_along(bend: Array, t_c: Array) -> Array:
    """Strain of glazes (N,) with ``GlazeDraws.bend`` (N, 3) from 20 °C to temperatures (N, T):
    between three of these the mean expansion is a parabola, flat beyond (as
    ``glass.ExpansionTerms``)."""
    t = np.clip(t_c, _BEND_C[0], _BEND_C[-1])
    square, straight, middle = bend.T[:, :, None]
    alpha = square * t
    alpha += straight
    alpha *= t
    alpha += middle
    alpha *= t_c - 20.0
    alpha *= 1e-6
    return np.asarray(alpha)


#: Sources of doubt that a question may draw alone, by the name of their group.
GROUPS: dict[str, frozenset[Source]] = {
    "analyses": frozenset({"analyses"}),
    "models": frozenset(
        {"viscosity", "expansion", "stiffness", "surface tension", "liquidus", "dissolving",
         "toughness", "toughness of the glass", "melting", "diffusion", "grain size",
         "creep angle", "grains hold", "stiff end",         "packing"}
    ),
    "coat": frozenset({"coat"}),
    "place": frozenset({"pyrometer", "place", "pull"}),
}  # fmt: skip
ALL_SOURCES: frozenset[Source] = frozenset().union(*GROUPS.values())


@dataclass(frozen=True)
class Drawing:
    """How glazes are drawn: how many times, which layer's coat, which independent stream of coats
    and places, and which sources of doubt; those left out stay in their middle."""

    n: int = N
    layer: int = 0
    stream: int = 0
    sources: frozenset[Source] = ALL_SOURCES


EVERYTHING = Drawing()
#: One draw in the middle of everything.
MIDDLE = Drawing(n=1, sources=frozenset())


def kiln_offsets_c(at: Conditions, n: int, stream: int) -> Array:
    """How much hotter than shown one place in the kiln is (n,), °C; the error of the pyrometer is
    the same for the whole firing."""
    place = at.place_sd_c * normals("place", n, stream)
    return np.asarray(PYROMETER_SD_C * normals("pyrometer", n) + place)


def coats_mm(at: Conditions, n: int, layer: int, stream: int) -> Array:
    """Fired coats of a layer (n,), mm."""
    return np.asarray(at.coat(layer).fired_mm * np.exp(SPREAD * normals("coat", n, stream)))


def draw_glazes(
    glazes: GlazeSet,
    parts: Array,
    at: Conditions,
    how: Drawing = EVERYTHING,
    weighed: Array | None = None,
) -> GlazeDraws:
    """Draw P glazes of ``parts`` (P, M); ``weighed`` (P, N_ANALYSES, M) are other parts for each
    analysis, where weighing is in doubt too.

    Raises CompositionError for solids that lock a glaze.
    """
    count, n = len(parts), how.n

    exact = mixture(glazes.recipe, glazes.mol(parts), amounts=parts)
    middle = exact.melts
    if how.sources & {"analyses", "dissolving"} or weighed is not None:
        solids = _drawn_solids(glazes, parts, how, weighed)
        analyses = N_ANALYSES
    else:
        solids, analyses = exact, 1

    def error(source: Source) -> Array:
        if source not in how.sources:
            return np.zeros((count, n))
        return model_errors(source, middle, n)

    def about(estimate: glass.Estimate, source: Source) -> Array:
        return np.asarray(estimate.value[:, None] + estimate.sd[:, None] * error(source))

    def common(source: Source) -> Array:
        return normals(source, n) if source in how.sources else np.zeros(n)

    curve = glass.viscosity(solids.melts)
    placed = "place" in how.sources
    offset = kiln_offsets_c(at, n, how.stream) if placed else np.zeros(n)
    gamma = about(glass.surface_tension(exact.melt_mol, _WORKING_C), "surface tension")
    shared, own = np.sqrt(_COMMON_TOUGHNESS), np.sqrt(1.0 - _COMMON_TOUGHNESS)
    tough = own * error("toughness of the glass")
    if "toughness" in how.sources:
        tough = tough + shared * normals("toughness", n)
    youngs = np.maximum(about(glass.youngs_modulus(middle), "stiffness"), 20.0)
    coat = np.full(n, at.coat(how.layer).fired_mm)
    if "coat" in how.sources:
        coat = coats_mm(at, n, how.layer, how.stream)
    return GlazeDraws(
        glazes=glazes,
        parts=parts,
        n=n,
        stated=exact,
        solids=solids,
        curve=curve,
        pick=(analyses * np.arange(count)[:, None] + np.arange(n) % analyses).ravel(),
        viscosity_error=curve.error_factors(rank_of(error("viscosity"))).ravel(),
        kiln_offset_c=np.tile(offset, count),
        alpha_error=glass.expansion_errors(middle, rank_of(error("expansion"))).ravel(),
        youngs_gpa=youngs.ravel(),
        poisson=np.repeat(glass.poisson_ratio(middle), n),
        coat_mm=np.tile(coat, count),
        surface_tension_n_m=1e-3 * np.maximum(gamma, _LEAST_TENSION_MN_M).ravel(),
        melt_density_kg_m3=np.repeat(glass.melt_density(middle), n),
        to_annealing=np.tile(rank_of(common("stiff end")), count),
        liquidus_c=(about(glass.liquidus(middle), "liquidus") - offset).ravel(),
        toughness_mpa_m05=toughness_mpa_m05(youngs, tough).ravel(),
        melts_later_c=np.tile(_MELTS_SD_C * common("melting"), count),
        dissolves_by=np.tile(np.exp(_DISSOLVES_SD * common("diffusion")), count),
        grain_size_error=np.tile(common("grain size"), count),
        creep_angle_deg=np.tile(CREEP_ANGLE_DEG + _CREEP_SD_DEG * common("creep angle"), count),
        grains_hold=np.tile(
            _GRAINS_HOLD[0] + np.diff(_GRAINS_HOLD) * rank_of(common("grains hold")), count
        ),
        pull=np.tile(rank_of(common("pull")), count),
        packing=np.tile(LOCKED + _PACKING_SD * common("packing"), count),
    )


def _clay_stiffens(glazes: Mixture) -> Array:
    """Decades of viscosity by which a share of clay stiffens the melts of glazes (P), (P,)."""
    wt = wt_from_mol(glazes.melt_mol)
    more = glass.prepare(mol_from_wt((1.0 - _CLAY_TRIED) * wt + 100.0 * _CLAY_TRIED * _CLAY_WT))
    at = np.array([_WORKING_C])
    thin, stiff = (glass.viscosity(m).log10_eta(at[None])[:, 0] for m in (glazes.melts, more))
    return np.asarray((stiff - thin) / _CLAY_TRIED)


def _drawn_solids(glazes: GlazeSet, parts: Array, how: Drawing, weighed: Array | None) -> Mixture:
    """Glass and solids of every analysis of every glaze (P N_ANALYSES)."""
    amounts = np.repeat(parts[:, None], N_ANALYSES, axis=1) if weighed is None else weighed
    analyses = "analyses" in how.sources
    mol = glazes.drawn_mol(amounts) if analyses else glazes.mol(amounts)
    dissolving = None
    if "dissolving" in how.sources:
        dissolving = np.tile(normals("dissolving", N_ANALYSES), len(parts))
    flat = (len(parts) * N_ANALYSES, -1)
    return mixture(glazes.recipe, mol.reshape(flat), dissolving, amounts.reshape(flat))
