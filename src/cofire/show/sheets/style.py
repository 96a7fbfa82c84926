"""How the HTML sheets look: ink on paper, large enough for wet hands, and no colour needed.

Sizes hang on ``--k``, the scale of a page, so that a long recipe shrinks as a whole.
"""

from __future__ import annotations

from typing import Literal

from cofire.show.drawing import INK, PAPER

_PAGE = {"A4": ("A4", "210mm"), "Letter": ("letter", "216mm")}

_STYLE = """
*{box-sizing:border-box}
body{margin:0;color:INK;background:#e4dccf;font-family:Verdana,"DejaVu Sans",system-ui,sans-serif;
font-variant-numeric:tabular-nums;-webkit-print-color-adjust:exact;print-color-adjust:exact}
.page{font-size:calc(10pt*var(--k));line-height:1.25;background:PAPER;max-width:WIDE;
margin:6mm auto;padding:12mm 13mm;break-after:page;overflow-wrap:anywhere}
.page:last-child{break-after:auto}
h1,h2,h3,h4,p,ul,ol{margin:0;padding:0}
header{display:flex;justify-content:space-between;gap:4mm}
h1{font-size:2.6em;line-height:1.08}.long h1{font-size:2.1em}.longest h1{font-size:1.6em}
.name p{font-size:1.05em;margin-top:1mm}
.code{text-align:center;flex:none}.code b{display:block;font-size:1.3em;letter-spacing:.06em}
.code svg{margin:0 auto}.code small{display:block;max-width:29mm;font-size:7pt;line-height:1.1}
svg{display:block}header+svg{margin:1mm 0 2mm}
h2{font-size:.95em;text-transform:uppercase;letter-spacing:.04em;margin:.7em 0 .2em;
break-after:avoid}
.blanks{display:flex;gap:3mm;margin:.3em 0 .6em}.blanks span{display:flex;flex:1;gap:1mm}
.blank{flex:1;border-bottom:.3mm solid INK}
.band{background:#000;color:#fff;font-weight:bold;padding:.3em .5em;margin:.3em 0}
.remark{font-style:italic;margin:.2em 0}.doubt{color:#5f574e;font-size:max(7pt,.8em)}
.doubt,.dim,footer{break-before:avoid;break-inside:avoid}
.dim{color:#5f574e;font-size:.85em;margin-top:.4em}
table{border-collapse:collapse;width:100%;margin-bottom:.6em}
th{font-weight:normal;font-size:.85em;color:#5f574e;text-align:left;
border-bottom:.4mm solid INK;padding:.2em .3em}
td{border-bottom:.2mm solid #a79d90;padding:.28em .3em;vertical-align:middle}
tbody tr:last-child td{border-bottom:.4mm solid INK}
tr,.weigh,.water,.acts,li{break-inside:avoid}thead{display:table-header-group}
.t{width:1%;padding-left:0}.w,.r,.b{text-align:right;white-space:nowrap}
th.l{width:15%}td.l,.b{border-left:.2mm solid #a79d90}
.weigh .m{font-weight:bold;font-size:1.25em}.weigh .w{font-weight:bold;font-size:1.8em}
.weigh .r{font-size:1.3em}
.weigh th.m,.weigh th.w,.weigh th.r{font-size:.85em;font-weight:normal!important}
.weigh td{padding-top:.22em;padding-bottom:.22em}
.weigh tr:last-child .r{font-weight:bold}
.weigh .b{width:23%}.weigh .b svg{float:left}.b b{font-size:1.5em;display:block}
.b small{font-size:1em}
.additions{break-after:avoid}
.additions td{border-top:.6mm solid INK;font-style:italic;font-size:.85em}
.badge{background:#000;color:#fff;font-size:.62em;padding:.1em .4em;vertical-align:middle}
.water b{font-size:1.2em}.water small{display:block;color:#5f574e;font-size:.75em}
.water th:last-child{width:18%}
.acts{display:grid;grid-template-columns:5fr 3fr;gap:5mm}
.acts ol{padding-left:1.5em}.keep{font-size:.88em}.acts .keep ul{padding-left:1em}
.mind{break-inside:avoid-page}.mind ul{list-style:none}
.mind li{font-size:max(7pt,.8em);line-height:1.22;padding-left:1em;text-indent:-1em}
.signs{display:flex;align-items:center;gap:1.5mm;margin:.2em 0 .4em}.signs svg{flex:none}
.plate{display:inline-block;background:#000;color:#fff;padding:.15em .5em;margin:.1em .4em .1em 0;
font-size:.9em;text-transform:uppercase}.plate.big{font-size:1.25em;display:table}
.who{columns:2;column-gap:8mm}.who p{display:flex;gap:2mm;border-bottom:.2mm solid #a79d90;
padding:.2em 0;break-inside:avoid}.who b{flex:0 0 32%}
.plain td{padding:.15em .3em}.plain .m,.plain td.c,.plain .w{font-weight:bold}
.plain .c,.plain .n{white-space:nowrap}.plain th{text-align:inherit}
.plain th.m,.plain th{font-weight:normal;text-align:left}.plain th.r{text-align:right}
.buy td.r,.buy td.w{border-left:.2mm solid #a79d90;min-width:14mm}
.total{text-align:right;font-weight:bold;font-size:1.1em}
.key td{font-size:1.15em}.key td:nth-child(2),.key td:nth-child(4),.key td:nth-child(6){
font-weight:bold}
.log td{height:7.4mm;height:calc(7.4mm*var(--k));padding:0 .3em;
border-left:.2mm solid #a79d90}.log td.t{border-left:0}.log td:empty{width:14%}
.log .m{font-weight:bold;white-space:nowrap}.log td:nth-child(4){white-space:nowrap}
footer{display:flex;justify-content:space-between;gap:5mm;color:#5f574e;font-size:7.5pt;
margin-top:1em}footer span{white-space:nowrap}footer span:first-child{overflow:hidden;
text-overflow:ellipsis}
.labels{padding-top:1mm!important;display:grid;align-content:start;justify-content:start}
.buckets{grid-template-columns:repeat(2,91mm);grid-auto-rows:61mm}
.tiles{grid-template-columns:repeat(4,45mm);grid-auto-rows:24mm}
.label{border:.2mm dashed #6d645a;padding:2mm 2.5mm;overflow:hidden;font-size:8pt;line-height:1.2;
position:relative}
.label h3{font-size:17pt;line-height:1.1}.label.long h3{font-size:12.5pt}
.label h4{font-size:20pt;line-height:1.15;letter-spacing:.04em}.tiles h4{font-size:12pt}
.tiles .label{font-size:6.8pt;line-height:1.15}.short{font-size:6.8pt}
.label .signs{margin:1mm 0}.label .blanks{position:absolute;left:2.5mm;right:2.5mm;bottom:0}
.coats{display:flex;align-items:center;gap:1mm;margin-top:.5mm}
@page{size:SIZE;margin:12mm 13mm}
@media print{body{background:none}.page{max-width:none;margin:0;padding:0;background:none}}
@media(max-width:700px){.page{padding:4mm}.acts,.who{display:block;columns:1}}
"""


def sheet_style(paper: Literal["A4", "Letter"]) -> str:
    """CSS for the screen and for paper of a size."""
    size, wide = _PAGE[paper]
    said = {"INK": INK, "PAPER": PAPER, "SIZE": size, "WIDE": wide}
    style = _STYLE.strip()
    for word, value in said.items():
        style = style.replace(word, value)
    return style
