"""Costs of sheets, stock that is short, and what to buy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal

from cofire.answers.batch.pieces import Pieces
from cofire.answers.batch.records import Need, Sheet
from cofire.answers.findings.texts import finding
from cofire.files.stock import Stock
from cofire.findings import sort_findings
from cofire.records import Part


def totals(sheets: Sequence[Sheet]) -> list[tuple[Part, Decimal]]:
    """Every material over all buckets of all sheets, in the order of its name."""
    parts: dict[str, Part] = {}
    grams: dict[str, Decimal] = {}
    for sheet in sheets:
        for bucket in sheet.buckets:
            for line in bucket.weighings:
                key = line.part.material.id
                parts.setdefault(key, line.part)
                grams[key] = grams.get(key, Decimal(0)) + line.weigh_g
    order = sorted(parts, key=lambda key: parts[key].material.name.lower())
    return [(parts[key], grams[key]) for key in order]


def needs_of(sheets: Sequence[Sheet], stock: Stock) -> tuple[Need, ...]:
    """Needs, stock, and the cost of the rest, in whole packs; None if not given. Where a studio
    counts its stock, what it does not count has to be bought."""
    needs = []
    for part, need_g in totals(sheets):
        shelf = stock.of(part.material.id)
        have = None if shelf.have_g is None else Decimal(repr(shelf.have_g))
        buy = max(Decimal(0), need_g - (have or Decimal(0))) if stock.shelf else None
        if buy and shelf.pack_g:
            pack = Decimal(repr(shelf.pack_g))
            buy = pack * (buy / pack).to_integral_value(ROUND_CEILING)
        price = shelf.price_per_kg
        cost = None if price is None or buy is None else _cents(price, buy)
        needs.append(
            Need(part, need_g, shelf.have_g, None if buy is None else float(buy), price, cost)
        )
    return tuple(needs)


def _cents(price_per_kg: float, gram: Decimal) -> Decimal:
    """The cost in whole hundredths, as printed, so that printed lines add up."""
    exact = Decimal(repr(price_per_kg)) * gram / 1000
    return exact.quantize(Decimal("0.01"), ROUND_HALF_UP)


def with_costs(sheet: Sheet, stock: Stock, pieces: Pieces | None) -> Sheet:
    """The sheet with the cost of its materials; None, with a finding, if a price is missing."""
    if not stock.shelf:
        return sheet
    cost, exact, unknown = Decimal(0), 0.0, []
    for part, need_g in totals([sheet]):
        price = stock.of(part.material.id).price_per_kg
        if price is None:
            unknown.append(part.material.name)
        else:
            cost += _cents(price, need_g)
            exact += price * float(need_g) / 1000.0
    sheet = replace(sheet, currency=stock.currency)
    if unknown:
        missing = finding("no-price", names=", ".join(unknown))
        return replace(sheet, findings=sort_findings([*sheet.findings, missing]))
    per_piece, name = None, ""
    if pieces:
        size = pieces.largest
        per_piece, name = exact * size.area_m2 / pieces.area_m2, size.words
    return replace(
        sheet,
        cost=cost,
        cost_per_100_g=100.0 * exact / float(sheet.dry_g),
        cost_per_piece=per_piece,
        piece=name,
    )
