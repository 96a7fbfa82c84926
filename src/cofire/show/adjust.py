"""Before and after, side by side."""

from __future__ import annotations

from typing import Any

import numpy as np
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from cofire.answers.adjust import AdjustAnswer, Met, Proposal
from cofire.chem.composition import unity
from cofire.chem.oxides import OXIDES
from cofire.records import Part, Recipe
from cofire.show.machine import findings_list, number
from cofire.show.terminal import console, findings_block, heading, signed
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
    if answer.findings:
        out.print(heading("Mind"))
        out.print(findings_block(answer.findings))
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
    all_of = [answer.recipe, *(p.recipe for p in answer.proposals)]
    names: dict[str, str] = {}
    for recipe in all_of:
        for part in recipe.parts:
            names.setdefault(part.material.id, label(part, answer.recipe))
    base, extra = ([_amounts(r, section(r)) for r in all_of] for section in (_base, _additions))
    for amounts, sign in ((base, ""), (extra, "+ ")):
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


def _base(recipe: Recipe) -> tuple[Part, ...]:
    return recipe.base


def _additions(recipe: Recipe) -> tuple[Part, ...]:
    return recipe.additions


def _amounts(recipe: Recipe, parts: tuple[Part, ...]) -> dict[str, float]:
    return {p.material.id: 100.0 * p.amount / recipe.base_total for p in parts}


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


def _properties(answer: AdjustAnswer) -> Table:
    table = _grid(answer, "")
    sides = [answer.now, *answer.proposals]
    seen = [side.seen for side in sides if side.seen is not None]
    if len(seen) < len(sides):  # the nearest is no glaze
        return table

    def add(name: str, texts: list[str]) -> None:
        same = len(set(texts)) == 1
        table.add_row(
            name, *(Text(t, "dim" if same or k == 0 else "") for k, t in enumerate(texts))
        )

    add("expansion, 1e-6/K", [f"{one.alpha_1e6_per_k[0]:.1f}" for one in seen])
    stress = [float(one.stress_mpa[0]) for one in seen if one.stress_mpa is not None]
    if stress:
        add("stress, MPa", [signed(value) for value in stress])
    chances = [side.odds for side in sides]
    for name, key in (
        ("odds that it crazes at once", "crazes"),
        ("odds that it fits as meant", "fits"),
        ("odds that it is ripe, all pulls", "ripe"),
        ("odds that it runs", "runs"),
    ):
        values = [getattr(one, key) for one in chances]
        if None not in values:
            add(name, [f"{percent(value, cell=True)} %" for value in values])
    if {"fits", "ripe"} <= {m.wish.kind for m in answer.proposals[0].wishes}:
        add("both together", [f"{percent(c.together, cell=True)} %" for c in chances])
    add("melts (10⁴ Pa·s), °C", [f"{one.flows_c[0]:.0f}" for one in seen])
    add("lost in the fire, %", [f"{one.loi_percent[0]:.1f}" for one in seen])
    add("clay, %", [f"{side.clay_percent:.0f}" for side in sides])
    add("soluble, %", [f"{side.soluble_percent:.0f}" for side in sides])
    formulas = unity(np.concatenate([one.mol for one in seen]))
    for k, oxide in enumerate(OXIDES):
        if formulas[:, k].max() >= 0.005:
            add(small_digits(oxide), [f"{v:.2f}" for v in formulas[:, k]])
    return table


def adjust_dict(answer: AdjustAnswer) -> dict[str, Any]:
    return {
        "name": answer.recipe.name,
        "yes": answer.yes,
        "verdict": answer.verdict,
        "sentence": answer.sentence,
        "odds_asked": answer.at.odds,
        "now": _side(answer.now),
        "proposals": [_side(p) for p in answer.proposals],
        "cannot_be_met_together": [w.text for w in answer.conflict],
        "tried": list(answer.tried),
        "findings": findings_list(answer.findings),
    }


def _side(side: Proposal) -> dict[str, Any]:
    seen, odds = side.seen, side.odds
    scale = 100.0 / side.recipe.base_total

    def at(values: Any) -> float | None:
        return None if values is None else number(float(values[0]))

    return {
        "reason": side.reason,
        "meets_all": side.met,
        "yes": side.yes,
        "verdict": odds.verdict,
        "distance_parts": side.distance,
        "wishes": [
            {"wish": m.wish.text, "met": m.met, "value": number(m.value), "odds": m.odds}
            for m in side.wishes
        ],
        "base": {p.material.id: scale * p.amount for p in side.recipe.base},
        "additions": {p.material.id: scale * p.amount for p in side.recipe.additions},
        "odds_crazes_at_once": odds.crazes,
        "odds_fits": odds.fits,
        "odds_ripe": odds.ripe,
        "odds_runs": odds.runs,
        "odds_all_asked": odds.together,
        "clay_percent": side.clay_percent,
        "soluble_percent": side.soluble_percent,
    } | (
        {}
        if seen is None
        else {
            "unity": {
                o: float(v) for o, v in zip(OXIDES, unity(seen.mol[0]), strict=True) if v > 0
            },
            "expansion_1e6_per_k": at(seen.alpha_1e6_per_k),
            "stress_mpa": at(seen.stress_mpa),
            "crackle_mm": at(seen.spacing_mm),
            "melts_c": at(seen.flows_c),
            "loi_percent": at(seen.loi_percent),
        }
    )
