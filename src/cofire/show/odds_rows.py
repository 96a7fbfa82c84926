"""Rows of odds: what, three shares and their bar, a remark."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rich.console import Group, RenderableType
from rich.table import Table

from cofire.answers.results.fit import FitAnswer
from cofire.records import Recipe
from cofire.show.terminal import Text, between
from cofire.words import age_words, percent

_BAR = 14
#: Columns from which there is room for it.
_ROOMY = 78
#: What a glaze is meant to do on its clay, in words.
MEANT = {
    "crazes": "meant to crackle",
    "sits": "meant to sit",
    "stays": "may craze, must not shiver",
}
#: Three shades that differ in black and white too.
_SHADES = ("░", "█", "▒")


def bar(shares: tuple[float, float, float], styles: tuple[str, str, str]) -> Text:
    """Three odds as one bar of constant length."""
    ends = [round(_BAR * sum(shares[: k + 1])) for k in range(3)]
    text, start = Text(), 0
    for shade, end, style in zip(_SHADES, ends, styles, strict=True):
        text.append(shade * max(0, end - start), style=style)
        start = max(start, end)
    return text


def columns(rows: Iterable[tuple[Text, ...] | Text], width: int) -> Group:
    """Rows of odds, all tables aligned alike: what, three odds, their bar where there is room, a
    last remark; a text alone goes over all columns."""
    parts: list[RenderableType] = []
    roomy = width >= _ROOMY
    table: Table | None = None
    for row in rows:
        if isinstance(row, Text):
            parts.append(row)
            table = None
            continue
        if table is None:
            table = _odds_table(roomy)
            parts.append(table)
        table.add_row(*(row if roomy else (*row[:4], row[5])))
    return Group(*parts)


def _odds_table(roomy: bool) -> Table:
    table = Table.grid(padding=(0, 1))
    table.add_column(width=24 if roomy else 21)
    for _ in range(3):
        table.add_column(justify="right", width=7)
    if roomy:
        table.add_column(width=_BAR)
    table.add_column(no_wrap=roomy)
    return table


def header(*names: str) -> tuple[Text, ...]:
    """Names of what, of the three shares and of the remark; the bar is its own key."""
    what, first, middle, last, remark = (Text(name, style="dim") for name in names)
    key = Text("".join(3 * shade for shade in _SHADES), style="dim")
    return Text.assemble("  ", what), first, middle, last, key, remark


def who(recipe: Recipe, aside: str) -> Text:
    """Whose rows follow."""
    return Text.assemble(f" {recipe.name}", (f"  {aside}", "not bold dim"), style="bold")


def fit_rows(fit: FitAnswer, *, every: bool = True) -> Iterator[tuple[Text, ...]]:
    """Odds fresh and later; where they are alike and not ``every`` row is asked for, once."""
    odds = fit.odds
    age = age_words(fit.at.horizon_years)
    moments = [
        ("fresh from the kiln", odds.crazes_at_once),
        (f"after {age}", odds.crazes_by_horizon),
    ]
    if not every and percent(odds.crazes_at_once) == percent(odds.crazes_by_horizon):
        moments = [("fresh, " + moments[1][0], odds.crazes_at_once)]
    for when, crazes in moments:
        shares = (odds.shivers, max(0.0, 1.0 - odds.shivers - crazes), crazes)
        stress = Text(between(fit.stress_mpa, 0)) if when.startswith("fresh") else Text()
        yield Text(f"  {when}"), *odds_cells(shares, ("magenta", "green", "cyan")), stress


def odds_cells(shares: tuple[float, float, float], styles: tuple[str, str, str]) -> Iterator[Text]:
    """Three per cents and their bar; the likeliest stands out."""
    for share in shares:
        yield Text(
            f"{percent(share, cell=True)} %", style="bold" if share == max(shares) else "dim"
        )
    yield bar(shares, styles)
