"""Lustre windows and days with the kiln, on a terminal."""

from __future__ import annotations

from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from cofire.answers.day import DayPlan
from cofire.answers.lustre import LustreAnswer
from cofire.answers.tile import TileAnswer
from cofire.fit.crackle import FLAWS_PER_MM
from cofire.model.cooling_stress import SHAPES
from cofire.read.units import show_temperature
from cofire.show.terminal import between, console, findings_block, heading, plain_table, section
from cofire.show.verdict import clock


def show_lustre(answer: LustreAnswer) -> None:
    """Print when a lustre can be reduced."""
    out = console()
    out.print()
    low, high = answer.metal_moves_from_c, answer.sticks_from_c
    text = Text("reduce it between ")
    text.append(f"{show_temperature(low.value)} and {show_temperature(high.value)}", "bold green")
    section(out, heading(answer.recipe.name, "lustre window"), text)
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
    out.print(heading("Mind"))
    out.print(findings_block(answer.findings))
    out.print()


def _pots(count: int) -> str:
    return f"{count} pots" if count > 1 else "one pot"


def show_day(plan: DayPlan) -> None:
    """Print the plan of a day."""
    out = console()
    out.print()
    many = f"{len(plan.firings)} firings" if len(plan.firings) > 1 else "one firing"
    out.print(
        heading(_pots(plan.pots), f"{many} of up to {plan.pots_per_load}, {plan.firing.name}")
    )
    heads = ("firing", "pots", "starts", "first pull", "last pull", "bins free")
    table = plain_table(*(f">{name}" for name in heads))
    for one in plan.firings:
        times = (one.starts_min, one.first_pull_min, one.last_pull_min, one.bins_free_min)
        table.add_row(str(one.number), str(one.pots), *(clock(t) for t in times))
    out.print(Padding(table, (0, 2)))
    assumed = ", common practice" if plan.firing.smoke.assumed else ""
    bins = f"{plan.bins} bins" if plan.bins > 1 else "one bin"
    out.print(
        Padding(
            Text.assemble(
                (f"{clock(plan.total_min)} from the start to the last bin", "bold"),
                f"; with {bins} a pot can leave every {plan.pull_every_min:.0f} min "
                f"({plan.firing.smoke.bin_min:.0f} min in the bin{assumed}).",
            ),
            (0, 2),
        )
    )
    if plan.hold_limits_pots:
        said = (
            f"The firing's hold leaves time for {_pots(plan.pots_per_load)}, fewer than the kiln "
            "takes: hold longer, or bring more bins."
        )
        out.print(Padding(Text(said, "bold yellow"), (0, 2)))
    if len(plan.firings) > 1:
        said = (
            "Cold pots burst in a red-hot kiln: between firings let it cool with the power off, or "
            "warm the next pots first. The plan counts 20 min for that and a climb from cold, so "
            "a kiln that is still warm makes up for a longer wait."
        )
        out.print(Padding(Text(said, "yellow"), (0, 2)))
    said = (
        "Times are h:mm after the start. The kiln is taken as loaded as its firing file says. "
        "Rest, water and shade for everybody are not in the plan."
    )
    out.print(Padding(Text(said, "dim"), (0, 2)))
    out.print()


def show_tiles(answer: TileAnswer) -> None:
    """Print what tiles say about their clay."""
    out = console()
    told, said = answer.alpha_body_from_tiles, answer.alpha_body_in_file
    low, high = answer.body.range_c
    out.print()
    out.print(heading(answer.body.name, f"mean expansion {low:.0f}-{high:.0f} °C, 1e-6/K"))
    table = Table.grid(padding=(0, 3))
    if answer.open_below and answer.open_above:
        tiles = "nothing: any clay does that"
    elif answer.open_above:
        tiles = f"at least {told.low:.1f}"
    elif answer.open_below:
        tiles = f"at most {told.high:.1f}"
    else:
        tiles = f"{told.low:.1f} to {told.high:.1f}, middle {told.value:.1f}"
    table.add_row("the tiles say", Text(tiles, "bold"), Text("90 %", "dim"))
    table.add_row(
        "the body's file says",
        Text(f"{said.low:.1f} to {said.high:.1f}", "bold"),
        Text("90 %", "dim"),
    )
    if answer.tiles_and_file_agree:
        both = answer.alpha_body_together
        table.add_row(
            "both together",
            Text(f"{both.low:.1f} to {both.high:.1f}", "bold green"),
            Text("90 %", "dim"),
        )
    taken = f"{SHAPES[answer.shape]}, {answer.wall_mm:g} mm; {answer.cooling}"
    table.add_row("taken", "", Text(taken, "dim"))
    flaws = answer.flaws_per_mm
    if flaws is not None:
        table.add_row(
            "flaws that start cracks",
            Text(f"{flaws.low:.2g} to {flaws.high:.2g} per mm", "bold"),
            Text(f"90 %; taken when nobody knows: {FLAWS_PER_MM:g}", "dim"),
        )
    out.print(Padding(table, (0, 2)))
    if not answer.tiles_and_file_agree:
        words = (
            "The tiles and the file cannot both be right: check which glaze, coat and firing each "
            "tile had, and how the clay was measured."
        )
        out.print(Padding(Text(words, "bold yellow"), (0, 2)))
    if answer.odds_of_these_tiles < 0.05:
        words = "No single clay explains these tiles well: check glazes, coats and firing."
        out.print(Padding(Text(words, "bold yellow"), (0, 2)))
    words = "Crazed tiles hold dirt and are not for food."
    if answer.tiles_and_file_agree and answer.body.curve is None:
        words = (
            "To use it, copy the body's file to your studio, “both together” as its low and high. "
            "It carries the errors of glaze and mechanics, so trust it most for glazes like these. "
            + words
        )
    if flaws is not None and answer.tiles_and_file_agree:
        words = (
            "For the distance of cracks write into that file:  [crackle]  and below it  "
            f"flaws_per_mm = {flaws.value:.2g}. {words}"
        )
    out.print(Padding(Text(words, "dim"), (0, 2)))
    out.print()
