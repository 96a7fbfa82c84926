"""Blends on a terminal: a figure of cells with the borders between words, and lists; or a table."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from rich.console import Console
from rich.padding import Padding

from cofire.answers.blend.messages import tiles_line
from cofire.answers.blend.points import Points
from cofire.answers.blend.results import Blend
from cofire.answers.results.headline import Headline, Number
from cofire.arrays import Array
from cofire.files.csv_rows import inert
from cofire.show.screen import Screen
from cofire.show.terminal import Text, heading, section, signed
from cofire.words import percent

INK = {
    "under": "yellow", "runs": "red", "ripe": "green",
    "sits": "green", "crazes": "cyan", "shivers": "magenta", "": "",
}  # fmt: skip
#: Columns and lines of a cell with its label and odds in it, and of one with a word alone; bricks
#: of a triangle are shifted by half a cell, so theirs are even.
_ROOMY, _SMALL = (6, 2), {"line": (3, 1), "grid": (3, 1), "triangle": (4, 1)}
#: More points than this are listed only with --list; otherwise this many.
_LIST, _FEW = 12, 8
#: Columns left of a figure.
MARGIN = 5
#: Cracks farther apart are a few at most on any pot.
_FEW_CRACKS_MM = 60.0
#: Up, down, left, right -> the sign that joins them.
_JOINTS = dict(
    zip(
        [(u, d, lt, r) for u in (0, 1) for d in (0, 1) for lt in (0, 1) for r in (0, 1)],
        " ╶╴─╷┌┐┬╵└┘┴│├┤┼",
        strict=True,
    )
)


def show_blend(answer: Blend, screen: Screen, *, every: bool = False) -> None:
    """Print a blend; ``every`` lists all points however many there are."""
    out = screen.begin(_headline(answer), answer.findings)
    if out is None:
        return
    if answer.additions or answer.slurry_g_per_ml is not None or len(answer.recipes) > 2:
        section(out, heading("What is blended"), *_what(answer))
    drawn = _figure(out, answer)
    few = len(answer.words) <= (_LIST if answer.yes is not None else _FEW)
    listed = every or answer.points.form == "line" or few or not drawn
    out.print(heading("Point by point", "odds in per cent"))
    rows = np.arange(len(answer.words)) if listed else _best(answer)
    for line in _list(answer, rows, out.width):
        out.print(line, no_wrap=True)
    out.print(Padding(Text(_columns_mean(answer), style="dim"), (0, 2)))
    if not listed:
        some = "the corners" if answer.yes is None else "the surest few"
        out.print(Text(f"  {some}; all points with --list, --csv or --json", "dim"))
    if answer.cups:
        _cups(out, answer)
    if aside := _aside(answer):
        out.print(Padding(Text(aside, style="dim"), (0, 2)))
    screen.end(out, answer.findings)


def _headline(answer: Blend) -> Headline:
    """How many points are right, the nets along them, and which tiles to fire."""
    helps = tiles_line(answer)
    numbers = tuple(Number("", nets, nets) for nets in [_nets(answer)] if nets)
    if not helps and answer.yes is not None:
        helps = "--tiles 3 chooses the tiles that tell most"
    alpha = answer.seen.expansion_1e6_per_k
    short = f"expansion {alpha.min():.1f} to {alpha.max():.1f}e-6/K"
    if answer.surest is not None and answer.yes is not None:
        best = percent(float(answer.seen.odds_right[answer.surest]), answer.at.odds)
        short = f"{answer.points.labels[answer.surest]} is the surest, {best}"
    return Headline(answer.yes, answer.sentence, short, numbers, "", helps)


def _nets(answer: Blend) -> str:
    """How far apart cracks stand, from the closest net of the blend to the widest."""
    spacing = answer.seen.crack_spacing_mm
    if spacing is None or not (crazed := np.isfinite(spacing)).any():
        return ""
    near, far = (int(p) for p in np.flatnonzero(crazed)[np.argsort(spacing[crazed])[[0, -1]]])
    labels = answer.points.labels
    return (
        f"cracks {cracks_words(answer, near)} mm apart at {labels[near]}, "
        f"{cracks_words(answer, far)} at {labels[far]}"
    )


def _what(answer: Blend) -> list[Text]:
    """The ingredients by number, and how they are mixed."""
    lines = []
    for k, one in enumerate(answer.ingredients):
        line = Text.assemble((f"{k + 1}  ", "dim"), (one.name, "bold"))
        if k < len(answer.recipes):
            line.append(f"  {answer.recipes[k].surface}", "dim")
        else:
            added = answer.additions[k - len(answer.recipes)]
            line.append(f"  {added.low:g} to {added.high:g} % of the base", "dim")
        if answer.slurry_g_per_ml is not None and k < len(answer.recipes):
            line.append(f", slurry of {answer.slurry_g_per_ml[k]:g} g/ml", "dim")
        lines.append(line)
    by = "by dry weight"
    if answer.slurry_g_per_ml is not None and not answer.additions:
        by = "by volume of slurry; shares below are of dry weight"
    lines.append(Text(f"{answer.points.steps} parts between corners, {by}", "dim"))
    return lines


def _best(answer: Blend) -> NDArray[np.intp]:
    """The surest few points, or the corners where nothing was asked."""
    if answer.yes is None:
        return np.flatnonzero(answer.points.shares.max(axis=1) == 1.0)
    return np.sort(np.argsort(-answer.seen.odds_right, kind="stable")[:_FEW])


def short(answer: Blend, p: int) -> str:
    """A word in two letters, large where the odds asked are met; the expansion where nothing was
    asked."""
    word = answer.words[p]
    if not word:
        return f"{answer.seen.expansion_1e6_per_k[p]:.1f}"
    return word[:2].upper() if answer.seen.odds_right[p] >= answer.at.odds else word[:2]


# --- the figure ---------------------------------------------------------------------------------


def _figure(out: Console, answer: Blend) -> bool:
    """Draw the triangle or grid as large as it fits; False where it does not."""
    at = answer.points
    roomy = _ROOMY[0] * (at.steps + 1) + 1 + MARGIN <= out.width and at.steps <= 10
    pitch, tall = _ROOMY if roomy else _SMALL[at.form]
    tall += roomy and bool(_nets(answer))
    if pitch * (at.steps + 1) + 1 + MARGIN > out.width:
        return False
    asked = answer.yes is not None
    out.print(heading("The blend", "lines run where the word changes" if asked else ""))
    for line in _head(answer, pitch, roomy):
        out.print(line, no_wrap=True)
    for line in figure(answer, pitch, tall):
        out.print(line, no_wrap=True)
    for line in _foot(answer, pitch):
        out.print(line, no_wrap=True)
    out.print(Padding(_key(answer, roomy), (0, 2)))
    return True


def figure(answer: Blend, pitch: int, tall: int) -> list[Text]:
    """Rows of cells, ``pitch`` columns and ``tall`` lines each, like bricks, with a line between
    cells of different words, and around all."""
    at, words = answer.points, answer.words
    cell_at = _cells(at, pitch)
    last = int(at.row.max())

    def kind(row: int, x: float) -> str | None:
        p = cell_at(row, x)
        return None if p is None else words[p]

    def upright(row: int, x: int) -> bool:
        return kind(row, x - 0.5) != kind(row, x + 0.5)

    def level(row: int, x: float) -> bool:
        return kind(row, x) != kind(row + 1, x)

    width = pitch * (at.steps + 1) + 1
    lines = []
    for row in range(-1, last + 1):
        if row >= 0:
            for k in range(tall):
                line = Text(_margin(answer, row, k, tall))
                for x in range(width):
                    p = cell_at(row, x + 0.5)
                    inside = p is not None and cell_at(row, x - 0.5) == p
                    if not inside:
                        line.append("│" if upright(row, x) else " ")
                    elif cell_at(row, x - 1.5) != p:  # the first column inside a cell
                        assert p is not None
                        text, style = _content(answer, p, k, tall)
                        line.append(f"{text:^{pitch - 1}}"[: pitch - 1], style)
                lines.append(line)
        joints = "".join(
            _JOINTS[
                (
                    int(upright(row, x)),
                    int(upright(row + 1, x)),
                    int(level(row, x - 0.5)),
                    int(level(row, x + 0.5)),
                )
            ]
            for x in range(width)
        )
        lines.append(Text(" " * MARGIN + joints))
    return lines


def _cells(at: Points, pitch: int) -> Callable[[int, float], int | None]:
    """Which point lies at a row and a place (in columns) along it."""
    index = {(int(r), int(c)): p for p, (r, c) in enumerate(zip(at.row, at.column, strict=True))}

    def cell_at(row: int, x: float) -> int | None:
        shift = (at.steps - row) * pitch / 2.0 if at.form == "triangle" else 0.0
        return index.get((row, math.floor((x - shift) / pitch)))

    return cell_at


def _content(answer: Blend, p: int, line: int, tall: int) -> tuple[str, str]:
    word = short(answer, p)
    style = INK[answer.words[p]]
    if tall == 1:
        return word, style
    if line == 0:
        taken = answer.tiles is not None and p in answer.tiles.chosen
        return ("◆" if taken else "") + answer.points.labels[p], "bold" if taken else "dim"
    if line == 2:
        apart = cracks_words(answer, p)
        return (f"{apart}mm" if apart else "none"), "dim"
    if answer.yes is None:
        return word, style
    text = percent(float(answer.seen.odds_right[p]), cell=True)
    return f"{word} {text}" if len(text) < 3 else f"{word}{text}", style


def _margin(answer: Blend, row: int, line: int, tall: int) -> str:
    """Beside a row: how much of the second addition, or the row's letter."""
    if line != tall - 1:
        return " " * MARGIN
    if tall == 1:
        return f" {chr(65 + row)}".ljust(MARGIN)
    if len(answer.additions) == 2:
        return f"{_level(answer, 1, row):.3g}".rjust(MARGIN - 1) + " "
    return " " * MARGIN


def _level(answer: Blend, which: int, step: int) -> float:
    added = answer.additions[which]
    return added.low + (added.high - added.low) * step / answer.points.steps


def _head(answer: Blend, pitch: int, roomy: bool) -> list[Text]:
    """What stands above the figure: the corner or corners there, or the scale of an addition."""
    at = answer.points
    width = pitch * (at.steps + 1) + 1
    if at.form == "triangle":
        return [Text(" " * MARGIN + f"1 {answer.recipes[0].name}".center(width).rstrip(), "bold")]
    numbers = "".join(f"{k + 1}".center(pitch) for k in range(at.steps + 1))
    if answer.additions:
        named = zip("→↓", answer.additions, strict=False)
        if roomy:
            levels = (f"{_level(answer, 0, k):.3g}" for k in range(at.steps + 1))
            numbers = "".join(level.center(pitch) for level in levels)
        return [
            Text(" " + ", ".join(f"{arrow} % {a.material.name}" for arrow, a in named), "bold"),
            Text(" " * MARGIN + " " + numbers.rstrip(), "dim"),
        ]
    above = [_ends(f"1 {answer.recipes[0].name}", f"2 {answer.recipes[1].name}", width)]
    return above if roomy else [*above, Text(" " * MARGIN + " " + numbers.rstrip(), "dim")]


def _foot(answer: Blend, pitch: int) -> list[Text]:
    at, names = answer.points, [f"{k + 1} {r.name}" for k, r in enumerate(answer.recipes)]
    if answer.additions or at.form == "line":  # it stands above
        return []
    return [_ends(names[-2], names[-1], pitch * (at.steps + 1) + 1)]


def _ends(left: str, right: str, width: int) -> Text:
    """Two names under the ends of a figure; one under the other where there is no room."""
    pad = " " * MARGIN
    room = width - len(left) - len(right)
    if room >= 2:
        return Text(f"{pad}{left}{' ' * room}{right}", "bold")
    return Text(f"{pad}{left}\n{pad}{right.rjust(width)}", "bold")


def _key(answer: Blend, roomy: bool) -> Text:
    """What the letters mean, of those that occur."""
    text = Text()
    for word in dict.fromkeys(answer.words):
        if word:
            text.append(f"{word[:2]} {word}   ", INK[word])
    if answer.yes is None:
        return Text("expansion, 20 to 300 °C, 1e-6/K", "dim")
    if roomy:
        text.append("odds of all, %; ", "dim")
        text.append("mm: cracks apart; " if _nets(answer) else "", "dim")
    text.append("CAPITALS: enough", "dim")
    if answer.tiles and roomy:
        text.append("; ◆ to fire", "dim")
    return text


# --- lists --------------------------------------------------------------------------------------


#: Columns that go first where there is no room for all.
_LEAST = ("±", "MPa", "und", "runs", "shiv", "expans.")
#: A heading, its width, and what stands below it for a point.
_Column = tuple[str, int, Callable[[int], str]]


def _shares(answer: Blend) -> list[_Column]:
    """How much of each corner, or of each addition, a point holds."""

    def column(header: str, width: int, values: Array, form: str) -> _Column:
        return header, width, lambda p: format(float(values[p]), form)

    if answer.percent is None:
        return [column(f"{k + 1} %", 4, 100.0 * v, ".0f") for k, v in enumerate(answer.shares.T)]
    return [column(f"+{k + 2} %", 5, v, ".3g") for k, v in enumerate(answer.percent.T)]


def _list(answer: Blend, rows: NDArray[np.intp], width: int) -> list[Text]:
    """One line a point; in a line blend a rule where the word changes."""
    seen, at = answer.seen, answer.points
    labels = at.labels
    columns = _shares(answer)
    columns.append(("expans.", 8, lambda p: f"{seen.expansion_1e6_per_k[p]:.2f}"))
    columns.append(("±", 4, lambda p: f"{seen.expansion_half_width_90_1e6_per_k[p]:.1f}"))

    def of(name: str, header: str, wide: int) -> None:
        values = getattr(seen, name)
        if values is not None:
            columns.append((header, wide, lambda p: percent(float(values[p]), cell=True)))

    if (stress := seen.stress_mpa) is not None:
        columns.append(("MPa", 5, lambda p: signed(float(stress[p]))))
        of("odds_shivers", "shiv", 5)
        of("odds_crazes_by_horizon", "craz", 5)
        columns.append(("mm", 4, lambda p: cracks_words(answer, p) or "–"))
    of("odds_under_at_first_pull", "und", 4)
    of("odds_ripe_at_every_pull", "ripe", 5)
    of("odds_runs_at_last_pull", "runs", 5)
    if answer.at.firing and answer.at.body:
        of("odds_right", "all", 4)
    room = width - 8 - max(map(len, answer.words), default=0)
    for name in _LEAST:
        if sum(wide for _, wide, _ in columns) > room:
            columns = [column for column in columns if column[0] != name]
    head = "".join(name.rjust(wide) for name, wide, _ in columns)
    lines = [Text(f"  {'':4}{head}", "dim")]
    for n, p in enumerate(map(int, rows)):
        word = answer.words[p]
        if at.form == "line" and n and word != answer.words[p - 1]:
            text = f" {answer.words[p - 1]} ↑   ↓ {word} "
            lines.append(Text(f"  ────{text:─<{len(head)}}", "bold"))
        taken = answer.tiles is not None and p in answer.tiles.chosen
        line = Text.assemble(
            "◆ " if taken else "  ",
            (f"{labels[p]:4}", "bold"),
            "".join(of_it(p).rjust(wide) for _, wide, of_it in columns),
            (f"  {word}" if word else "", INK[word]),
        )
        lines.append(line)
    return lines


def _columns_mean(answer: Blend) -> str:
    parts = ["expansion 1e-6/K, 90 % sure to ±"]
    if answer.at.body:
        parts.append("MPa: + is tension; shiv, craz: by the horizon; mm: cracks apart")
    if answer.at.firing:
        parts.append("und: at the first pull; ripe: at every pull; runs: at the last")
    if answer.at.firing and answer.at.body:
        parts.append("all: as asked")
    return "; ".join(parts)


def cracks_words(answer: Blend, p: int) -> str:
    """How far apart cracks stand, mm; nothing where there are none."""
    spacing = answer.seen.crack_spacing_mm
    if spacing is None or not np.isfinite(spacing[p]):
        return ""
    if spacing[p] > _FEW_CRACKS_MM:
        return f">{_FEW_CRACKS_MM:.0f}"
    return f"{spacing[p]:.1f}" if spacing[p] < 2.95 else f"{spacing[p]:.0f}"


def _cups(out: Console, answer: Blend) -> None:
    cups = answer.cups
    assert cups is not None
    dry = " of dry glaze" if cups.cup.unit == "g" else " of slurry"
    out.print(heading("Into each cup", f"{cups.cup.size:g} {cups.cup.unit}{dry}"))
    widths = [max(7, len(f"{v:g}") + 2) for v in cups.amounts.max(axis=0)]
    head = "    " + "".join(
        f"{k + 1} {unit}".rjust(w)
        for k, (unit, w) in enumerate(zip(cups.units, widths, strict=True))
    )
    digits = [max(0, -math.floor(math.log10(step) + 1e-9)) for step in cups.steps]
    lines = [
        f"{label:4}"
        + "".join(f"{v:.{d}f}".rjust(w) for v, d, w in zip(row, digits, widths, strict=True))
        for label, row in zip(answer.points.labels, cups.amounts, strict=True)
    ]
    beside = max(1, min((out.width - 2) // (len(head) + 4), math.ceil(len(lines) / 6)))
    tall = math.ceil(len(lines) / beside)
    gap = "    "
    out.print(Text("  " + gap.join([head] * beside), "dim"), no_wrap=True)
    for r in range(tall):
        text = gap.join(lines[r + tall * k] for k in range(beside) if r + tall * k < len(lines))
        out.print(Text(f"  {text}"), no_wrap=True)
    for k, one in enumerate(answer.ingredients):
        line = Text.assemble(
            (f"  in all {cups.totals[k]:.{digits[k]}f} {cups.units[k]}", "bold"),
            f" of {k + 1} {one.name}",
        )
        if cups.units[k] == "ml":
            line.append(f", which holds {cups.dry_g[k]:.0f} g dry", "dim")
        out.print(line)


def _aside(answer: Blend) -> str:
    parts = []
    if answer.at.firing:
        parts.append(answer.at.firing.name)
    if answer.at.body:
        parts.append(f"on {answer.at.body.name}: {answer.at.cooling_curve.words}")
    if parts:
        parts.append(f"wall {answer.at.wall_mm:g} mm, coat {answer.at.coat(0).reading}")
    return "; ".join(parts)


#: What a group of a row is called above its columns.
_HELD = {"share_by_dry_weight": "{} (dry share)", "percent_of_base": "{} (% of base)", "cup": "{}"}


def csv_text(answer: Blend) -> str:
    """One row a point; an empty field where there is no number."""
    out = io.StringIO(newline="")
    table = csv.writer(out)
    for p, row in enumerate(answer.rows):
        flat: dict[str, str] = {}
        for key, value in row.items():
            if key in _HELD:
                flat |= {_HELD[key].format(name): f"{v:.9g}" for name, v in value.items()}
            else:
                flat[key] = _field(value)
        if p == 0:
            table.writerow(map(inert, flat))
        table.writerow(map(inert, flat.values()))
    return out.getvalue()


def _field(value: float | str) -> str:
    if isinstance(value, str):
        return value
    return f"{value:.6g}" if math.isfinite(value) else ""
