"""Answers of pair on a terminal: yes or no, how ripe at each pull, the fit, the overlaps."""

from __future__ import annotations

import numpy as np
from rich.padding import Padding

from cofire.answers.messages.headlines import pair_headline
from cofire.answers.results.pair import AtPull, InFiring, PairAnswer
from cofire.read.units import show_temperature
from cofire.show.odds_rows import MEANT, columns, fit_rows, header, odds_cells, who
from cofire.show.screen import Screen
from cofire.show.terminal import Text, clock, heading
from cofire.words import percent

#: Characters from all of one glaze to all of another.
_STRIP = 22
#: Odds on it by fifths.
_OVERLAP = "·░▒▓█"
#: Odds below which nothing is drawn.
_NONE = 0.01


def show_pair(answer: PairAnswer, screen: Screen) -> None:
    """Print the main job's answer."""
    headline = pair_headline(answer)
    out = screen.begin(headline, answer.findings)
    if out is None:
        return
    out.print(
        heading(answer.firing.name, f"peak {show_temperature(answer.firing.peak_c)}", typed=True)
    )
    rows: list[tuple[Text, ...] | Text] = [
        header("h:mm after start", "under", "ripe", "runs", "slide/run, mm")
    ]
    for glaze in answer.glazes:
        rows.append(who(glaze.recipe, glaze.recipe.surface))
        rows += map(_pull_row, glaze.pulls)
    out.print(columns(rows, out.width))
    if screen.more:
        for glaze in answer.glazes:
            grains = f"{glaze.recipe.name}: {_grains_left(glaze)}"
            out.print(Padding(Text(grains, style="dim"), (0, 2)))
        if answer.change is None and answer.change_words:
            out.print(Padding(Text(answer.change_words), (0, 2)))
    if answer.at.body:
        out.print(heading(answer.at.body.name, typed=True))
        rows = [header("", "shivers", "sits", "crazes", "tension, MPa")]
        for glaze in answer.glazes:
            if glaze.fit:
                rows.append(who(glaze.recipe, MEANT[glaze.fit.wanted]))
                rows += fit_rows(glaze.fit, every=screen.more)
        out.print(columns(rows, out.width))
    if answer.overlaps:
        out.print(heading("Where they overlap", "two coats thick, at the last pull"))
        out.print(_overlaps(answer))
    coats = "; ".join(coat.reading for coat in answer.at.coats)
    aside = f"wall {answer.at.wall_mm:g} mm, coat {coats}"
    out.print(Padding(Text(aside, style="dim"), (0, 2)))
    screen.end(out, answer.findings, says=headline.says)


def _overlaps(answer: PairAnswer) -> Text:
    """Each pair as a strip of mixtures from all of one to all of the other, and what its shades
    mean."""
    text, drawn = Text(), False
    for one in answer.overlaps:
        text.append(f" {one.first.name} → {one.second.name}\n", "bold")
        rows = [("run", one.runs, "red")]
        if one.crazes is not None:
            rows.append(("craze", one.crazes, "cyan"))
        for word, odds, colour in rows:
            least, most = percent(float(odds.min())), percent(float(odds.max()))
            text.append(f"  {word:6}", "default")
            if float(odds.max()) < _NONE:
                text.append("none\n")
                continue
            at = np.linspace(0.0, len(odds) - 1.0, _STRIP)
            along = np.interp(at, np.arange(len(odds)), odds)
            strip = "".join(_OVERLAP[min(int(5 * value), 4)] for value in along)
            said = least if least == most else f"{least} to {most}"
            text.append("│").append(strip, colour).append(f"│ {said}\n")
            drawn = True
    key = "   ".join(f"{shade} to {20 * k + 20} %" for k, shade in enumerate(_OVERLAP))
    text.append(f"  {key}" if drawn else "", "dim")
    text.rstrip()
    return text


def _pull_row(pull: AtPull) -> tuple[Text, ...]:
    name = Text(f"  {pull.moment}, {clock(pull.at_min)}")
    run = Text(f"{pull.slide_mm.value:.1f} / {pull.run_mm.value:.0f}")
    if pull.word != "ripe":
        name.append(f"\n  {pull.word}", style="bold yellow")
    return (name, *odds_cells(pull.odds, ("yellow", "green", "red")), run)


def _grains_left(glaze: InFiring) -> str:
    """“not melted or dissolved: 4 % (0 to 8) of the first pot; …”, and why a matte is dry."""
    said = []
    for pull in glaze.pulls:
        left = pull.unmelted_percent
        words = f"{pull.moment} {left.value:.0f} % ({left.low:.0f} to {left.high:.0f})"
        if pull.dry_by is not None:
            why = [f"{name} {percent(odds)}" for name, odds in pull.dry_by.items() if odds >= 0.05]
            words += ", dry by " + ", ".join(why)
        said.append(words)
    return "grains not melted or dissolved: " + "; ".join(said)
