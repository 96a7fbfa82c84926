"""A QR code (ISO/IEC 18004) that carries the recipe itself, so that a phone shows it offline."""

from __future__ import annotations

from functools import lru_cache

from cofire.answers.batch_records import Sheet
from cofire.show.ink import Path, Picture, box

#: Light squares that a reader wants around the code; ISO/IEC 18004.
_QUIET = 4
#: Squares turned over like a chessboard, which breaks up the even bits of plain text; our choice.
_MASK = 0
#: More than this makes squares too small to print well on 30 mm; our choice.
_MOST_BYTES = 400


def recipe_words(sheet: Sheet, date: str) -> str:
    """What the code says: name, code, date, and amounts per 100 of the base."""
    recipe = sheet.recipe
    lines = [f"{recipe.name}, {sheet.code}", *([date] if date else [])]
    lines += [f"{recipe.percent(p):.4g} {p.material.name}" for p in recipe.base]
    lines += [f"+{recipe.percent(p):.4g} {p.material.name}" for p in recipe.additions]
    text = "\n".join(lines)
    while len(text.encode()) > _MOST_BYTES:
        text = text[:-2] + "…"
    return text


@lru_cache(maxsize=64)
def qr(text: str) -> Picture:
    """The code with its quiet border, one unit for each square. Bears a sixth of it being dirty."""
    from reportlab.graphics.barcode.qrencoder import QRCode, QRErrorCorrectLevel

    code = QRCode(None, QRErrorCorrectLevel.M)
    code.addData(text)
    # readers take any of the eight masks; to weigh them all takes five times as long
    code.version = code.calculate_version()
    code.makeImpl(False, _MASK)
    side = code.getModuleCount()
    squares = []
    for y, row in enumerate(code.modules):
        x = 0
        while x < side:  # one box for each run of dark squares
            end = x
            while end < side and row[end]:
                end += 1
            if end > x:
                squares.append(box(x + _QUIET, y + _QUIET, end - x, 1))
            x = max(end, x + 1)
    whole = side + 2.0 * _QUIET
    return Picture(
        whole,
        whole,
        (Path(box(0, 0, whole, whole), fill="#ffffff"), Path("".join(squares), fill="#000000")),
        "QR code with the recipe",
    )
