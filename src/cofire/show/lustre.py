"""When a lustre can be reduced, on a terminal."""

from __future__ import annotations

from rich.padding import Padding
from rich.table import Table

from cofire.answers.lustre import LustreAnswer
from cofire.read.units import show_temperature
from cofire.show.terminal import Text, between, clock, console, findings_block, heading, section

_PROCESS = {
    "paste": "lustre window, a paste on the fired glaze",
    "glaze": "lustre window, metal in the glaze",
    "resinate": "lustre window, a bought resinate",
}


def show_lustre(answer: LustreAnswer) -> None:
    """Print when a lustre can be reduced."""
    out = console()
    out.print()
    low, high = answer.metal_moves_from_c, answer.sticks_from_c
    text = Text("fire it between " if answer.process == "resinate" else "reduce it between ")
    text.append(f"{show_temperature(low.value)} and {show_temperature(high.value)}", "bold green")
    section(out, heading(answer.recipe.name, _PROCESS[answer.process], typed=True), text)
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
    for from_min, to_min in answer.in_window_min:
        table.add_row(
            Text("the ware in the kiln is there"),
            Text(f"{clock(from_min)} to {clock(to_min)}", "bold"),
            Text("h:mm after the start", "dim"),
        )
    for metal in answer.metals:
        table.add_row(
            Text(f"{metal.metal}, of the fired glaze"),
            Text(f"{metal.wt_percent:.2f} % as {metal.oxide}", "bold"),
            Text(metal.amount, "dim"),
        )
    out.print(Padding(table, (0, 2)))
    out.print(heading("Notes"))
    out.print(findings_block(answer.findings))
    out.print()
