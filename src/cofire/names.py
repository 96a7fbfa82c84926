"""Names that people give: how they compare, what they may hold, and how they are shown."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache

#: Letters that nobody sees (default-ignorable code points of Unicode, from memory), and the Braille
#: blank: soft hyphens, marks of direction, joiners, variation selectors.
_UNSEEN = re.compile(
    r"[\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u202a-\u202e"
    r"\u2060-\u206f\u2800\u3164\ufe00-\ufe0f\ufeff\uffa0\ufff0-\ufff8\U0001bca0-\U0001bca3"
    r"\U0001d173-\U0001d17a\U000e0000-\U000e0fff]"
)
#: What can drive a terminal, or turn the order of what is read: control characters without tab and
#: line feed, other ends of lines, and embeddings, overrides and isolates of direction.
_UNSAFE = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")

#: Letters that look like a Latin one, small or as capitals (Unicode TR39, from memory). Greek mu is
#: not among them: it is the sign for a millionth.
_LOOKS = str.maketrans(
    "\u0430\u0432\u0435\u043a\u043c\u043d\u043e\u0440\u0441\u0442\u0443\u0445\u0455\u0456\u0458"
    "\u04bb\u0501\u051b\u051d"
    "\u03b1\u03b2\u03b5\u03b6\u03b7\u03b9\u03ba\u03bd\u03bf\u03c1\u03c4\u03c5\u03c7",
    "abekmhopctyxsij" "hdqw" "abezhiknoptyx",
)  # fmt: skip
_SCRIPTS = ("LATIN", "CYRILLIC", "GREEK")


@lru_cache(maxsize=4096)
def plain(name: str) -> str:
    """How a name compares: without case, punctuation, doubled spaces and what cannot be seen, by
    Unicode's compatible form. Letters, marks, digits and signs of any script count."""
    if name.isascii():
        return re.sub(r"[^a-z0-9]+", " ", name.lower()).strip() or name
    once = unicodedata.normalize("NFKC", _UNSEEN.sub("", name)).casefold()
    seen = _UNSEEN.sub("", unicodedata.normalize("NFKC", once))
    return " ".join("".join(c if _counts(c) else " " for c in seen).split()) or seen.strip() or name


def _counts(letter: str) -> bool:
    return letter.isalnum() if letter.isascii() else unicodedata.category(letter)[0] in "LMNS"


def identifier(name: str) -> str:
    """A name as an id: small letters, marks and digits of any script, with hyphens between."""
    return plain(name).replace(" ", "-")


def is_identifier(text: str) -> bool:
    """Whether a text is written as an id is."""
    return text == identifier(text) and text[:1].isalnum()


def shown(text: str) -> str:
    """Text as a screen may have it: what could drive the screen is written out, as \\u001b."""
    return _UNSAFE.sub(lambda sign: f"\\u{ord(sign[0]):04x}", text)


def flaw(name: str, *, lines: bool = False) -> str:
    """Why a person's name is refused, or an empty string: “it holds U+202E, …”. With ``lines`` it
    may have several and tabs."""
    if name.isprintable():
        return "" if _UNSEEN.sub("", name).strip() or not name else "nothing of it can be seen"
    for letter in name:
        blank = unicodedata.category(letter) == "Zs" or (lines and letter in "\n\t")
        if letter.isprintable() or blank or (_UNSEEN.match(letter) and not _UNSAFE.match(letter)):
            continue
        called = unicodedata.name(letter, "a control character" if ord(letter) < 160 else "")
        return f"it holds U+{ord(letter):04X}" + (f", {called.lower()}" if called else "")
    return "" if _UNSEEN.sub("", name).strip() else "nothing of it can be seen"


def mixed(name: str) -> str:
    """The letters by which a word of the name passes for another script's: “the “а” in “spаr” is
    Cyrillic (U+0430)”; an empty string where there are none."""
    if name.isascii():
        return ""
    for word in plain(name).split():
        of: dict[str, str] = {}
        for letter in word:
            if (script := _script(letter)) in _SCRIPTS:
                of[script] = of.get(script, "") + letter
        for script, letters in sorted(of.items(), key=lambda one: len(one[1])):
            others = {other for other in of if other != script}
            if others and all(_has_double(letter, others) for letter in letters):
                return f"the {_said(letters[0])}, the rest of “{word}” is not"
    return ""


def _has_double(letter: str, scripts: Iterable[str]) -> bool:
    """Whether a letter of one of the scripts looks like this one."""
    like = letter.translate(_LOOKS)
    doubles = {like, *(chr(c) for c, to in _LOOKS.items() if chr(to) == like)} - {letter}
    return any(_script(one) in scripts for one in doubles)


def looks(name: str) -> str:
    """What a name looks like: letters of other scripts that look Latin are taken as Latin."""
    return plain(name).translate(_LOOKS)


def double(wanted: str, known: Iterable[str]) -> tuple[str, str] | None:
    """A known name that only looks like the one wanted, and by which letters they differ."""
    like, same, ascii = looks(wanted), plain(wanted), wanted.isascii()
    for name in known:
        if (ascii and name.isascii()) or plain(name) == same or looks(name) != like:
            continue
        yours, theirs = next((a, b) for a, b in zip(same, plain(name), strict=True) if a != b)
        return name, f"your {_said(yours)}, and the {_said(theirs)}"
    return None


def _said(letter: str) -> str:
    return f"“{letter}” is {_script(letter).capitalize()} (U+{ord(letter):04X})"


def _script(letter: str) -> str:
    return unicodedata.name(letter, "?").split()[0] if letter.isalpha() else ""
