"""Style of the HTML sheets: large, and without colour."""

from __future__ import annotations

from cofire.show.drawing import INK, PAPER
from cofire.show.sheets.pages import PAPERS, Paper

_STYLE = """
*{box-sizing:border-box}
body{margin:0;color:INK;background:#e4dccf;
font-family:"Open Sans",Verdana,"DejaVu Sans",sans-serif;
font-variant-numeric:tabular-nums;-webkit-print-color-adjust:exact;print-color-adjust:exact}
.page{font-size:POINTS;line-height:1.25;background:PAPER;max-width:WIDE;
margin:6mm auto;padding:12mm 13mm;break-after:page;overflow-wrap:break-word}
.page:last-child,.cover{break-after:auto}.cover+.page{break-inside:avoid}
h1,h2,p{margin:0 0 .15em}
header{display:flex;justify-content:space-between;gap:4mm}
h1{line-height:1.08}
.code{text-align:center;flex:none}
.code b{display:block;white-space:nowrap;font-size:1.3em;letter-spacing:.06em}
.code svg{margin:0 auto}.code small{display:block;max-width:29mm;font-size:8pt;line-height:1.1}
svg{display:block}header+svg{margin:1mm 0 2mm}
h2{font-size:1.08em;margin-top:.7em;break-after:avoid}
.blanks{display:flex;gap:3mm;margin:.3em 0 .6em}.blanks span{display:flex;gap:1mm}
.blanks i{flex:1;border-bottom:.3mm solid INK}
.bold{font-weight:bold}.italic{font-style:italic}.right{text-align:right}
.grey,small,footer,th{color:#5f574e}.grey,footer{break-before:avoid;break-inside:avoid}
.band,.plate,.badge{background:#000;color:#fff;font-weight:bold}
.band{padding:.3em .5em;margin:.3em 0}.badge{font-size:max(8pt,.62em);padding:.1em .4em}
.plate{display:inline-block;padding:.15em .5em;margin:.1em .4em .1em 0;font-size:.9em}
.large .plate:first-child{font-size:1.25em;display:table}
table{border-collapse:collapse;width:100%;margin-bottom:.6em}
th{font-weight:normal;font-size:max(8pt,.85em);text-align:left;
border-bottom:.4mm solid INK;padding:.2em}
th.right{text-align:right}th{overflow-wrap:normal}td.right{white-space:nowrap}
td{border-bottom:.2mm solid #a79d90;padding:.18em .25em;height:var(--least)}
tbody tr:last-child td{border-bottom:.4mm solid INK}
thead{display:table-header-group}tr,.sides,.care,p{break-inside:avoid}
.whole{white-space:nowrap;width:1%;padding-right:.9em}td svg{float:left;margin-right:.3em}
td small{display:block;font-size:max(8pt,.7em)}
.last td:last-child,.all td+td{border-left:.2mm solid #a79d90}
.part{break-after:avoid}.part td{border-top:.6mm solid INK;font-style:italic}
.sides{display:grid;grid-template-columns:5fr 3fr;gap:5mm}
.signs{display:flex;align-items:center;gap:1.5mm;margin:.2em 0 .4em;break-after:avoid}
.signs svg{flex:none}
.care{break-before:avoid;font-size:max(8pt,.8em);line-height:1.22;padding-left:1em;text-indent:-1em}
footer{display:flex;justify-content:space-between;gap:5mm;font-size:8pt;margin-top:1em}
footer span{white-space:nowrap}footer span:first-child{overflow:hidden;text-overflow:ellipsis}
.labels{font-size:10pt;padding-top:1mm!important;display:grid;align-content:start;
justify-content:start}
.label{break-inside:avoid;border:.2mm dashed #6d645a;padding:1.7mm 2.5mm;overflow:hidden;
line-height:1.2}
.projector{max-width:none}.projector p{margin-bottom:.5em}
.label p{margin:0}.slip p+p{margin-top:2.6mm}.label .signs{margin:1mm 0}
.ticks{display:flex;align-items:center;gap:1mm;font-size:max(8pt,.7em)}
@page{size:SIZE;margin:12mm 13mm}
@media print{body{background:none}.page{max-width:none;margin:0;padding:0;background:none}}
@media screen and (max-width:700px){.page{padding:4mm}
.labels{grid-template-columns:100%!important;grid-auto-rows:auto!important}.sides{display:block}
.page:not(.labels) table{display:block;overflow-x:auto}td{min-width:3.5em}}
"""


def sheet_style(paper: Paper, large: bool) -> str:
    """CSS for the screen and for paper of a size."""
    values = {"INK": INK, "PAPER": PAPER, "SIZE": "A4" if paper == "A4" else "letter",
            "WIDE": f"{PAPERS[paper][0]:g}mm", "POINTS": "12pt" if large else "9.4pt"}  # fmt: skip
    style = _STYLE.strip()
    for word, value in values.items():
        style = style.replace(word, value)
    return style
