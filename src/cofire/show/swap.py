"""A glaze before and after a material was swapped."""

from __future__ import annotations

from rich.padding import Padding
from rich.table import Table

from cofire.answers.results.headline import Headline
from cofire.answers.swap import SwapAnswer, SwapAnswers, Swapped
from cofire.chem.oxides import OXIDES
from cofire.records import Material, Recipe
from cofire.show.screen import Screen
from cofire.show.terminal import Text, heading, side_by_side, signed
from cofire.words import listed, small_digits


def show_swap(answer: SwapAnswer, screen: Screen, saved: str | None = None) -> None:
    """Print the ways to rebuild one recipe."""
    out = screen.begin(_headline(answer), answer.findings)
    if out is None:
        return
    out.print(heading(answer.recipe.name, f"without {answer.without.name}", typed=True))
    table = side_by_side("", "was", len(answer.ways))
    names = {p.material.id: p.material for p in answer.recipe.parts}
    for way in answer.ways:
        names |= {p.material.id: p.material for p in way.recipe.parts}
    labels = [m.name for m in names.values()]
    before = _amounts(answer.recipe)
    after = [_amounts(way.recipe) for way in answer.ways]
    for key, material in names.items():
        label = material.id if labels.count(material.name) > 1 else material.name
        cells = [Text(_amount(before.get(key, 0.0)), "dim")]
        for amounts in after:
            value = amounts.get(key, 0.0)
            moved = abs(value - before.get(key, 0.0)) >= 0.05
            cells.append(Text(_amount(value), "bold" if moved else "dim"))
        table.add_row(label, *cells)
    out.print(Padding(table, (0, 2)))
    out.print(heading("Result", "unity moles; bold where it differs"))
    out.print(Padding(_formulas(answer), (0, 2)))
    screen.end(out, answer.findings, saved)


def _headline(answer: SwapAnswer) -> Headline:
    """How far the glaze moves in the first way to rebuild it."""
    best = answer.ways[0]
    moves = (
        f"expansion {signed(best.expansion_moves_1e6_per_k, 2)}e-6/K, melting "
        f"{signed(best.melting_moves_c)} °C"
    )
    differ = listed([small_digits(oxide) for oxide in best.unity_differs])
    decides = f"{differ}, which differ" if differ else ""
    new = _new(best, answer.without)
    helps = "--save FOLDER keeps A as a recipe; fire a tile of it"
    if not answer.yes:
        helps = "other materials (--from)"
    return Headline(answer.yes, answer.sentence, f"{moves}, {new}", decides=decides, helps=helps)


def _amounts(recipe: Recipe) -> dict[str, float]:
    amounts: dict[str, float] = {}
    for part in recipe.parts:
        share = 100.0 * part.amount / recipe.base_total
        amounts[part.material.id] = amounts.get(part.material.id, 0.0) + share
    return amounts


def _amount(value: float) -> str:
    return f"{value:.1f}" if value > 0.0 else "–"


def _formulas(answer: SwapAnswer) -> Table:
    table = side_by_side("", "was", len(answer.ways))
    for k, oxide in enumerate(OXIDES):
        values = [answer.unity_before[k], *(way.unity[k] for way in answer.ways)]
        if max(values) < 0.005:
            continue
        cells = [Text(f"{values[0]:.2f}", "dim")]
        for way, value in zip(answer.ways, values[1:], strict=True):
            cells.append(Text(f"{value:.2f}", "bold" if oxide in way.unity_differs else "dim"))
        table.add_row(small_digits(oxide), *cells)
    table.add_row(
        "expansion moves, 1e-6/K",
        "",
        *(
            Text(signed(w.expansion_moves_1e6_per_k, 2), "" if w.same else "bold")
            for w in answer.ways
        ),
    )
    table.add_row(
        "melting moves, °C",
        "",
        *(Text(signed(w.melting_moves_c), "" if w.same else "bold") for w in answer.ways),
    )
    was = f"{answer.loi_percent_before:.1f}"
    table.add_row("lost in the fire, %", was, *(f"{w.loi_percent:.1f}" for w in answer.ways))
    table.add_row("clay, %", "", *(f"{w.clay_percent:.0f}" for w in answer.ways))
    table.add_row("soluble, %", "", *(f"{w.soluble_percent:.0f}" for w in answer.ways))
    return table


def show_swaps(answer: SwapAnswers, screen: Screen, saved: str | None = None) -> None:
    """One recipe in full, many in a line each."""
    if len(answer.recipes) == 1 and not answer.failed:
        show_swap(answer.recipes[0], screen, saved)
    else:
        _show_many(answer, screen, saved)


def _show_many(answer: SwapAnswers, screen: Screen, saved: str | None) -> None:
    out = screen.begin(_headline_of_many(answer))
    if out is None:
        return
    gone, answers, failed = answer.without, answer.recipes, answer.failed
    out.print(heading(f"Without {gone.name}", typed=True))
    table = Table.grid(padding=(0, 2))
    table.add_column(ratio=2)
    table.add_column(ratio=3)
    for _ in range(2):
        table.add_column(justify="right", no_wrap=True)
    table.add_row("", Text("best rebuilt with", "dim"), Text("1e-6/K", "dim"), Text("°C", "dim"))
    for one in answers:
        best = one.ways[0]
        colour = "" if one.yes else "bold yellow"
        table.add_row(
            one.recipe.name,
            _new(best, gone),
            Text(signed(best.expansion_moves_1e6_per_k, 2), colour),
            Text(signed(best.melting_moves_c), colour),
        )
    for other in failed:
        table.add_row(other.name, Text(other.why, "bold yellow"), "", "")
    out.print(Padding(table, (0, 2)))
    text = (
        "how far expansion and melting move; for amounts ask for one recipe, or say --save FOLDER"
    )
    out.print(Padding(Text(text, "dim"), (0, 2)))
    if saved:
        out.print(Padding(Text(f"written to {saved}", "dim"), (0, 2)))
    out.print()


def _headline_of_many(answer: SwapAnswers) -> Headline:
    """How many stay the same, and which moves most."""
    count = len(answer.recipes) + len(answer.failed)
    same = sum(one.yes for one in answer.recipes)
    short = f"{same} of {count} stay the same without {answer.without.name}"
    others = [one.recipe.name for one in answer.recipes if not one.yes]
    others += [one.name for one in answer.failed]
    decides = f"{listed(others, most=4)}, which {'does' if len(others) == 1 else 'do'} not"
    word = "Yes" if answer.yes else "No"
    helps = "--from or --in-stock chooses the materials; ask for one recipe alone"
    return Headline(
        answer.yes, f"{word}: {short}.", short,
        decides=decides if others else "", helps=helps if others else "",
    )  # fmt: skip


def _new(way: Swapped, gone: Material) -> str:
    """What comes in; by id where its name is that of what is gone."""
    names = (m.id if m.name == gone.name else m.name for m in way.new)
    return ", ".join(names) or "its own materials"
