"""A page for phones: tick what is weighed and see what the bucket holds. One file without a
network; what is ticked stands in its address, so that a phone can be put away and handed on."""

from __future__ import annotations

import base64
import hashlib
import html
from itertools import groupby

from cofire.answers.batch.records import Bucket, Pack, Sheet
from cofire.answers.batch.scale import pounds_and_ounces, shown_words
from cofire.show.sheets import words

_STYLE = """
*{box-sizing:border-box}
body{margin:0 auto;max-width:34em;padding:4mm;font:17px/1.35 system-ui,sans-serif;color:#000;
background:#fff;font-variant-numeric:tabular-nums}
h1{font-size:1.5em;line-height:1.15;margin:.2em 0}h2{font-size:1.1em;margin:1.2em 0 .3em}
b.plate{background:#000;color:#fff;padding:.1em .4em;margin-right:.3em;display:inline-block}
input[type=text]{font:inherit;font-size:1.4em;width:8em;padding:.2em;text-transform:uppercase}
label{display:flex;align-items:center;gap:.7em;padding:.55em .2em;border-bottom:1px solid #999}
label input{width:1.9em;height:1.9em;flex:none}label span{flex:1}
label b{font-size:1.3em;white-space:nowrap}label:has(:checked){background:#ddd}
.holds{position:sticky;bottom:0;background:#fff;border-top:3px solid #000;padding:.4em .2em;
font-size:1.25em;font-weight:bold;display:flex;justify-content:space-between}
.part{font-style:italic;margin:.6em 0 0}a{display:block;padding:.45em 0;color:#000}
"""

#: Sums are of whole steps of the scale, so that they are exact.
_SCRIPT = """
"use strict";
const sections = [...document.querySelectorAll("section")];
const buckets = [...document.querySelectorAll("div[id]")];
const find = document.querySelector("input[type=text]");

function words(steps, bucket) {
  const places = +bucket.dataset.places, whole = 10 ** places;
  const said = n => (n / whole).toFixed(places);
  if (bucket.dataset.unit) return said(steps) + " " + bucket.dataset.unit;
  const pounds = Math.floor(steps / (16 * whole));
  return pounds + " lb " + said(steps - 16 * whole * pounds) + " oz";
}

function show() {
  for (const bucket of buckets) {
    const ticked = [...bucket.querySelectorAll("input")].filter(box => box.checked);
    const steps = ticked.reduce((sum, box) => sum + +box.dataset.steps, 0);
    bucket.querySelector("output").textContent = words(steps, bucket);
  }
}

function keep() {
  const ticks = buckets.map(bucket => bucket.id + "=" +
    [...bucket.querySelectorAll("input")].map(box => +box.checked).join(""));
  const some = ticks.filter(one => one.includes("1", one.indexOf("=")));
  const kept = [find.value.toUpperCase(), ...some];
  history.replaceState(null, "", "#" + kept.join("&"));
}

function recall() {
  let address = location.hash.slice(1);
  try { address = decodeURIComponent(address); } catch { address = ""; }
  const [code, ...ticks] = address.split("&");
  const kept = new Map(ticks.map(one => one.split("=")));
  for (const bucket of buckets)
    [...bucket.querySelectorAll("input")].forEach((box, k) => {
      box.checked = (kept.get(bucket.id) || "")[k] === "1";
    });
  find.value = code;
  choose();
  show();
}

function choose() {
  const code = find.value.trim().toUpperCase();
  const known = sections.some(section => section.dataset.code === code);
  for (const section of sections) section.hidden = section.dataset.code !== code;
  document.querySelector("nav").hidden = known;
}

find.addEventListener("input", () => { choose(); keep(); });
document.addEventListener("change", event => {
  if (event.target.type === "checkbox") { show(); keep(); }
});
document.addEventListener("click", event => {
  const link = event.target.closest("a");
  if (!link) return;
  event.preventDefault();
  find.value = link.dataset.code;
  choose();
  keep();
});
window.addEventListener("hashchange", recall);
recall();
"""


def phone_page(pack: Pack) -> str:
    """Every glaze by its printed code, every bucket with boxes to tick."""
    digest = base64.b64encode(hashlib.sha256(_SCRIPT.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'unsafe-inline'; script-src 'sha256-{digest}'"
    # the same recipe twice has one code, and the same weights
    sheets = {sheet.code: sheet for sheet in pack.sheets}.values()
    links = "".join(
        f'<a href="#{sheet.code}" data-code="{sheet.code}"><b>{sheet.code}</b> '
        f"{_e(sheet.recipe.name)}</a>"
        for sheet in sheets
    )
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8"/>'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}"/>'
        '<meta name="viewport" content="width=device-width"/>'
        f"<title>{_e(pack.title)}: weighing</title><style>{_STYLE}</style></head><body>"
        f'<p>{_e(pack.title)}</p><p><label>code on the sheet <input type="text" '
        f'autocomplete="off" maxlength="6"/></label></p><nav>{links}</nav>'
        f"{''.join(map(_section, sheets))}<p>{_e(words.SDS)}</p>"
        f"<script>{_SCRIPT}</script></body></html>\n"
    )


def _section(sheet: Sheet) -> str:
    codes = [caution for caution, _ in sheet.cautions]
    plates = "".join(f'<b class="plate">{_e(word)}</b>' for word in words.signs(codes))
    buckets = "".join(_bucket(sheet, bucket) for bucket in sheet.buckets)
    return (
        f'<section data-code="{sheet.code}"><h1>{_e(sheet.recipe.name)}</h1>'
        f"<p>{sheet.code} · {_e(words.about(sheet))}</p><p>{plates}</p>{buckets}</section>"
    )


def _bucket(sheet: Sheet, bucket: Bucket) -> str:
    of = f"bucket {bucket.number} of {len(sheet.buckets)}" if len(sheet.buckets) > 1 else "bucket"
    both = pounds_and_ounces(sheet.units, sheet.scale_g)
    unit = "oz" if both else sheet.units
    weights, then = sheet.shown(bucket)
    exact: list[str] = []
    for _, lines in groupby(bucket.weighings, lambda w: w.bowl):
        grams = [line.weigh_g for line in lines]
        # ounces alone, of which pounds with ounces are made
        exact += shown_words(grams, "oz" if both else sheet.units, sheet.scale_g)[0]
    places = max(len(number.partition(".")[2]) for number in exact)
    parts = dict(words.parts(bucket))
    rows = []
    for k, (line, number) in enumerate(zip(bucket.weighings, exact, strict=True)):
        teacher = " (only the teacher)" * (line.part.material.name in sheet.teacher_only)
        before = f'<p class="part">{_e(parts[k])}</p>' if k in parts else ""
        shown = f"{weights[k]} {sheet.shown_unit}".rstrip()
        steps = int(number.replace(".", "")) * 10 ** (places - len(number.partition(".")[2]))
        rows.append(
            f'{before}<label><input type="checkbox" data-steps="{steps}"/><span>'
            f"{_e(line.part.material.name)}{teacher}<br/><small>scale then shows "
            f"{_whole(then[k])}</small></span><b>{_whole(shown)}</b></label>"
        )
    return (
        f'<h2>{of}</h2><div id="{sheet.code}.{bucket.number}" data-places="{places}" '
        f'data-unit="{"" if both else unit}">{"".join(rows)}'
        '<p class="holds"><span>ticked in all</span><output></output></p></div>'
    )


def _whole(weight: str) -> str:
    """Never broken over two lines."""
    return weight.replace(" ", "\u00a0")


def _e(text: str) -> str:
    return html.escape(text)
