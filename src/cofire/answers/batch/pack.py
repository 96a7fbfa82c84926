"""Batch sheets: amounts, weights, costs and safety of each glaze."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from cofire.answers.batch.costs import needs_of, with_costs
from cofire.answers.batch.mixing import keeping, left_over, mixing_steps
from cofire.answers.batch.order import Order, School
from cofire.answers.batch.pieces import LOSS, Pieces, counted, dry_g_per_m2
from cofire.answers.batch.recipe_code import recipe_code
from cofire.answers.batch.records import Bucket, Load, Pack, Rounding, Sheet, Ware
from cofire.answers.batch.rounding import FEW_STEPS, felt_by_glass, rounding, too_few
from cofire.answers.batch.safety import (
    pack_cautions,
    refuse_for_school,
    school_findings,
    sheet_cautions,
    teacher_only,
)
from cofire.answers.batch.scale import pounds_and_ounces, shown_words, usual_most, whole_steps
from cofire.answers.batch.teams import assignments
from cofire.answers.batch.water import bisque_finding, waters
from cofire.answers.batch.weighing import bowls_for, in_bowls, weigh_up
from cofire.answers.day.asked import Day, pot_kg
from cofire.answers.day.crew import Pull, first_pulls
from cofire.answers.findings.recipe import ambiguity_findings
from cofire.answers.findings.texts import finding, wording
from cofire.errors import refusal
from cofire.files.library import Library
from cofire.files.stock import Stock
from cofire.findings import Finding, sort_findings
from cofire.model.analysis import analyse
from cofire.model.slurry import dry_g_per_ml, slurry_ml, solids_g_per_cm3
from cofire.most import MOST
from cofire.records import Firing, Recipe
from cofire.round_numbers import share_out
from cofire.words import volume

#: What is mixed by default how much; our choice.
_SOME_G = Decimal(1000)
#: No studio weighs less than a gram or more than a tonne of base; our choice.
_LEAST_G, _MOST_G = Decimal(1), Decimal(1_000_000)
#: Slurry in a bucket where nothing is said, ml: one of 20 l that can still be stirred, and that two
#: people carry; common practice, no source.
_BUCKET_ML = 15_000.0
#: Share of what a scale carries that stays for the bowl on it; our choice.
_BOWL = 0.1


_NOBODY = School()


def batch(
    library: Library,
    recipes: Sequence[Recipe],
    order: Order,
    *,
    stock: Stock | None = None,
    firing: Firing | None = None,
    group: School = _NOBODY,
) -> Pack:
    """A sheet for each recipe, and what they need together.

    Raises CompositionError if a recipe is not a glaze or not for a school, QuantityError for an
    amount that cannot be weighed.
    """
    if group.school:
        refuse_for_school(library, recipes, group.allowed)
    shelf, fired = stock or Stock(), order.pieces
    if order.pieces and order.shared:
        order = replace(order, pieces=order.pieces.shared_by(len(recipes)))
    sheets = tuple(
        with_costs(_sheet(library, recipe, order, group), shelf, order.pieces) for recipe in recipes
    )
    needs = needs_of(sheets, shelf)
    costs = [sheet.cost for sheet in sheets]
    people = group.people or (order.pieces.people if order.pieces else None)
    ware = None
    if fired and firing:
        ware = _ware(fired, firing, group.bins, group.hands)
        firing = ware.loads[0].firing if ware else firing
    return Pack(
        title=group.title or _title(recipes),
        date=group.date,
        audience="school" if group.school else "adults",
        people=people,
        sheets=sheets,
        needs=needs,
        cost=None if None in costs else sum((c for c in costs if c is not None), Decimal(0)),
        currency=shelf.currency,
        firing=firing,
        cautions=pack_cautions(library, tuple(order.densities), firing, group.school),
        assignments=assignments(sheets, people, group.teams, group.school),
        ware=ware,
    )


def _ware(pieces: Pieces, firing: Firing, bins: int | None, hands: int) -> Ware | None:
    """The pots of a class in the firings that have pulls and bins for them; nothing where the file
    says a load. Without ``bins`` as many as are needed to pull on time.

    Raises QuantityError for bins that let no pot out.
    """
    pots = [(count, size) for count, size in pieces.counts if size.kind != "tile"]
    pulled = sum(pull.count for pull in firing.pulls)
    if not pots or firing.load_kg or len(firing.pulls) != 1 or pulled == 1:
        return None
    count = sum(n for n, _ in pots)
    kg = sum(n * pot_kg((size.across_mm, size.high_mm)) for n, size in pots) / count
    asked = Day(firing, count, (0.0, 0.0), None, bins or MOST["bins"], hands=hands, pot_kg=kg)
    firings = math.ceil(count / pulled)
    while len(pulls := first_pulls(asked, each := math.ceil(count / firings))) < each:
        firings += 1
        if firings > count:
            raise refusal("bins-let-none-out", firing.place, firing=firing.name)
    if bins is None:
        late = max(p.at_min for p in pulls)
        enough = (replace(asked, bins=n) for n in range(1, MOST["bins"]))
        tried = ((day, first_pulls(day, each)) for day in enough)
        on_time = (day for day, t in tried if len(t) == each and t[-1].at_min <= late + 0.5)
        asked = next(on_time, asked)
    sizes = [count // firings + (k < count % firings) for k in range(firings)]
    pulls_of = {size: first_pulls(asked, size) for size in set(sizes)}
    loads = tuple(_load(asked, 1 + sum(sizes[:k]), pulls_of[size]) for k, size in enumerate(sizes))
    return Ware(count, hands, loads)


def _load(asked: Day, first: int, pulls: Sequence[Pull]) -> Load:
    """A firing of its own for some of the pots, with a pull for each by its number."""
    (plan,) = asked.firing.pulls
    alone = tuple(
        replace(
            plan,
            name=f"{plan.name} {k}",
            after_min=plan.after_min + p.at_min - pulls[0].at_min,
            count=1,
        )
        for k, p in enumerate(pulls, first)
    )
    kg = asked.load_kg(len(pulls))
    firing = replace(asked.firing, load_kg=kg, pulls=alone)
    return Load(first, kg, tuple(p.bin for p in pulls), firing)


def _title(recipes: Sequence[Recipe]) -> str:
    return recipes[0].name if len(recipes) == 1 else f"{len(recipes)} glazes"


def _sheet(library: Library, recipe: Recipe, order: Order, group: School) -> Sheet:
    analyse(recipe)
    solids = solids_g_per_cm3(recipe.parts)
    base_steps = _base_steps(recipe, order, solids)
    count = _bucket_count(recipe, order, base_steps, solids)
    split = share_out(base_steps, [1] * count)
    most_g = order.most_g or usual_most(order.step_g)
    room = int((1 - Decimal(str(_BOWL))) * most_g / order.step_g)
    bowls = bowls_for(weigh_up(recipe, max(split), order.step_g), room, order.step_g)
    buckets = tuple(
        _bucket(recipe, k, steps, order, solids, bowls) for k, steps in enumerate(split, 1)
    )
    rounded = rounding(recipe, buckets, order.step_g, order.units)
    only_teacher = teacher_only(library, recipe) if group.school else ()
    findings = [*_scale_findings(buckets, order), *ambiguity_findings(recipe, analyse(recipe))]
    if rounded.matters:
        findings.append(_rounding_finding(rounded))
    if order.body:
        findings.append(
            bisque_finding(
                order.body,
                order.coat,
                order.first,
                order.densities[order.first],
                solids,
                order.wall_mm,
            )
        )
    findings += _depth_findings(order, buckets)
    findings += _split_findings(order, buckets, most_g)
    if group.school:
        findings += school_findings(library, recipe)
    methods = tuple(order.densities)
    return Sheet(
        recipe=recipe,
        code=recipe_code(recipe),
        asked=_asked(order),
        dry_g=sum((b.total_g for b in buckets), Decimal(0)),
        base_g=base_steps * order.step_g,
        scale_g=order.step_g,
        buckets=buckets,
        rounding=rounded,
        cost=None,
        cost_per_100_g=None,
        cost_per_piece=None,
        currency="",
        mixing=mixing_steps(recipe, buckets, group.school),
        keeping=keeping(recipe, methods),
        left_over=left_over(library, recipe),
        cautions=sheet_cautions(library, recipe),
        teacher_only=only_teacher,
        findings=sort_findings(findings),
        units=order.units,
    )


def _base_steps(recipe: Recipe, order: Order, solids: float) -> int:
    """The base of all buckets together, in steps of the scale."""
    share = recipe.base_total / sum(p.amount for p in recipe.parts)
    if order.pieces:
        mixed = LOSS[order.first] * dry_g_per_m2(order.coat, solids) * order.pieces.area_m2
        steps = whole_steps(share * mixed, order.step_g, up=True)
    elif order.slurry_ml is not None:
        dry = float(dry_g_per_ml(order.densities[order.first], solids)) * order.slurry_ml
        steps = whole_steps(share * dry, order.step_g)
    else:
        steps = whole_steps(_SOME_G if order.base_g is None else order.base_g, order.step_g)
    base_g = steps * order.step_g
    if not _LEAST_G <= base_g <= _MOST_G:
        raise refusal("impossible-batch", base_g=float(base_g))
    if steps < FEW_STEPS:
        raise refusal(
            "scale-too-coarse-for-batch", step_g=float(order.step_g), base_g=float(base_g)
        )
    return steps


def _bucket_count(recipe: Recipe, order: Order, base_steps: int, solids: float) -> int:
    count, bucket_ml = 1 if order.buckets is None else order.buckets, order.bucket_ml
    if order.buckets is None and bucket_ml is None:
        bucket_ml = _BUCKET_ML
    if bucket_ml is not None:
        share = recipe.base_total / sum(p.amount for p in recipe.parts)
        dry = float(base_steps * order.step_g) / share
        assumed = order.bucket_ml is None
        at = min(order.densities.values()) if assumed else order.densities[order.first]
        volume = slurry_ml(dry, at, solids)
        # a bucket of nothing takes no number of fillings
        count = max(1, math.ceil(volume / bucket_ml - 1e-6)) if bucket_ml > 0.0 else 0
    if not 1 <= count <= min(MOST["buckets"], base_steps // FEW_STEPS):
        raise refusal("impossible-buckets", count=count)
    return count


def _bucket(
    recipe: Recipe,
    number: int,
    steps: int,
    order: Order,
    solids: float,
    bowls: Sequence[Sequence[int]],
) -> Bucket:
    lines = in_bowls(weigh_up(recipe, steps, order.step_g), bowls, order.step_g)
    total = lines[-1].running_g
    water = waters(float(total), order.densities, solids, order.named)
    return Bucket(number, lines, total, water)


def _asked(order: Order) -> str:
    if order.pieces:
        sizes = ", ".join(
            f"{counted(((count, size),))} ({size.words.partition(' of ')[2]})"
            for count, size in order.pieces.counts
        )
        words = order.pieces.words
        return (words if words == counted(order.pieces.counts) else f"{words}: {sizes}") + (
            f"; coat of {order.coat.fired_mm:.2g} mm fired"
        )
    if order.slurry_ml is not None:
        density = order.densities[order.first]
        return f"{order.words} of slurry at {density:.2f} g/ml, to {order.first}"
    if order.base_g is not None:
        return f"{order.words} of dry base"
    return f"{_SOME_G} g of dry base (default)"


def _scale_findings(buckets: Sequence[Bucket], order: Order) -> list[Finding]:
    few = too_few(buckets[0], order.step_g)
    if not few:
        return []
    nothing = any(w.weigh_g == 0 for w in few)
    return [
        finding(
            "scale-too-coarse",
            "",
            "warning" if nothing else "caution",
            weights=", ".join(f"{w.exact_g:.2g} g of {w.part.material.name}" for w in few),
            step_g=float(order.step_g),
            nothing=wording("scale-too-coarse", "nothing") if nothing else "",
        )
    ]


def _rounding_finding(rounded: Rounding) -> Finding:
    felt = "glass" if felt_by_glass(rounded) else "colour"
    moves = {"moves": rounded.moves_1e6_per_k, "moves_c": rounded.moves_c}
    return finding(
        "rounding",
        material=rounded.worst.part.material.name,
        percent=rounded.worst_percent,
        felt=wording("rounding", felt, **moves),
    )


def _split_findings(order: Order, buckets: Sequence[Bucket], most_g: Decimal) -> list[Finding]:
    """What was assumed of buckets and scale where a batch is split because of it."""
    findings = []
    if len(buckets) > 1 and order.buckets is None and order.bucket_ml is None:
        findings.append(finding("buckets-assumed", room=volume(_BUCKET_ML), count=len(buckets)))
    if buckets[0].bowls > 1:
        said = wording("scale-carries", "assumed" if order.most_g is None else "said")
        shown = shown_words([most_g], order.units, order.step_g)[1][0]
        unit = "" if pounds_and_ounces(order.units, order.step_g) else f" {order.units}"
        findings.append(
            finding("scale-carries", most=f"{shown}{unit}", said=said, bowls=buckets[0].bowls)
        )
    return findings


def _depth_findings(order: Order, buckets: Sequence[Bucket]) -> list[Finding]:
    if order.first != "dip" or order.pieces is None:
        return []
    size = order.pieces.largest
    here = buckets[0].waters[0].slurry_ml
    if here >= size.to_dip_ml:
        return []
    about = {"here": volume(here), "piece": size.words, "needed": volume(size.to_dip_ml)}
    return [finding("too-little-to-dip", **about)]
