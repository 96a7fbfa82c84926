"""When a lustre can be reduced, on a terminal."""

from __future__ import annotations

from rich.padding import Padding
from rich.table import Table

from cofire.answers.lustre import LustreAnswer
from cofire.answers.results.headline import Headline, Number
from cofire.read.units import show_temperature
from cofire.show.screen import Screen
from cofire.show.terminal import Text, between, heading


def show_lustre(answer: LustreAnswer, screen: Screen) -> None:
    """Print when a lustre can be reduced."""
    out = screen.begin(_headline(answer), answer.findings)
    if out is None:
        return
    low, high = answer.metal_moves_from_c, answer.sticks_from_c
    out.print(heading("The window"))
    table = Table.grid(padding=(0, 3))
    for name, at in (("metal moves from", low), ("smears and sticks from", high)):
        table.add_row(name, Text(f"{at.value:.0f} °C", "bold"), f"90 % from {between(at, 0)} °C")
    for metal in answer.metals[1:]:
        amount = f"{metal.wt_percent:.2f} % as {metal.oxide}"
        table.add_row(f"{metal.metal}, fired", Text(amount, "bold"), metal.amount)
    out.print(Padding(table, (0, 2)))
    screen.end(out, answer.findings)


def _headline(answer: LustreAnswer) -> Headline:
    """The window, when a pulled pot is in it, and whether there is metal enough."""
    low, high = answer.metal_moves_from_c, answer.sticks_from_c
    between_them = f"{show_temperature(low.value)} and {show_temperature(high.value)}"
    seconds = answer.in_window_after_pull_s
    numbers: list[Number] = []
    if seconds is not None:
        said = "a pulled pot is colder than that"
        if seconds[1] > 0.0:
            said = f"a pulled pot is there {seconds[0]:.0f} to {seconds[1]:.0f} s after the pull"
        numbers.append(Number("", f"{said}, in still air", said))
    metal = next(iter(answer.metals), None)
    decides = ""
    if metal is not None:
        decides = f"{metal.metal}, {metal.wt_percent:.2f} % as {metal.oxide}: {metal.amount}"
    helps = "--firing FIRING says when a pulled pot is there"
    if seconds is not None:
        helps = "smoke it at once, and keep the bin shut until it can be held"
    if metal is None:
        helps = "copper, silver or bismuth in the recipe"
    return Headline(
        None,
        f"{answer.recipe.name}: reduce it between {between_them}.",
        f"reduce between {between_them}",
        tuple(numbers),
        decides,
        helps,
    )
