"""Published models of melt viscosity beside our own, each within the glasses it was made for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, partial

import numpy as np

from cofire.arrays import Array, Mask
from cofire.chem.composition import shares, wt_from_mol
from cofire.chem.oxides import INDEX, OXIDES
from cofire.files import toml
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
    falls = (t1 > t2) & (t2 > t3) & (t0 < t3) & (curve.b > 0)
    return curve.where((silica > 0.42) & falls)


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


#: What the models of the data file compute.
_CURVES = {"fluegel": _fluegel, "lakatos": lakatos_curve, "giordano": giordano_curve}


@cache
def models() -> tuple[ViscosityModel, ...]:
    """All published viscosity models."""
    result = []
    for key, facts in toml.beside(__file__, "viscosity_models.toml").items():
        facts = dict(facts)
        least, most, free = (facts.pop(name, {}) for name in ("least", "most", "free"))
        within = {oxide: (least[oxide], most[oxide]) for oxide in least}
        curve = partial(_inside, _CURVES[key], within, free)
        result.append(ViscosityModel(key, **facts, curve=curve))
    return tuple(result)


def _inside(
    curve: Callable[[Array], Curve],
    within: dict[str, tuple[float, float]],
    free: Sequence[str],
    mol: Array,
) -> Curve:
    return curve(mol).where(_within(mol, within, *free))
