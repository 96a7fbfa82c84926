"""How our models and the published ones do on measured glasses that neither was fitted to."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from cofire.arrays import Array, Mask
from cofire.chem.oxides import MODELLED, OXIDES
from cofire.glass import published
from cofire.glass.estimate import RULER, Width, unsure
from cofire.glass.refit.grounds import Grounds
from cofire.glass.refit.judged import Judged
from cofire.glass.refit.measured import Rows
from cofire.glass.refit.properties import MODEL_UNIT, TARGETS, Target, design_of, range_terms
from cofire.glass.refit.solve import LEVELS

#: Published glazes and low-melting glasses for ware with printed properties, scored by fits that
#: left all of them out.
GLAZES = ("Hall F.P.|1930", "Geller R.F.|1938", "Sawamura K.|1978", "Kosokabe H.|2000")

_I = {o: i for i, o in enumerate(MODELLED)}


def moles(x: Array) -> Array:
    """Rows of the measured files (N, 22) as full compositions (N, n_oxides)."""
    return np.pad(x, ((0, 0), (0, len(OXIDES) - len(MODELLED))))


def regions(x: Array) -> dict[str, Mask]:
    """Parts of the domain by composition, mole fractions (N, 22)."""

    def of(*names: str) -> Array:
        return np.asarray(x[:, [_I[n] for n in names]].sum(axis=1))

    boron, lead = of("B2O3"), of("PbO")
    return {
        "no boron, no lead": (boron < 0.005) & (lead < 0.005),
        "boron up to 5 mol %": (boron >= 0.005) & (boron < 0.05) & (lead < 0.005),
        "boron 5 to 15 mol %": (boron >= 0.05) & (boron < 0.15) & (lead < 0.005),
        "boron over 15 mol %": (boron >= 0.15) & (lead < 0.005),
        "with lead": lead >= 0.005,
        "with lithia over 2 mol %": of("Li2O") > 0.02,
        "with zinc over 2 mol %": of("ZnO") > 0.02,
        "with strontia or baryta over 2 mol %": of("SrO", "BaO") > 0.02,
        "alumina over 8 mol %": of("Al2O3") > 0.08,
        "colouring oxides over 1 mol %": of("Fe2O3", "MnO", "CuO", "CoO") > 0.01,
        "zirconia or tin over 1 mol %": of("ZrO2", "SnO2") > 0.01,
    }


def _pair(error: Array, ours: Array, core: Any) -> dict[str, float | int]:
    """Mean misses of another model and of ours on the rows that the other one answers."""
    knows = np.isfinite(error)
    out: dict[str, float | int] = {}
    for name, part in (("", knows), ("core_", knows & core)):
        out[f"{name}rows"] = int(part.sum())
        if part.any():
            out[f"{name}miss"] = round(float(np.abs(error)[part].mean()), 4)
            out[f"{name}bias"] = round(float(error[part].mean()), 4)
            out[f"{name}ours"] = round(float(np.abs(ours)[part].mean()), 4)
    return out


def expansion_tables(judged: Judged) -> dict[str, dict[str, float | int]]:
    """Every published table on the measured 20-300 °C rows, 1e-6/K, beside ours."""
    mol = moles(judged.x)
    return {
        t.id: _pair(published.expansion(mol, t) - judged.y, judged.error, judged.core)
        for t in published.tables()
    }


def viscosity_models(judged: Judged, t_k: Array) -> dict[str, dict[str, float | int]]:
    """Every published viscosity model on measured rows within its limits, log10 Pa·s."""
    mol, t_c = moles(judged.x), t_k - 273.15
    out = {}
    for model in published.models():
        low, high = model.log10_eta_range
        value = model.curve(mol).log10_eta(t_c)
        value = np.where((judged.y >= low) & (judged.y <= high), value, np.nan)
        out[model.id] = _pair(value - judged.y, judged.error, judged.core)
    return out


def summary(judged: Judged) -> dict[str, Any]:
    """Rows, misses and coverage of one property."""
    facts: dict[str, Any] = {
        "rows": len(judged.y),
        "publications": len(set(judged.group.tolist())),
        "miss": round(judged.miss(), 4),
        "median_miss": round(float(np.median(np.abs(judged.error))), 4),
        "covered_90": round(judged.covered(0.9), 4),
        "core_rows": int(judged.core.sum()),
    }
    if judged.core.any():
        facts |= {
            "core_miss": round(judged.miss(judged.core), 4),
            "core_median_miss": round(float(np.median(np.abs(judged.error[judged.core]))), 4),
            "core_covered_90": round(judged.covered(0.9, judged.core), 4),
        }
    facts["regions"] = {
        name: {"rows": int(part.sum()), "miss": round(judged.miss(part), 4)}
        for name, part in regions(judged.x).items()
        if part.sum() >= 20
    }
    return facts


def by_support(judged: Judged) -> dict[str, dict[str, float]]:
    """Mean miss of rows well inside the data, at its edge and outside, by distance."""
    words = ("well inside the data", "at the edge of the data", "outside the data")
    out = {}
    for word, low, high in zip(words, (0.0, *RULER[1:]), (*RULER[1:], np.inf), strict=True):
        part = (judged.apart >= low) & (judged.apart < high)
        if part.any():
            out[word] = {
                "rows": int(part.sum()),
                "miss": round(judged.miss(part), 4),
                "covered_90": round(judged.covered(0.9, part), 4),
            }
    return out


def worst_publications(judged: Judged, count: int = 8) -> list[dict[str, Any]]:
    """Publications of five rows or more that lie farthest from the predictions."""
    publications = []
    for name in sorted(set(judged.group.tolist())):
        part = judged.group == name
        if part.sum() >= 5:
            publications.append(
                {
                    "publication": name.replace("|", " "),
                    "rows": int(part.sum()),
                    "bias": round(float(judged.error[part].mean()), 3),
                    "miss": round(judged.miss(part), 3),
                }
            )
    return sorted(publications, key=lambda f: -float(f["miss"]))[:count]


def unseen_glazes(
    grounds: Grounds, widths: dict[str, Array]
) -> dict[str, dict[str, dict[str, Any]]]:
    """Published glazes, each predicted by fits whose landmarks and rows left all of them out, with
    intervals of the ``widths`` as stored."""
    out: dict[str, dict[str, dict[str, Any]]] = {name: {} for name in GLAZES}
    blind = Grounds(replace(grounds.measured, without=GLAZES), grounds.count)
    for target in TARGETS:
        if target.name not in ("expansion", "youngs", "littleton") or target.name not in widths:
            continue
        width = Width.of(widths[target.name])
        fitted, covariance = design_of(target, blind).fit()
        for name in GLAZES:
            for kind, glazes in _printed(target, grounds, name).items():
                if not len(glazes.y):
                    continue
                columns = blind.all.columns(glazes.x)
                n = columns.shape[1]
                variance = ((columns @ covariance[:n, :n]) * columns).sum(1)
                if target.extra:
                    columns = np.hstack([columns, range_terms(glazes.x, glazes.extra)])
                unit = MODEL_UNIT[target.name]
                error = unit * (columns @ fitted[: columns.shape[1]]) - glazes.y
                scale = width.scale(unit**2 * variance, unsure(glazes.x, blind.all.apart(glazes.x)))
                half = scale * width.q[LEVELS.tolist().index(0.9)]
                facts: dict[str, Any] = {
                    "rows": len(glazes.y),
                    "miss": round(float(np.abs(error).mean()), 3),
                    "bias": round(float(error.mean()), 3),
                    "covered_90": round(float((np.abs(error) <= half).mean()), 3),
                }
                if target.name == "expansion":
                    facts["tables"] = _of_tables(glazes)
                out[name][kind] = facts
    return {name: found for name, found in out.items() if found}


def _printed(target: Target, grounds: Grounds, publication: str) -> dict[str, Rows]:
    """Rows of one publication by the kind of property. Expansions whose range is not stated stand
    apart, and are read as of the middle range that the publication states for others, or as
    from 20 to 300 °C."""
    rows = grounds.measured.rows(target.file, target.column, kind=target.kind, extra=target.extra)
    rows = rows.only(rows.group == publication)
    rows = replace(rows, y=target.scale * rows.y + target.shift)
    if target.name != "expansion":
        return {target.name: rows}
    loose = grounds.measured.rows("expansion_any_range", "cte_1e6_per_K")
    known = {tuple(np.round(v, 4)) for v in rows.x}
    new = [tuple(np.round(v, 4)) not in known for v in loose.x]
    loose = loose.only((loose.group == publication) & np.array(new, bool))
    usual = np.median(rows.extra) if len(rows.y) else 160.0
    loose = replace(loose, extra=np.full(len(loose.y), usual))
    return {"expansion": rows, "expansion_range_unknown": loose}


def _of_tables(glazes: Rows) -> dict[str, dict[str, float | int]]:
    """Mean misses of every published table on the glazes that it covers."""
    out: dict[str, dict[str, float | int]] = {}
    for table in published.tables():
        error = published.expansion(moles(glazes.x), table) - glazes.y
        knows = np.isfinite(error)
        if knows.any():
            out[table.id] = {
                "rows": int(knows.sum()),
                "miss": round(float(np.abs(error[knows]).mean()), 3),
                "bias": round(float(error[knows].mean()), 3),
            }
    return out
