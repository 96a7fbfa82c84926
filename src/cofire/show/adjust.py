"""Before and after, side by side."""

from __future__ import annotations

import numpy as np
from rich.table import Table

from cofire.answers.results.adjust import AdjustAnswer, Met
from cofire.answers.results.headline import Headline, Number
from cofire.chem.oxides import OXIDES
from cofire.records import Part, Recipe
from cofire.show.screen import Screen
from cofire.show.terminal import LETTERS, Text, heading, section, side_by_side, signed
from cofire.words import percent, small_digits

#: What a kind of target says already of a property.
_SAID = {
    "expansion": "expansion_1e6_per_k", "stress": "stress_mpa", "fits": "odds_fits",
    "ripe": "odds_ripe_at_every_pull",
}  # fmt: skip
#: Odds that are not worth a line.
_RARE = 0.02


def show_adjust(answer: AdjustAnswer, screen: Screen, saved: str | None = None) -> None:
    """Print the proposals beside the recipe they come from."""
    out = screen.begin(_headline(answer), answer.findings)
    if out is None:
        return
    section(out, heading(answer.recipe.name, _where(answer), typed=True), _recipes(answer))
    if len(answer.proposals) > 1:
        section(out, heading("Targets"), _targets(answer))
    section(out, heading("What else changes"), _properties(answer, more=screen.more))
    if screen.more:
        tried = answer.sentence.partition(" Tried:")[2]
        out.print(Text(f"  tried:{tried}" if tried else "", "dim"))
    if len(answer.proposals) > 1 and screen.more:
        out.print(heading("Why several"))
        for letter, proposal in zip(LETTERS, answer.proposals, strict=False):
            reason = proposal.reason or "as it is"
            out.print(Text.assemble(("  " + letter + "  ", "bold"), reason))
    # what is lost and what dissolves stand in the table
    screen.end(out, answer.findings, saved, says=("soluble", "high-loi"))


def _headline(answer: AdjustAnswer) -> Headline:
    """What the first proposal reaches of each target, and which one is hardest."""
    best, now = answer.proposals[0], answer.now
    numbers = tuple(
        Number(
            met.target.text,
            f"{_met_text(was)} → {_met_text(met)}{_ask(met, answer)}",
            f"{met.target.text} {_met_text(met)}",
        )
        for met, was in zip(best.targets, now.targets, strict=True)
    )
    hardest = max(best.targets, key=lambda met: met.missed, default=None)
    helps = ""
    if hardest is not None and not hardest.met:
        helps = "other materials (--from), or less of that target"
    elif not best.yes:
        helps = f"a surer clay or firing: cofire shake {answer.recipe.id} says which"
    elif best.reason:
        helps = "--save FILE keeps A as a recipe; fire a tile of it"
    sentence = answer.sentence.partition(" Tried:")[0]
    short = "" if best.yes else "nearest"
    return Headline(answer.yes, sentence, short, numbers, helps=helps or best.reason)


def _ask(met: Met, answer: AdjustAnswer) -> str:
    return "" if met.met or met.odds is None else f", {percent(answer.at.odds)} asked"


def _where(answer: AdjustAnswer) -> str:
    places = [place.name for place in (answer.at.body, answer.at.firing) if place is not None]
    return ", ".join(places)


def _recipes(answer: AdjustAnswer) -> Table:
    table = side_by_side("per 100 of the base", "now", len(answer.proposals))
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


def _targets(answer: AdjustAnswer) -> Table:
    table = side_by_side("", "", len(answer.proposals), header=False)
    for k, met in enumerate(answer.proposals[0].targets):
        cells = [Text(_met_text(answer.now.targets[k]), "dim")]
        for proposal in answer.proposals:
            one = proposal.targets[k]
            sign, colour = ("✓", "green") if one.met else ("✗", "bold red")
            cells.append(Text(f"{_met_text(one)} {sign}", colour))
        table.add_row(met.target.text, *cells)
    return table


def _met_text(met: Met) -> str:
    if met.odds is None:
        return target_value(met)
    if met.target.kind in ("crackle", "black"):
        return f"{percent(met.odds)} {target_value(met)}"
    return f"{percent(met.odds, cell=True)} %"


def target_value(met: Met) -> str:
    """The value of a target with its unit."""
    value = met.value
    kind = met.target.kind
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


def _properties(answer: AdjustAnswer, *, more: bool) -> Table:
    table = side_by_side("", "now", len(answer.proposals))
    sides = [answer.now, *answer.proposals]
    rows = [side.predicted for side in sides if side.predicted is not None]
    if len(rows) < len(sides):  # the nearest is no glaze
        return table

    def add(name: str, texts: list[str]) -> None:
        same = len(set(texts)) == 1
        table.add_row(
            name, *(Text(t, "dim" if same or k == 0 else "") for k, t in enumerate(texts))
        )

    kinds = {met.target.kind for met in answer.proposals[0].targets}
    said = {_SAID[kind] for kind in kinds & set(_SAID)}
    if rows and max(float(row.get("odds_runs_at_last_pull", 0.0)) for row in rows) < _RARE:
        said.add("odds_runs_at_last_pull")
    if "ripe" in kinds:
        said.add("melts_c")
    for name, key, shown in (
        ("expansion, 1e-6/K", "expansion_1e6_per_k", "{:.1f}".format),
        ("stress, MPa", "stress_mpa", signed),
        ("odds that it crazes at once", "odds_crazes_at_once", _percent),
        ("odds that it fits as meant", "odds_fits", _percent),
        ("odds that it is ripe, all pulls", "odds_ripe_at_every_pull", _percent),
        ("odds that it runs", "odds_runs_at_last_pull", _percent),
        ("melts (10⁴ Pa·s), °C", "melts_c", "{:.0f}".format),
        ("lost in the fire, %", "loi_percent", "{:.1f}".format),
    ):
        if key in rows[0] and not (key in said and not more):
            add(name, [shown(row[key]) for row in rows])
    if {"fits", "ripe"} <= kinds:
        add("fits and is ripe", [_percent(side.odds_right) for side in sides])
    if more:
        add("clay, %", [f"{side.clay_percent:.0f}" for side in sides])
    if more or any(side.soluble_percent >= 0.5 for side in sides):
        add("soluble, %", [f"{side.soluble_percent:.0f}" for side in sides])
    formulas = np.array([side.unity for side in sides])
    for k, oxide in enumerate(OXIDES if more else ()):
        if formulas[:, k].max() >= 0.005:
            add(small_digits(oxide), [f"{v:.2f}" for v in formulas[:, k]])
    return table
