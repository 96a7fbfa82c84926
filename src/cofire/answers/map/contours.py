"""Lines of one value through a table of values, and areas above it, by marching squares.

``values`` (ny, nx) stand at rising ``x`` (nx,) and ``y`` (ny,) and are taken as straight between
neighbours. Lines are arrays (k, 2) of x and y; a closed one ends where it began.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from cofire.arrays import Array

#: Sides of a cell: 0 below, 1 right, 2 above, 3 left. For each pattern of corners at or over the
#: level (1 lower left, 2 lower right, 4 upper right, 8 upper left), the pairs of sides joined.
_JOINED: dict[int, tuple[tuple[int, int], ...]] = {
    1: ((3, 0),), 2: ((0, 1),), 3: ((3, 1),), 4: ((1, 2),), 6: ((0, 2),), 7: ((3, 2),),
    8: ((2, 3),), 9: ((0, 2),), 11: ((1, 2),), 12: ((1, 3),), 13: ((0, 1),), 14: ((0, 3),),
    5: ((3, 0), (1, 2)), 10: ((0, 1), (2, 3)),
}  # fmt: skip
#: In a saddle whose middle is over the level the two high corners are one area.
_BRIDGED = {5: _JOINED[10], 10: _JOINED[5]}
#: Lower than any level, yet no infinity: what lies outside a map when areas are closed.
_DEEP = -1e30

_Side = tuple[bool, int, int]  # is it level (else upright), row, column


def contour_lines(x: Array, y: Array, values: Array, level: float) -> tuple[Array, ...]:
    """Where the values cross a level. Cells with a NaN corner are left out."""
    high = values >= level
    known = np.isfinite(values)
    pattern = high[:-1, :-1] + 2 * high[:-1, 1:] + 4 * high[1:, 1:] + 8 * high[1:, :-1]
    whole = known[:-1, :-1] & known[:-1, 1:] & known[1:, 1:] & known[1:, :-1]
    pairs: list[tuple[_Side, _Side]] = []
    for row, column in np.argwhere(whole & (pattern > 0) & (pattern < 15)).tolist():
        case = int(pattern[row, column])
        joined = _JOINED[case]
        if case in _BRIDGED and values[row : row + 2, column : column + 2].mean() >= level:
            joined = _BRIDGED[case]
        sides = (
            (True, row, column),
            (False, row, column + 1),
            (True, row + 1, column),
            (False, row, column),
        )
        pairs += [(sides[a], sides[b]) for a, b in joined]
    return tuple(
        np.array([_crossing(x, y, values, level, side) for side in chain])
        for chain in _chains(pairs)
    )


def areas_above(x: Array, y: Array, values: Array, level: float) -> tuple[Array, ...]:
    """Closed lines round all that is at or over a level; inside one another they are holes.

    The edge of the table closes an area; NaN counts as below.
    """
    padded = np.pad(np.where(np.isnan(values), _DEEP, values), 1, constant_values=_DEEP)
    padded = np.clip(padded, _DEEP, -_DEEP)
    # the rim has the coordinates of the edge, so that areas end exactly there
    return contour_lines(np.pad(x, 1, mode="edge"), np.pad(y, 1, mode="edge"), padded, level)


def _crossing(x: Array, y: Array, values: Array, level: float, side: _Side) -> tuple[float, float]:
    flat, row, column = side
    here = float(values[row, column])
    there = float(values[row, column + 1] if flat else values[row + 1, column])
    share = (level - here) / (there - here)
    if flat:
        return float(x[column] + share * (x[column + 1] - x[column])), float(y[row])
    return float(x[column]), float(y[row] + share * (y[row + 1] - y[row]))


def _chains(pairs: list[tuple[_Side, _Side]]) -> list[list[_Side]]:
    """Segments laid end to end; each side of a cell is the end of at most two."""
    ends: dict[_Side, list[int]] = {}
    for k, pair in enumerate(pairs):
        for side in pair:
            ends.setdefault(side, []).append(k)
    unused = set(range(len(pairs)))
    chains = []
    # lines that end at the edge first: started in the middle they would fall in two
    loose = [met[0] for met in ends.values() if len(met) == 1]
    for first in (*loose, *range(len(pairs))):
        if first not in unused:
            continue
        unused.remove(first)
        a, b = pairs[first]
        chain = [a, b] if len(ends[a]) == 1 or len(ends[b]) > 1 else [b, a]
        while following := [k for k in ends[chain[-1]] if k in unused]:
            unused.remove(following[0])
            a, b = pairs[following[0]]
            chain.append(b if a == chain[-1] else a)
        chains.append(chain)
    return chains


def round_levels(low: float, high: float, most: int) -> tuple[float, ...]:
    """Up to ``most`` evenly spaced round numbers strictly between two values."""
    span = high - low
    if not (math.isfinite(span) and span > 0.0):
        return ()
    step = 10.0 ** math.floor(math.log10(span / (most + 1)))
    for times in (1.0, 2.0, 2.5, 5.0, 10.0, 20.0):
        first = math.floor(low / (times * step)) + 1
        last = math.ceil(high / (times * step)) - 1
        if last - first + 1 <= most:
            return tuple(round(k * times * step, 12) for k in range(first, last + 1))
    return ()


def between_points(x: Array, y: Array, values: Array, at_x: Array, at_y: Array) -> Array:
    """Values (len(at_y), len(at_x)) read off the table, straight between its points."""

    def along(grid: Array, at: Array) -> tuple[NDArray[np.intp], Array]:
        place = np.interp(at, grid, np.arange(len(grid)))
        low = np.minimum(place.astype(int), len(grid) - 2)
        return low, place - low

    (i, right), (j, up) = along(x, at_x), along(y, at_y)
    rows = values[j] * (1.0 - up)[:, None] + values[j + 1] * up[:, None]
    return np.asarray(rows[:, i] * (1.0 - right) + rows[:, i + 1] * right)


def finer(values: Array, times: int) -> Array:
    """The table with ``times`` steps for each step, ((ny - 1) times + 1, ...), along cubics through
    all its points (Catmull & Rom 1974), or straight lines beside NaN."""

    def along(table: Array) -> Array:
        place = np.arange((len(table) - 1) * times + 1) / times
        low = np.minimum(place.astype(int), len(table) - 2)
        t = (place - low)[:, None]
        before, after = 2.0 * table[0] - table[1], 2.0 * table[-1] - table[-2]
        wide = np.concatenate([before[None], table, after[None]])
        a, b, c, d = (wide[low + k] for k in range(4))
        curved = b + 0.5 * t * (
            c - a + t * (2.0 * a - 5.0 * b + 4.0 * c - d + t * (3.0 * (b - c) + d - a))
        )
        straight = np.where(t == 0.0, b, np.where(t == 1.0, c, (1.0 - t) * b + t * c))
        return np.asarray(np.where(np.isfinite(curved), curved, straight))

    return along(along(values).T).T


def carried_on(values: Array, times: int = 2) -> Array:
    """The table with NaN filled by linear extrapolation from neighbours, ``deep`` points far, so
    that lines reach an edge between points."""
    out = np.array(values, dtype=float)
    for _ in range(times):
        wide = np.pad(out, 2, constant_values=np.nan)
        guesses = []
        for axis in (0, 1):
            for way in (1, -1):
                near = np.roll(wide, way, axis)[2:-2, 2:-2]
                far = np.roll(wide, 2 * way, axis)[2:-2, 2:-2]
                guesses.append(np.where(np.isfinite(far), 2.0 * near - far, near))
        result = np.stack(guesses)
        there = np.isfinite(result)
        mean = np.where(there, result, 0.0).sum(axis=0) / np.maximum(there.sum(axis=0), 1)
        out = np.where(np.isnan(out) & there.any(axis=0), mean, out)
    return out
