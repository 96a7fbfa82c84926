"""Materials, and what is in stock, on a terminal."""

from __future__ import annotations

from cofire.answers.materials import MaterialsAnswer, Named
from cofire.answers.stock import StockAnswer
from cofire.material_kinds import grain_size
from cofire.read.units import show_temperature, show_weight
from cofire.records import Caution, Material
from cofire.show.terminal import Text, console, heading, plain_table, title
from cofire.words import small_digits


def _oxides(material: Material, least: float = 1.0) -> str:
    items = sorted(material.oxides_wt_percent.items(), key=lambda kv: -kv[1])
    return "  ".join(f"{small_digits(o)} {v:.3g}" for o, v in items if v >= least)


def show_materials(answer: MaterialsAnswer, words: tuple[str, ...]) -> None:
    """One line each: id, first name, main oxides in wt % of the raw material."""
    materials = answer.materials
    if not materials:
        console().print(Text(f"No material matches “{' '.join(words)}”."), soft_wrap=True)
        return
    table = plain_table("|id", "name", "wt % of the raw material", ">LOI")
    for material in materials:
        name = Text(material.name)
        if material.own:
            name.append("  (yours)", style="green")
        table.add_row(
            Text(material.id, style="bold"), name, _oxides(material), f"{material.loi_percent:.1f}"
        )
    out = console()
    out.print(table)
    out.print(Text(f"{len(materials)} materials", style="dim"))


def _melting(material: Material) -> str:
    known = {
        "alike": f", taken from “{material.melts_like}”, whose analysis is like it",
        "glass": ", by its analysis",
    }.get(material.melting, "")
    if material.melting == "unknown":
        return "how it melts is not known: it counts as grains that never melt"
    if material.melts == "glass":
        return f"is a glass{known}"
    if material.melts is None:
        return f"does not melt by itself in low fire{known}"
    return f"melts at {show_temperature(material.melts_c)}{known}"


def show_material(named: Named, cautions: dict[str, Caution]) -> None:
    """Everything known about one material."""
    out, material, others = console(), named.material, named.others_of_that_name
    out.print()
    out.print(title(material.name, material.id + ("  (yours)" if material.own else "")))
    also = list(material.names[1:])
    if also:
        out.print(Text("also called " + ", ".join(also), style="dim"))
    if material.formula:
        out.print(Text(f"formula {small_digits(material.formula)}"))
    out.print(heading("Analysis", "wt % of the raw material"))
    table = plain_table("", ">wt %", ">spread (1 sd)")
    for oxide, value in sorted(material.oxides_wt_percent.items(), key=lambda kv: -kv[1]):
        spread = material.spread_wt_percent.get(oxide)
        table.add_row(
            Text(small_digits(oxide), style="cyan"),
            f"{value:.2f}",
            f"± {spread:g}" if spread else "",
        )
    table.add_row("LOI", f"{material.loi_percent:.2f}", "")
    out.print(table)
    facts = [f"source: {material.source}"]
    if material.supplier:
        facts.append(f"supplier: {material.supplier}, {material.date}")
    facts.append(
        {"no": "does not dissolve in water", "slightly": "dissolves slightly in water"}.get(
            material.dissolves, "dissolves in water"
        )
    )
    facts.append(_melting(material))
    if material.melts != "glass":
        size = grain_size(material)
        facts.append(f"grains near {size.d50_um:.2g} µm (d50), {size.source}")
    if material.note:
        facts.append(material.note)
    for fact in facts:
        out.print(Text(fact))
    if others:
        out.print(heading("Same name, other analysis"))
        for other in others:
            out.print(Text.assemble((other.id, "bold"), f"   {_oxides(other)}"))
    if material.cautions:
        out.print(heading("Notes"))
        for code in material.cautions:
            out.print(Text.assemble((cautions[code].severity + "  ", "bold"), cautions[code].text))
    out.print()


def show_stock(answer: StockAnswer) -> None:
    """One line to each material."""
    out = console()
    if not answer.stock:
        out.print("stock.toml says nothing yet. Write into it, or:  cofire stock import TABLE")
        return
    table = plain_table("|material", "", ">have", ">price of 1 kg")
    for one in answer.stock:
        have = "" if one.have_g is None else show_weight(one.have_g)
        price = "" if one.price_per_kg is None else f"{one.price_per_kg:.2f} {answer.currency}"
        table.add_row(Text(one.id, "bold"), Text(one.name), have, Text(price.strip()))
    out.print(table)
    out.print(Text(f"{len(answer.stock)} materials", style="dim"))
