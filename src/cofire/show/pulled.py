"""Pulled ware on a terminal: which cracks turn black, and whether the pot survives."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Group
from rich.table import Table

from cofire.model.cooling import lasting
from cofire.model.crackle import CrackPattern
from cofire.model.crackle_curve import CrackleCurve, Handling
from cofire.model.interval import Interval
from cofire.model.survival import Survival, breaks
from cofire.show.terminal import Text
from cofire.words import percent

#: Below these odds of cracks their distance says nothing.
_RARE = 0.1
#: Cracks farther apart are a few at most on any pot.
_FEW_MM = 60.0


def spacing_text(spacing: Interval) -> str:
    """“6 mm (4 to 9)”: the middle, as ``adjust`` means it, and the bounds."""
    if spacing.low > _FEW_MM:
        return f"over {_FEW_MM:.0f} mm"
    digits = 1 if spacing.high < 3.0 else 0
    middle, low, high = (
        f"over {_FEW_MM:.0f}" if mm > _FEW_MM else f"{mm:.{digits}f}"
        for mm in (spacing.value, spacing.low, spacing.high)
    )
    return f"{middle} mm ({low} to {high})"


def _spacing_text(pattern: CrackPattern) -> str:
    return (
        "–"
        if pattern.spacing_mm is None or pattern.odds < _RARE
        else spacing_text(pattern.spacing_mm)
    )


def crack_table(patterns: Sequence[CrackPattern]) -> Table:
    """When cracks open, how likely, how far apart."""
    table = Table.grid(padding=(0, 2))
    table.add_column(no_wrap=True)
    for pattern in patterns:
        table.add_row(
            pattern.when,
            Text(percent(pattern.odds), "bold"),
            Text(_spacing_text(pattern), "bold"),
            Text("" if pattern.odds < _RARE else pattern.words, "dim"),
        )
    return table


def curve_table(curve: CrackleCurve) -> Group:
    """Crack patterns by time in air and by time in the bin."""
    air = _against("air", [(h.smoke.air_s, h) for h in curve.air])
    bins = _against("the bin", [(60.0 * h.smoke.bin_min, h) for h in curve.bin])
    return Group(air, Text(), bins)


def _against(what: str, handled: list[tuple[float, Handling]]) -> Table:
    table = Table.grid(padding=(0, 2))
    for words in (f"time in {what}", "black cracks", "odds", "all cracks"):
        table.add_column(Text(words, "dim"), justify="left" if words.startswith("so") else "right")
    table.show_header = True
    for seconds, how in handled:
        table.add_row(
            f"  {lasting(seconds)}",
            Text(_spacing_text(how.black), "bold"),
            f"{percent(how.black.odds, cell=True)} %",
            Text(_spacing_text(how.whole), "dim"),
        )
    return table


def whole_text(survival: Survival) -> str:
    """“91 to over 99 %”: odds of coming whole, as far as they are known."""
    low, high = percent(survival.low, cell=True), percent(survival.high)
    return high if percent(survival.low) == high else f"{low} to {high}"


def survival_table(survival: Survival) -> Table:
    """How many break at the pull and the quench, of other walls, after other times in the bin, and
    put cold into a hot kiln."""
    table = Table.grid(padding=(0, 3))
    what = "the pull and what follows" if survival.quench is None else "pull and quench"
    hairlines = f"{percent(survival.hairline_starts)} have a hairline somewhere"
    text = f"whole {whole_text(survival)}; {hairlines}"
    table.add_row(what, Text(survival.breaks, "bold"), Text(text, "dim"))
    if survival.quench is not None:
        hot = f"into water at {survival.into_water_c:.0f} °C"
        table.add_row("  until the water", breaks(survival.pull), "")
        table.add_row("  in the water", breaks(survival.quench), Text(hot, "dim"))
    for head, cells in (
        ("other walls", [(f"{mm:g} mm", odds) for mm, odds in survival.with_walls]),
        (
            "other times in the bin",
            [(f"{bin_min:g} min ({c:.0f} °C)", odds) for bin_min, c, odds in survival.with_bins],
        ),
        ("cold into a hot kiln", [(f"{c:.0f} °C", odds) for c, odds in survival.into_kiln]),
    ):
        if cells:
            text = ", ".join(f"{cell} {breaks(odds)}" for cell, odds in cells)
            table.add_row(head, "", Text(text, "dim"))
    return table
