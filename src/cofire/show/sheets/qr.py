"""A QR code (ISO/IEC 18004) that carries the recipe itself, so that a phone shows it offline."""

from __future__ import annotations

from functools import lru_cache
from itertools import groupby

from cofire.answers.batch.records import Sheet
from cofire.show.drawing import Path, Picture, box

#: Light squares that a reader wants around the code; ISO/IEC 18004.
_QUIET = 4
#: Squares turned over like a chessboard, which breaks up the even bits of plain text; our choice.
_MASK = 0
#: The code is at least so wide, and its squares at least so wide, mm: a phone wants four dots of
#: a 300 dpi printer, 0.34 mm, or nearly; our choice.
_LEAST_MM, _SQUARE_MM = 29.0, 0.33
#: What a code takes at 29 mm (version 15: 412 bytes) and at 35 mm (version 20: 666), rounded down;
#: ISO/IEC 18004, level M.
_SMALL_BYTES, _MOST_BYTES = 400, 660
#: What stands under a code that could not hold the recipe.
NAME_ONLY = "code holds the name and version only"


def recipe_words(sheet: Sheet, date: str) -> tuple[str, bool]:
    """The text of the code: name, code, date, and amounts per 100 of the base; and whether the
    amounts fit.

    Materials are given by name, or by id if names are too long; all of them or none.
    """
    recipe = sheet.recipe
    head = "\n".join([f"{recipe.name}, {sheet.code}", *([date] if date else [])])
    amounts = [
        *((f"{recipe.percent(p):.4g}", p.material) for p in recipe.base),
        *((f"+{recipe.percent(p):.4g}", p.material) for p in recipe.additions),
    ]
    named = "\n".join([head, *(f"{amount} {material.name}" for amount, material in amounts)])
    by_id = "\n".join([head, *(f"{amount} {material.id}" for amount, material in amounts)])
    for most in (_SMALL_BYTES, _MOST_BYTES):
        for text in (named, by_id):
            if len(text.encode()) <= most:
                return text, True
    name = recipe.name.encode()[: _SMALL_BYTES - 100].decode(errors="ignore")
    return f"{name}{'…' * (name != recipe.name)}, {sheet.code}", False


def code_mm(code: Picture) -> float:
    """How wide to print a code so that a phone reads it."""
    return max(_LEAST_MM, _SQUARE_MM * code.width)


@lru_cache(maxsize=64)
def qr(text: str) -> Picture:
    """The code with its quiet border, one unit for each square; readable with a sixth of it
    dirty."""
    import segno

    # readers take any of the eight masks; to weigh them all takes five times as long
    code = segno.make_qr(text, error="m", boost_error=False, mask=_MASK, encoding="utf-8")
    squares = []
    for y, row in enumerate(code.matrix, _QUIET):
        x = _QUIET
        for dark, run in groupby(row):  # one box for each run of dark squares
            count = len(list(run))
            squares += [box(x, y, count, 1)] * dark
            x += count
    whole = len(code.matrix) + 2.0 * _QUIET
    return Picture(
        whole,
        whole,
        (Path(box(0, 0, whole, whole), fill="#ffffff"), Path("".join(squares), fill="#000000")),
        "QR code",
    )
