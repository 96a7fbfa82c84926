"""When a lustre can be reduced, on a terminal."""

from __future__ import annotations

from rich.padding import Padding
from rich.table import Table

from cofire.answers.lustre import LustreAnswer
from cofire.answers.results.headline import Headline, Number
from cofire.read.units import show_temperature
from cofire.show.screen import Screen
from cofire.show.terminal import Text, between, clock, heading

_PROCESS = {
    "paste": "The window, a paste on the fired glaze",
    "glaze": "The window, metal in the glaze",
    "resinate": "The window, a bought resinate",
}


def show_lustre(answer: LustreAnswer, screen: Screen) -> None:
    """Print when a lustre can be reduced."""
    out = screen.begin(_headline(answer), answer.findings)
    if out is None:
        return
    low, high = answer.metal_moves_from_c, answer.sticks_from_c
    out.print(heading(_PROCESS[answer.process]))
    table = Table.grid(padding=(0, 3))
    for name, at in (("metal moves from", low), ("smears and sticks from", high)):
        table.add_row(name, Text(f"{at.value:.0f} °C", "bold"), f"90 % from {between(at, 0)} °C")
    for name, s in zip(("a pulled pot is there from", "a pulled pot is there until"),
                       answer.window_after_pull_s or (), strict=False):  # fmt: skip
        table.add_row(name, Text(f"{s.value:.0f} s", "bold"), f"90 % from {between(s, 0)} s")
    for from_min, to_min in answer.in_window_min:
        table.add_row(
            Text("the ware in the kiln is there"),
            Text(f"{clock(from_min)} to {clock(to_min)}", "bold"),
            Text("h:mm after the start", "dim"),
        )
    for metal in answer.metals[1:]:
        amount = f"{metal.wt_percent:.2f} % as {metal.oxide}"
        table.add_row(f"{metal.metal}, fired", Text(amount, "bold"), metal.amount)
    out.print(Padding(table, (0, 2)))
    screen.end(out, answer.findings)


def _headline(answer: LustreAnswer) -> Headline:
    """The window, when a pulled pot is in it, and whether there is metal enough."""
    low, high = answer.metal_moves_from_c, answer.sticks_from_c
    between_them = f"{show_temperature(low.value)} and {show_temperature(high.value)}"
    do = "fire" if answer.process == "resinate" else "reduce"
    seconds = answer.in_window_after_pull_s
    numbers: list[Number] = []
    if seconds is not None:
        said = "a pulled pot is colder than that"
        enters, leaves = seconds
        if leaves > 0.0:
            said = f"a pulled pot is there {enters:.0f} to {leaves:.0f} s after the pull"
        numbers.append(Number("", f"{said}, in still air", said))
    metal = next(iter(answer.metals), None)
    decides = ""
    if metal is not None:
        decides = f"{metal.metal}, {metal.wt_percent:.2f} % as {metal.oxide}: {metal.amount}"
    helps = "" if answer.firing else "--firing FIRING says when the ware is there"
    if seconds is not None:
        helps = "smoke it at once, and keep the bin shut until it can be held"
    if answer.process == "paste" and metal is None:
        helps = "copper or silver in the paste"
    return Headline(
        None,
        f"{answer.recipe.name}: {do} it between {between_them}.",
        f"{do} between {between_them}",
        tuple(numbers),
        decides,
        helps,
    )
