"""Answers on a terminal.

The only place that rounds for the screen. Text objects, never markup: “[wt %]” is not a style.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import rich.text
from rich.console import Console, ConsoleOptions, RenderableType, RenderResult
from rich.padding import Padding
from rich.rule import Rule
from rich.table import Table

from cofire.names import shown

if TYPE_CHECKING:
    from cofire.answers.catalogue import Catalogue
    from cofire.findings import Finding
    from cofire.model.interval import Interval

SEVERITY_STYLE = {
    "danger": "bold red",
    "warning": "bold yellow",
    "caution": "yellow",
    "note": "dim",
}


#: Columns that tables and pictures are given at least; a narrower screen breaks their lines.
LEAST_WIDTH = 40
#: What proposals are called.
LETTERS = "ABC"


class Text(rich.text.Text):
    """Text that shows what people typed as it is, and what could drive the screen written out."""

    def __init__(self, text: str = "", *args: Any, **kwargs: Any) -> None:
        super().__init__(shown(text), *args, **kwargs)

    def append(self, text: rich.text.Text | str, style: Any = None) -> Text:
        super().append(shown(text) if isinstance(text, str) else text, style)
        return self

    @classmethod
    def assemble(cls, *parts: Any, **how: Any) -> Text:
        made = super().assemble(*parts, **how)
        assert isinstance(made, cls)
        return made


class _Console(Console):
    def render_str(self, text: str, **how: Any) -> rich.text.Text:
        return super().render_str(shown(text), **how)

    def on_broken_pipe(self) -> None:
        # rich would leave with 1, which here means “no”
        raise BrokenPipeError


def console() -> Console:
    out = _Console(highlight=False, soft_wrap=False, markup=False, emoji=False)
    out.width = max(out.width, LEAST_WIDTH)
    return out


def error_console() -> Console:
    """For messages beside the answer, such as the progress of a long task."""
    return _Console(stderr=True, highlight=False, markup=False, emoji=False)


def clock(minutes: float) -> str:
    """Minutes -> h:mm."""
    minutes = round(minutes)
    return f"{minutes // 60}:{minutes % 60:02d}"


class Heading:
    """A title, an aside and a line to the edge; where there is no room for all, nothing is cut."""

    def __init__(self, title: Text, aside: Text) -> None:
        self.title, self.aside = title, aside

    def __rich_console__(self, out: Console, options: ConsoleOptions) -> RenderResult:
        room = options.max_width - 2
        both = Text.assemble(self.title, "  ", self.aside) if self.aside else self.title
        if both.cell_len <= room:
            yield Rule(both, align="left", style="dim")
            return
        fits = self.title.cell_len <= room
        yield Rule(self.title, align="left", style="dim") if fits else self.title
        if self.aside:
            yield Padding(self.aside, (0, 2))


def heading(title: str, aside: str = "", *, typed: bool = False) -> Heading:
    """A line in capitals; what a person ``typed`` stays as it is."""
    return Heading(Text(title if typed else title.upper(), style="bold"), Text(aside, style="dim"))


def title(name: str, aside: str) -> Text:
    text = Text()
    text.append(name, style="bold underline")
    text.append(f"   {aside}", style="dim")
    return text


def between(interval: Interval, digits: int = 1) -> str:
    return f"{interval.low:.{digits}f} to {interval.high:.{digits}f}"


def signed(value: float, digits: int = 0) -> str:
    """“+12”, “-3”, and nothing before zero."""
    text = f"{value:+.{digits}f}"
    return text[1:] if float(text) == 0.0 else text


def plain_table(*columns: str, pad: int = 1) -> Table:
    """A table without lines. “>” before a column's name puts it to the right, “|” keeps its cells
    whole, and “~” gives it the room that the others leave, which then are whole too."""
    wide = any(name.startswith("~") for name in columns)
    table = Table(box=None, padding=(0, pad), show_edge=False, header_style="dim", expand=wide)
    for name in columns:
        mark = name[:1] if name[:1] in (">", "|", "~") else ""
        table.add_column(
            name.removeprefix(mark),
            justify="right" if mark == ">" else "left",
            ratio=1 if mark == "~" else None,
            no_wrap=mark == "|" or (mark == ">" and wide),
            overflow="fold",
        )
    return table


def findings_block(findings: Iterable[Finding]) -> Table:
    """Cautions and doubts, gravest first, with whom they concern."""
    table = Table.grid(padding=(0, 1), expand=True)
    table.add_column(width=8)
    table.add_column(ratio=1)
    for finding in findings:
        text = Text()
        if finding.subject:
            text.append(f"{finding.subject}: ", style="bold")
        text.append(finding.message)
        table.add_row(Text(finding.severity, style=SEVERITY_STYLE[finding.severity]), text)
    return table


def print_notes(out: Console, findings: Sequence[Finding]) -> None:
    """The findings under their heading, where there are any beside those of the headline."""
    if rest := [finding for finding in findings if not finding.headline]:
        out.print(heading("Notes"))
        out.print(findings_block(rest))


def section(out: Console, head: Heading, *parts: RenderableType) -> None:
    """Something under its heading, indented."""
    for one in (head, *(Padding(one, (0, 2)) for one in parts)):
        out.print(one)


def side_by_side(first: str, before: str, count: int, *, header: bool = True) -> Table:
    """A table of the present recipe and of ``count`` proposals, under the letters A, B, C."""
    table = Table.grid(padding=(0, 2))
    table.add_column(ratio=1, min_width=14)
    for _ in range(1 + count):
        table.add_column(justify="right", no_wrap=True)
    letters = (Text(letter, "bold") for letter in LETTERS[:count])
    if header:
        table.add_row(Text(first, "dim"), Text(before, "dim"), *letters)
    return table


def miss(value: float) -> str:
    """A mean miss, or a dash where too little was measured to know."""
    return f"{value:.2f}" if math.isfinite(value) else "–"


def show_shelf(shelf: Catalogue) -> None:
    """What can be named, one line each."""
    table = plain_table("|id", "name", "")
    for item in shelf.items:
        name = Text(item.name)
        if item.own:
            name.append("  (yours)", style="green")
        table.add_row(Text(item.id, style="bold"), name, Text(item.about, style="dim"))
    console().print(table)
