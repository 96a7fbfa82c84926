"""The history of a recipe on a terminal: what changed, when, why, and what that did."""

from __future__ import annotations

from pathlib import Path

from rich.padding import Padding
from rich.table import Table

from cofire.answers.history import Change, HistoryAnswer, HistoryStep, Properties, SavedVersion
from cofire.answers.set_amount import SetAnswer
from cofire.show.terminal import Text, console, heading, signed, title

_LONGEST = 46  # characters of a fact, such as notes, before it is cut


def show_history(answer: HistoryAnswer) -> None:
    """Print all versions, oldest first, each with what differs from the one before."""
    out = console()
    count = len(answer.versions)
    kept = (
        f"{count} version{'s' * (count != 1)} in {_near(answer.file)}" if count else "none kept yet"
    )
    out.print()
    out.print(title(answer.name, kept))
    before: Properties | None = None
    for step in answer.versions:
        version = step.version
        out.print(
            heading(f"{version.number}", f"{version.when:%Y-%m-%d %H:%M}   code {version.code}")
        )
        if version.why:
            out.print(Padding(Text(f"“{version.why}”", "bold"), (0, 2)))
        _step(step, before)
        before = step.properties
    if answer.now:
        out.print(heading("now", f"not kept yet; changed {answer.now.version.when:%Y-%m-%d %H:%M}"))
        _step(answer.now, before)
        out.print(Padding(Text("“cofire keep” adds it, with the reason.", "dim"), (0, 2)))
    out.print()


def _step(step: HistoryStep, before: Properties | None) -> None:
    out = console()
    if step.changes:
        out.print(Padding(_changes(step.changes), (0, 2)))
    if step.properties:
        out.print(Padding(_like(before, step.properties), (0, 2)))
    else:
        text = f"its properties cannot be computed now:  {step.trouble}"
        out.print(Padding(Text(text, "yellow"), (0, 2)))


def _changes(changes: tuple[Change, ...]) -> Table:
    table = Table.grid(padding=(0, 2))
    table.add_column(width=1)
    table.add_column(min_width=24)
    table.add_column(ratio=1)
    for one in changes:
        sign = "+" if one.before is None else "−" if one.after is None else "~"
        added = " (addition)" if one.section == "additions" else ""
        table.add_row(Text(sign, "bold"), Text(f"{one.what}{added}"), _moved(one))
    return table


def _moved(one: Change) -> Text:
    before, after = (_cut(side) for side in (one.before, one.after))
    if one.before is None:
        return Text(after, "bold")
    if one.after is None:
        return Text(f"out, was {before}")
    return Text.assemble(f"{before} → ", (after, "bold"))


def _cut(text: str | None) -> str:
    text = " ".join((text or "").split())
    return text if len(text) <= _LONGEST else text[: _LONGEST - 1] + "…"


def _like(before: Properties | None, now: Properties) -> Text:
    text = Text(f"expansion {now.expansion_1e6_per_k:.2f}e-6/K", "dim")
    if before:
        text.append(f" ({signed(now.expansion_1e6_per_k - before.expansion_1e6_per_k, 2)})", "bold")
    text.append(f", flows at {now.flows_c:.0f} °C", "dim")
    if before:
        text.append(f" ({signed(now.flows_c - before.flows_c)})", "bold")
    return text


def show_kept(kept: SavedVersion) -> None:
    """One sentence about a version that was saved, or was there already."""
    version = kept.version
    why = f" (“{version.why}”)" if version.why else ""
    text = f"Kept as version {version.number}, code {version.code}{why}: {_near(kept.file)}"
    if not kept.new:
        text = f"Nothing changed since version {version.number} ({version.when:%Y-%m-%d %H:%M})."
    console().print(Text(text), soft_wrap=True)


def show_set(answer: SetAnswer) -> None:
    """The change in the file, its effect, and where the version before is kept."""
    out = console()
    if answer.kept is None:
        out.print(Text("Nothing changed: the recipe has this amount already."))
        return
    if answer.copied_from:
        out.print(Text("This recipe came with cofire: your own copy was made and changed."))
    out.print(Text(_near(answer.file), "bold"), soft_wrap=True)
    out.print(Padding(_changes(answer.changes), (0, 2)))
    if answer.after:
        out.print(Padding(_like(answer.before, answer.after), (0, 2)))
    show_kept(answer.kept)


def _near(path: Path) -> str:
    """Relative to the current folder if inside it, else in full."""
    try:
        return str(path.resolve().relative_to(Path.cwd()))
    except ValueError:
        return str(path)
