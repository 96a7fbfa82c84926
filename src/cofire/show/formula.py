"""A recipe's formula and properties on a terminal."""

from __future__ import annotations

import math

from rich.console import Group
from rich.padding import Padding
from rich.table import Table

from cofire.answers.formula import FormulaAnswer
from cofire.answers.results.headline import Headline
from cofire.arrays import Array
from cofire.chem.oxides import APART, FLUXES, FORMERS, INDEX, OXIDES, STABILISERS
from cofire.read.units import show_temperature
from cofire.show.screen import Screen
from cofire.show.terminal import Text, between, heading, miss, plain_table, section
from cofire.words import small_digits

_LEAST = 0.0005  # moles or per cent too small to print


def show_formula(answer: FormulaAnswer, screen: Screen) -> None:
    """Print a recipe's formula, properties and cautions."""
    out = screen.begin(_headline(answer), answer.findings)
    if out is None:
        return
    recipe = answer.recipe
    if recipe.notes:
        out.print(Padding(Text(recipe.notes, style="italic"), (0, 1)))
    out.print(_recipe_table(answer))
    out.print(heading("Unity formula", "moles, fluxes sum to 1"))
    out.print(Padding(_unity_table(answer.analysis.unity), (0, 2)))
    out.print(Padding(_ratio_line(answer), (0, 2)))
    if screen.more:
        out.print(heading("Analysis", _lost(answer.analysis.loi_percent)))
        out.print(Padding(_analysis_table(answer), (0, 2)))
        out.print(heading("Expansion", "mean linear, 20 to 300 °C, ×10⁻⁶ per K"))
        out.print(Padding(_expansion_block(answer), (0, 2)))
    else:
        lost = _lost(answer.analysis.loi_percent)
        out.print(Padding(Text(lost, style="dim"), (0, 2)))
    out.print(heading("Melt range"))
    out.print(Padding(Text(answer.melt_range.schedule, style="dim"), (0, 2)))
    out.print(Padding(_melt_block(answer), (0, 2)))
    if screen.more:
        out.print(heading("Glass", "middle, and where it lies with 90 % odds"))
        out.print(Padding(_properties_table(answer), (0, 2)))
        section(out, heading("Viscosity, beside published models"), _models_block(answer))
        section(out, heading("Sources of the published tables and models"), _sources_table(answer))
    screen.end(out, answer.findings)


def _headline(answer: FormulaAnswer) -> Headline:
    """Its expansion and when it matures."""
    ours, melt = answer.expansion, answer.melt_range
    matures = "does not mature at any peak that was tried"
    if math.isfinite(melt.matures_c):
        peak = show_temperature(melt.matures_c)
        matures = f"matures near a peak of {peak}, ± {melt.half_width_c:.0f} °C"
    return Headline(
        None,
        f"{answer.recipe.name}, {answer.recipe.surface}: expands by {ours.value:.2f}e-6/K "
        f"({between(ours, 2)}), {matures}.",
        f"{ours.value:.2f}e-6/K, {matures}",
        decides=f"the glass is {answer.support}",
        helps=f"cofire fit {answer.recipe.id} --body BODY says whether it crazes on your clay",
    )


def _recipe_table(answer: FormulaAnswer) -> Table:
    recipe = answer.recipe
    table = plain_table("~material", ">parts", ">% of base")
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
    table = Table(box=None, padding=(0, 1), show_edge=False, header_style="dim")
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
        table.add_column(name, no_wrap=True)
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
            text.append(f"{label} {shown}   ")
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
    table = plain_table("|where log10 of Pa·s is", *levels, ">misses", ">ours there")
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
