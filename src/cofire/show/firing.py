"""A firing on a terminal: the temperature, ripeness under it, and what to key in."""

from __future__ import annotations

import numpy as np
from rich.console import Group
from rich.padding import Padding
from rich.table import Table

from cofire.answers.firing import OPEN_C, FiringAnswer, Load, Track
from cofire.answers.results.headline import Headline, Number
from cofire.arrays import Array
from cofire.model.after_pull import AfterPull
from cofire.model.cooling import BED_WORDS
from cofire.read.units import fahrenheit, show_temperature
from cofire.show.screen import Screen
from cofire.show.terminal import Text, clock, heading, plain_table, section

#: Columns of the curve where there is room, its lines, and columns left of it.
_COLUMNS, _ROWS, _MARGIN = 60, 6, 9
_EIGHTHS = " ▁▂▃▄▅▆▇█"
_SHADE = {"under": ("░", "yellow"), "ripe": ("█", "green"), "runs": ("▒", "red")}


def show_firing(answer: FiringAnswer, screen: Screen) -> None:
    """Print a firing in full."""
    out = screen.begin(_headline(answer), answer.findings)
    if out is None:
        return
    aside = f"{answer.firing.kiln.name}, wall {answer.wall_mm:g} mm"
    if answer.glazes:
        aside += ", coat " + "; ".join(_coat(coat.reading) for coat in answer.coats)
    if answer.firing.load_kg:
        aside += f", load {answer.firing.load_kg:g} kg"
    out.print(heading(answer.firing.name, aside, typed=True))
    columns = min(_COLUMNS, out.width - _MARGIN - 5)
    out.print(_hill(answer, columns))
    for track in answer.glazes:
        out.print(_ribbon(track, answer, columns))
    by_hand = answer.firing.kiln.fuel == "gas"
    words = (
        ("To follow", "by the pyrometer")
        if by_hand
        else ("To key in", "any controller that ramps and holds")
    )
    section(out, heading(*words), _keys(answer), _sum_line(answer))
    out.print(heading("Loads", _loads_aside(answer)))
    out.print(Padding(_loads(answer), (0, 2)))
    if answer.after_the_pull:
        out.print(heading("After the pull", "in still air; 90 % sure, of open and closed pots"))
        out.print(Padding(_after(answer.after_the_pull), (0, 2)))
    screen.end(out, answer.findings)


def _headline(answer: FiringAnswer) -> Headline:
    """When ware leaves, what it takes, and the glaze that is least sure to be ripe."""
    first, last = answer.loads[0], answer.loads[-1]
    leaves = f"{first.name} at {clock(first.at_min)}, near {show_temperature(first.ware_c)}"
    if last is not first:
        leaves += f"; {last.name} at {clock(last.at_min)}"
    numbers = [Number("", leaves, leaves)]
    decides = helps = ""
    if answer.glazes:
        numbers += [Number(track.recipe.name, _ripe_from(track)) for track in answer.glazes]
        track = min(answer.glazes, key=lambda one: min(_ripe(one, first), _ripe(one, last)))
        load = min(first, last, key=lambda one: _ripe(track, one))
        decides = f"{track.recipe.name} in {load.name}, the least sure to be ripe"
        helps = f"cofire pair {track.recipe.id} --firing {answer.firing.id} says what to change"
    worth = [clock(answer.total_min)]
    if answer.energy_kwh is not None:
        worth.append(f"about {answer.energy_kwh:.1f} kWh")
    if answer.cost is not None:
        worth.append(f"costing {answer.cost:.2f}")
    peak = show_temperature(answer.firing.peak_c)
    sentence = f"{answer.firing.name}, peak {peak}: {', '.join(worth)}."
    return Headline(None, sentence, ", ".join(worth), tuple(numbers), decides, helps)


def _coat(reading: str) -> str:
    """What is said of a coat, short where it is assumed."""
    coat, assumed, _ = reading.partition(", assumed")
    return f"{coat} (assumed)" if assumed else coat


def _ripe_from(track: Track) -> str:
    """When a glaze is likelier ripe than not."""
    ripe = np.flatnonzero(track.ripe >= 0.5)
    if not len(ripe):
        return "at no moment likely to be ripe"
    start, end = (clock(float(track.time_min[ripe[k]])) for k in (0, -1))
    return f"likely ripe from {start} to {end}"


def _ripe(track: Track, load: Load) -> float:
    """Odds that a glaze is ripe when a load leaves."""
    return float(np.interp(load.at_min, track.time_min, track.ripe)) if len(track.ripe) else 0.0


def _hill(answer: FiringAnswer, columns: int) -> Text:
    at = np.linspace(0.0, answer.time_s[-1], columns)
    ware = np.interp(at, answer.time_s, answer.ware_c)
    top = 100.0 * float(np.ceil(answer.air_c.max() / 100.0))
    filled = ware / top * _ROWS
    out = Text(" " * _MARGIN)
    marks = [" "] * columns
    for opening in answer.openings:
        marks[min(int(columns * opening.at_min / answer.shown_min), columns - 1)] = "▾"
    out.append("".join(marks), "cyan")
    for row in range(_ROWS, 0, -1):
        celsius = top * row / _ROWS
        label = f"{celsius:.0f} °C " if row % 2 == 0 else ""
        out.append(f"\n{label:>{_MARGIN}}", "dim")
        for value in filled:
            level = int(np.clip(8.0 * (value - (row - 1)), 0.0, 8.0))
            out.append(_EIGHTHS[level], "dark_orange3")
    out.append("\n" + " " * _MARGIN)
    hours = _hours(answer.shown_min)
    line = [" "] * (columns + 6)
    for minutes in hours:
        text = clock(minutes)
        start = int(columns * minutes / answer.shown_min)
        line[start : start + len(text)] = text
    out.append("".join(line).rstrip(), "dim")
    return out


def _hours(total_min: float) -> list[float]:
    step = next((s for s in (30, 60, 120, 240, 480) if total_min / s <= 7), 960)
    return [float(m) for m in range(0, int(total_min) + 1, step)]


def _ribbon(track: Track, answer: FiringAnswer, columns: int) -> Text:
    total_min = answer.shown_min
    at = (np.arange(columns) + 0.5) / columns * total_min
    text = Text(" " * _MARGIN)
    text.append(track.recipe.name, "bold")
    for word, (shade, colour) in _SHADE.items() if track is answer.glazes[0] else ():
        text.append(f"   {shade}", colour).append(f" {word}", "dim")
    text.append(f"\n{' ' * _MARGIN}")
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
    heads = ("segment", "rate °C/h", "rate °F/h", "to °C", "to °F", "hold", "ramp")
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
    """What the headline does not say of the whole program."""
    said = []
    if answer.energy_kwh is None:
        said.append("power of this kiln not known, so no energy")
    if answer.cost is not None:
        said.append(f"{answer.firing.price_per_kwh:g} per kWh")
    if not answer.openings:
        said.append(f"the shut kiln is at {OPEN_C:.0f} °C at {clock(answer.cold_min)}")
    if any(row.rate_c_per_h is None for row in answer.segments):
        said.append("full: the fastest rate your controller takes")
    return Text("; ".join(said), "dim")


def _loads(answer: FiringAnswer) -> Table:
    table = Table.grid(padding=(0, 2))
    shown = answer.loads if len(answer.loads) <= 4 else (answer.loads[0], answer.loads[-1])
    for load in shown:
        table.add_row(
            Text(load.name, "bold"),
            clock(load.at_min),
            show_temperature(load.ware_c),
            Text(_cones(load)),
        )
    return table


def _loads_aside(answer: FiringAnswer) -> str:
    text = "cones it has bent"
    if len(answer.loads) > 4:
        gap = answer.loads[1].at_min - answer.loads[0].at_min
        text += f"; {len(answer.loads)} in all, the second {clock(gap)} later"
    if any(load.heat.beyond_chart for load in answer.loads):
        text += "; * beyond the chart"
    return text


def _cones(load: Load) -> str:
    heat = load.heat
    words = heat.cone
    if load.cone_low != load.cone_high:
        words += f" ({load.cone_low} to {load.cone_high})"
    if heat.beyond_chart:
        words += "*"
    if heat.extrapolated:
        words += "; extrapolated"
    return words


def _after(after: AfterPull) -> Group:
    """When each glaze may go into the bin and has set, and how long the pot glows and burns."""
    glows, lights = after.dull_red_after_s, after.no_longer_lights_paper_after_s
    table = plain_table("", "into the closed bin", "set, stress builds")
    for one in after.glazes:
        if one.set_after_s.value <= 0.0:
            table.add_row(Text(one.recipe.name, "bold"), "is set already", "")
            continue
        stiff, sets = one.stiff_after_s, one.set_after_s
        table.add_row(
            Text(one.recipe.name, "bold"),
            Text(f"{stiff.low:.0f} to {stiff.high:.0f} s"),
            Text(f"{sets.low:.0f} to {sets.high:.0f} s, {one.set_c.value:.0f} °C"),
        )
    text = (
        f"from {show_temperature(after.from_c)} it glows for {glows.low:.0f} to {glows.high:.0f} s "
        f"and lights paper for {lights.low:.0f} to {lights.high:.0f} s; "
        f"{after.smoke.bin_min:g} min {BED_WORDS[after.smoke.bed]}"
    )
    if after.smoke.assumed:
        text += ": common practice; write yours as [smoke] in the firing"
    return Group(*([table] if after.glazes else []), Text(text))
