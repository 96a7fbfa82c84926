"""What test tiles say about their clay, on a terminal."""

from __future__ import annotations

from rich.padding import Padding
from rich.table import Table

from cofire.answers.tile import TileAnswer
from cofire.fit.crackle import FLAWS_PER_MM
from cofire.model.cooling_stress import SHAPES
from cofire.show.terminal import Text, console, heading


def show_tiles(answer: TileAnswer) -> None:
    """Print what tiles say about their clay."""
    out = console()
    from_tiles, in_file = answer.alpha_body_from_tiles, answer.alpha_body_in_file
    low, high = answer.body.range_c
    out.print()
    out.print(
        heading(answer.body.name, f"mean expansion {low:.0f}-{high:.0f} °C, 1e-6/K", typed=True)
    )
    table = Table.grid(padding=(0, 3))
    if answer.open_below and answer.open_above:
        tiles = "nothing: any clay can do that"
    elif answer.open_above:
        tiles = f"at least {from_tiles.low:.1f}"
    elif answer.open_below:
        tiles = f"at most {from_tiles.high:.1f}"
    else:
        tiles = f"{from_tiles.low:.1f} to {from_tiles.high:.1f}, middle {from_tiles.value:.1f}"
    table.add_row("the tiles say", Text(tiles, "bold"), Text("90 %", "dim"))
    table.add_row(
        "the body's file says",
        Text(f"{in_file.low:.1f} to {in_file.high:.1f}", "bold"),
        Text("90 %", "dim"),
    )
    both = answer.alpha_body_together
    if answer.tiles_and_file_agree and both is not None:
        table.add_row(
            "both together",
            Text(f"{both.low:.1f} to {both.high:.1f}", "bold green"),
            Text("90 %", "dim"),
        )
    taken = f"{SHAPES[answer.shape]}, {answer.wall_mm:g} mm; {answer.cooling}"
    table.add_row("taken", "", Text(taken, "dim"))
    if answer.records:
        table.add_row("written down", Text(f"{answer.records} tiles", "bold"), "")
    if answer.left_out:
        names = ", ".join(answer.left_out)
        table.add_row("left out", Text(names), Text("their recipes are not what they were", "dim"))
    flaws = answer.flaws_per_mm
    if flaws is not None:
        table.add_row(
            "flaws that start cracks",
            Text(f"{flaws.low:.2g} to {flaws.high:.2g} per mm", "bold"),
            Text(f"90 %; the default is {FLAWS_PER_MM:g}", "dim"),
        )
    for name, what, now, digits in (
        ("a crack starts at", "times the usual stress", answer.onset_factor, "2f"),
        ("moisture expansion", "% in ten years", answer.moisture_expansion_percent, "3f"),
        ("tiles made alike differ by", "MPa (1 sd)", answer.scatter_mpa, "0f"),
    ):
        if now is not None:
            said = f"{now.low:.{digits}} to {now.high:.{digits}} {what}"
            table.add_row(name, Text(said, "bold"), Text("90 %; tiles and file together", "dim"))
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
    lines = []
    if answer.onset_factor is not None and answer.scatter_mpa is not None:
        onset = answer.onset_factor
        lines = [f"onset_factor = [{onset.low:.2f}, {onset.high:.2f}]"]
        lines += [f"scatter_mpa = {answer.scatter_mpa.value:.0f}"]
    if flaws is not None:
        lines.append(f"flaws_per_mm = {flaws.value:.2g}")
    if lines and answer.tiles_and_file_agree:
        words = f"What cracks say goes there under  [crackle]:  {',  '.join(lines)}. {words}"
    out.print(Padding(Text(words, "dim"), (0, 2)))
    out.print()
