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
    table.add_row(
        Text("metal moves from"), show_temperature(low.value),
        Text(f"90 % from {between(low, 0)} °C", "dim"),
    )  # fmt: skip
    table.add_row(
        Text("smears and sticks from"), show_temperature(high.value),
        Text(f"90 % from {between(high, 0)} °C", "dim"),
    )  # fmt: skip
    window = answer.in_window_after_pull_s
    if window is not None and window[1] <= 0.0:
        table.add_row(Text("a pulled pot"), Text("is colder than that", "bold"), "")
    elif window is not None:
        table.add_row(
            Text("a pulled pot is there"),
            Text(f"{window[0]:.0f} to {window[1]:.0f} s after the pull", "bold"),
            Text("in still air; in the closed bin for longer", "dim"),
        )
    for metal in answer.metals:
        table.add_row(
            Text(f"{metal.metal}, of the fired glaze"),
            Text(f"{metal.wt_percent:.2f} % as {metal.oxide}", "bold"),
            Text(metal.amount, "dim"),
        )
    out.print(Padding(table, (0, 2)))
    screen.end(out, answer.findings)


def _headline(answer: LustreAnswer) -> Headline:
    """The window, when a pulled pot is in it, and whether there is metal enough."""
    low, high = answer.metal_moves_from_c, answer.sticks_from_c
    between_them = f"{show_temperature(low.value)} and {show_temperature(high.value)}"
    seconds = answer.in_window_after_pull_s
    numbers: list[Number] = []
    if seconds is not None and seconds[1] > 0.0:
        said = f"in it {seconds[0]:.0f} to {seconds[1]:.0f} s after the pull, in still air"
        numbers.append(Number("", said))
    metal = max(answer.metals, key=lambda one: one.wt_percent, default=None)
    decides = "" if metal is None else f"{metal.metal}, {metal.wt_percent:.2f} %: {metal.amount}"
    return Headline(
        None,
        f"Reduce {answer.recipe.name} between {between_them}.",
        f"reduce between {between_them}",
        tuple(numbers),
        decides,
        "" if seconds is not None else "--firing FIRING says when a pulled pot is there",
    )
