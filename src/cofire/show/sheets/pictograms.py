"""Hazard pictograms, drawn by us after the open UN standard (GHS Rev. 10, annex 1): a black symbol
on white in a red diamond, standing on its point. What each stands for is from memory."""

from __future__ import annotations

from cofire.records import GHS
from cofire.show.drawing import Path, Picture, box, ellipse, polygon

_BLACK, _WHITE, _RED = "#000000", "#ffffff", "#c8102e"
_FRAME = (
    Path(polygon(((50, 1), (99, 50), (50, 99), (1, 50))), fill=_RED),
    Path(polygon(((50, 10), (90, 50), (50, 90), (10, 50))), fill=_WHITE),
)
_STAR = (
    (50, 44), (52.6, 52), (59, 46.5), (56.4, 54.6), (65, 57), (56.4, 59.4), (59, 67.5),
    (52.6, 62), (50, 70), (47.4, 62), (41, 67.5), (43.6, 59.4), (35, 57), (43.6, 54.6),
    (41, 46.5), (47.4, 52),
)  # fmt: skip


def _black(d: str) -> Path:
    return Path(d, fill=_BLACK)


def _white(d: str) -> Path:
    return Path(d, fill=_WHITE)


def _bone(x1: float, y1: float, x2: float, y2: float) -> tuple[Path, ...]:
    ends = [
        _black(ellipse(x + dx, y + dy, 3.1))
        for x, y in ((x1, y1), (x2, y2))
        for dx, dy in ((-1.6, -2.2), (1.6, 2.2))
    ]
    return (Path(f"M{x1} {y1}L{x2} {y2}", stroke=_BLACK, width=4.2), *ends)


_SYMBOLS: dict[str, tuple[Path, ...]] = {
    "exclamation": (
        _black("M50 20C56 20 58 24 57.5 29L54 59C53.4 63 46.6 63 46 59L42.5 29C42 24 44 20 50 20Z"),
        _black(ellipse(50, 73, 6)),
    ),
    "health-hazard": (
        _black(ellipse(50, 27.5, 8.5, 10)),
        _black("M45.5 34L54.5 34L55 41C62 42 67 46 68 54L68 66L62 72L38 72L32 66L32 54"
               "C33 46 38 42 45 41Z"),
        _white(polygon(_STAR)),
        _black("M39 71L61 71L54 78L46 78Z"),
    ),
    "skull": (
        *_bone(35, 60, 65, 72),
        *_bone(65, 60, 35, 72),
        _black("M50 21C62 21 68 29 67 38C66.6 43 64 46 61 48L60 55C58 59 42 59 40 55L39 48"
               "C36 46 33.4 43 33 38C32 29 38 21 50 21Z"),
        _white(ellipse(43, 38, 4.9, 5.4)),
        _white(ellipse(57, 38, 4.9, 5.4)),
        _white(polygon(((50, 43.5), (53, 49), (47, 49)))),
        *(_white(box(x, 52, 1.4, 5.5)) for x in (44.4, 49.3, 54.2)),
    ),
    "corrosion": (
        # two vessels that pour: on a bar of metal, on a hand
        _black(polygon(((26, 37), (44, 30), (45.8, 35), (27.8, 42)))),
        _black(polygon(((74, 37), (56, 30), (54.2, 35), (72.2, 42)))),
        _black("M43.5 37C46 41 46.6 43 43.5 43.6C40.4 43 41 41 43.5 37Z"),
        _black("M43.5 46C46 50 46.6 52 43.5 52.6C40.4 52 41 50 43.5 46Z"),
        _black("M56.5 37C59 41 59.6 43 56.5 43.6C53.4 43 54 41 56.5 37Z"),
        _black("M56.5 46C59 50 59.6 52 56.5 52.6C53.4 52 54 50 56.5 46Z"),
        _black("M25 57L39 57C40 62 46 62 47.5 57L48.5 57L48.5 65L31 65Z"),
        _black("M51.5 62L54 57C55 61 58 61 59.5 57L68 54.6C71 54.4 72 56.4 70 57.8L74.5 57L71 62"
               "L63 68L51.5 70Z"),
        _black(polygon(((37, 69), (48.5, 69), (48.5, 75), (43, 75)))),
    ),
    "oxidiser": (
        Path(ellipse(50, 62.5, 11.5), stroke=_BLACK, width=5),
        _black(box(38, 76.5, 24, 3.2)),
        _black("M50 49C40 49 35.5 43 37 35C38 38 40 39 41 39.6C38.5 32 43 27 48.5 17"
               "C48 25 53.5 27 54.6 33C56 31.6 56.4 29.6 56 27C63 34 66 43 60 47"
               "C57 49 54 49 50 49Z"),
        _white("M49.6 46.4C45 46 43.8 42.6 46 39C47 36.6 49 35.6 49.4 33C53 37 55.8 44 49.6 46.4Z"),
    ),
    "environment": (
        _black(polygon(((25, 66), (75, 66), (72, 69.2), (28, 69.2)))),
        _black("M37 66L38.6 50L31 41L32.6 39.8L39 46L40 34L35.6 27L37.4 26.2L41 31.4L42.6 22"
               "L45 22.4L43.4 34L49.6 27.6L51 29L43.2 38.4L43 46L49 42L50 43.8L43 49.4L44.4 66Z"),
        _black("M48 60C53 52.5 62 52 68 57.4L74 53L73 59L76 64.6L68 62.6C62 67 53 66 48 60Z"),
        _white(ellipse(53.4, 59.6, 1.3)),
        _black("M33 72.6L46 72.6C50 74.6 54 74.6 58 72.6L67 72.6L63 76.4L37 76.4Z"),
    ),
}  # fmt: skip

#: What each diamond says in two words; from memory of the standard's own names.
GHS_WORDS = {
    "health-hazard": "harms health over time",
    "exclamation": "harmful, irritant",
    "skull": "poisonous",
    "corrosion": "corrosive",
    "oxidiser": "feeds fire",
    "environment": "harms water life",
}

#: Plain words on a black plate for what no diamond stands for: acts, by the code of their caution.
ACT_SIGNS = {
    "raku-pull": "red-hot ware",
    "reduction-smoke": "smoke: outdoors only",
    "kiln-electric": "power off before tongs",
    "kiln-gas": "gas off before tongs",
    "silica-dust": "respirator on",
    "soluble": "gloves on",
    "soluble-caustic": "gloves and goggles on",
    "chloride-fume": "acid fume: outdoors only",
    "fluoride-fume": "fume: vent the kiln",
    "sulfur-fume": "fume: vent the kiln",
    "manganese": "fume: stay away while hot",
}


def pictogram(name: str) -> Picture:
    """One diamond, 100 by 100. KeyError for a name that is not in ``records.GHS``."""
    return Picture(100.0, 100.0, (*_FRAME, *_SYMBOLS[name]), GHS_WORDS[name])


def in_order(names: set[str]) -> list[str]:
    """Those of the diamonds that are named, gravest first."""
    return [name for name in GHS if name in names]
