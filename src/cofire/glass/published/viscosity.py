"""Published models of melt viscosity beside our own, each within the glasses it was made for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np

from cofire.arrays import Array, Mask
from cofire.chem.composition import shares, wt_from_mol
from cofire.chem.oxides import INDEX, OXIDES
from cofire.glass.published.reading import read

KELVIN = 273.15
#: An oxide for which a model has no term may make up this mole fraction before it has no answer.
_MAY_LACK = 0.01


@dataclass(frozen=True, eq=False)
class Curve:
    """log10 eta (Pa·s) = a + b / (T - t0), temperatures in °C; parameters (N,), NaN outside."""

    a: Array
    b: Array
    t0_c: Array

    def log10_eta(self, t_c: Array | float) -> Array:
        """log10 of Pa·s at temperatures (N,) or one; NaN at or below ``t0_c``."""
        above = np.asarray(t_c, dtype=float) - self.t0_c
        return self.a + np.divide(self.b, above, out=np.full_like(above, np.nan), where=above > 0)

    def isokom(self, log10_eta: float) -> Array:
        """Temperature (N,), °C, of a viscosity given as log10 of Pa·s."""
        return np.asarray(self.b / (log10_eta - self.a) + self.t0_c)

    def where(self, inside: Mask) -> Curve:
        """The same with NaN for glasses that are not ``inside`` (N,)."""
        return Curve(*(np.where(inside, v, np.nan) for v in (self.a, self.b, self.t0_c)))


@dataclass(frozen=True, eq=False)
class ViscosityModel:
    """One published model. ``log10_eta_range`` is where it was fitted, Pa·s."""

    id: str
    name: str
    citation: str
    status: str
    made_for: str
    log10_eta_range: tuple[float, float]
    curve: Callable[[Array], Curve]


def _amount(x: Array, *oxides: str) -> Array:
    if len(oxides) == 1 and oxides[0] in INDEX:
        return np.asarray(x[:, INDEX[oxides[0]]])
    return np.asarray(x[:, [INDEX[o] for o in oxides if o in INDEX]].sum(axis=1))


def _within(mol: Array, limits_wt: dict[str, tuple[float, float]], *free: str) -> Mask:
    """Whether glasses (N,) hold only oxides of ``limits_wt``, within them (wt %), or ``free``."""
    x = shares(np.atleast_2d(np.asarray(mol, dtype=float)))
    lacking = [o not in limits_wt and o not in free for o in OXIDES]
    inside = x[:, lacking].sum(axis=1) <= _MAY_LACK
    wt = wt_from_mol(x)
    for oxide, (low, high) in limits_wt.items():
        inside &= (_amount(wt, oxide) >= low) & (_amount(wt, oxide) <= high)
    return np.asarray(inside)


def fluegel_isokoms(mol: Array) -> Array:
    """Fluegel 2007: temperatures (N, 3), °C, at log10 eta (Pa·s) 1.5, 6.6 and 12.

    Moles (N, n_oxides) of any total; his manganese is MnO2, ours counts the same atoms as MnO.
    Nothing is cut off outside the glasses he had.
    """
    percent = 100.0 * shares(np.atleast_2d(np.asarray(mol, dtype=float)))
    out = np.zeros((len(percent), 3))
    for row in read("fluegel2007.csv"):
        at = {"1.5": 0, "6.6": 1, "12": 2}[row["log10_eta"]]
        term = np.ones(len(percent))
        for factor in row["term"].split("*"):
            oxide, _, power = factor.partition("^")
            if oxide == "Constant":
                continue
            term *= _amount(percent, oxide.replace("MnO2", "MnO")) ** int(power or 1)
        out[:, at] += float(row["coefficient"]) * term
    return out


_FLUEGEL = (
    "SiO2", "Al2O3", "B2O3", "BaO", "CaO", "F", "Fe2O3", "K2O", "Li2O", "MgO", "Na2O", "PbO", "SrO",
    "TiO2", "ZnO", "ZrO2", "MnO", "P2O5",
)  # fmt: skip


def _fluegel(mol: Array) -> Curve:
    t1, t2, t3 = fluegel_isokoms(mol).T
    e1, e2, e3 = 1.5, 6.6, 12.0
    # through three points, (e - a)(t - t0) = b: two equations that are linear in t0 and a
    with np.errstate(divide="ignore", invalid="ignore"):
        d12, d23 = e1 * t1 - e2 * t2, e2 * t2 - e3 * t3
        det = (e1 - e2) * (t2 - t3) - (e2 - e3) * (t1 - t2)
        t0 = (d12 * (t2 - t3) - d23 * (t1 - t2)) / det
        a = ((e1 - e2) * d23 - (e2 - e3) * d12) / det
    curve = Curve(a, (e1 - a) * (t1 - t0), t0)
    silica = _amount(shares(np.atleast_2d(np.asarray(mol, dtype=float))), "SiO2")
    usable = _within(mol, {}, *_FLUEGEL) & (silica > 0.42) & (t1 > t2) & (t2 > t3)
    return curve.where(usable & (t0 < t3) & (curve.b > 0))


#: Spans of the 18 of his glasses that were seen, wt %.
_LAKATOS_WT = {
    "SiO2": (59.5, 77.5), "Al2O3": (0.0, 8.3), "Na2O": (10.5, 14.2), "K2O": (0.0, 8.3),
    "Li2O": (0.0, 2.7), "CaO": (4.8, 12.4), "MgO": (0.0, 2.3), "BaO": (0.0, 16.6),
    "ZnO": (0.0, 9.4), "PbO": (0.0, 12.3), "B2O3": (0.0, 14.4),
}  # fmt: skip


def lakatos_curve(mol: Array) -> Curve:
    """Lakatos 1976, nothing cut off; moles (N, n_oxides) of any total."""
    wt = wt_from_mol(np.atleast_2d(np.asarray(mol, dtype=float)))
    with np.errstate(invalid="ignore", divide="ignore"):
        parts = 100.0 * wt / _amount(wt, "SiO2")[:, None]
    b, a, t0 = (np.zeros(len(wt)) for _ in range(3))
    for row in read("lakatos1976.csv"):
        oxide, _, power = row["term"].partition("^")
        term = _amount(parts, oxide) ** int(power or 1) if oxide != "Constant" else 1.0
        b = b + float(row["B"]) * term
        a = a + float(row["A"]) * term
        t0 = t0 + float(row["T0_c"]) * term
    return Curve(-a - 1.0, b, t0)  # log10 of poise is log10 of Pa·s plus 1


def _lakatos(mol: Array) -> Curve:
    return lakatos_curve(mol).where(_within(mol, _LAKATOS_WT))


def giordano_curve(mol: Array, water: Array | float = 0.0) -> Curve:
    """Giordano, Russell & Dingwell 2008, nothing cut off; ``water`` in the moles of ``mol``."""
    mol = np.atleast_2d(np.asarray(mol, dtype=float))
    fe, v = 2.0 * _amount(mol, "Fe2O3"), 0.5 * _amount(mol, "F")
    h = np.broadcast_to(np.asarray(water, dtype=float), fe.shape)
    names = ("SiO2", "TiO2", "Al2O3", "MnO", "MgO", "CaO", "Na2O", "K2O", "P2O5")
    with np.errstate(invalid="ignore", divide="ignore"):
        to_percent = 100.0 / (_amount(mol, *names) + fe + v + h)
    si, ti, al, mn, mg, ca, na, k, p = (to_percent * _amount(mol, o) for o in names)
    fe, h, v = to_percent * fe, to_percent * h, to_percent * (v + h)
    terms = {
        "b1": si + ti, "b2": al, "b3": fe + mn + p, "b4": mg, "b5": ca, "b6": na + v,
        "b7": v + np.log1p(h), "b11": (si + ti) * (fe + mn + mg),
        "b12": (si + ti + al + p) * (na + k + h), "b13": al * (na + k),
        "c1": si, "c2": ti + al, "c3": fe + mn + mg, "c4": ca, "c5": na + k, "c6": np.log1p(v),
        "c11": (al + fe + mn + mg + ca - p) * (na + k + v),
    }  # fmt: skip
    value = {row["coefficient"]: float(row["value"]) for row in read("giordano2008.csv")}
    b, c = (sum(value[t] * terms[t] for t in terms if t[0] == letter) for letter in "bc")
    return Curve(np.full(len(mol), value["A"]), np.asarray(b), np.asarray(c) - KELVIN)


#: Spans of the melts it was fitted to, wt %; from memory.
_GIORDANO_WT = {
    "SiO2": (41.0, 79.0), "TiO2": (0.0, 3.0), "Al2O3": (0.0, 23.0), "Fe2O3": (0.0, 13.0),
    "MgO": (0.0, 32.0), "CaO": (0.0, 26.0), "Na2O": (0.0, 11.0), "K2O": (0.0, 9.0),
}  # fmt: skip


def _giordano(mol: Array) -> Curve:
    return giordano_curve(mol).where(_within(mol, _GIORDANO_WT, "MnO", "P2O5", "F"))


@cache
def models() -> tuple[ViscosityModel, ...]:
    """All published viscosity models."""
    return (
        ViscosityModel(
            "fluegel",
            "Fluegel 2007",
            "Fluegel A., Glass Technol.: Eur. J. Glass Sci. Technol. A 48 (2007) 13-30",
            "seen in a copy, eight signs and one number of it restored",
            "silicate glasses from 42 mol % silica (limit from memory)",
            (1.5, 12.0),
            _fluegel,
        ),
        ViscosityModel(
            "lakatos",
            "Lakatos 1976",
            "Lakatos T., Johansson L.-G., Simmingsköld B., Glastek. Tidskr. 31 (1976) 51-54",
            "seen",
            "soda-lime glasses and their kin (the span of 18 of his glasses)",
            (1.0, 5.0),
            _lakatos,
        ),
        ViscosityModel(
            "giordano",
            "Giordano et al. 2008",
            "Giordano D., Russell J. K., Dingwell D. B., Earth Planet. Sci. Lett. 271 (2008) "
            "123-134",
            "seen; limits from memory",
            "natural melts without boron, lithium, zinc, barium, strontium or lead",
            (-1.0, 12.0),
            _giordano,
        ),
    )
