"""The model card on a terminal; the whole one is a page."""

from __future__ import annotations

from typing import Any

from rich.padding import Padding
from rich.table import Table

from cofire import glass
from cofire.answers.card import CardAnswer
from cofire.show.terminal import Text, console, heading, plain_table
from cofire.words import percent

#: Fewer low-fire glasses than this say nothing of a table there.
ENOUGH = 20

_NAMES = {
    "expansion": "expansion 20 to 300 °C, 1e-6/K",
    "expansion_20_400": "expansion 20 to 400 °C, 1e-6/K",
    "glass_transition": "glass transition, K",
    "strain": "strain point, K",
    "annealing": "annealing point, K",
    "littleton": "Littleton softening point, K",
    "dilatometric": "dilatometric softening, K",
    "youngs": "Young's modulus, GPa",
    "density": "density, g/cm³",
    "liquidus": "liquidus, K",
    "log10_eta": "viscosity, decades",
    "log10_eta_2_5": "viscosity where glazes ripen",
}


def show_card(card: CardAnswer) -> None:
    """Print how far models and published tables miss on unseen glasses."""
    out, scores = console(), card.scores
    out.print()
    out.print(
        Text(
            "How far the models miss, on average, on glasses from publications they never saw; "
            "“low-fire” are lead-free boron glasses such as low-fire glazes.",
            style="italic",
        )
    )
    out.print()
    heads = (">all glasses", ">low-fire", ">90 % of all", ">low-fire")
    table = plain_table("|mean miss, and how often 90 % hold", *heads)
    for key, score in scores["properties"].items():
        table.add_row(
            Text(_NAMES[key]),
            Text(f"{score['miss']:.3g}", "bold"),
            Text(f"{score['core_miss']:.3g}" if "core_miss" in score else "–", "bold"),
            percent(score["covered_90"]),
            percent(score["core_covered_90"]) if "core_covered_90" in score else "–",
        )
    out.print(Padding(table, (0, 2)))
    names = {t.id: t.name for t in glass.published.tables()}
    out.print(heading("Published expansion tables", "1e-6/K"))
    out.print(Padding(_beside(scores["expansion_tables"], names), (0, 2)))
    models = {m.id: m.name for m in glass.published.models()}
    out.print(heading("Published viscosity models", "decades, within their limits"))
    out.print(Padding(_beside(scores["viscosity_models"], models), (0, 2)))
    out.print(heading("Published glazes, from fits that left them out", "expansion, 1e-6/K"))
    out.print(Padding(_printed_glazes(scores["unseen_glazes"], names), (0, 2)))
    out.print()
    out.print(Text("All of it, with plots:  cofire card --save card.html", style="dim"))


def _beside(scores: dict[str, Any], names: dict[str, str]) -> Table:
    table = Table(box=None, padding=(0, 1), show_edge=False, header_style="dim")
    table.add_column("mean miss", min_width=32)
    for name in ("all it covers", "ours", "low-fire", "ours"):
        table.add_column(name, justify="right")
    for key, name in names.items():
        enough = scores[key].get("core_rows", 0) >= ENOUGH
        core = ("core_miss", "core_ours") if enough else ("", "")
        cells = [scores[key].get(k) for k in ("miss", "ours", *core)]
        table.add_row(Text(name), *("–" if c is None else f"{c:.2f}" for c in cells))
    return table


def _printed_glazes(found: dict[str, Any], names: dict[str, str]) -> Table:
    """Ours and the best of the published tables on each set of printed expansions."""
    head = ("|and whether the range is", ">glazes", ">ours", ">90 % hold", "best table", ">misses")
    table = plain_table(*head)
    for publication, kinds in found.items():
        for kind, words in (("expansion", "stated"), ("expansion_range_unknown", "not stated")):
            if kind in kinds:
                one = kinds[kind]
                full = {t: s for t, s in one["tables"].items() if s["rows"] >= 0.8 * one["rows"]}
                best = min(full, key=lambda t: float(full[t]["miss"]), default="")
                table.add_row(
                    Text(f"{publication.replace('|', ' ')}, {words}"),
                    Text(str(one["rows"])),
                    Text(f"{one['miss']:.2f}", "bold"),
                    percent(one["covered_90"]),
                    Text(names.get(best, "–")),
                    Text(f"{full[best]['miss']:.2f}" if best else "–"),
                )
    return table
