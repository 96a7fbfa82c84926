"""What the words on the screens mean, in a potter's words."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import ClassVar

from cofire.errors import did_you_mean, refusal
from cofire.files import toml
from cofire.names import plain
from cofire.record import Record
from cofire.words import plain_digits


@dataclass(frozen=True, eq=False, repr=False)
class Word(Record):
    """A word, by what else it is looked up, what it means, and where that is from."""

    names: tuple[str, ...]
    means: str
    source: str


@dataclass(frozen=True, eq=False, repr=False)
class Glossary(Record):
    """Words in the order of the alphabet, or the one that was asked for."""

    words: tuple[Word, ...]
    schema: ClassVar = "explain"


def glossary() -> Glossary:
    """Every word that is explained."""
    file = toml.read(Path(__file__).with_suffix(".toml"))
    words = (Word(tuple(a["names"]), a["means"], a["source"]) for a in file.data.values())
    return Glossary(tuple(sorted(words, key=lambda word: word.names[0].casefold())))


def explain(word: str) -> Glossary:
    """What one word means. Raises UnknownNameError with the nearest words."""
    by_name = {plain(name): one for one in glossary().words for name in one.names}
    wanted = plain(plain_digits(word))
    if wanted not in by_name:
        near = did_you_mean(wanted, by_name) or "“cofire explain” lists the words that it knows."
        raise refusal("unknown-word", word=word, near=near)
    return Glossary((by_name[wanted],))
