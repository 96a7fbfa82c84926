"""A blend as SVG: cells coloured by their word, with a gap where the word changes."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from cofire.answers.blend.results import Blend
from cofire.arrays import Array
from cofire.show import drawing as draw
from cofire.show.blend import cracks_words, short
from cofire.show.drawing import GREY, INK, PALE, PAPER, RUST, Mark, Path, Words
from cofire.words import listed, percent

_WIDTH, _SIDE, _TOP = 900, 60, 116
#: The largest width of a cell.
_MOST = 92.0
#: Letters that fit above the figure.
_TITLE = 70
#: Different in hue and lightness; the word stands in every cell.
_FILL = {
    "under": "#dccba2", "runs": "#b5574a", "ripe": "#5d9478", "sits": "#8fb89b",
    "crazes": "#9cc7d4", "shivers": "#b58ead", "": PALE,
}  # fmt: skip


def blend_svg(answer: Blend) -> str:
    """The figure as a complete file."""
    at = answer.points
    pitch = _pitch(answer)
    x, y = _middles(answer, pitch)
    bottom = float(y.max()) + pitch * (0.58 if at.form == "triangle" else 0.5)
    height = round(bottom + (48 if at.form == "line" or answer.additions else 74) + 26)
    text = "number: expansion, 1e-6/K"
    if answer.yes is not None:
        text = (
            "colour and word: the likeliest; number: odds of all that was asked, %; CAPITALS: as "
            "sure as asked; mm: cracks apart"
        )
    where = ", ".join(part.name for part in (answer.at.firing, answer.at.body) if part is not None)
    marks = draw.head(_SIDE, 32, _title(answer), where, text)
    for p in range(len(x)):
        marks += _cell(answer, p, float(x[p]), float(y[p]), pitch)
    marks += [
        _gutter(x[[p, q]], y[[p, q]], pitch, at.form == "triangle") for p, q in answer.changes
    ]
    marks += _scales(answer, x, y, pitch) if answer.additions else _names(answer, x, y, pitch)
    marks += draw.key(_SIDE, height - 18, _signs(answer), 110)
    return draw.svg_file(draw.Picture(_WIDTH, height, tuple(marks), "a blend, point by point"))


def cells(answer: Blend) -> list[tuple[float, float, float]]:
    """Where each point is drawn: its middle, and how wide it is."""
    pitch = _pitch(answer)
    x, y = _middles(answer, pitch)
    return [(px, py, pitch) for px, py in draw.points(x, y)]


def _pitch(answer: Blend) -> float:
    return min(_MOST, (_WIDTH - 2 * _SIDE) / (answer.points.steps + 1))


def _title(answer: Blend) -> str:
    if answer.additions:
        added = listed([a.material.name for a in answer.additions])
        return f"{answer.recipes[0].name} with {added}"
    names = " · ".join(r.name for r in answer.recipes)
    return names if len(names) <= _TITLE else f"{len(answer.recipes)} glazes"


def _middles(answer: Blend, pitch: float) -> tuple[Array, Array]:
    """Centres of the cells; the rows of a triangle are closer."""
    at = answer.points
    x, y = at.column.astype(float) * pitch, at.row.astype(float) * pitch
    if at.form == "triangle":
        x, y = x - at.row * pitch / 2.0 + at.steps * pitch / 2.0, y * math.sqrt(0.75)
    left = (_WIDTH - pitch * (at.steps + 1)) / 2.0 + pitch / 2.0
    return np.asarray(x + left), np.asarray(y + _TOP + pitch / 2.0)


def _cell(answer: Blend, p: int, x: float, y: float, pitch: float) -> list[Mark]:
    """A square, or a hexagon in a triangle, paler the less sure it is."""
    word, right = answer.words[p], float(answer.seen.odds_right[p])
    sides = 6 if answer.points.form == "triangle" else 4
    reach, turn = (pitch / math.sqrt(3.0), 0.0) if sides == 6 else (pitch / math.sqrt(2.0), 0.5)
    angles = [2.0 * math.pi * (k + turn) / sides for k in range(sides)]
    corners = [(x + reach * math.sin(a), y + reach * math.cos(a)) for a in angles]
    faint = 0.45 + 0.55 * right if word else 1.0
    fill, words = _FILL[word], _tooltip(answer, p)
    marks: list[Mark] = [Path(draw.polygon(corners), fill, PAPER, 1.5, faint, says=words)]
    if answer.tiles is not None and p in answer.tiles.chosen:
        marks.append(_tile(x, y, 0.41 * pitch))
    second = short(answer, p)
    if word and pitch >= 44.0:
        second += f" {percent(right, cell=True)}"
    size = max(7.0, min(14.0, pitch / 4.6))
    label = answer.points.labels[p]
    marks.append(Words(x, y - 0.12 * size, label, size, "middle", bold=True))
    marks.append(Words(x, y + 1.05 * size, second, 0.92 * size, "middle"))
    apart = cracks_words(answer, p)
    if apart and pitch >= 44.0:
        marks.append(Words(x, y + 2.1 * size, f"{apart} mm", 0.8 * size, "middle"))
    return marks


def _tile(x: float, y: float, radius: float) -> Path:
    return Path(draw.ellipse(x, y, radius), stroke=RUST, width=2.6, dash="5 3", kind="tile")


def _tooltip(answer: Blend, p: int) -> str:
    """A point in full, for a tooltip."""
    if answer.percent is None:
        shares = zip(answer.shares[p], answer.ingredients, strict=True)
        held = [f"{100 * v:.0f} % {i.name}" for v, i in shares if v > 0.0]
    else:
        amounts = zip(answer.percent[p], answer.additions, strict=True)
        held = [f"{v:.3g} % {a.material.name}" for v, a in amounts]
    alpha = f"expansion {answer.seen.expansion_1e6_per_k[p]:.2f}e-6/K"
    return "; ".join([answer.points.labels[p], *held, alpha, answer.words[p]]).rstrip("; ")


def _gutter(x: Array, y: Array, pitch: float, hexagon: bool) -> Path:
    """The edge that two neighbours share."""
    middle = np.array([x.mean(), y.mean()])
    beside = np.array([y[0] - y[1], x[1] - x[0]]) / pitch
    half = pitch / (2.0 * math.sqrt(3.0)) if hexagon else pitch / 2.0
    return _edge(*(tuple((middle + way * half * beside).tolist()) for way in (-1, 1)))


def _edge(start: tuple[float, float], end: tuple[float, float]) -> Path:
    return Path(draw.line((start, end)), stroke=INK, width=3.4, kind="gutter")


def _names(answer: Blend, x: Array, y: Array, pitch: float) -> list[Mark]:
    """Corners by name beside them."""
    left, right = float(x.min()) - pitch / 2.0, float(x.max()) + pitch / 2.0
    above, below = float(y.min()) - pitch / 2.0 - 8.0, float(y.max()) + pitch / 2.0 + 22.0
    spots = [Words(left, above, ""), Words(right, above, "", anchor="end")]
    if answer.points.form == "triangle":
        above, below = above - 0.08 * pitch, below + 0.1 * pitch
        spots = [Words((left + right) / 2.0, above, "", anchor="middle")]
    if answer.points.form != "line":
        spots += [Words(left, below, ""), Words(right, below, "", anchor="end")]
    return [
        replace(spot, text=recipe.name, bold=True)
        for spot, recipe in zip(spots, answer.recipes, strict=True)
    ]


def _scales(answer: Blend, x: Array, y: Array, pitch: float) -> list[Mark]:
    """Amounts of additions along the edges."""
    at, amounts = answer.points, answer.percent
    assert amounts is not None
    left = float(x.min()) - pitch / 2.0
    marks: list[Mark] = [
        Words(float(x[p]), _TOP - 6, f"{amounts[p, 0]:.3g}", anchor="middle", colour=GREY)
        for p in np.flatnonzero(at.row == 0)
    ]
    text = f"→ {answer.additions[0].material.name}, % of the base"
    if len(answer.additions) == 2:
        marks += [
            Words(left - 6.0, float(y[p]) + 4.0, f"{amounts[p, 1]:.3g}", anchor="end", colour=GREY)
            for p in np.flatnonzero(at.column == 0)
        ]
        text += f"; ↓ {answer.additions[1].material.name}, % of the base"
    return [*marks, Words(left, float(y.max()) + pitch / 2.0 + 22.0, text, bold=True)]


def _signs(answer: Blend) -> list[tuple[str, draw.Sign]]:
    """The words that occur, and what the lines mean."""
    signs: list[tuple[str, draw.Sign]] = [
        (word, draw.swatch(_FILL[word])) for word in dict.fromkeys(answer.words) if word
    ]
    if answer.changes:
        signs.append(("here it changes", lambda x, y: _edge((x, y - 4.0), (x + 22.0, y - 4.0))))
    if answer.tiles is not None:
        signs.append(("tiles to fire", lambda x, y: _tile(x + 11.0, y - 5.0, 8.0)))
    return signs
