"""A family map as SVG: bands of one quantity, with the recipe as a marker."""

from __future__ import annotations

import textwrap

import numpy as np

from cofire.answers.map.contours import areas_above, carried_on, contour_lines, finer
from cofire.answers.map.family_map import COARSE
from cofire.answers.map.results import MapAnswer
from cofire.arrays import Array
from cofire.show import drawing as draw
from cofire.show.drawing import GREY, INK, PALE, PAPER, RUST, Mark, Path, Words
from cofire.show.family_map import axis_words, level_words, ticks_of

_WIDTH, _LEFT, _TOP, _WIDE, _HIGH, _GAUGE = 860.0, 76.0, 84.0, 590.0, 500.0, 712.0
_RIGHT, _FOOT = _LEFT + _WIDE, _TOP + _HIGH
#: From low to high, in the colours of the strip; different in lightness alone.
_DEPTHS = ("#f3ecdf", PALE, "#b9d7d9", "#6fa8ad", "#2f7f88", "#124a52")
#: Two numbers on the map stand no nearer to each other than this, in pixels; our choice.
_APART = 64.0
#: Steps that curved lines take between the points of a coarse table; our choice.
_FINER = 4


def map_svg(answer: MapAnswer) -> str:
    """The picture as a complete file."""
    x = draw.Axis(answer.across.low, answer.across.high, _LEFT, _RIGHT)
    y = draw.Axis(answer.up.low, answer.up.high, _FOOT, _TOP)
    aside = ", ".join(filter(None, (answer.shown.words, answer.shown.unit)))
    marks: list[Mark] = [
        *draw.head(_LEFT, 34, answer.recipe.name, aside),
        *_sheet(answer, x, y),
        Path(draw.box(_LEFT, _TOP, _WIDE, _HIGH), stroke=INK),
        *_axes(answer, x, y),
        *_floats(answer, x, y),
        *_gauge(answer),
    ]
    bottom = _FOOT + 66.0
    for text, colour in ((answer.sentence, INK), ("; ".join(answer.conditions), GREY)):
        for words in textwrap.wrap(text, 112):
            marks.append(Words(_LEFT, bottom, words, colour=colour))
            bottom += 19.0
    return draw.svg_file(draw.Picture(_WIDTH, bottom + 6.0, tuple(marks), "a map of mixtures"))


def spread_over() -> tuple[float, float, float, float]:
    """Where the table of a map is drawn: left, top, width and height."""
    return _LEFT, _TOP, _WIDE, _HIGH


def _depth(answer: MapAnswer, band: int) -> str:
    """The colour of one band between lines."""
    share = band / max(len(answer.levels), 1) * (len(_DEPTHS) - 1)
    colours = [[int(colour[i : i + 2], 16) for colour in _DEPTHS] for i in (1, 3, 5)]
    return "#" + "".join(f"{round(np.interp(share, range(len(c)), c)):02x}" for c in colours)


def _sheet(answer: MapAnswer, at_x: draw.Axis, at_y: draw.Axis) -> list[Mark]:
    """All bands, lines and hatching; places without a glaze are blank."""

    def drawn(lines: tuple[Array, ...], closed: bool) -> str:
        shape = draw.polygon if closed else draw.line
        return "".join(shape(draw.points(at_x(one[:, 0]), at_y(one[:, 1]))) for one in lines)

    field = carried_on(answer.field)
    # few points make crooked lines
    field = finer(field, _FINER if len(answer.x) == COARSE else 1)
    x, y = (
        np.linspace(axis.low, axis.high, count)
        for axis, count in ((answer.across, field.shape[1]), (answer.up, field.shape[0]))
    )

    def over(values: Array, limit: float) -> str:
        fine = values.shape == field.shape
        across, up = (x, y) if fine else (answer.x, answer.y)
        return drawn(areas_above(across, up, values, limit), True)

    marks: list[Mark] = [Path(draw.box(_LEFT, _TOP, _WIDE, _HIGH), fill=_depth(answer, 0))]
    for k, value in enumerate(answer.levels):
        area = over(field, float(answer.scaled(value)))
        marks.append(Path(area, fill=_depth(answer, k + 1)))
    marks.append(Path(over(carried_on(answer.grade), 1.0), hatched=True))
    labels: list[Words] = []
    for value in sorted(answer.levels, key=lambda v: v != answer.level):
        lines = contour_lines(x, y, field, float(answer.scaled(value)))
        decides = value == answer.level
        path = drawn(lines, False)
        marks.append(
            Path(path, stroke=RUST, width=2.6) if decides else Path(path, stroke=INK, width=0.5)
        )
        if lines:
            labels += _label(answer, (at_x, at_y), np.concatenate(lines), labels,
                             level_words(answer, value))  # fmt: skip
    gone = over(-answer.room, 1e-9)
    marks.append(Path(gone, PAPER, INK, 0.9, dash="5 4"))
    if (no_value := ~np.isfinite(field)).any():
        marks.append(Path(over(no_value.astype(float), 0.5), fill=PAPER))
    return [*marks, *labels]


def _label(
    answer: MapAnswer,
    at: tuple[draw.Axis, draw.Axis],
    on_line: Array,
    labels: list[Words],
    words: str,
) -> list[Words]:
    """A number on a line, as far as possible from the others and from the recipe; none if that is
    not far enough."""
    x, y = at[0](on_line[:, 0]), at[1](on_line[:, 1])
    # a glaze has to be possible at the nearest point of the table
    i = np.abs(answer.x[:, None] - on_line[:, 0]).argmin(axis=0)
    j = np.abs(answer.y[:, None] - on_line[:, 1]).argmin(axis=0)
    inside = np.isfinite(answer.values[j, i]) & (np.abs(x - _LEFT - _WIDE / 2) < _WIDE / 2 - 26)
    inside &= np.abs(y - _TOP - _HIGH / 2) < _HIGH / 2 - 14
    spots = [(at[0](s.x), at[1](s.y)) for s in (answer.own, answer.nearest) if s is not None]
    taken = [*spots, *((one.x, one.y) for one in labels)]
    away = np.min([np.hypot(x - a, y - b) for a, b in taken], axis=0)
    best = int(np.argmax(np.where(inside, away, -1.0)))
    if not inside.any() or away[best] < _APART:
        return []
    return [Words(float(x[best]), float(y[best]) + 4.0, words, 12.0, "middle", INK, True, True)]


def _axes(answer: MapAnswer, x: draw.Axis, y: draw.Axis) -> list[Mark]:
    across, up = ([(v, f"{v:g}") for v in ticks_of(a, 9)] for a in (answer.across, answer.up))
    return [
        *draw.along(x, _FOOT + 20.0, across),
        *(Path(draw.upright(x(v), _FOOT, _FOOT + 6.0), stroke=INK) for v, _ in across),
        *draw.beside(y, _LEFT - 3.0, up),
        *(Path(draw.level(_LEFT - 6.0, _LEFT, y(v)), stroke=INK) for v, _ in up),
        Words(_RIGHT, _FOOT + 40.0, f"{axis_words(answer.across)} →", anchor="end"),
        Words(_LEFT, _TOP - 9.0, f"↑ {axis_words(answer.up)}"),
    ]


def _circle(x: float, y: float) -> Path:
    return Path(draw.ellipse(x, y, 7.0), PAPER, RUST, 3.0)


def _diamond(x: float, y: float) -> Path:
    corners = ((x, y - 8.0), (x + 8.0, y), (x, y + 8.0), (x - 8.0, y))
    return Path(draw.polygon(corners), PAPER, RUST, 3.0)


def _hatched(x: float, y: float) -> Path:
    return Path(draw.box(x - 10.0, y - 8.0, 20.0, 16.0), PALE, hatched=True)


def _floats(answer: MapAnswer, x: draw.Axis, y: draw.Axis) -> list[Mark]:
    own = (x(answer.own.x), y(answer.own.y))
    marks: list[Mark] = []
    if answer.nearest is not None:
        there = (x(answer.nearest.x), y(answer.nearest.y))
        if answer.holds_own:
            marks.append(Path(draw.line((own, there)), stroke=RUST, width=2.0, dash="2 4"))
        marks.append(_diamond(*there))
    return [*marks, _circle(*own)] if answer.holds_own else marks


def _gauge(answer: MapAnswer) -> list[Mark]:
    """A scale beside the map, and the meaning of the signs."""
    bands = len(answer.levels) + 1
    high = min(34.0, 330.0 / bands)
    foot = _TOP + high * bands
    marks: list[Mark] = [
        Path(draw.box(_GAUGE, foot - high * (k + 1), 30.0, high), _depth(answer, k), INK, 0.5)
        for k in range(bands)
    ]
    for k, value in enumerate(answer.levels, 1):
        y, decides = foot - high * k, value == answer.level
        colour, thick = (RUST, 2.6) if decides else (INK, 0.9)
        marks.append(Path(draw.level(_GAUGE, _GAUGE + 36.0, y), stroke=colour, width=thick))
        asked = " asked" if decides and answer.shown.kind == "odds" else ""
        marks.append(Words(_GAUGE + 42.0, y + 4.0, level_words(answer, value) + asked))
    if answer.shown.kind == "distance" and np.isinf(answer.values).any():
        marks.append(Words(_GAUGE + 42.0, _TOP + 12.0, "or none", colour=GREY))
    signs: list[tuple[draw.Sign, tuple[str, ...]]] = [(_circle, ("your recipe",))]
    if answer.nearest is not None:
        signs.append((_diamond, ("sure enough",)))
    if answer.outside_the_data.any():
        signs.append((_hatched, ("nothing like it", "was measured")))
    for k, (sign, said) in enumerate(signs):
        y = foot + 36.0 + 28.0 * k
        marks.append(sign(_GAUGE + 10.0, y))
        marks += [Words(_GAUGE + 28.0, y + 4.0 + 16.0 * i, w) for i, w in enumerate(said)]
    return marks
