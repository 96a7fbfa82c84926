"""A crackle at its true scale, in mm, and as terminal art beside a coin.

Every crack ends where it meets an older one. Finer nets add cracks to coarser ones, so black cracks
are the oldest of all. It is a picture of two distances, not of a pot.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from cofire.answers.results.fit import FitAnswer
from cofire.arrays import Mask
from cofire.model.crackle import CrackPattern
from cofire.show.terminal import Text

#: A disc to compare with, mm across: about as large as a coin; our choice.
COIN_MM = 24.0
#: Cracks closer than this are drawn as if they were this far apart, so that lines stay apart;
#: farther than the other there are none on so small a piece.
CLOSEST_MM, FARTHEST_MM = 1.0, 60.0
#: Odds of a net from which it is drawn; our choice.
LIKELY = 0.3
#: A piece splits while its side is longer than the distance of cracks times this; pieces are then
#: as large as that distance on average (``tests/show/test_crackle_picture.py``).
_SPLITS = 1.2
#: How far a crack strays from its middle, share of its length, and from the middle of what it
#: splits; our choice.
_STRAYS, _OFF_MIDDLE = 0.045, 0.18

Point = tuple[float, float]
Line = tuple[Point, ...]


def distances(answer: FitAnswer) -> tuple[float | None, float | None]:
    """How far apart all cracks stand, and the black ones, mm; None where none are likely."""
    if not answer.nets:
        likely = answer.crackle_mm is not None and answer.odds.crazes_at_once >= LIKELY
        return (_near(answer.crackle_mm.value) if likely and answer.crackle_mm else None), None
    _, black, whole = answer.nets
    return _apart(whole), _apart(black)


def _apart(net: CrackPattern) -> float | None:
    return _near(net.spacing_mm.value) if net.spacing_mm and net.odds >= LIKELY else None


def _near(mm: float) -> float | None:
    return mm if mm <= FARTHEST_MM else None


def net(
    whole_mm: float | None, black_mm: float | None, wide: float, high: float
) -> tuple[list[Line], list[Line]]:
    """Black and pale cracks of a piece of ``wide`` by ``high`` mm."""
    apart = [mm for mm in (whole_mm, black_mm) if mm is not None]
    if not apart:
        return [], []
    finest = min(apart)
    there = [(line, mm) for line, mm in cracks(wide, high) if mm >= finest]
    darkest = math.inf if black_mm is None else black_mm
    return (
        [line for line, mm in there if mm >= darkest],
        [line for line, mm in there if mm < darkest],
    )


@lru_cache(maxsize=8)
def cracks(wide: float, high: float) -> tuple[tuple[Line, float], ...]:
    """All cracks of a piece as lines, the oldest first, each with the widest distance of cracks at
    which it is there, mm. The same for the same piece."""
    dice = random.Random(7)
    corners = (0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)
    pieces: list[tuple[Line, float]] = [(corners, math.inf)]
    found: list[tuple[Line, float]] = []
    while pieces:
        piece, before = pieces.pop()
        size = math.sqrt(_area(piece)) / (_SPLITS * dice.uniform(0.8, 1.2))
        opens = min(before, size)  # never before the cracks that it ends at
        if opens < CLOSEST_MM:
            continue
        first, second, line = _split(piece, dice)
        found.append((line, opens))
        pieces += [(first, opens), (second, opens)]
    return tuple(sorted(found, key=lambda one: -one[1]))


def _area(piece: Line) -> float:
    around = zip(piece, (*piece[1:], piece[0]), strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in around)) / 2.0


def _split(piece: Line, dice: random.Random) -> tuple[Line, Line, Line]:
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


def _bent(a: Point, b: Point, dice: random.Random) -> Line:
    """A crack from end to end, not quite straight."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    stray = [0.0, dice.gauss(0.0, _STRAYS), dice.gauss(0.0, _STRAYS), 0.0]
    return tuple(
        (a[0] + dx * t - dy * s, a[1] + dy * t + dx * s)
        for t, s in zip((0.0, 0.35, 0.68, 1.0), stray, strict=True)
    )


def net_names(whole: float | None, black: float | None) -> str:
    """What is drawn, in words."""
    names = (("whole net", whole, "pale"), ("smoke net", black, "black"))
    return "; ".join(
        f"{name} {mm:.2g} mm, {colour}" for name, mm, colour in names if mm is not None
    )


#: A column is a millimetre and a line two; a sign of Braille has two by four dots.
_MM_PER_DOT = 0.5
_DOTS = np.array([[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]])


def crackle_art(answer: FitAnswer, width: int, high: float = COIN_MM) -> Iterator[Text]:
    """Lines of text: the piece, black cracks bold and whole and pale ones dotted, beside the coin;
    and what it shows. Nothing where no cracks are likely."""
    wide = float(min(width - COIN_MM - 4, 50.0))
    apart = distances(answer)
    black, pale = net(*apart, wide, high)
    if not black and not pale:
        return
    dark, light = _dots(black, wide, high, _MM_PER_DOT / 2.0), _dots(pale, wide, high, 1.0)
    coin = _signs(_dots([_ring(high)], COIN_MM, high, _MM_PER_DOT / 2.0))
    for row, (blacks, pales) in enumerate(zip(_signs(dark), _signs(light), strict=True)):
        line = Text()
        for one, other in zip(blacks, pales, strict=True):
            line.append(_sign(one | other), "bold" if one else "dim")
        line.append("  " + "".join(map(_sign, coin[row])))
        line.rstrip()
        yield line
    yield Text(f"{net_names(*apart)}; the disc is {COIN_MM:.0f} mm across", "dim")


def _dots(lines: list[Line], wide: float, high: float, step: float) -> Mask:
    """Dots (rows, columns) along lines, one each ``step`` mm."""
    dots = np.zeros([int(side / _MM_PER_DOT) for side in (high, wide)], bool)
    for line in lines:
        corners = np.array(line)
        along = np.append(0.0, np.cumsum(np.hypot(*np.diff(corners, axis=0).T)))
        at = np.arange(0.0, along[-1], step)
        x, y = (np.interp(at, along, side) / _MM_PER_DOT for side in corners.T)
        row, column = (np.clip(v.astype(int), 0, most - 1)
                       for v, most in zip((y, x), dots.shape, strict=True))  # fmt: skip
        dots[row, column] = True
    return dots


def _ring(high: float) -> Line:
    """The outline of the coin, in the middle of a piece so high."""
    radius = COIN_MM / 2.0
    turns = np.linspace(0.0, 2.0 * np.pi, 200).tolist()
    return tuple((radius + radius * math.cos(t), high / 2.0 + radius * math.sin(t)) for t in turns)


def _signs(dots: Mask) -> list[list[int]]:
    """Dots by signs of two by four."""
    rows, columns = dots.shape
    blocks = dots.reshape(rows // 4, 4, columns // 2, 2).transpose(0, 2, 1, 3)
    signs: list[list[int]] = (blocks * _DOTS).sum(axis=(2, 3)).tolist()
    return signs


def _sign(dots: int) -> str:
    return chr(0x2800 + dots) if dots else " "
