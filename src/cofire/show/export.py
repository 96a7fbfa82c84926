"""What was exported."""

from __future__ import annotations

from cofire.answers.export import Exported
from cofire.show.terminal import console


def show_exported(answer: Exported) -> None:
    """The files, and how many things are in them."""
    out = console()
    for path in answer.files:
        out.print(f"Written: {path}", markup=False, highlight=False)
    held = ", ".join(f"{kind} {count}" for kind, count in answer.things.items() if count)
    out.print(held, markup=False, highlight=False)
