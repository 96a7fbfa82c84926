"""Letters that the PDF's fonts lack, and their substitutes, so that no two names look alike."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache

from cofire.answers.batch.records import Pack, Sheet
from cofire.answers.findings.texts import finding
from cofire.findings import Finding, sort_findings

#: Open Sans (Apache 2.0, package ttf-opensans): Latin, Greek and Cyrillic, digits of one width.
FACE, BOLD, ITALIC = "OpenSans-Regular", "OpenSans-Bold", "OpenSans-Italic"
#: A name of which a smaller share can be printed is left out, and its id stands alone; our choice.
_READABLE = 0.5


@lru_cache(maxsize=1)
def fonts() -> frozenset[int]:
    """Register the fonts; the characters they have."""
    from importlib.resources import files

    from reportlab.lib.fonts import addMapping
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFont

    folder = files("ttf_opensans") / "ttf"
    faces = [TTFont(name, str(folder / f"{name}.ttf")) for name in (FACE, BOLD, ITALIC)]
    for face in faces:
        registerFont(face)
    for bold, italic, name in ((0, 0, FACE), (1, 0, BOLD), (0, 1, ITALIC), (1, 1, BOLD)):
        addMapping(FACE, bold, italic, name)
    return frozenset(faces[0].face.charToGlyph)


def drawable(text: str) -> str:
    """Text in characters that the fonts have: CO₂ as CO2, ő as o, and ? for the rest."""
    known = fonts()
    out = []
    for char in text:
        if ord(char) in known:
            out.append(char)
        else:
            plain = [c for c in unicodedata.normalize("NFKD", char) if ord(c) in known]
            out.append("".join(c for c in plain if not unicodedata.combining(c)) or "?")
    return "".join(out)


def stand_ins(pack: Pack) -> dict[str, str]:
    """Substitutes for names that the PDF cannot print in full, and for names that would then look
    like them: materials with their id and glazes with their code, which are unique."""
    keys: dict[str, str] = {}
    for sheet in pack.sheets:
        keys |= _keys(sheet)
    lost = {drawable(name) for name in keys if drawable(name) != name}
    return {name: _beside(name, key) for name, key in keys.items() if drawable(name) in lost}


def _keys(sheet: Sheet) -> dict[str, str]:
    keys = {sheet.recipe.name: sheet.code}
    return keys | {p.material.name: p.material.id for p in sheet.recipe.parts}


def _beside(name: str, key: str) -> str:
    drawn = drawable(name)
    letters = "".join(drawn.split())
    readable = letters.count("?") <= (1.0 - _READABLE) * len(letters)
    return f"{drawn} ({key})" if readable and drawn != key else key


def with_stand_ins(text: str, names: dict[str, str]) -> str:
    """A text with these names replaced where they stand as whole words."""
    if not any(name in text for name in names):
        return text
    listed = "|".join(re.escape(n) for n in sorted(names, key=len, reverse=True))
    return re.sub(rf"(?<!\w)(?:{listed})(?!\w)", lambda m: names[m[0]], text)


def with_missing_letters(pack: Pack) -> Pack:
    """The pack with findings on its sheets about replaced names; may be applied twice."""
    asked = {"the title": pack.title, "the date": pack.date, "the currency": pack.currency}
    if pack.firing:
        asked["the firing"] = pack.firing.name
    known = {sheet.recipe.name for sheet in pack.sheets}
    marred = [w for w, text in asked.items() if text not in known and _marred(text)]
    names = stand_ins(pack)
    sheets = []
    for k, sheet in enumerate(pack.sheets):
        lost = [key for name, key in _keys(sheet).items() if name in names]
        notes = _letter_findings(lost, marred if k == 0 else [], sheet.recipe.name)
        findings = sort_findings([*sheet.findings, *notes]) if notes else sheet.findings
        sheets.append(replace(sheet, findings=findings))
    return replace(pack, sheets=tuple(sheets))


def lacking(texts: Iterable[str]) -> str:
    """The first of the texts with letters that the fonts lack, or nothing."""
    return next(filter(_marred, texts), "")


def _marred(text: str) -> bool:
    return drawable(text).count("?") > text.count("?")


def _letter_findings(keys: list[str], marred: list[str], subject: str) -> list[Finding]:
    parts = []
    if keys:
        parts.append(f"look for {', '.join(keys)}, as it lacks letters of their names")
    if marred:
        parts.append(f"“?” stands for letters of {' and '.join(marred)} that it lacks")
    if not parts:
        return []
    return [finding("pdf-letters", subject, what="; ".join(parts))]
