"""A crackle at its true scale beside a coin, as terminal art.

The cells are those of scattered points, as far apart as the cracks (a Voronoi net). Cells of the
whole net are gathered around the points of the black one, so that black cracks are some of all
cracks. It is a picture of two distances, not of a pot.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from cofire.answers.results.fit import FitAnswer
from cofire.arrays import Array, Mask
from cofire.show.terminal import Text

#: A disc to compare with, mm across: about as large as a coin; our choice.
COIN_MM = 24.0
#: Cracks closer than this are drawn as if they were this far apart, so that lines stay apart;
#: farther than the other there are none on so small a piece.
CLOSEST_MM, FARTHEST_MM = 1.0, 60.0
#: Odds of a net from which it is drawn; our choice.
LIKELY = 0.3
#: How far a point may lie from its place in an even grid, in steps of it.
_JITTER = 0.42
#: Seeds of the points: the same net every time.
_WHOLE, _BLACK = 5, 6


def distances(answer: FitAnswer) -> tuple[float | None, float | None]:
    """How far apart the cracks of the whole net stand, and the black ones, mm; None without."""
    if not answer.nets:
        likely = answer.crackle_mm is not None and answer.odds.crazes_at_once >= LIKELY
        return (answer.crackle_mm.value if likely and answer.crackle_mm else None), None
    _, black, whole = answer.nets
    middles = [
        net.spacing_mm.value if net.spacing_mm is not None and net.odds >= LIKELY else None
        for net in (whole, black)
    ]
    return middles[0], middles[1]


def cells(
    whole_mm: float | None, black_mm: float | None, wide: float, high: float
) -> tuple[Array, NDArray[np.intp]] | None:
    """The points of a net on a piece of ``wide`` by ``high`` mm (k, 2), and which black cell each
    belongs to (k,); None where there are no cracks to draw."""
    near = [mm for mm in (whole_mm, black_mm) if mm is not None and mm <= FARTHEST_MM]
    if not near:
        return None
    apart = max(min(near), CLOSEST_MM)
    points = _points(apart, wide, high, _WHOLE)
    if black_mm is None or black_mm > FARTHEST_MM:
        return points, np.zeros(len(points), np.intp)
    if black_mm <= 1.2 * apart:
        return points, np.arange(len(points))
    return points, _nearest(points, _points(black_mm, wide, high, _BLACK))


def _points(apart: float, wide: float, high: float, seed: int) -> Array:
    """Points about ``apart`` from each other on a piece and around it (k, 2), mm."""
    steps = [np.arange(-2.0 * apart, side + 2.0 * apart, apart) for side in (wide, high)]
    grid = np.stack(np.meshgrid(*steps), axis=-1)
    grid[1::2, :, 0] += 0.5 * apart
    jitter = np.random.default_rng(seed).uniform(-_JITTER, _JITTER, grid.shape)
    return np.asarray((grid + apart * jitter).reshape(-1, 2))


def _nearest(places: Array, points: Array) -> NDArray[np.intp]:
    """Which point is nearest to each place."""
    # the square of the distance, less what is the same for all points
    return np.asarray(np.argmin((points**2).sum(axis=1) - 2.0 * places @ points.T, axis=-1))


#: A column is a millimetre and a line two; a sign of Braille has two by four dots.
_MM_PER_DOT = 0.5
_DOTS = np.array([[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]])


def crackle_art(answer: FitAnswer, width: int, high: float = 24.0) -> Iterator[Text]:
    """Lines of text: the piece, black cracks bold and whole and pale ones dotted, beside the coin;
    and what it shows. Nothing where no cracks are likely."""
    wide = float(min(width - COIN_MM - 4, 50.0))
    whole, black = distances(answer)
    net = cells(whole, black, wide, high)
    if net is None:
        return
    dark, light = _borders(*net, wide, high)
    coin = _signs(_ring(high))
    for row, (blacks, pales) in enumerate(zip(_signs(dark), _signs(light), strict=True)):
        line = Text()
        for one, other in zip(blacks, pales, strict=True):
            line.append(_sign(one | other), "bold" if one else "dim")
        line.append("  " + "".join(map(_sign, coin[row])))
        line.rstrip()
        yield line
    words = "; ".join(net_names(whole, black))
    yield Text(f"{words}; the disc is {COIN_MM:.0f} mm across", "dim")


def net_names(whole: float | None, black: float | None) -> list[str]:
    """What is drawn, in words."""
    names = (("whole net", whole, "pale"), ("smoke net", black, "black"))
    return [
        f"{name} {mm:.2g} mm, {colour}"
        for name, mm, colour in names
        if mm is not None and mm <= FARTHEST_MM
    ]


def _borders(points: Array, group: NDArray[np.intp], wide: float, high: float) -> tuple[Mask, Mask]:
    """Dots (rows, columns) on black cracks, and on every second place of pale ones."""
    rows, columns = (int(side / _MM_PER_DOT) for side in (high, wide))
    y, x = np.indices((rows + 1, columns + 1)) * _MM_PER_DOT
    owner = _nearest(np.stack([x, y], axis=-1), points)

    def changes(of: NDArray[np.intp]) -> Mask:
        here = of[:-1, :-1]
        return np.asarray((here != of[1:, :-1]) | (here != of[:-1, 1:]))

    dark = changes(group[owner])
    dotted = (np.indices(dark.shape).sum(axis=0) % 2).astype(bool)
    return dark, changes(owner) & ~dark & dotted


def _ring(high: float) -> Mask:
    """The outline of the coin, in the middle of a piece so high."""
    across, rows = round(COIN_MM / _MM_PER_DOT), round(high / _MM_PER_DOT)
    dots = np.zeros((rows, across), bool)
    turn = np.linspace(0.0, 2.0 * np.pi, 400)
    radius = (across - 1) / 2.0
    x = np.round(radius + radius * np.cos(turn)).astype(int)
    y = np.round((rows - 1) / 2.0 + radius * np.sin(turn)).astype(int)
    dots[y, x] = True
    return dots


def _signs(dots: Mask) -> list[list[int]]:
    """Dots by signs of two by four."""
    rows, columns = dots.shape
    blocks = dots.reshape(rows // 4, 4, columns // 2, 2).transpose(0, 2, 1, 3)
    signs: list[list[int]] = (blocks * _DOTS).sum(axis=(2, 3)).tolist()
    return signs


def _sign(dots: int) -> str:
    return chr(0x2800 + dots) if dots else " "
