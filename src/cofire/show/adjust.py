"""Before and after, side by side."""

from __future__ import annotations

from typing import Any

import numpy as np
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from cofire.answers.adjust import AdjustAnswer, Met, Odds, Proposal
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
    places = [place.name for place in (answer.body, answer.firing) if place is not None]
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
        cells = [Text(_said(met, met.value_before, answer.odds), "dim")]
        for proposal in answer.proposals:
            one = proposal.wishes[k]
            sign, ink = ("✓", "green") if one.met else ("✗", "bold red")
            cells.append(Text(f"{_said(one, one.value, proposal.odds)} {sign}", ink))
        table.add_row(met.wish.text, *cells)
    return table


def _said(met: Met, value: float, odds: Odds) -> str:
    share = {"fits": odds.fits, "ripe": odds.ripe}.get(met.wish.kind)
    return wish_value(met, value) if share is None else f"{percent(share, cell=True)} %"


def wish_value(met: Met, value: float) -> str:
    """What a wish has come to, in its own words."""
    kind = met.wish.kind
    if not np.isfinite(value):
        return "?"
    if kind in ("crackle", "black"):
        mm = float(np.exp(value))
        return "none" if mm > 140.0 else f"{mm:.1f} mm"
    if kind == "stress":
        return f"{signed(value)} MPa"
    if kind in ("ripe at", "liquidus", "melts"):
        return f"{value:.0f} °C"
    if kind in ("amount", "share", "weight", "loi"):
        return f"{value:.1f} %"
    return f"{value:.2f}"


def _properties(answer: AdjustAnswer) -> Table:
    table = _grid(answer, "")
    seen, rows = answer.glance, [0, *(p.row for p in answer.proposals)]

    def add(name: str, texts: list[str]) -> None:
        same = len(set(texts)) == 1
        table.add_row(
            name, *(Text(t, "dim" if same or k == 0 else "") for k, t in enumerate(texts))
        )

    add("expansion, 1e-6/K", [f"{seen.alpha_1e6_per_k[r]:.1f}" for r in rows])
    if seen.stress_mpa is not None:
        add("stress, MPa", [signed(float(seen.stress_mpa[r])) for r in rows])
    chances = [answer.odds, *(p.odds for p in answer.proposals)]
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
    add("melts (10⁴ Pa·s), °C", [f"{seen.flows_c[r]:.0f}" for r in rows])
    add("lost in the fire, %", [f"{seen.loi_percent[r]:.1f}" for r in rows])
    add("clay, %", [f"{answer.clay_percent[r]:.0f}" for r in rows])
    add("soluble, %", [f"{answer.soluble_percent[r]:.0f}" for r in rows])
    formulas = unity(seen.mol[rows])
    for k, oxide in enumerate(OXIDES):
        if formulas[:, k].max() >= 0.005:
            add(small_digits(oxide), [f"{v:.2f}" for v in formulas[:, k]])
    return table


def adjust_dict(answer: AdjustAnswer) -> dict[str, Any]:
    return {
        "name": answer.recipe.name,
        "yes": answer.yes,
        "sentence": answer.sentence,
        "odds_asked": answer.sure,
        "now": _side(answer, 0, answer.recipe, answer.odds),
        "proposals": [_proposal(answer, p) for p in answer.proposals],
        "cannot_be_met_together": [w.text for w in answer.conflict],
        "findings": findings_list(answer.findings),
    }


def _proposal(answer: AdjustAnswer, proposal: Proposal) -> dict[str, Any]:
    wishes = [
        {
            "wish": m.wish.text,
            "met": m.met,
            "value": number(_plain(m, m.value)),
            "value_before": number(_plain(m, m.value_before)),
        }
        for m in proposal.wishes
    ]
    return {
        "reason": proposal.reason,
        "meets_all": proposal.met,
        "distance_parts": proposal.distance,
        "wishes": wishes,
        **_side(answer, proposal.row, proposal.recipe, proposal.odds),
    }


def _plain(met: Met, value: float) -> float:
    return float(np.exp(value)) if met.wish.kind in ("crackle", "black") else float(value)


def _side(answer: AdjustAnswer, row: int, recipe: Recipe, odds: Odds) -> dict[str, Any]:
    seen = answer.glance
    scale = 100.0 / recipe.base_total

    def at(values: Any) -> float | None:
        return None if values is None else number(float(values[row]))

    return {
        "base": {p.material.id: scale * p.amount for p in recipe.base},
        "additions": {p.material.id: scale * p.amount for p in recipe.additions},
        "unity": {o: float(v) for o, v in zip(OXIDES, unity(seen.mol[row]), strict=True) if v > 0},
        "expansion_1e6_per_k": at(seen.alpha_1e6_per_k),
        "stress_mpa": at(seen.stress_mpa),
        "odds_crazes_at_once": odds.crazes,
        "odds_fits": odds.fits,
        "odds_ripe": odds.ripe,
        "odds_runs": odds.runs,
        "odds_all_asked": odds.together,
        "crackle_mm": at(seen.spacing_mm),
        "melts_c": at(seen.flows_c),
        "loi_percent": at(seen.loi_percent),
        "clay_percent": answer.clay_percent[row],
        "soluble_percent": answer.soluble_percent[row],
    }
