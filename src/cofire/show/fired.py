"""What came out of the kiln, on a terminal."""

from __future__ import annotations

from cofire.answers.fired import FiredAnswer
from cofire.files.fired import Fired
from cofire.show.terminal import Text, console, heading

_SHOWN = ("result", "clay", "coat", "firing", "pull", "cooling", "wall", "shape", "photo", "words")


def show_fired(answer: FiredAnswer) -> None:
    """The record that was written, or all there are."""
    out = console()
    if answer.new is not None:
        out.print(Text(f"Written to {answer.file}"), soft_wrap=True)
    elif not answer.fired:
        out.print(Text("Nothing was written down of it yet."))
        return
    out.print(heading(answer.name, "what came out", typed=True))
    for record in (answer.new,) if answer.new else answer.fired:
        out.print(_line(record))
    if answer.new is not None and answer.new.clay:
        learn = f"cofire tile --fired --body {answer.new.clay} learns this clay from it"
        out.print(Text.assemble((" helps   ", "cyan"), learn))


def _line(record: Fired) -> Text:
    text = Text(f"  {record.when}  ", "dim")
    said = [getattr(record, key) for key in _SHOWN]
    text.append(", ".join(one for one in said if one), "")
    return text
