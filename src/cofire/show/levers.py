"""One wish and what would bring it, on a terminal."""

from __future__ import annotations

from rich.padding import Padding
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
    if any(lever.nearest.reaches for lever in answer.levers):
        marks = "✓ reaches it, and all is right with the odds asked; · reaches it only"
        out.print(Padding(Text(marks, "dim"), (0, 2)))
    recipe = _recipe(answer)
    if recipe not in answer.sentence:
        section(out, heading("The recipe", "“cofire adjust” works it out"), recipe)
    screen.end(out, answer.findings)


def _headline(answer: LeversAnswer) -> Headline:
    """The sentence names the lever; the number is what it is now. Nothing is said twice."""
    now = f"now {value_text(answer.target, answer.now.value)}, {_odds(answer.now)}"
    if "now it is" in answer.sentence:
        now = f"as it is {_odds(answer.now)}"
    helps = ""
    if answer.pair is not None and answer.pair.seen.said not in answer.sentence:
        helps = _said(answer, answer.pair.seen).plain
    elif (recipe := _recipe(answer)) and recipe in answer.sentence:
        helps = "cofire adjust works out the recipe; fire a tile of it"
    return Headline(answer.yes, answer.sentence, "", (Number("", now, now),), helps=helps)


def _recipe(answer: LeversAnswer) -> str:
    """What the lever of the glaze changes in it, in words; empty where there is none."""
    return next((one.nearest.said for one in answer.levers if one.name == "glaze"), "")


def _odds(seen: Setting) -> str:
    lost = "" if seen.odds_whole is None else f", {breaks(seen.odds_whole)} break"
    return f"right {percent(seen.odds)}{lost}"


def _said(answer: LeversAnswer, seen: Setting) -> Text:
    value = value_text(answer.target, seen.value)
    return Text.assemble((f"{seen.said}: ", "bold"), (value, "bold"), (f", {_odds(seen)}", "dim"))


def _levers(answer: LeversAnswer) -> Table:
    pulled = any(lever.nearest.odds_whole is not None for lever in answer.levers)
    columns = ("lever", "goes from", "to", "~nearest to it", ">then", ">right")
    table = plain_table(*columns, *(["break"] if pulled else []))
    for lever in answer.levers:
        low, high = _ends(lever, answer)
        seen = lever.nearest
        mark = "✓" if seen.reaches and seen.good else "·" if seen.reaches else ""
        table.add_row(
            Text(lever.name, "bold"),
            low,
            high,
            "the recipe" if lever.name == "glaze" else seen.said,
            Text(f"{value_text(answer.target, seen.value)} {mark}".rstrip(), "bold"),
            percent(seen.odds, cell=True) + " %",
            *([breaks(seen.odds_whole)] if pulled and seen.odds_whole is not None else []),
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
