"""Verdicts on a terminal: a big yes or no, the odds as bars, the reasons."""

from __future__ import annotations

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from cofire.answers.fit import FitAnswer
from cofire.answers.pair import AtPull, InFiring, PairAnswer
from cofire.show.terminal import between, console, findings_block, heading, percent
from cofire.units import show_temperature

_BAR = 22
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


def _verdict(out: Console, yes: bool, sentence: str) -> None:
    word, _, rest = sentence.partition(" ")
    style = "bold white on dark_green" if yes else "bold white on dark_red"
    text = Text()
    text.append(f" {word.rstrip(':,').upper()} ", style=style)
    text.append(f"  {rest}", style="bold")
    out.print()
    out.print(text)
    out.print()


def clock(minutes: float) -> str:
    """Minutes -> h:mm."""
    whole = round(minutes)
    return f"{whole // 60}:{whole % 60:02d}"


def show_pair(answer: PairAnswer) -> None:
    """Print the main job's answer."""
    out = console()
    _verdict(out, answer.yes, answer.sentence)
    peak = show_temperature(answer.firing.peak_c)
    out.print(heading(answer.firing.name, f"peak {peak}"))
    table = Table(box=None, padding=(0, 2), show_edge=False, header_style="dim")
    table.add_column("")
    for pull in answer.glazes[0].pulls:
        table.add_column(f"{pull.moment}, {clock(pull.at_min)} h after the start")
    for glaze in answer.glazes:
        name = Text(glaze.recipe.name, style="bold")
        name.append(f"\n{glaze.recipe.surface}", style="dim")
        table.add_row(name, *(_pull_cell(p) for p in glaze.pulls))
        table.add_row("")
    out.print(table)
    out.print(
        Padding(Text("░ underfired   █ ripe   ▒ runs    odds in per cent", style="dim"), (0, 2))
    )
    if answer.body:
        out.print(heading(answer.body.name, f"wall {answer.wall_mm:g} mm, {answer.coat.reading}"))
        fits = Table(box=None, padding=(0, 2), show_edge=False, header_style="dim")
        for column in ("", "on this body", "tension in the coat, MPa"):
            fits.add_column(column)
        for glaze in answer.glazes:
            if glaze.fit:
                fits.add_row(*_fit_row(glaze, glaze.fit))
        out.print(fits)
        out.print(Padding(Text("░ shivers   █ sits   ▒ crazes", style="dim"), (0, 2)))
    if answer.findings:
        out.print(heading("Mind"))
        out.print(findings_block(answer.findings))
    out.print()


def _pull_cell(pull: AtPull) -> Text:
    style = {"ripe": "bold green", "runs": "bold red"}.get(pull.word, "bold yellow")
    text = Text.assemble((pull.word, style), "\n")
    text.append_text(bar((pull.under, pull.ripe, pull.runs), ("yellow", "green", "red")))
    text.append(
        f"\n{percent(pull.under)} under  {percent(pull.ripe)} ripe  {percent(pull.runs)} runs",
        style="dim",
    )
    text.append(f"\nslides {pull.slide_mm.value:.1f} mm ({between(pull.slide_mm)})", style="dim")
    return text


def _fit_row(glaze: InFiring, fit: FitAnswer) -> tuple[Text, Text, Text]:
    wanted = "meant to crackle" if fit.wanted == "crazes" else "meant to sit"
    name = Text.assemble((glaze.recipe.name, "bold"), (f"\n{wanted}", "dim"))
    return name, _fit_cell(fit), Text(between(fit.stress, 0))


def _fit_cell(fit: FitAnswer) -> Text:
    if fit.wanted == "crazes":
        word, good = f"crackles {percent(fit.crazes)}", fit.yes
    else:
        word, good = f"sits {percent(fit.sits)}", fit.yes
    text = Text.assemble((word, "bold green" if good else "bold yellow"), "\n")
    shares = (fit.shivers, fit.sits, 1.0 - fit.shivers - fit.sits)
    text.append_text(bar(shares, ("magenta", "green", "cyan")))
    text.append(
        f"\ncrazes {percent(fit.crazes)} at once, {percent(fit.crazes_later)} within months",
        style="dim",
    )
    return text


def show_fit(answer: FitAnswer) -> None:
    """Print what one glaze does on one body."""
    out = console()
    _verdict(out, answer.yes, answer.sentence)
    out.print(heading(f"{answer.recipe.name} on {answer.body.name}"))
    out.print(Padding(_fit_cell(answer), (0, 2)))
    out.print(Padding(Text("░ shivers   █ sits   ▒ crazes", style="dim"), (0, 2)))
    out.print(heading("Why", answer.cooling))
    table = Table.grid(padding=(0, 3))
    for label, value, note in (
        (
            "glaze shrinks by",
            f"{answer.alpha_glaze.value:.1f}",
            f"×10⁻⁶/K, 90 % sure between {between(answer.alpha_glaze)}, from setting to 20 °C",
        ),
        (
            "body shrinks by",
            f"{answer.alpha_body.value:.1f}",
            f"×10⁻⁶/K, between {between(answer.alpha_body)}",
        ),
        (
            "glaze sets at",
            show_temperature(answer.set_c.value),
            f"between {between(answer.set_c, 0)} °C",
        ),
        (
            "stress in the coat",
            f"{answer.stress.value:+.0f} MPa",
            f"between {answer.stress.low:+.0f} and {answer.stress.high:+.0f}; + is tension",
        ),
        ("coat", f"{answer.coat.fired_mm:.2g} mm fired", answer.coat.reading),
        ("wall", f"{answer.wall_mm:g} mm", "closed pot, glazed on one side"),
    ):
        table.add_row(label, Text(value, style="bold"), Text(note, style="dim"))
    out.print(Padding(table, (0, 2)))
    if answer.findings:
        out.print(heading("Mind"))
        out.print(findings_block(answer.findings))
    out.print()
