"""A crackle at its true size beside a disc as large as a coin, as SVG marks."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from cofire.answers.results.fit import FitAnswer
from cofire.arrays import Array, Mask
from cofire.show import drawing as draw
from cofire.show.crackle import COIN_MM, cells, distances, net_names
from cofire.show.drawing import GREY, INK, PAPER, Mark, Path, Words

#: Units of a drawing in a millimetre: pixels of CSS, of which 96 are an inch.
MM = 96.0 / 25.4
#: The piece that is drawn, mm, and the height of the panel.
_WIDE_MM, _HIGH_MM = 100.0, 40.0
NET_HEIGHT = 270.0
_LEFT = 40.0
_WHOLE_NET = "#9fb7ba"


def net_panel(answer: FitAnswer, top: float) -> list[Mark]:
    """The whole net pale, the smoke net black, and the coin; nothing where no cracks are likely."""
    whole, black = distances(answer)
    net = cells(whole, black, _WIDE_MM, _HIGH_MM)
    if net is None:
        return []
    lines, dark = _borders(*net)
    names = "; ".join(net_names(whole, black))
    marks = draw.head(
        _LEFT, top + 22, "The crackle at its true size",
        f"{names}; the disc is {COIN_MM:.0f} mm across: at 100 % this is as large as on the pot",
    )  # fmt: skip
    y = top + 62.0
    marks.append(Path(draw.box(_LEFT, y, MM * _WIDE_MM, MM * _HIGH_MM), PAPER, GREY))
    for some, colour, width in ((lines[~dark], _WHOLE_NET, 1.0), (lines[dark], INK, 2.0)):
        if len(some):
            marks.append(Path(_path(some, y), stroke=colour, width=width))
    x = _LEFT + MM * (_WIDE_MM + 8.0 + COIN_MM / 2.0)
    middle = y + MM * _HIGH_MM / 2.0
    marks.append(Path(draw.ellipse(x, middle, MM * COIN_MM / 2.0), "#e9e1d2", INK, 1.5))
    marks.append(Words(x, middle + 5.0, f"{COIN_MM:.0f} mm", anchor="middle"))
    foot = y + MM * _HIGH_MM
    ruler = draw.Axis(0.0, _WIDE_MM, _LEFT, _LEFT + MM * _WIDE_MM)
    ticks = [(v, f"{v:.0f} mm") for v in np.arange(0.0, _WIDE_MM + 1.0, 20.0).tolist()]
    return marks + draw.along(ruler, foot + 20.0, ticks, colour=GREY)


def _borders(points: Array, group: NDArray[np.intp]) -> tuple[Array, Mask]:
    """Lines between cells on the piece (k, 2, 2), mm, and which of them are black (k,)."""
    from scipy.spatial import Voronoi

    net = Voronoi(points)
    ends = np.array(net.ridge_vertices)
    whole = (ends >= 0).all(axis=1)
    sides = net.ridge_points[whole]
    cut = [_cut(line) for line in net.vertices[ends[whole]]]
    there = [k for k, line in enumerate(cut) if line is not None]
    lines = np.array([cut[k] for k in there]).reshape(-1, 2, 2)
    return lines, np.asarray(group[sides[there, 0]] != group[sides[there, 1]])


def _cut(line: Array) -> Array | None:
    """What of a line lies on the piece (Liang & Barsky 1984)."""
    (start, end), low, top = line, 0.0, 1.0
    along = end - start
    for k, side in enumerate((_WIDE_MM, _HIGH_MM)):
        for step, room in ((-along[k], start[k]), (along[k], side - start[k])):
            if step == 0.0 and room < 0.0:
                return None
            if step < 0.0:
                low = max(low, room / step)
            elif step > 0.0:
                top = min(top, room / step)
    return None if low >= top else np.array([start + low * along, start + top * along])


def _path(lines: Array, top: float) -> str:
    places = np.round(MM * lines + np.array([_LEFT, top]), 1)
    return "".join(draw.line(map(tuple, line.tolist())) for line in places)
