"""Answers on a terminal.

The only place that rounds for the screen. Text objects, never markup: “[wt %]” is not a style.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

import rich.text
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.rule import Rule
from rich.table import Table

from cofire.arrays import Array
from cofire.chem.oxides import APART, FLUXES, FORMERS, INDEX, OXIDES, STABILISERS
from cofire.names import shown
from cofire.read.units import show_temperature
from cofire.words import small_digits

if TYPE_CHECKING:
    from cofire.answers.catalogue import Catalogue
    from cofire.answers.formula import FormulaAnswer
    from cofire.findings import Finding
    from cofire.model.interval import Interval

SEVERITY_STYLE = {
    "danger": "bold red",
    "warning": "bold yellow",
    "caution": "yellow",
    "note": "dim",
}
_LEAST = 0.0005  # moles or per cent too small to print


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
    return _Console(highlight=False, soft_wrap=False, markup=False, emoji=False)


def error_console() -> Console:
    """For messages beside the answer, such as the progress of a long task."""
    return _Console(stderr=True, highlight=False, markup=False, emoji=False)


def verdict_text(yes: bool, sentence: str) -> Text:
    """A big yes or no, and the sentence."""
    word, _, rest = sentence.partition(" ")
    style = "bold white on dark_green" if yes else "bold white on dark_red"
    return Text.assemble((f" {word.rstrip(':,').upper()} ", style), (f"  {rest}", "bold"))


def print_verdict(out: Console, yes: bool, sentence: str, findings: Iterable[Finding] = ()) -> None:
    """The same between empty lines, and below it the findings that belong to the headline."""
    for line in (Text(), verdict_text(yes, sentence), Text()):
        out.print(line)
    print_headlines(out, findings)


def print_headlines(out: Console, findings: Iterable[Finding]) -> None:
    """The findings that nobody may miss."""
    if first := [finding for finding in findings if finding.headline]:
        out.print(findings_block(first))
        out.print()


def clock(minutes: float) -> str:
    """Minutes -> h:mm."""
    minutes = round(minutes)
    return f"{minutes // 60}:{minutes % 60:02d}"


def heading(title: str, aside: str = "", *, typed: bool = False) -> Rule:
    """A line in capitals; what a person ``typed`` stays as it is."""
    text = Text(title if typed else title.upper(), style="bold")
    if aside:
        text.append(f"  {aside}", style="dim")
    return Rule(text, align="left", style="dim")


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


def plain_table(*columns: str, pad: int = 2) -> Table:
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


def section(out: Console, head: RenderableType, *parts: RenderableType) -> None:
    """Something under its heading, indented."""
    for one in (head, *(Padding(one, (0, 2)) for one in parts)):
        out.print(one)


def close(out: Console, findings: Sequence[Finding], saved: str | None = None) -> None:
    """The end of an answer: notes, and the file of the first proposal."""
    print_notes(out, findings)
    if saved:
        out.print(Text(f"  A is written to {saved}.", "dim"))
    out.print()


def side_by_side(first: str, before: str, count: int) -> Table:
    """A table of the present recipe and of ``count`` proposals, under the letters A, B, C."""
    table = Table.grid(padding=(0, 2))
    table.add_column(ratio=1, min_width=14)
    for _ in range(1 + count):
        table.add_column(justify="right", no_wrap=True)
    letters = (Text(letter, "bold") for letter in LETTERS[:count])
    table.add_row(Text(first, "dim"), Text(before, "dim"), *letters)
    return table


def show_formula(answer: FormulaAnswer, *, more: bool = False) -> None:
    """Print a recipe's formula, properties and cautions; ``more`` adds all that models say."""
    out = console()
    recipe = answer.recipe
    out.print()
    out.print(title(recipe.name, f"surface: {recipe.surface}"))
    print_headlines(out, answer.findings)
    if recipe.notes:
        out.print(Text(recipe.notes, style="italic"))
    out.print()
    out.print(_recipe_table(answer))
    out.print(heading("Unity formula", "moles, fluxes sum to 1"))
    out.print(Padding(_unity_table(answer.analysis.unity), (0, 2)))
    out.print(Padding(_ratio_line(answer), (0, 2)))
    out.print(heading("Analysis", _lost(answer.analysis.loi_percent)))
    out.print(Padding(_analysis_table(answer), (0, 2)))
    out.print(heading("Expansion", "mean linear, 20 to 300 °C, ×10⁻⁶ per K"))
    out.print(Padding(_expansion_block(answer), (0, 2)))
    out.print(heading("Melt range"))
    out.print(Padding(Text(answer.melt_range.schedule, style="dim"), (0, 2)))
    out.print(Padding(_melt_block(answer), (0, 2)))
    if more:
        out.print(heading("Glass", "middle, and where it lies with 90 % odds"))
        out.print(Padding(_properties_table(answer), (0, 2)))
        section(out, heading("Viscosity, beside published models"), _models_block(answer))
        section(out, heading("Sources of the published tables and models"), _sources_table(answer))
    close(out, answer.findings)


def _recipe_table(answer: FormulaAnswer) -> Table:
    recipe = answer.recipe
    table = Table(box=None, padding=(0, 2), show_edge=False, header_style="dim")
    table.add_column("material", min_width=34)
    table.add_column("parts", justify="right")
    table.add_column("per cent of base", justify="right")
    for part in recipe.base:
        table.add_row(
            Text(part.material.name, style="bold"),
            f"{part.amount:g}",
            f"{recipe.percent(part):.1f}",
        )
    if recipe.additions:
        table.add_row(Text("additions, over the 100", style="dim"), "", "")
    for part in recipe.additions:
        table.add_row(
            Text(part.material.name, style="bold"),
            f"{part.amount:g}",
            f"+{recipe.percent(part):.1f}",
        )
    return table


def _unity_table(unity: Array) -> Table:
    table = Table(box=None, padding=(0, 3), show_edge=False, header_style="dim")
    columns = {
        "fluxes": FLUXES,
        "stabilisers": STABILISERS,
        "glass formers": FORMERS,
        "beside them": APART,
    }
    cells: list[list[Text]] = []
    for name, oxides in columns.items():
        present = [o for o in oxides if unity[INDEX[o]] >= _LEAST]
        if not present and name == "beside them":
            continue
        table.add_column(name, min_width=12)
        cells.append(
            [
                Text.assemble((f"{unity[INDEX[o]]:5.3f} ", "bold"), (small_digits(o), "cyan"))
                for o in present
            ]
        )
    for row in range(max(map(len, cells))):
        table.add_row(*(column[row] if row < len(column) else Text() for column in cells))
    return table


def _ratio_line(answer: FormulaAnswer) -> Text:
    text = Text(style="dim")
    labels = {
        "silica_to_alumina": "SiO₂ : Al₂O₃",
        "silica_to_boron": "SiO₂ : B₂O₃",
        "alkali_share_of_flux": "alkalis in the flux",
    }
    for key, label in labels.items():
        value = answer.ratios[key]
        if math.isfinite(value):
            shown = f"{100 * value:.0f} %" if "share" in key else f"{value:.1f}"
            text.append(f"{label} {shown}     ")
    return text


def _lost(loi_percent: float) -> str:
    if round(loi_percent, 1) < 0.0:
        return f"gains {-loi_percent:.1f} % in the fire (oxygen)"
    return f"{abs(loi_percent):.1f} % lost in the fire (LOI)"


def _analysis_table(answer: FormulaAnswer) -> Table:
    analysis = answer.analysis
    shown = sorted(
        (o for o in OXIDES if analysis.oxides_wt_percent[INDEX[o]] >= 0.005),
        key=lambda o: -analysis.oxides_wt_percent[INDEX[o]],
    )
    table = plain_table("", ">raw wt %", ">fired wt %", ">fired mol %")
    for oxide in shown:
        i = INDEX[oxide]
        table.add_row(
            Text(small_digits(oxide), style="cyan"),
            f"{analysis.raw_oxides_wt_percent[i]:.2f}",
            f"{analysis.oxides_wt_percent[i]:.2f}",
            f"{100 * analysis.mol[i]:.2f}",
        )
    return table


def _expansion_block(answer: FormulaAnswer) -> Group:
    ours = answer.expansion
    first = Text()
    first.append(f"{ours.value:.2f}", style="bold green")
    first.append(f"   90 % sure from {between(ours, 2)}", style="bold")
    first.append(f"   ({answer.support})", style="dim")
    heads = (">says", ">misses by, on average", ">ours on the same glasses")
    table = plain_table("published tables, for comparison", *heads)
    for row in answer.published_expansion:
        says = "–" if row.expansion_1e6_per_k is None else f"{row.expansion_1e6_per_k:.2f}"
        table.add_row(
            Text(row.table), says, miss(row.mean_miss_1e6_per_k), miss(row.our_miss_1e6_per_k)
        )
    return Group(first, *_as_fired_line(answer), table)


def _as_fired_line(answer: FormulaAnswer) -> list[Text]:
    fired = answer.as_fired
    if fired is None:
        return []
    solids = ", ".join(f"{v:.1f} % {k}" for k, v in fired.solids_volume_percent.items())
    text = Text(f"{fired.expansion.value:.2f}", style="bold")
    text.append(f"   as fired, from {between(fired.expansion, 2)}, with solids in it: ", "default")
    text.append(f"{solids} of its volume", "dim")
    return [text]


def miss(value: float) -> str:
    """A mean miss, or a dash where too little was measured to know."""
    return f"{value:.2f}" if math.isfinite(value) else "–"


_PROPERTY_ROWS = (
    ("littleton_c", "softens (Littleton, 10^6.6 Pa·s)", 0),
    ("dilatometric_softening_c", "yields in the dilatometer", 0),
    ("annealing_c", "annealing point (10^12 Pa·s)", 0),
    ("strain_c", "strain point (10^13.5 Pa·s)", 0),
    ("liquidus_c", "liquidus: no crystal lasts above", 0),
    ("expansion_20_400_1e6_per_k", "expansion 20 to 400 °C, ×10⁻⁶ per K", 2),
    ("density_g_per_cm3", "density, g/cm³", 2),
    ("surface_tension_mn_per_m", "surface tension at 900 °C, mN/m", 0),
)


def _properties_table(answer: FormulaAnswer) -> Table:
    table = Table.grid(padding=(0, 3))
    rows = [(answer.properties[key], words, digits) for key, words, digits in _PROPERTY_ROWS]
    rows.insert(5, (answer.youngs_modulus_gpa, "stiffness (Young's modulus), GPa", 0))
    for value, words, digits in rows:
        celsius = value.unit == "°C"
        shown = show_temperature(value.value) if celsius else f"{value.value:.{digits}f}"
        table.add_row(
            Text(words),
            Text(shown, style="bold"),
            Text(between(value, digits) + (" °C" if celsius else ""), "dim"),
        )
    return table


def _models_block(answer: FormulaAnswer) -> Table:
    levels = (f">{isokom.log10_eta_pa_s:g}" for isokom in answer.isokoms)
    table = plain_table("|where log10 of Pa·s is", *levels, ">misses", ">ours there", pad=1)
    temperatures = [isokom.temperature_c for isokom in answer.isokoms]
    ours = [f"{t.value:.0f} °C" for t in temperatures]
    table.add_row(Text("cofire", style="bold"), *(Text(t, style="bold") for t in ours), "", "")
    doubt = [f"± {(t.high - t.low) / 2:.0f}" for t in temperatures]
    table.add_row(Text("  90 % of the time", "dim"), *(Text(t, "dim") for t in doubt), "", "")
    for model in answer.published_viscosity:
        cells = ["–" if t is None else f"{t:.0f} °C" for t in model.isokoms_c]
        table.add_row(
            Text(model.model), *cells, miss(model.mean_miss_log10), miss(model.our_miss_log10)
        )
    return table


def _sources_table(answer: FormulaAnswer) -> Table:
    table = Table.grid(padding=(0, 2))
    table.add_column()
    table.add_column(ratio=1)
    for row in answer.published_expansion:
        table.add_row(
            Text(row.table), Text(f"{row.citation}. Range: {row.range}; {row.status}.", "dim")
        )
    for model in answer.published_viscosity:
        text = f"{model.citation}. For {model.made_for}; {model.status}."
        table.add_row(Text(model.model), Text(text, "dim"))
    return table


def _melt_block(answer: FormulaAnswer) -> Table:
    table = Table.grid(padding=(0, 3))
    melt = answer.melt_range
    ripe = {"matte": "seals and is ripe", "dry matte": "holds together"}
    for word, celsius in (
        ("seals", melt.seals_c),
        (ripe.get(answer.recipe.surface, "matures"), melt.matures_c),
        ("runs", melt.runs_c),
    ):
        shown = show_temperature(celsius) if math.isfinite(celsius) else "no peak that was tried"
        table.add_row(
            Text(word), Text(shown, style="bold"), Text(f"± {melt.half_width_c:.0f} °C", "dim")
        )
    tg = answer.glass_transition_c
    table.add_row(
        Text("glass sets near"),
        Text(show_temperature(tg.value), style="bold"),
        Text(f"± {(tg.high - tg.low) / 2:.0f} °C", "dim"),
    )
    return table


def show_shelf(shelf: Catalogue) -> None:
    """What can be named, one line each."""
    table = plain_table("|id", "name", "")
    for item in shelf.items:
        name = Text(item.name)
        if item.own:
            name.append("  (yours)", style="green")
        table.add_row(Text(item.id, style="bold"), name, Text(item.about, style="dim"))
    console().print(table)
