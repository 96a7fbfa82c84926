"""A family map on a terminal, readable in black and white."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from rich.padding import Padding

from cofire.answers.map.axes import Axis
from cofire.answers.map.contours import between_points, carried_on, round_levels
from cofire.answers.map.messages import value_words
from cofire.answers.map.results import MapAnswer, Spot, on_scale
from cofire.answers.results.headline import Headline
from cofire.arrays import Array, Mask
from cofire.show.screen import Screen
from cofire.show.terminal import Text, heading, signed
from cofire.words import small_digits

#: Columns and lines of a map; fewer columns where there is no room.
_WIDE, _HIGH = 61, 16
_MARGIN = 9
#: Light to dark; the ink helps where there is colour.
_SHADES = (("·", "dim"), ("░", "cyan"), ("▒", "cyan"), ("▓", "cyan"), ("█", "cyan"), ("■", "blue"))
_OUTSIDE = "╱"
CAUTIONS = "cautions about the materials: cofire formula"
_OWN, _FOUND = "◆", "★"


def show_map(answer: MapAnswer, screen: Screen) -> None:
    """Print the map with its axes, the recipe on it, and what the shades mean."""
    out = screen.begin(_headline(answer), answer.findings)
    if out is None:
        return
    levels = shown_levels(answer)
    aside = ", ".join(filter(None, (answer.shown.words, answer.shown.unit)))
    out.print(heading(answer.recipe.name, aside, typed=True))
    out.print(Text(axis_words(answer.up), "dim"))
    for line in _picture(answer, levels, out.width):
        out.print(line, no_wrap=True, overflow="ignore", crop=False)
    out.print(Padding(_legend(answer, levels), (1, 2, 0, 2)))
    for spot, what in ((answer.best, "the best"),):
        if spot is not None and spot.parts and answer.nearest is not None:
            out.print(Padding(_recipe_line(spot, what), (0, 2)))
    out.print(Padding(Text("; ".join((*answer.conditions, CAUTIONS)), style="dim"), (0, 2)))
    screen.end(out, answer.findings)


def _headline(answer: MapAnswer) -> Headline:
    """The sentence says where the recipe is; what helps is what the place that is found holds."""
    there = answer.nearest or answer.best
    helps = (
        "--show right --firing FIRING --body BODY says where it is good" if there is None else ""
    )
    if there is not None and there.parts:
        helps = _recipe_line(there, "to get there").plain
    values = [f"{value_words(answer.shown, answer.own.value)} here"]
    if there is not None:
        found = "nearest good" if answer.nearest is not None else "best"
        values.append(f"{found} {value_words(answer.shown, there.value)}")
    short = f"{answer.shown.words}: {', '.join(values)}"
    return Headline(None, answer.sentence, short, decides=_decides(answer), helps=helps)


def _decides(answer: MapAnswer) -> str:
    """The axis that moves it more, and from where to where, over the map and through the recipe."""
    row = int(np.argmin(np.abs(answer.y - answer.up.own)))
    column = int(np.argmin(np.abs(answer.x - answer.across.own)))
    ways = []
    for axis, values in (
        (answer.across, answer.values[row]),
        (answer.up, answer.values[:, column]),
    ):
        there = values[np.isfinite(values)]
        if len(there) > 1:
            on = on_scale(answer.shown.kind, there)
            ways.append((float(np.ptp(on)), axis, float(there[0]), float(there[-1])))
    if not ways or max(ways, key=lambda way: way[0])[0] == 0.0:
        return ""
    _, axis, first, last = max(ways, key=lambda way: way[0])
    moves = f"{value_words(answer.shown, first)} to {value_words(answer.shown, last)}"
    return f"{small_digits(axis.name)}: from its least to its most {moves}"


def shown_levels(answer: MapAnswer) -> tuple[float, ...]:
    """The levels that the shades can show."""
    most = len(_SHADES) - 1
    if len(answer.levels) <= most:
        return answer.levels
    if answer.shown.kind == "value":
        seen = answer.values[np.isfinite(answer.values)]
        return round_levels(float(seen.min()), float(seen.max()), most)
    if answer.level is None:
        return answer.levels[-most:]
    some = (0.1, 0.3, 0.5, 0.7, 0.9)
    decides = {v for v in some if v in answer.levels and abs(v - answer.level) > 0.099}
    kept = sorted(decides, key=lambda v: -abs(v - 0.5))[-most + 1 :]
    return tuple(sorted([*kept, answer.level]))


def axis_words(axis: Axis) -> str:
    """“kaolin, per cent of base”."""
    return f"{small_digits(axis.name)}, {axis.unit}"


def level_words(answer: MapAnswer, level: float) -> str:
    """A contour's number, as short as can be."""
    if answer.shown.kind == "odds":
        return f"{100 * level:.3g} %"
    if answer.show == "stress" or answer.show.endswith("margin"):
        return signed(level, 0 if abs(level) == int(abs(level)) else 1)
    return f"{level:g}"


def _picture(answer: MapAnswer, levels: tuple[float, ...], width: int) -> list[Text]:
    wide = min(_WIDE, width - _MARGIN - 4)
    x = np.linspace(answer.across.low, answer.across.high, wide)
    y = np.linspace(answer.up.high, answer.up.low, _HIGH)

    def read(values: Array) -> Array:
        return between_points(answer.x, answer.y, values, x, y)

    field = read(carried_on(answer.field))
    empty = ~np.isfinite(field) | (read(answer.room) < -1e-9)
    outside = read(carried_on(answer.grade)) >= 1.0
    band = np.searchsorted([float(answer.scaled(v)) for v in levels], field, side="right")
    cells = [
        [_cell(empty[j, i], outside[j, i], int(band[j, i]), i + j) for i in range(wide)]
        for j in range(_HIGH)
    ]
    _write_levels(answer, levels, band, empty, cells)
    for spot, sign in ((answer.nearest, _FOUND), (answer.own, _OWN)):
        if spot is not None:
            _mark(cells, x, y, spot, sign)
    ticks = {int(np.argmin(np.abs(y - v))): f"{v:g}" for v in ticks_of(answer.up, 5)}
    lines = []
    for j, row in enumerate(cells):
        text = Text()
        text.append(f"{ticks[j]:>{_MARGIN - 3}} ─┤" if j in ticks else " " * (_MARGIN - 1) + "│")
        for sign, colour in row:
            text.append(sign, colour)
        lines.append(text)
    return [*lines, *_foot(answer.across, x)]


def ticks_of(axis: Axis, most: int) -> tuple[float, ...]:
    """Round numbers along an axis, its ends among them where they are round."""
    hair = 1e-9 * (axis.high - axis.low)
    return round_levels(axis.low - hair, axis.high + hair, most)


def _cell(empty: bool, outside: bool, band: int, diagonal: int) -> tuple[str, str]:
    if empty:
        return " ", ""
    if outside and diagonal % 3 == 0:
        return _OUTSIDE, "yellow"
    return _SHADES[band]


def _write_levels(
    answer: MapAnswer,
    levels: tuple[float, ...],
    band: NDArray[np.intp],
    empty: Mask,
    cells: list[list[tuple[str, str]]],
) -> None:
    """Each level's number where its line runs, as far from the others as it can."""
    taken: list[tuple[float, float]] = []
    for k, level in enumerate(levels):
        word = f" {level_words(answer, level)} "
        high = band > k
        edge = np.zeros_like(empty)
        edge[:, 1:] |= high[:, 1:] != high[:, :-1]
        edge[1:, :] |= high[1:, :] != high[:-1, :]
        edge &= ~empty
        best, best_far = None, 0.0
        for j, i in np.argwhere(edge).tolist():
            start = i - len(word) // 2
            if start < 1 or start + len(word) > len(cells[0]) - 1 or not 0 < j < _HIGH - 1:
                continue
            if empty[j, start : start + len(word)].any():
                continue
            # a row is as high as two columns are wide
            far = min((np.hypot(i - a, 2 * (j - b)) for a, b in taken), default=1.0)
            if far > best_far:
                best, best_far = (start, j, i), far
        if best is None or (taken and best_far < 6.0):
            continue
        start, j, i = best
        taken.append((i, j))
        for at, letter in enumerate(word):
            cells[j][start + at] = (letter, "bold")


def _mark(cells: list[list[tuple[str, str]]], x: Array, y: Array, spot: Spot, sign: str) -> None:
    if not (x[0] <= spot.x <= x[-1] and y[-1] <= spot.y <= y[0]):
        return
    i, j = int(np.argmin(np.abs(x - spot.x))), int(np.argmin(np.abs(y - spot.y)))
    for at, letter in ((i - 1, " "), (i, sign), (i + 1, " ")):
        if 0 <= at < len(x):
            cells[j][at] = (letter, "bold red")


def _foot(across: Axis, x: Array) -> list[Text]:
    ticks = {int(np.argmin(np.abs(x - v))): f"{v:g}" for v in ticks_of(across, 6)}
    ruler = "".join("┬" if i in ticks else "─" for i in range(len(x)))
    scale = [" "] * (_MARGIN + len(x) + 6)
    for i, word in ticks.items():
        start = _MARGIN + i - len(word) // 2
        scale[start : start + len(word)] = word
    name = axis_words(across)
    return [
        Text(" " * (_MARGIN - 1) + "└" + ruler),
        Text("".join(scale).rstrip()),
        Text(" " * (_MARGIN + max(0, len(x) - len(name))) + name, "dim"),
    ]


def _legend(answer: MapAnswer, levels: tuple[float, ...]) -> Text:
    text = Text()
    names = [level_words(answer, v) for v in levels]
    bounds = [value_words(answer.shown, answer.own.value)]
    if names:
        inner = (f"{low} to {high}" for low, high in pairwise(names))
        bounds = [f"under {names[0]}", *inner, f"{names[-1]} and over"]
    if answer.shown.kind == "distance" and names and np.isinf(answer.values).any():
        bounds[-1] = f"over {names[-1]}, or none"
    for (sign, colour), words in zip(_SHADES, bounds, strict=False):
        text.append(3 * sign, colour)
        text.append(f" {words}   ", "dim")
    if answer.holds_own:
        text.append(_OWN, "bold red")
        text.append(" your recipe   ", "dim")
    if answer.nearest is not None:
        text.append(_FOUND, "bold red")
        text.append(" good enough, and nearest   ", "dim")
    if answer.outside_the_data.any():
        text.append(_OUTSIDE, "yellow")
        text.append(" no measured glass is like this   ", "dim")
    if (answer.room < 0.0).any() or np.isnan(answer.values).any():
        text.append("blank: not a glaze", "dim")
    return text


def _recipe_line(spot: Spot, what: str) -> Text:
    listed = ", ".join(f"{amount:.3g} {name}" for name, amount in spot.parts)
    return Text.assemble((f"{what}: ", "bold"), listed)
