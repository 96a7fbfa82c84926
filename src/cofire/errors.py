"""Errors in the user's input."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import ClassVar

from cofire.names import double
from cofire.words import listed


@dataclass(frozen=True)
class Place:
    """Where in the user's own files something stands; ``line`` counts from 1."""

    file: Path
    line: int | None = None

    def __str__(self) -> str:
        try:
            shown = self.file.relative_to(Path.cwd())
        except (ValueError, OSError):  # elsewhere, or the current folder is gone
            shown = self.file
        return f"{shown}, line {self.line}" if self.line else str(shown)


class CofireError(Exception):
    """Something the user can put right. ``hint`` says what to write instead."""

    code: str = "error"
    message: str
    hint: str
    place: Place | None
    json_also: ClassVar = ("code", "message", "hint", "place.file", "place.line")

    def __init__(self, message: str, *, hint: str = "", place: Place | None = None) -> None:
        super().__init__(message, hint, place)
        self.message = message
        self.hint = hint
        self.place = place

    def __str__(self) -> str:
        where = f"{self.place}: " if self.place else ""
        hint = f" {self.hint}" if self.hint else ""
        return f"{where}{self.message}{hint}"

    def __reduce__(self) -> tuple[object, ...]:
        return _rebuild, (type(self), self.message, self.hint, self.place)


def _rebuild(kind: type[CofireError], message: str, hint: str, place: Place | None) -> CofireError:
    return kind(message, hint=hint, place=place)


class DataFileError(CofireError, ValueError):
    """A file that cannot be used as it stands."""

    code = "data-file"


class UnknownNameError(CofireError, LookupError):
    """An unknown material, recipe, body or firing."""

    code = "unknown-name"
    #: Of a material: the name as it stands there, and real ones that may be meant.
    called: str = ""
    nearest: tuple[str, ...] = ()


class QuantityError(CofireError, ValueError):
    """A temperature, weight, length or time that cannot be read."""

    code = "quantity"


class CompositionError(CofireError, ValueError):
    """A recipe or analysis that is not a glaze."""

    code = "composition"


#: How the errors of one kind are called in ``errors.toml``.
_KINDS = {
    kind.code: kind for kind in (DataFileError, UnknownNameError, QuantityError, CompositionError)
}


@cache
def _texts() -> dict[str, dict[str, str]]:
    import tomllib  # only for what went wrong

    return tomllib.loads(Path(__file__).with_suffix(".toml").read_text(encoding="utf-8"))


def refusal(name: str, place: Place | None = None, /, **fields: object) -> CofireError:
    """The error whose words stand under ``name`` in ``errors.toml``. Raises KeyError if a field is
    missing."""
    words = _texts()[name]
    message, hint = (words.get(key, "").format_map(fields) for key in ("message", "hint"))
    return _KINDS[words.get("code", DataFileError.code)](message, hint=hint, place=place)


class Problems(CofireError):
    """Several errors found in one go, in reading order."""

    code = "problems"

    def __init__(self, errors: Iterable[CofireError]) -> None:
        self.errors = tuple(errors)
        super().__init__("\n".join(str(e) for e in self.errors))

    def __reduce__(self) -> tuple[object, ...]:
        return Problems, (self.errors,)


def did_you_mean(wanted: str, known: Iterable[str], *, limit: int = 3) -> str:
    """“Did you mean …?” for the nearest known names, or an empty string."""
    import difflib  # only for what went wrong

    known = list(known)
    if same := double(wanted, known):
        return f"Did you mean “{same[0]}”? It only looks the same: {same[1]}."
    by_lower = {name.lower(): name for name in known}
    close = difflib.get_close_matches(wanted.lower(), by_lower, n=limit, cutoff=0.6)
    if not close:
        words = set(wanted.lower().split())
        close = [low for low in by_lower if words & set(low.split())][:limit]
    if not close:
        return ""
    return f"Did you mean {listed([f'“{by_lower[c]}”' for c in close], 'or')}?"
