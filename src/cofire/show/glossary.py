"""What words mean, on a terminal."""

from __future__ import annotations

from rich.columns import Columns
from rich.padding import Padding

from cofire.answers.glossary import Glossary
from cofire.show.terminal import Text, console, title


def show_glossary(answer: Glossary) -> None:
    """Print the words that are explained."""
    out = console()
    out.print()
    names = [Text(word.names[0]) for word in answer.words]
    out.print(Columns(names, padding=(0, 3), column_first=True))
    out.print(Text("\n“cofire explain WORD” says what one means.", "dim"))


def show_word(answer: Glossary) -> None:
    """Print what one word means, and its source."""
    out = console()
    (word,) = answer.words
    out.print()
    out.print(title(word.names[0], ", ".join(word.names[1:])))
    for line in (Text(word.means), Text(f"Source: {word.source}.", "dim")):
        out.print(Padding(line, (0, 2)))
