"""How every answer begins and ends on a screen: the headline, and notes that fold."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from rich.cells import cell_len
from rich.console import Console
from rich.table import Table

from cofire.answers.results.headline import Headline, Number
from cofire.findings import SEVERITIES, Finding, Severity
from cofire.show.terminal import SEVERITY_STYLE, Text, console, findings_block, heading
from cofire.words import counted

#: Where cautions happen, by the acts that their files name.
_ACTS = {
    "at the kiln": ("firing", "lustre"),
    "weighing and mixing": ("mixing", "glazing"),
    "in use": ("using",),
}


@dataclass(frozen=True)
class Screen:
    """How much of an answer is shown: one line, or all of its notes and tables, or all of its
    cautions. Those in ``known``, by code and material, were read in this studio before; without a
    studio it is None."""

    brief: bool = False
    more: bool = False
    cautions: bool = False
    known: frozenset[tuple[str, str]] | None = None
    in_full: list[Finding] = field(default_factory=list)  # cautions that it has shown

    def begin(self, headline: Headline, findings: Iterable[Finding] = ()) -> Console | None:
        """Print what is read first; None if that is all."""
        out = console()
        if self.brief:
            out.print(brief_line(out, headline), soft_wrap=True)
            return None
        out.print()
        _print_headline(out, headline)
        first = [f for f in findings if f.headline and f.code not in headline.says]
        if first:
            out.print(findings_block(first))
        out.print()
        return out

    def end(
        self,
        out: Console,
        findings: Sequence[Finding],
        saved: str | None = None,
        says: Sequence[str] = (),
    ) -> None:
        """Print what folds: doubts in full, notes in a line, cautions in a line for each act. The
        headline ``says`` what some codes are about."""
        if rest := [f for f in findings if not f.headline]:
            self._fold(out, rest, says)
        if saved:
            out.print(Text(f"  A is written to {saved}.", "dim"))
        out.print()

    def _fold(self, out: Console, findings: Sequence[Finding], says: Sequence[str]) -> None:
        cautions = [f for f in findings if f.act and not self._in_full(f)]
        light = [f for f in findings if not f.act and (f.severity == "note" or f.code in says)]
        notes = [] if self.more else light
        full = [f for f in findings if f not in cautions and f not in notes]
        full.sort(key=lambda finding: SEVERITIES.index(finding.severity))
        self.in_full.extend(f for f in full if f.act)
        asides = []
        if notes:
            asides.append(f"{counted(len(notes), 'note')}: --more")
        if cautions:
            asides.append(f"{counted(len(cautions), 'caution')}: --cautions")
        out.print(heading("Notes", "   ".join(asides)))
        if full:
            out.print(findings_block(full))
        for label, words in _cautions_by_act(cautions):
            out.print(_one_line(label, words, out.width))
        if notes:
            out.print(_one_line("note", _gists(notes), out.width))

    def _in_full(self, caution: Finding) -> bool:
        """Asked for, or of a material that is new in this studio."""
        if self.known is None or self.cautions:
            return self.cautions
        return any((caution.code, one) not in self.known for one in caution.materials)


def brief_line(out: Console, headline: Headline) -> Text:
    """The headline in one line; on a screen only as much of it as fits, in whole words."""
    line, *rest = [part.rstrip(".") for part in headline.parts]
    fits = out.width if out.is_terminal or "COLUMNS" in os.environ else None
    for part in rest:
        longer = f"{line}; {part}"
        if fits is None or cell_len(longer) <= fits:
            line = longer
    while fits is not None and cell_len(line) > fits and " " in line:
        line = line.removesuffix(" …").rpartition(" ")[0] + " …"
    return Text(line)


def _print_headline(out: Console, headline: Headline) -> None:
    if headline.yes is None:
        out.print(Text(headline.sentence, "bold"))
    else:
        style = "bold white on dark_green" if headline.yes else "bold white on dark_red"
        reason = headline.sentence.partition(" ")[2]
        table = _labelled()
        table.add_row(Text(f" {headline.word.upper()} ", style), Text(reason, "bold"))
        out.print(table)
    _print_numbers(out, [one for one in headline.numbers if one.words])
    table = _labelled()
    for label, words in (("decides", headline.decides), ("helps", headline.helps)):
        if words:
            table.add_row(Text(f" {label:7}", "cyan"), Text(words))
    if table.rows:
        out.print(table)


def _labelled() -> Table:
    table = Table.grid(padding=(0, 1))
    table.add_column(no_wrap=True)
    table.add_column(ratio=1)
    return table


def _print_numbers(out: Console, numbers: Sequence[Number]) -> None:
    """A line to each, its owner before it or, where there is no room, above it."""
    wide = max((cell_len(one.of) for one in numbers), default=0)
    beside = wide + max((cell_len(one.words) for one in numbers), default=0) + 3 <= out.width
    for one in numbers:
        if one.of and not beside:
            out.print(Text(f" {one.of}"))
        indent = "   " if one.of else " "
        before = f" {one.of:<{wide}}  " if one.of and beside else indent
        if cell_len(before) + cell_len(one.words) <= out.width:  # a table takes long
            out.print(Text.assemble(before, (one.words, "bold")))
            continue
        cells = Table.grid()
        cells.add_column(no_wrap=True)
        cells.add_column(ratio=1)
        cells.add_row(Text(before), Text(one.words, "bold"))
        out.print(cells)


def _cautions_by_act(cautions: Sequence[Finding]) -> list[tuple[Severity, list[str]]]:
    """For each act how many, the gravest first word, and what they are about."""
    lines = []
    for place, acts in _ACTS.items():
        some = [f for f in cautions if f.act in acts]
        if some:
            gravest = min((f.severity for f in some), key=SEVERITIES.index)
            words = list(dict.fromkeys(f.short for f in some))
            words[0] = f"{len(some)} {place}: {words[0]}"
            lines.append((gravest, words))
    return lines


def _gists(notes: Sequence[Finding]) -> list[str]:
    """What notes are about, what names were read as first."""
    read = [f.short for f in notes if f.code == "name-shared"]
    names = dict.fromkeys(name for one in read for name in one.split(", "))
    rest = dict.fromkeys(
        f.short or f.message.partition(":")[0] for f in notes if f.code != "name-shared"
    )
    return [*(f"read {name}" for name in list(names)[:1]), *list(names)[1:], *rest]


def _one_line(severity: Severity, words: Sequence[str], width: int) -> Text:
    """As many whole words of the list as fit, and a sign for those that do not."""
    text = Text.assemble((f"{severity:<8}", SEVERITY_STYLE[severity]), " ")
    for k, word in enumerate(words):
        last = k == len(words) - 1
        piece = f"{', ' if k else ''}{word}"
        if text.cell_len + cell_len(piece) + (0 if last else 2) > width:
            text.append(" …" if k else "")
            break
        text.append(piece)
    return text
