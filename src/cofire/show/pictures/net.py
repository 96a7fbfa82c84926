"""A crackle drawn in millimetres: every crack ends where it meets an older one."""

from __future__ import annotations

import math
import random
from functools import lru_cache

from cofire.answers.results.fit import FitAnswer
from cofire.show import drawing as draw
from cofire.show.drawing import INK, PALE, Mark, Path

WIDE_MM, HIGH_MM = 62.0, 40.0
#: How far a crack strays from its middle, share of its length, and from the middle of what it
#: splits; our choice.
_STRAYS, _OFF_MIDDLE = 0.045, 0.18
#: Finer nets would be a grey area, mm.
_FINEST_MM = 0.7

Point = tuple[float, float]


def crackle_picture(answer: FitAnswer) -> draw.Picture:
    """The likeliest net of one glaze, black cracks thick and pale ones thin; a unit is 1 mm."""
    return draw.Picture(WIDE_MM, HIGH_MM, _net(*_apart_mm(answer)), _says(answer))


def crackle_elements(answer: FitAnswer) -> tuple[str, str]:
    """The same as what stands inside an SVG element, and in words; drawn once for each net."""
    return _elements(*_apart_mm(answer)), _says(answer)


def _says(answer: FitAnswer) -> str:
    return f"cracks at true size: {answer.crackle}"


def _apart_mm(answer: FitAnswer) -> tuple[float, float]:
    """Distance of all cracks and of black ones, mm; 0 where it is likelier to have none."""
    if answer.crackle_mm is None or answer.odds.crazes_at_once < 0.5:
        return 0.0, 0.0
    fine = coarse = answer.crackle_mm.value
    if answer.nets:
        black, ever = (net.spacing_mm for net in answer.nets[1:])
        fine = ever.value if ever else fine
        coarse = black.value if black and answer.nets[1].odds >= 0.5 else math.inf
    return max(round(fine, 1), _FINEST_MM), round(coarse, 1)


@lru_cache(maxsize=64)
def _elements(fine: float, coarse: float) -> str:
    return draw.elements(draw.Picture(WIDE_MM, HIGH_MM, _net(fine, coarse)))


@lru_cache(maxsize=64)
def _net(fine: float, coarse: float) -> tuple[Mark, ...]:
    marks: list[Mark] = [Path(draw.box(0.0, 0.0, WIDE_MM, HIGH_MM), fill=PALE)]
    for line, apart in cracks(fine) if fine else ():
        dark = apart >= coarse
        marks.append(
            Path(draw.line(line), stroke=INK if dark else "#8a7f73", width=0.34 if dark else 0.14)
        )
    return tuple(marks)


@lru_cache(maxsize=64)
def cracks(apart_mm: float) -> tuple[tuple[tuple[Point, ...], float], ...]:
    """Cracks as lines, the oldest first, each with how far apart they stood when it opened, mm,
    until they are ``apart_mm``. The same for the same distance."""
    dice = random.Random(7)
    corners = ((-4.0, -4.0), (WIDE_MM + 4.0, -4.0), (WIDE_MM + 4.0, HIGH_MM + 4.0),
               (-4.0, HIGH_MM + 4.0))  # fmt: skip
    whole: list[tuple[Point, ...]] = [corners]
    found: list[tuple[tuple[Point, ...], float]] = []
    while whole:
        piece = whole.pop()
        size = math.sqrt(_area(piece))
        if size <= apart_mm * 1.2 * dice.uniform(0.8, 1.2):
            continue
        first, second, line = _split(piece, dice)
        found.append((line, size / 1.2))
        whole += [first, second]
    return tuple(sorted(found, key=lambda one: -one[1]))


def _area(piece: tuple[Point, ...]) -> float:
    around = zip(piece, (*piece[1:], piece[0]), strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in around)) / 2.0


def _split(
    piece: tuple[Point, ...], dice: random.Random
) -> tuple[tuple[Point, ...], tuple[Point, ...], tuple[Point, ...]]:
    """A piece in two by a crack across its longer way."""
    mx, my = (sum(p[i] for p in piece) / len(piece) for i in (0, 1))
    xx, yy, xy = (
        sum((p[0] - mx) * (p[0] - mx) for p in piece),
        sum((p[1] - my) * (p[1] - my) for p in piece),
        sum((p[0] - mx) * (p[1] - my) for p in piece),
    )
    turn = 0.5 * math.atan2(2.0 * xy, xx - yy) + dice.gauss(0.0, 0.22)
    reach = math.sqrt(max(xx, yy) / len(piece))
    along = (math.cos(turn), math.sin(turn))  # the longer way; the crack runs across it
    off = reach * dice.uniform(-_OFF_MIDDLE, _OFF_MIDDLE)
    cut = mx * along[0] + my * along[1] + off
    sides: tuple[list[Point], list[Point]] = ([], [])
    ends: list[Point] = []
    for a, b in zip(piece, (*piece[1:], piece[0]), strict=True):
        da, db = (p[0] * along[0] + p[1] * along[1] - cut for p in (a, b))
        sides[da > 0.0].append(a)
        if (da > 0.0) != (db > 0.0):
            share = da / (da - db)
            end = (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))
            for side in sides:
                side.append(end)
            ends.append(end)
    return tuple(sides[0]), tuple(sides[1]), _bent(ends[0], ends[-1], dice)


def _bent(a: Point, b: Point, dice: random.Random) -> tuple[Point, ...]:
    """A crack from end to end, not quite straight."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    stray = [0.0, dice.gauss(0.0, _STRAYS), dice.gauss(0.0, _STRAYS), 0.0]
    return tuple(
        (a[0] + dx * t - dy * s, a[1] + dy * t + dx * s)
        for t, s in zip((0.0, 0.35, 0.68, 1.0), stray, strict=True)
    )
