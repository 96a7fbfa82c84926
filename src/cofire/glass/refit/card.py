"""The model card: one page, written from what the fit found and nothing typed."""

from __future__ import annotations

import html
import itertools
from pathlib import Path
from string import Template
from typing import Any

import numpy as np

from cofire.arrays import Array
from cofire.glass import published
from cofire.glass.refit.judged import Judged
from cofire.glass.refit.scores import moles
from cofire.glass.refit.solve import FOLDS, LEVELS

NAMES = {
    "expansion": ("Expansion 20-300 °C", "1e-6/K"),
    "expansion_20_400": ("Expansion 20-400 °C", "1e-6/K"),
    "glass_transition": ("Glass transition", "K"),
    "strain": ("Strain point, 10<sup>13.5</sup> Pa·s", "K"),
    "annealing": ("Annealing point, 10<sup>12</sup> Pa·s", "K"),
    "littleton": ("Littleton softening point", "K"),
    "dilatometric": ("Dilatometric softening point", "K"),
    "youngs": ("Young's modulus", "GPa"),
    "density": ("Density at 20 °C", "g/cm³"),
    "liquidus": ("Liquidus", "K"),
    "log10_eta": ("Viscosity, log10 of Pa·s", "decades"),
    "log10_eta_2_5": ("… where measured 2 to 5", "decades"),
}
#: The page, with a $name for each table and plot.
_PAGE = Path(__file__).with_name("card_page.html")
_POINTS = 1500
_WIDTH, _HEIGHT, _LEFT, _BOTTOM = 460, 340, 52, 44
_INKS = ("#8a3b12", "#1f6f78", "#6b5b95", "#7a7a2a", "#b0762b")


class _Plot:
    """A small chart in SVG: axes with round ticks, dots and lines."""

    def __init__(
        self, x: tuple[float, float], y: tuple[float, float], x_label: str, y_label: str
    ) -> None:
        self.x, self.y = x, y
        self.parts: list[str] = []
        self.names: list[tuple[str, str]] = []
        right, top = _WIDTH - 10, 10
        self.parts.append(
            f'<rect x="{_LEFT}" y="{top}" width="{right - _LEFT}" '
            f'height="{_HEIGHT - _BOTTOM - top}" class="frame"/>'
        )
        for tick in _ticks(*x):
            px, _ = self._at(tick, y[0])
            self.parts.append(
                f'<text x="{px:.1f}" y="{_HEIGHT - _BOTTOM + 16}" text-anchor="middle">{tick:g}'
                "</text>"
            )
        for tick in _ticks(*y):
            _, py = self._at(x[0], tick)
            self.parts.append(
                f'<line x1="{_LEFT}" x2="{right}" y1="{py:.1f}" y2="{py:.1f}" class="grid"/>'
                f'<text x="{_LEFT - 6}" y="{py + 4:.1f}" text-anchor="end">{tick:g}</text>'
            )
        middle = (_LEFT + right) / 2
        self.parts.append(
            f'<text x="{middle}" y="{_HEIGHT - 8}" text-anchor="middle">{x_label}</text>'
            f'<text x="14" y="{(_HEIGHT - _BOTTOM) / 2}" text-anchor="middle" '
            f'transform="rotate(-90 14 {(_HEIGHT - _BOTTOM) / 2})">{y_label}</text>'
        )

    def _at(self, x: float, y: float) -> tuple[float, float]:
        across = (x - self.x[0]) / (self.x[1] - self.x[0])
        up = (y - self.y[0]) / (self.y[1] - self.y[0])
        return (
            _LEFT + across * (_WIDTH - 10 - _LEFT),
            _HEIGHT - _BOTTOM - up * (_HEIGHT - _BOTTOM - 10),
        )

    def dots(self, x: Array, y: Array, colour: str, name: str = "") -> None:
        inside = (x >= self.x[0]) & (x <= self.x[1]) & (y >= self.y[0]) & (y <= self.y[1])
        path = "".join(
            "M{:.1f} {:.1f}h.01".format(*self._at(float(a), float(b)))
            for a, b in zip(x[inside], y[inside], strict=True)
        )
        self.parts.append(f'<path d="{path}" stroke="{colour}" class="dots"/>')
        if name:
            self.names.append((name, colour))

    def line(self, x: Array, y: Array, colour: str, name: str = "", dashed: bool = False) -> None:
        known = np.isfinite(y)
        path = "L".join(
            "{:.1f} {:.1f}".format(*self._at(float(a), float(np.clip(b, *self.y))))
            for a, b in zip(x[known], y[known], strict=True)
        )
        dash = ' stroke-dasharray="5 4"' if dashed else ""
        self.parts.append(f'<path d="M{path}" stroke="{colour}" class="line"{dash}/>')
        if name:
            self.names.append((name, colour))

    def svg(self, title: str) -> str:
        names = "".join(
            f'<span style="--ink:{colour}">{html.escape(name)}</span>'
            for name, colour in self.names
        )
        return (
            f'<figure><figcaption>{title}</figcaption><svg viewBox="0 0 {_WIDTH} {_HEIGHT}" '
            f'role="img">{"".join(self.parts)}</svg><div class="names">{names}</div></figure>'
        )


def _ticks(low: float, high: float) -> list[float]:
    raw = (high - low) / 5.0
    power = 10.0 ** np.floor(np.log10(raw))
    step = next(m * power for m in (1.0, 2.0, 2.5, 5.0, 10.0) if m * power >= raw)
    first = np.ceil(low / step - 1e-9) * step
    return [float(round(t, 10)) + 0.0 for t in np.arange(first, high + step * 1e-6, step)]


def _some(n: int, seed: int = 3) -> Any:
    return np.sort(np.random.default_rng(seed).permutation(n)[:_POINTS])


def _against(judged: Judged, span: tuple[float, float], what: str) -> str:
    plot = _Plot(span, span, f"measured, {what}", f"predicted, {what}")
    pick = _some(len(judged.y))
    rest = pick[~judged.core[pick]]
    plot.dots(judged.y[rest], judged.value[rest], "#8a959b", "all glasses")
    core = np.flatnonzero(judged.core)[:: max(1, int(judged.core.sum()) // 400)]
    plot.dots(judged.y[core], judged.value[core], "#c2410c", "low-fire core")
    plot.line(np.array(span), np.array(span), "currentColor")
    return plot.svg(f"{NAMES[judged.name][0]}: predicted against measured, unseen publications")


def _boron(judged: Judged) -> str:
    boron = 100.0 * judged.x[:, 1]
    edges = np.array([-0.01, 0.5, 3.0, 6.0, 9.0, 12.0, 15.0, 20.0, 25.0, 35.0])
    plot = _Plot((0.0, 30.0), (0.0, 2.0), "boron oxide, mol %", "mean miss, 1e-6/K")

    def means(error: Array) -> tuple[Array, Array]:
        x, y = [], []
        for low, high in itertools.pairwise(edges):
            part = (boron > low) & (boron <= high) & np.isfinite(error)
            x.append(max(0.5 * (low + high), 0.0))
            y.append(float(np.abs(error[part]).mean()) if part.sum() >= 10 else np.nan)
        return np.array(x), np.array(y)

    mol = moles(judged.x)
    plot.line(*means(judged.error), "currentColor", "cofire")
    for colour, table in zip(_INKS, published.tables(), strict=False):
        plot.line(
            *means(published.expansion(mol, table) - judged.y), colour, table.name, dashed=True
        )
    return plot.svg("Miss in expansion against boron, each table on the glasses it covers")


def _coverage(judged: list[Judged]) -> str:
    plot = _Plot((50.0, 100.0), (50.0, 100.0), "stated level, %", "covered, %")
    plot.line(np.array([50.0, 100.0]), np.array([50.0, 100.0]), "#9aa3a8", "ideal")
    wanted = ("expansion", "annealing", "youngs", "log10_eta")
    inks = iter(_INKS)
    for one in judged:
        if one.name in wanted:
            colour = next(inks)
            every, core = (
                100.0 * np.array([one.covered(level, part) for level in LEVELS])
                for part in (slice(None), one.core)
            )
            plot.line(
                100.0 * LEVELS, every, colour, html.unescape(NAMES[one.name][0].split(",")[0])
            )
            plot.line(100.0 * LEVELS, core, colour, dashed=True)
    return plot.svg("Do intervals keep their word? Dashed: low-fire core")


def _table(head: list[str], lines: list[list[str]]) -> str:
    top = "".join(f"<th>{h}</th>" for h in head)
    body = "".join(f"<tr>{''.join(f'<td>{c}</td>' for c in line)}</tr>" for line in lines)
    return f'<div class="wide"><table><tr>{top}</tr>{body}</table></div>'


def _percent(share: float | None) -> str:
    return "–" if share is None else f"{100 * share:.0f} %"


def _number(value: float | None) -> str:
    return "–" if value is None else f"{value:.3g}"


def page(judged: list[Judged], scores: dict[str, Any]) -> str:
    """The whole page as HTML that needs nothing else."""
    by_name = {j.name: j for j in judged}
    properties = scores["properties"]
    lines = [
        [
            NAMES[k][0], NAMES[k][1], f"{p['rows']:,}", str(p["publications"]),
            _number(p["miss"]), _number(p["median_miss"]), _percent(p["covered_90"]),
            str(p["core_rows"]), _number(p.get("core_miss")), _number(p.get("core_median_miss")),
            _percent(p.get("core_covered_90")),
        ]
        for k, p in properties.items()
    ]  # fmt: skip
    tables = [
        [html.escape(t.name), html.escape(t.status), *_beside(scores["expansion_tables"][t.id])]
        for t in published.tables()
        if "expansion_tables" in scores
    ]
    models = [
        [html.escape(m.name), html.escape(m.made_for), *_beside(scores["viscosity_models"][m.id])]
        for m in published.models()
        if "viscosity_models" in scores
    ]
    named = [k for k in ("expansion", "annealing", "youngs", "log10_eta") if k in properties]
    areas = dict.fromkeys(area for k in named for area in properties[k]["regions"])
    regions = [
        [area, *(_region(properties[k]["regions"].get(area)) for k in named)] for area in areas
    ]
    grades = dict.fromkeys(word for k in named for word in scores["support"][k])
    support = [
        [
            word,
            *(_region(scores["support"][k].get(word)) for k in named),
            *(_percent(scores["support"][k].get(word, {}).get("covered_90")) for k in named),
        ]
        for word in grades
    ]
    beside = ["glasses", "its miss", "ours there", "core glasses", "its miss", "ours there"]
    over = [NAMES[k][0].split(",")[0] for k in named]
    misses = [
        "property", "unit", "rows", "publications", "mean miss", "median", "90 % covers",
        "core rows", "mean miss", "median", "90 % covers",
    ]  # fmt: skip
    seen = ["mean miss", "bias"]
    worst = [
        [html.escape(w["publication"]), NAMES[k][0], str(w["rows"]), _number(w["miss"]),
         _number(w["bias"])]
        for k in ("expansion", "log10_eta") for w in scores["worst"].get(k, ())
    ]  # fmt: skip
    expansion, viscosity = by_name.get("expansion"), by_name.get("log10_eta")
    return Template(_PAGE.read_text(encoding="utf-8")).substitute(
        folds=FOLDS,
        misses=_table(misses, lines),
        expansion=_against(expansion, (2.0, 20.0), "1e-6/K") if expansion else "",
        boron=_boron(expansion) if expansion else "",
        coverage=_coverage(judged),
        viscosity=_against(viscosity, (-1.0, 14.0), "log10 of Pa·s") if viscosity else "",
        tables=_table(["table", "status of its numbers", *beside], tables),
        models=_table(["model", "made for", *beside], models),
        regions=_table(["glasses", *over], regions),
        support=_table(["grade", *over, *(f"90 %: {name}" for name in over)], support),
        glazes=_glazes(scores["unseen_glazes"]),
        worst=_table(["publication", "property", "rows", *seen], worst),
    )


#: What was printed of published glazes: name and unit.
PRINTED = {
    "expansion": ("expansion, range stated", "1e-6/K"),
    "expansion_range_unknown": ("expansion, range as of the others there", "1e-6/K"),
    "littleton": ("Littleton softening point", "K"),
    "youngs": ("Young's modulus", "GPa"),
}


def _glazes(found: dict[str, Any]) -> str:
    """Ours and every published table on each set of printed glazes."""
    names = {t.id: t.name for t in published.tables()}
    head = ["publication", "property", "glazes", "ours misses", "bias", "90 % covers"]
    lines = [
        [
            html.escape(publication.replace("|", " ")), f"{PRINTED[kind][0]}, {PRINTED[kind][1]}",
            str(s["rows"]), _number(s["miss"]), _number(s["bias"]), _percent(s["covered_90"]),
            *(_number(s.get("tables", {}).get(t, {}).get("miss")) for t in names),
        ]
        for publication, kinds in found.items() for kind, s in kinds.items()
    ]  # fmt: skip
    return _table([*head, *(html.escape(name) for name in names.values())], lines)


def _beside(score: dict[str, Any]) -> list[str]:
    keys = ("rows", "miss", "ours", "core_rows", "core_miss", "core_ours")
    return [
        "–" if score.get(k) is None else f"{score[k]:,}" if k.endswith("rows") else
        _number(score[k])
        for k in keys
    ]  # fmt: skip


def _region(found: dict[str, Any] | None) -> str:
    return "–" if not found else f"{_number(found['miss'])} ({found['rows']:,})"
