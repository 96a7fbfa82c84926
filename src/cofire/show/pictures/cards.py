"""Firing cards to print: the schedule, and a slip per load with blanks for what was done."""

from __future__ import annotations

import html

from cofire.answers.firing import FiringAnswer, KeyedIn
from cofire.model.cooling import smoke_words
from cofire.read.units import fahrenheit, show_temperature
from cofire.show.verdict import clock

_STYLE = """
@page{size:A4;margin:14mm}
body{font:11pt/1.35 system-ui,sans-serif;color:#1d1a17;margin:0}
h1{font-size:17pt;margin:0 0 2mm}h2{font-size:12pt;margin:4mm 0 1mm}
table{border-collapse:collapse;width:100%;font-variant-numeric:tabular-nums}
td,th{border-bottom:.3mm solid #c9bda9;padding:1.2mm 2mm;text-align:left}
.slips{display:grid;grid-template-columns:1fr 1fr;gap:5mm;margin-top:5mm}
.slip{border:.4mm solid #1d1a17;border-radius:2mm;padding:3mm;break-inside:avoid}
.slip b{font-size:13pt}.blank{display:inline-block;min-width:26mm;border-bottom:.3mm solid #1d1a17}
.row{margin-top:2.2mm}.mind{font-size:9pt}
"""


def firing_cards(answer: FiringAnswer) -> str:
    """A page that prints on A4: the schedule, then a slip for every load."""
    rows = "".join(
        "<tr>" + "".join(f"<td>{cell}</td>" for cell in keyed_in_words(row)) + "</tr>"
        for row in answer.segments
    )
    mind = "".join(
        f"<li>{html.escape(f.message)}</li>"
        for f in answer.findings
        if f.severity in ("danger", "warning")
    )
    return f"""<!doctype html><html lang="en"><head><meta charset="utf-8">
<title>{html.escape(answer.firing.name)}: firing cards</title><style>{_STYLE}</style></head><body>
<h1>{html.escape(answer.firing.name)}</h1>
<p>{html.escape(answer.firing.kiln.name)}; {clock(answer.total_min)} (h:mm) in all. Fired on
<span class="blank"></span> by <span class="blank"></span></p>
<table><tr><th>segment</th><th colspan="2">rate</th><th colspan="2">to</th><th>hold</th>
<th>ramp takes</th></tr>{rows}</table>
<div class="mind"><h2>Mind</h2><ul>{mind}</ul></div>
<div class="slips">{"".join(_slip(answer, k) for k in range(len(answer.loads)))}</div>
</body></html>
"""


def keyed_in_words(row: KeyedIn) -> tuple[str, ...]:
    """One segment for a controller: number, rate and target on both scales, hold, ramp."""
    rate = row.rate_c_per_h
    return (
        str(row.number),
        "full" if rate is None else f"{rate:.0f} °C/h",
        "full" if rate is None else f"{1.8 * rate:.0f} °F/h",
        f"{row.target_c:.0f} °C",
        f"{fahrenheit(row.target_c):.0f} °F",
        clock(row.hold_min),
        clock(row.ramp_takes_min),
    )


def _glazes(answer: FiringAnswer) -> str:
    names = ", ".join(html.escape(track.recipe.name) for track in answer.glazes)
    return names or '<span class="blank" style="min-width:56mm"></span>'


def _slip(answer: FiringAnswer, k: int) -> str:
    load, after = answer.loads[k], answer.after_the_pull
    times = ""
    if after:
        soft = [g.stiff_after_s.high for g in after.glazes]
        wait = f"{max(soft):.0f} s" if soft else f"{after.dull_red_after_s:.0f} s"
        times = (
            f'<div class="row">stiff after {wait} in air; took '
            f'<span class="blank"></span></div>'
            f'<div class="row">planned {smoke_words(after.smoke)}; bin was '
            f'<span class="blank"></span></div>'
            '<div class="row">quenched in water? <span class="blank"></span> &nbsp; cracks? '
            '<span class="blank"></span></div>'
        )
    return (
        f'<div class="slip"><b>{html.escape(load.name)}</b> &nbsp; planned at {clock(load.at_min)},'
        f" {show_temperature(load.ware_c)}"
        f'<div class="row">pulled at <span class="blank"></span> pot <span class="blank"></span>'
        f'</div><div class="row">glazes {_glazes(answer)}</div>'
        f'{times}<div class="row">came out <span class="blank" style="min-width:56mm"></span></div>'
        "</div>"
    )
