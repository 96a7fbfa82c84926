"""What test tiles say about their clay, on a terminal."""

from __future__ import annotations

from rich.padding import Padding
from rich.table import Table

from cofire.answers.results.headline import Headline
from cofire.answers.tile import TileAnswer
from cofire.fit.crackle import FLAWS_PER_MM
from cofire.model.cooling_stress import SHAPES
from cofire.show.screen import Screen
from cofire.show.terminal import Text, between, heading


def show_tiles(answer: TileAnswer, screen: Screen) -> None:
    """Print what tiles say about their clay."""
    out = screen.begin(_headline(answer))
    if out is None:
        return
    in_file = answer.alpha_body_in_file
    low, high = answer.body.range_c
    out.print(
        heading(answer.body.name, f"mean expansion {low:.0f}-{high:.0f} °C, 1e-6/K", typed=True)
    )
    table = Table.grid(padding=(0, 3))
    table.add_row("the tiles say", Text(_say(answer), "bold"), Text("90 %", "dim"))
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
    taken = f"taken as {SHAPES[answer.shape]}, {answer.wall_mm:g} mm; {answer.cooling}"
    out.print(Padding(Text(taken, "dim"), (0, 2)))
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


def _say(answer: TileAnswer) -> str:
    """What the tiles say of the clay's expansion."""
    tiles = answer.alpha_body_from_tiles
    if answer.open_below and answer.open_above:
        return "nothing: any clay can do that"
    if answer.open_above:
        return f"at least {tiles.low:.1f}"
    if answer.open_below:
        return f"at most {tiles.high:.1f}"
    return f"{tiles.low:.1f} to {tiles.high:.1f}, middle {tiles.value:.1f}"


def _headline(answer: TileAnswer) -> Headline:
    """The clay's expansion by tiles and file, or what is wrong with them."""
    both, name = answer.alpha_body_together, answer.body.name
    decides = helps = ""
    if answer.tiles_and_file_agree and both is not None:
        short = f"expands by {both.low:.1f} to {both.high:.1f}e-6/K, tiles and file together"
        tiles, file = answer.alpha_body_from_tiles, answer.alpha_body_in_file
        narrow = "the tiles" if tiles.high - tiles.low < file.high - file.low else "the body's file"
        decides = f"{narrow}, the narrower of the two"
        helps = "a tile of a glaze that lies between those that crazed and those that did not"
    else:
        short = f"the tiles say {_say(answer)}, the file {between(answer.alpha_body_in_file)}"
        decides = "tiles and file cannot both be right"
        helps = "check which glaze, coat and firing each tile had, and how the clay was measured"
    if answer.odds_of_these_tiles < 0.05:
        decides = "no single clay explains these tiles well"
        helps = "check glazes, coats and firing"
    return Headline(None, f"{name}: {short}.", short, decides=decides, helps=helps)
