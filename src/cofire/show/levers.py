"""One wish and what would bring it, on a terminal."""

from __future__ import annotations

from rich.table import Table

from cofire.answers.levers import Lever, LeversAnswer, Setting, value_text
from cofire.answers.results.headline import Headline, Number
from cofire.model.survival import breaks
from cofire.show.screen import Screen
from cofire.show.terminal import Text, heading, plain_table, section
from cofire.words import percent


def show_levers(answer: LeversAnswer, screen: Screen) -> None:
    """Print how far each lever goes, and the cheapest pair."""
    out = screen.begin(_headline(answer), answer.findings)
    if out is None:
        return
    section(out, heading(answer.recipe.name, typed=True), _levers(answer))
    for lever in answer.levers:
        if lever.name == "glaze":
            section(out, heading("The recipe", "“cofire adjust” works it out"), lever.nearest.said)
    screen.end(out, answer.findings)


def _headline(answer: LeversAnswer) -> Headline:
    """The sentence names the lever; the number is what it is now."""
    now = f"now {value_text(answer.target, answer.now.value)}, {_odds(answer.now)}"
    helps = "" if answer.pair is None else _said(answer, answer.pair.seen).plain
    return Headline(answer.yes, answer.sentence, "", (Number("", now, now),), helps=helps)


def _odds(seen: Setting) -> str:
    lost = "" if seen.odds_whole is None else f", {breaks(seen.odds_whole)} break"
    return f"right {percent(seen.odds)}{lost}"


def _said(answer: LeversAnswer, seen: Setting) -> Text:
    value = value_text(answer.target, seen.value)
    return Text.assemble((f"{seen.said}: ", "bold"), (value, "bold"), (f", {_odds(seen)}", "dim"))


def _levers(answer: LeversAnswer) -> Table:
    table = plain_table(
        "lever", "goes from", "to", "~nearest to it", ">then", ">right", "pots that break"
    )
    for lever in answer.levers:
        low, high = _ends(lever, answer)
        seen = lever.nearest
        mark = "✓" if seen.reaches and seen.good else "·" if seen.reaches else ""
        table.add_row(
            Text(lever.name, "bold"),
            low,
            high,
            "the recipe below" if lever.name == "glaze" else seen.said,
            Text(f"{value_text(answer.target, seen.value)} {mark}".rstrip(), "bold"),
            percent(seen.odds, cell=True) + " %",
            "" if seen.odds_whole is None else breaks(seen.odds_whole),
        )
    return table


def _ends(lever: Lever, answer: LeversAnswer) -> tuple[str, str]:
    """The least and the most along the way of a lever, the present state counted in."""
    values = [one.value for one in (*lever.settings, answer.now)]
    known = sorted(value for value in values if value is not None)
    texts = [value_text(answer.target, value) for value in known]
    if None in values:
        texts.append(value_text(answer.target, None))
    return texts[0], texts[-1]
