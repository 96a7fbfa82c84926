"""A firing on a terminal: the temperature, ripeness under it, and what to key in."""

from __future__ import annotations

import numpy as np
from rich.padding import Padding
from rich.table import Table

from cofire.answers.firing import OPEN_C, FiringAnswer, Load, Track
from cofire.arrays import Array
from cofire.model.after_pull import AfterPull
from cofire.model.cooling import BED_WORDS
from cofire.read.units import fahrenheit, show_temperature
from cofire.show.terminal import Text, clock, close, console, heading, plain_table, section

_COLUMNS, _ROWS, _MARGIN = 60, 12, 12
_EIGHTHS = " ▁▂▃▄▅▆▇█"
_SHADE = {"under": ("░", "yellow"), "ripe": ("█", "green"), "runs": ("▒", "red")}


def show_firing(answer: FiringAnswer) -> None:
    """Print a firing in full."""
    out = console()
    out.print()
    aside = f"{answer.firing.kiln.name}, wall {answer.wall_mm:g} mm"
    if answer.glazes:
        aside += ", coat " + "; ".join(coat.reading for coat in answer.coats)
    if answer.firing.load_kg:
        aside += f", load {answer.firing.load_kg:g} kg"
    out.print(heading(answer.firing.name, aside, typed=True))
    out.print(_hill(answer))
    for track in answer.glazes:
        out.print(_ribbon(track, answer.shown_min))
    if answer.glazes:
        key = Text(" " * _MARGIN)
        for word, (shade, colour) in _SHADE.items():
            key.append(3 * shade, colour)
            key.append(f" {word}   ", "dim")
        out.print(key)
    by_hand = answer.firing.kiln.fuel == "gas"
    words = (
        ("To follow", "by the pyrometer")
        if by_hand
        else ("To key in", "any controller that ramps and holds")
    )
    section(out, heading(*words), _keys(answer), _sum_line(answer))
    out.print(heading("Loads", "h:mm after the start, ware and cones it has bent"))
    out.print(Padding(_loads(answer), (0, 2)))
    if answer.after_the_pull:
        out.print(heading("After the pull", "in still air; 90 % sure, of open and closed pots"))
        out.print(Padding(_after(answer.after_the_pull), (0, 2)))
    close(out, answer.findings)


def _hill(answer: FiringAnswer) -> Text:
    at = np.linspace(0.0, answer.time_s[-1], _COLUMNS)
    ware = np.interp(at, answer.time_s, answer.ware_c)
    top = 100.0 * float(np.ceil(answer.air_c.max() / 100.0))
    filled = ware / top * _ROWS
    out = Text(" " * _MARGIN)
    marks = [" "] * _COLUMNS
    for opening in answer.openings:
        marks[min(int(_COLUMNS * opening.at_min / answer.shown_min), _COLUMNS - 1)] = "▾"
    out.append("".join(marks), "cyan")
    for row in range(_ROWS, 0, -1):
        celsius = top * row / _ROWS
        label = f"{celsius:.0f} °C " if row % 3 == 0 else ""
        out.append(f"\n{label:>{_MARGIN}}", "dim")
        for value in filled:
            level = int(np.clip(8.0 * (value - (row - 1)), 0.0, 8.0))
            out.append(_EIGHTHS[level], "dark_orange3")
    out.append("\n" + " " * _MARGIN)
    hours = _hours(answer.shown_min)
    line = [" "] * (_COLUMNS + 6)
    for minutes in hours:
        text = clock(minutes)
        start = int(_COLUMNS * minutes / answer.shown_min)
        line[start : start + len(text)] = text
    out.append("".join(line).rstrip(), "dim")
    return out


def _hours(total_min: float) -> list[float]:
    step = next((s for s in (30, 60, 120, 240, 480) if total_min / s <= 7), 960)
    return [float(m) for m in range(0, int(total_min) + 1, step)]


def _ribbon(track: Track, total_min: float) -> Text:
    at = (np.arange(_COLUMNS) + 0.5) / _COLUMNS * total_min
    text = Text(" " * _MARGIN)
    text.append(track.recipe.name, "bold")
    text.append(f"  {track.recipe.surface}\n{' ' * _MARGIN}", "dim")
    if not len(track.time_min):
        return text

    def along(odds: Array) -> Array:
        return np.asarray(np.interp(at, track.time_min, odds))

    odds = np.stack([along(getattr(track, word)) for word in _SHADE])
    words = list(_SHADE)
    for minutes, column in zip(at, odds.T, strict=True):
        if minutes < track.time_min[0]:
            text.append(" ")
            continue
        shade, colour = _SHADE[words[int(column.argmax())]]
        text.append(shade, colour)
    return text


def _keys(answer: FiringAnswer) -> Table:
    heads = ("segment", "rate °C/h", "rate °F/h", "to °C", "to °F", "hold", "ramp takes")
    table = plain_table(*(f">{name}" for name in heads))
    for row in answer.segments:
        fast = row.rate_c_per_h is None
        table.add_row(
            str(row.number),
            "full" if fast else f"{row.rate_c_per_h:.0f}",
            "full" if fast else f"{1.8 * (row.rate_c_per_h or 0.0):.0f}",
            Text(f"{row.target_c:.0f}", "bold"),
            Text(f"{fahrenheit(row.target_c):.0f}", "bold"),
            clock(row.hold_min),
            clock(row.ramp_takes_min),
        )
    return table


def _sum_line(answer: FiringAnswer) -> Text:
    text = Text(f"{clock(answer.total_min)} to the end of the program", style="bold")
    if answer.energy_kwh is not None:
        text.append(f", about {answer.energy_kwh:.1f} kWh")
    if answer.cost is not None:
        text.append(f", costing {answer.cost:.2f} at {answer.firing.price_per_kwh:g} per kWh")
    if answer.energy_kwh is None:
        text.append("   power of this kiln not known, so no energy", "dim")
    if not answer.openings:
        text.append(f"; the shut kiln is at {OPEN_C:.0f} °C at {clock(answer.cold_min)}")
    if any(row.rate_c_per_h is None for row in answer.segments):
        text.append("   full: the fastest rate your controller takes", "dim")
    return text


def _loads(answer: FiringAnswer) -> Table:
    table = Table.grid(padding=(0, 3))
    shown = answer.loads if len(answer.loads) <= 4 else (answer.loads[0], answer.loads[-1])
    for load in shown:
        table.add_row(
            Text(load.name, "bold"),
            clock(load.at_min),
            show_temperature(load.ware_c),
            Text(_cones(load)),
        )
    if len(answer.loads) > len(shown):
        gap = answer.loads[1].at_min - answer.loads[0].at_min
        text = f"{len(answer.loads)} in all, the second {clock(gap)} after the first"
        table.add_row("", "", Text(text, "dim"), "")
    return table


def _cones(load: Load) -> str:
    heat = load.heat
    words = heat.cone
    if load.cone_low != load.cone_high:
        words += f" ({load.cone_low} to {load.cone_high})"
    if heat.beyond_chart:
        words += f"; heated faster than the cone chart covers: {heat.last_100_c_per_h:.0f} °C/h"
    if heat.extrapolated:
        words += "; extrapolated"
    return words


def _after(after: AfterPull) -> Table:
    glows, lights = after.dull_red_after_s, after.no_longer_lights_paper_after_s
    table = Table.grid(padding=(0, 3))
    table.add_row(
        f"from {show_temperature(after.from_c)}",
        Text(f"{glows.low:.0f} to {glows.high:.0f} s", "bold"),
        Text("until it no longer glows", "dim"),
    )
    for one in after.glazes:
        if one.set_after_s.value <= 0.0:
            table.add_row(Text(one.recipe.name, "bold"), "", Text("is set already", "dim"))
            continue
        table.add_row(
            Text(one.recipe.name, "bold"),
            Text(f"{one.stiff_after_s.low:.0f} to {one.stiff_after_s.high:.0f} s", "bold"),
            Text("stiff enough for the closed bin: nothing sticks or prints", "dim"),
        )
        table.add_row(
            "",
            Text(f"{one.set_after_s.low:.0f} to {one.set_after_s.high:.0f} s", "bold"),
            Text(f"set, near {one.set_c.value:.0f} °C: from here on stress builds", "dim"),
        )
    table.add_row(
        "",
        Text(f"{lights.low:.0f} to {lights.high:.0f} s", "bold"),
        Text("until it no longer lights paper", "dim"),
    )
    text = BED_WORDS[after.smoke.bed]
    if after.smoke.assumed:
        text += ": common practice; write yours as [smoke] in the firing"
    table.add_row("", Text(f"{after.smoke.bin_min:g} min", "bold"), Text(text, "dim"))
    return table
