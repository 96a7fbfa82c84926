"""Before and after, side by side."""

from __future__ import annotations

import numpy as np
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from cofire.answers.results.adjust import AdjustAnswer, Met
from cofire.chem.oxides import OXIDES
from cofire.records import Part, Recipe
from cofire.show.terminal import console, heading, mind, signed
from cofire.show.verdict import verdict
from cofire.words import percent, small_digits

_LETTERS = "ABC"


def show_adjust(answer: AdjustAnswer, saved: str | None = None) -> None:
    """Print the proposals beside the recipe they come from."""
    out = console()
    verdict(out, answer.yes, answer.sentence)
    out.print(heading(answer.recipe.name, _where(answer)))
    out.print(Padding(_recipes(answer), (0, 2)))
    out.print(heading("What was wished"))
    out.print(Padding(_wishes(answer), (0, 2)))
    out.print(heading("What else moves"))
    out.print(Padding(_properties(answer), (0, 2)))
    if len(answer.proposals) > 1:
        out.print(heading("Why several"))
        for letter, proposal in zip(_LETTERS, answer.proposals, strict=False):
            said = proposal.reason or "as it is"
            out.print(Text.assemble(("  " + letter + "  ", "bold"), said))
    mind(out, answer.findings)
    if saved:
        out.print(Text(f"  A is written to {saved}.", "dim"))
    out.print()


def _where(answer: AdjustAnswer) -> str:
    places = [place.name for place in (answer.at.body, answer.at.firing) if place is not None]
    return ", ".join(places)


def _grid(answer: AdjustAnswer, first: str) -> Table:
    table = Table.grid(padding=(0, 2))
    table.add_column(ratio=1)
    for _ in range(1 + len(answer.proposals)):
        table.add_column(justify="right", no_wrap=True)
    letters = _LETTERS[: len(answer.proposals)]
    table.add_row(Text(first, "dim"), Text("now", "dim"), *(Text(c, "bold") for c in letters))
    return table


def _recipes(answer: AdjustAnswer) -> Table:
    table = _grid(answer, "per 100 of the base")
    sides = [answer.now, *answer.proposals]
    names: dict[str, str] = {}
    for side in sides:
        for part in side.recipe.parts:
            names.setdefault(part.material.id, label(part, answer.recipe))
    for amounts, sign in (([s.base for s in sides], ""), ([s.additions for s in sides], "+ ")):
        for key, name in names.items():
            if not any(key in one for one in amounts):
                continue
            now = amounts[0].get(key, 0.0)
            cells = [_amount(now, bold=False)]
            for one in amounts[1:]:
                value = one.get(key, 0.0)
                cells.append(_amount(value, abs(value - now) >= 0.05))
            table.add_row(sign + name, *cells)
    return table


def label(part: Part, recipe: Recipe) -> str:
    """The name of a part; with its id where it is new and only the id says which one is meant."""
    if part.material.id in {p.material.id for p in recipe.parts}:
        return part.material.name
    name, key = part.material.name, part.material.id
    clear = name in part.material.default_for or name.replace(" ", "-") == key
    return name if clear else f"{name} ({key})"


def _amount(value: float, bold: bool) -> Text:
    return Text(f"{value:.1f}" if value > 0.0 else "–", "bold" if bold else "dim")


def _wishes(answer: AdjustAnswer) -> Table:
    table = _grid(answer, "wish")
    for k, met in enumerate(answer.proposals[0].wishes):
        cells = [Text(_said(answer.now.wishes[k]), "dim")]
        for proposal in answer.proposals:
            one = proposal.wishes[k]
            sign, ink = ("✓", "green") if one.met else ("✗", "bold red")
            cells.append(Text(f"{_said(one)} {sign}", ink))
        table.add_row(met.wish.text, *cells)
    return table


def _said(met: Met) -> str:
    if met.odds is None:
        return wish_value(met)
    if met.wish.kind in ("crackle", "black"):
        return f"{percent(met.odds)}, middle {wish_value(met)}"
    return f"{percent(met.odds, cell=True)} %"


def wish_value(met: Met) -> str:
    """What a wish has come to, in its own words."""
    value = met.value
    kind = met.wish.kind
    if not np.isfinite(value):
        return "none" if kind in ("crackle", "black") else "?"
    if kind in ("crackle", "black"):
        return f"{value:.1f} mm"
    if kind == "stress":
        return f"{signed(value)} MPa"
    if kind in ("ripe at", "liquidus", "melts"):
        return f"{value:.0f} °C"
    if kind in ("amount", "share", "weight", "loi"):
        return f"{value:.1f} %"
    return f"{value:.2f}"


def _percent(odds: float) -> str:
    return f"{percent(odds, cell=True)} %"


def _properties(answer: AdjustAnswer) -> Table:
    table = _grid(answer, "")
    sides = [answer.now, *answer.proposals]
    rows = [side.predicted for side in sides if side.predicted is not None]
    if len(rows) < len(sides):  # the nearest is no glaze
        return table

    def add(name: str, texts: list[str]) -> None:
        same = len(set(texts)) == 1
        table.add_row(
            name, *(Text(t, "dim" if same or k == 0 else "") for k, t in enumerate(texts))
        )

    for name, key, said in (
        ("expansion, 1e-6/K", "expansion_1e6_per_k", "{:.1f}".format),
        ("stress, MPa", "stress_mpa", signed),
        ("odds that it crazes at once", "odds_crazes_at_once", _percent),
        ("odds that it fits as meant", "odds_fits", _percent),
        ("odds that it is ripe, all pulls", "odds_ripe_at_every_pull", _percent),
        ("odds that it runs", "odds_runs_at_last_pull", _percent),
        ("melts (10⁴ Pa·s), °C", "melts_c", "{:.0f}".format),
        ("lost in the fire, %", "loi_percent", "{:.1f}".format),
    ):
        if key in rows[0]:
            add(name, [said(row[key]) for row in rows])
    if {"fits", "ripe"} <= {m.wish.kind for m in answer.proposals[0].wishes}:
        add("fits and ripe together", [_percent(side.odds_right) for side in sides])
    add("clay, %", [f"{side.clay_percent:.0f}" for side in sides])
    add("soluble, %", [f"{side.soluble_percent:.0f}" for side in sides])
    formulas = np.array([side.unity for side in sides])
    for k, oxide in enumerate(OXIDES):
        if formulas[:, k].max() >= 0.005:
            add(small_digits(oxide), [f"{v:.2f}" for v in formulas[:, k]])
    return table
