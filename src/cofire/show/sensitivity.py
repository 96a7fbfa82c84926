"""A sensitivity analysis on a terminal."""

from __future__ import annotations

import numpy as np
from rich.console import Group
from rich.padding import Padding
from rich.table import Table

from cofire.answers.results.headline import Headline
from cofire.answers.sensitivity.messages import share_of
from cofire.answers.sensitivity.next_tile import NextTile
from cofire.answers.sensitivity.results import Doubt, SensitivityAnswer
from cofire.answers.sensitivity.sources import SOURCES
from cofire.read.units import show_temperature
from cofire.show.family_map import CAUTIONS
from cofire.show.screen import Screen
from cofire.show.terminal import Text, heading, signed
from cofire.words import counted, percent

_BAR = 12
#: Below this share of the variance a source is named only on request.
_HARDLY = 0.05


def show_sensitivity(answer: SensitivityAnswer, screen: Screen) -> None:
    """Print the verdict, the effect of each material, and the sources of uncertainty."""
    out = screen.begin(_headline(answer), answer.findings)
    if out is None:
        return
    for words in answer.verdict_changes:
        out.print(Padding(Text(words, style="bold yellow"), (0, 2)))
    out.print(heading(answer.recipe.name, _now(answer).plain, typed=True))
    step, hundredth = (
        f"{answer.weighing.scale_step_g:g} g",
        f"{answer.weighing.batch_g / 100:.3g} g",
    )
    out.print(
        heading(
            f"{hundredth} more of it", f"a hundredth of the batch of {answer.weighing.batch_g:g} g"
        )
    )
    out.print(Padding(_moves(answer, hundredth=True, every=screen.more), (0, 0, 0, 2)))
    coarse = abs(answer.weighing.scale_step_g - answer.weighing.batch_g / 100) > 1e-9
    if coarse and screen.more:
        out.print(heading(f"{step} more of it", "one step of the scale"))
        out.print(Padding(_moves(answer, hundredth=False, every=True), (0, 0, 0, 2)))
    out.print(heading("Sources of doubt", "± half-widths of 90 %, each drawn alone"))
    out.print(Padding(_sources(answer, every=screen.more), (0, 0, 0, 2)))
    if answer.odds_without and screen.more:
        out.print(heading("If one of them were known", "the odds then, all others in doubt"))
        out.print(Padding(_without(answer), (0, 0, 0, 2)))
    if answer.next_tile is not None:
        coat = f"{answer.next_tile.coat_fired_mm:.2g} mm fired"
        out.print(heading("The tile to fire next", f"this glaze on this clay, {coat}"))
        out.print(Padding(_after(answer.next_tile), (0, 0, 0, 2)))
    out.print(Padding(Text("; ".join((*answer.conditions, CAUTIONS)), style="dim"), (0, 2)))
    screen.end(out, answer.findings)


def _headline(answer: SensitivityAnswer) -> Headline:
    """What the answer depends on, and the tile or the knowledge that would tell most."""
    helps = careful_words(answer) if answer.careful is not None else ""
    if answer.next_tile is not None:
        tile = answer.next_tile
        likely = max(tile.results, key=lambda row: row.odds)
        helps = (
            f"fire a tile, {tile.coat_fired_mm:.2g} mm fired: if it {likely.shows} "
            f"({percent(likely.odds)}) the odds are {percent(likely.odds_right)}. {helps}"
        )
    right = answer.own.odds
    asked = answer.at.body is not None or answer.at.firing is not None
    yes = answer.yes if asked and right is not None else None
    sentence, _, decides = answer.sentence.partition("; ")
    if yes is None:
        return Headline(None, answer.sentence, sentence, helps=helps)
    short = sentence.partition("right with ")[2] or sentence
    return Headline(yes, f"{sentence}.", short, decides=decides.rstrip("."), helps=helps)


def careful_words(answer: SensitivityAnswer) -> str:
    """Which material to weigh with most care, and why."""
    effect = answer.careful
    assert effect is not None
    moved = effect.one_hundredth_of_the_batch_more
    what = [f"its expansion by {signed(moved.expansion_1e6_per_k, 2)}e-6/K"]
    if moved.stress_mpa is not None:
        what = [f"the stress by {signed(moved.stress_mpa, 1)} MPa"]
    if np.isfinite(moved.ripens_hotter_c):
        what.append(f"its ripening by {signed(moved.ripens_hotter_c, 1)} °C")
    return (
        f"Weigh {effect.written} most carefully: {moved.more_g:.3g} g more in "
        f"{answer.weighing.batch_g:g} g moves {' and '.join(what)}."
    )


def _now(answer: SensitivityAnswer) -> Text:
    own = answer.own
    text = Text.assemble("expands by ", (f"{own.expansion_1e6_per_k:.2f}e-6/K", "bold"))
    if own.stress_mpa is not None:
        text.append("   stress ")
        text.append(f"{signed(own.stress_mpa)} MPa", "bold")
    if np.isfinite(own.ripens_c):
        text.append("   ripens at ")
        text.append(show_temperature(own.ripens_c), "bold")
    if own.crack_spacing_mm is not None and np.isfinite(own.crack_spacing_mm):
        text.append("   cracks ")
        text.append(f"{own.crack_spacing_mm:.2g} mm apart", "bold")
    return text


def _grid(columns: int) -> Table:
    table = Table.grid(padding=(0, 2))
    table.add_column(ratio=1, overflow="fold")
    for _ in range(columns):
        table.add_column(justify="right", no_wrap=True)
    return table


def _moves(answer: SensitivityAnswer, *, hundredth: bool, every: bool) -> Table:
    on_body = answer.at.body is not None
    names = ["g", "e-6/K", *(("MPa", "crazes") if on_body else ())]
    names += ["decades", "ripe °C"] if every else ["ripe °C"]
    cracks = on_body and any(
        e.one_hundredth_of_the_batch_more.crack_spacing_mm is not None for e in answer.materials
    )
    names += ["cracks mm"] if cracks else []
    table = _grid(len(names))
    table.add_row("in the batch", *names, style="dim")
    digits = 2 if hundredth else 3
    for effect in answer.materials:
        moved = effect.one_scale_step_more
        if hundredth:
            moved = effect.one_hundredth_of_the_batch_more
        cells = [f"{effect.grams:.4g}", signed(moved.expansion_1e6_per_k, digits)]
        if on_body:
            cells += [_signed(moved.stress_mpa, digits - 1), _points(moved.craze_odds)]
        if every:
            cells.append(_signed(moved.fluidity_decades, digits))
        cells.append(_signed(moved.ripens_hotter_c, digits - 1))
        if cracks:
            cells.append(_signed(moved.crack_spacing_mm, digits))
        style = "bold" if answer.careful is effect else ""
        table.add_row(Text(effect.written), *cells, style=style)
    return table


def _signed(value: float | None, digits: int) -> str:
    return "–" if value is None or not np.isfinite(value) else signed(value, digits)


def _points(odds: float | None) -> str:
    return "–" if odds is None else f"{signed(100.0 * odds, 1)} %"


def _sources(answer: SensitivityAnswer, *, every: bool) -> Group:
    on_body = answer.at.body is not None
    table = Table.grid(padding=(0, 2))
    table.add_column(ratio=1)
    names = ["e-6/K", *(("MPa",) if on_body else ()), "ripe °C"]
    for _ in names:
        table.add_column(justify="right", no_wrap=True, min_width=6)
    table.add_column(no_wrap=True)
    what = "stress" if on_body else "ripening"
    hardly: list[str] = []
    table.add_row("", *names, f"of {what}", style="dim")
    for doubt in answer.half_widths_90_percent:
        read = (doubt.stress_mpa, answer.squares_added.stress_mpa) if on_body else (
            doubt.ripens_c, answer.squares_added.ripens_c
        )  # fmt: skip
        share = share_of(*read)
        ripens = share_of(doubt.ripens_c, answer.squares_added.ripens_c)
        if not every and max(share, ripens) < _HARDLY:
            hardly.append(SOURCES[doubt.source])
            continue
        full = round(_BAR * share)
        bar = Text("█" * full + "░" * (_BAR - full) if full else "none", "cyan" if full else "dim")
        table.add_row(SOURCES[doubt.source], *_widths(doubt, on_body), bar)
    table.add_row(
        "together, by sum of squares", *_widths(answer.squares_added, on_body), "", style="bold"
    )
    if every:
        table.add_row("all drawn at once", *_widths(answer.all_drawn, on_body), "", style="bold")
    words = f"{counted(len(hardly), 'source')} of less than {percent(_HARDLY)}: --more"
    rest = [Text(words, "dim")] if hardly else []
    return Group(table, *rest)


def _without(answer: SensitivityAnswer) -> Table:
    table = _odds_table(("in its middle for certain", "odds", "changes it in"))
    for row in answer.odds_without:
        table.add_row(Text(SOURCES[row.source]), percent(row.odds), percent(row.changes))
    return table


def _after(tile: NextTile) -> Table:
    table = _odds_table(("if the tile", "does so", "odds then"))
    for row in tile.results:
        table.add_row(Text(row.shows), percent(row.odds), percent(row.odds_right))
    return table


def _odds_table(names: tuple[str, str, str]) -> Table:
    table = Table.grid(padding=(0, 2))
    table.add_column(ratio=1)
    for _ in names[1:]:
        table.add_column(justify="right", no_wrap=True, min_width=9)
    table.add_row(*names, style="dim")
    return table


def _widths(doubt: Doubt, on_body: bool) -> list[str]:
    cells = [_plain(doubt.expansion_1e6_per_k, 2)]
    if on_body:
        cells.append(_plain(doubt.stress_mpa, 1))
    return [*cells, _plain(doubt.ripens_c, 1)]


def _plain(value: float | None, digits: int) -> str:
    return "–" if value is None or not np.isfinite(value) else f"{value:.{digits}f}"
