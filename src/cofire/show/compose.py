"""Recipes that make a unity formula."""

from __future__ import annotations

from rich.padding import Padding

from cofire.answers.compose import ComposeAnswer, Composed
from cofire.answers.results.headline import Headline, Number
from cofire.chem.oxides import OXIDES
from cofire.show.screen import Screen
from cofire.show.terminal import Text, heading, side_by_side
from cofire.words import listed, small_digits


def show_compose(answer: ComposeAnswer, screen: Screen, saved: str | None = None) -> None:
    """Print the recipes and what they miss."""
    best = answer.ways[0]
    missed = listed(sorted(best.missed))
    short = f"{len(best.recipe.base)} materials" + (f", missing {missed}" if missed else "")
    decides = f"{missed}, which no material that was tried brings" if missed else ""
    loses = f"A loses {best.loi_percent:.1f} % in the fire"
    number = Number("", f"{short}; {loses}", loses)
    helps = "--save FILE keeps A as a recipe; cofire pair says how it ripens"
    headline = Headline(answer.yes, answer.sentence, short, (number,), decides, helps)
    out = screen.begin(headline, answer.findings)
    if out is None:
        return
    out.print(heading("Recipes", "per 100"))
    names = {p.material.id: p.material.name for way in answer.ways for p in way.recipe.base}
    table = side_by_side("", "", len(answer.ways))
    for key, name in names.items():
        table.add_row(name, "", *(_amount(way, key) for way in answer.ways))
    out.print(Padding(table, (0, 2)))
    out.print(heading("Unity formula", "moles; bold where it misses"))
    table = side_by_side("", "asked", len(answer.ways))
    for k, oxide in enumerate(OXIDES):
        values = [answer.unity_wanted[k], *(way.unity[k] for way in answer.ways)]
        if max(values) >= 0.0005:
            cells = [
                Text(f"{value:.3f}", "bold" if oxide in way.missed else "dim")
                for way, value in zip(answer.ways, values[1:], strict=True)
            ]
            table.add_row(small_digits(oxide), Text(f"{values[0]:.3f}", "dim"), *cells)
    table.add_row("lost in the fire, %", "", *(f"{way.loi_percent:.1f}" for way in answer.ways))
    out.print(Padding(table, (0, 2)))
    screen.end(out, answer.findings, saved)


def _amount(way: Composed, key: str) -> str:
    return next((f"{p.amount:.2f}" for p in way.recipe.base if p.material.id == key), "–")
