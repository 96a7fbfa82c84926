"""A crackle at its true size as SVG marks: alone, and beside a disc as large as a coin."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from cofire.answers.results.fit import FitAnswer
from cofire.show import drawing as draw
from cofire.show.crackle import COIN_MM, Line, distances, net, net_names
from cofire.show.drawing import GREY, INK, PALE, Mark, Path, Words

#: Units of a drawing in a millimetre: pixels of CSS, of which 96 are an inch.
MM = 96.0 / 25.4
#: The piece beside the coin, mm, and the height of the panel.
_PIECE_MM = _WIDE_MM, _HIGH_MM = 100.0, 40.0
NET_HEIGHT = 270.0
_LEFT = 40.0
_PALE_CRACK = "#8a7f73"


def crackle_picture(answer: FitAnswer, size_mm: tuple[float, float]) -> draw.Picture:
    """The likely cracks of one glaze on a piece of some size; a unit is 1 mm."""
    says = f"cracks at true size: {answer.crackle}"
    return draw.Picture(*size_mm, tuple(_piece(answer, size_mm)), says)


def net_panel(answer: FitAnswer, top: float) -> list[Mark]:
    """The whole net pale, the smoke net black, and the coin; nothing where no cracks are likely."""
    apart = distances(answer)
    if not any(net(*apart, *_PIECE_MM)):
        return []
    marks = draw.head(
        _LEFT, top + 22, "The crackle at its true size",
        f"{net_names(*apart)}; the disc is {COIN_MM:.0f} mm across: at 100 % this is as large as "
        "on the pot",
    )  # fmt: skip
    y = top + 62.0
    marks += _piece(answer, _PIECE_MM, (_LEFT, y), MM)
    x = _LEFT + MM * (_WIDE_MM + 8.0 + COIN_MM / 2.0)
    middle = y + MM * _HIGH_MM / 2.0
    marks.append(Path(draw.ellipse(x, middle, MM * COIN_MM / 2.0), PALE, INK, 1.5))
    marks.append(Words(x, middle + 5.0, f"{COIN_MM:.0f} mm", anchor="middle"))
    foot = y + MM * _HIGH_MM
    ruler = draw.Axis(0.0, _WIDE_MM, _LEFT, _LEFT + MM * _WIDE_MM)
    ticks = [(v, f"{v:.0f} mm") for v in np.arange(0.0, _WIDE_MM + 1.0, 20.0).tolist()]
    return marks + draw.along(ruler, foot + 20.0, ticks, colour=GREY)


def _piece(
    answer: FitAnswer,
    size_mm: tuple[float, float],
    corner: tuple[float, float] = (0.0, 0.0),
    unit: float = 1.0,
) -> list[Mark]:
    """A piece, black cracks thick and pale ones thin; ``unit`` is a mm in the drawing."""
    (wide, high), (left, top) = size_mm, corner

    black, pale = net(*distances(answer), wide, high)
    marks: list[Mark] = [Path(draw.box(left, top, unit * wide, unit * high), PALE)]
    for lines, colour, thick in ((pale, _PALE_CRACK, 0.14), (black, INK, 0.34)):
        if lines:
            path = "".join(_crack(line, left, top, unit) for line in lines)
            marks.append(Path(path, stroke=colour, width=unit * thick))
    return marks


@lru_cache(maxsize=8192)  # every net of a piece has the same cracks, one more of them than another
def _crack(line: Line, left: float, top: float, unit: float) -> str:
    return draw.line((left + unit * x, top + unit * y) for x, y in line)
