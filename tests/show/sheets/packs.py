"""Packs made by hand for the sheets, with weights from the scale's own arithmetic."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

from cofire.answers.batch.recipe_code import recipe_code
from cofire.answers.batch.records import Audience, Bucket, Need, Pack, Rounding, Sheet, Water
from cofire.answers.batch.scale import Units
from cofire.answers.batch.weighing import weigh_up
from cofire.answers.findings.cautions import firing_cautions, material_cautions
from cofire.files.library import Library
from cofire.model.slurry import slurry_ml, solids_g_per_cm3, water_ml
from cofire.records import Caution, Recipe

LIBRARY = Library(None)
DEMO = (
    "clear-crackle", "frit-gloss", "true-matte", "copper-lustre", "cobalt-gloss", "satin-white",
    "turquoise-crackle", "white-crackle", "dry-matte", "silver-lustre", "borate-gloss",
    "strontium-matte",
)  # fmt: skip
MIXING = (
    "Put on the respirator and gloves. Weigh every line into the bucket and tick it; the scale has "
    "to show what stands under “holds”.",
    "Put two thirds of the water into the bucket, let the powder sink in for an hour, then stir.",
    "Sieve twice through 0.18 mm (80 mesh), with the rest of the water.",
    "Weigh a litre: write the density down, and thin it if it is heavier than wanted.",
)
LEFT_OVER = ("Washing water: let it stand overnight, dry the mud. Nothing goes down a drain.",)
KEEPING = (
    "Keeps for months with a lid on; stir to the bottom each time.",
    "Crystals in the bucket: soluble material came out. Warm it and sieve again, do not pick them "
    "out.",
)


def sheet(
    recipe: Recipe,
    *,
    base_g: int = 5000,
    buckets: int = 1,
    differ: bool = False,
    step_g: str = "0.1",
    units: Units = "g",
    teacher: bool = False,
) -> Sheet:
    """A glaze weighed to ``step_g``; buckets that differ grow by a fifth each."""
    step = Decimal(step_g)
    solids = solids_g_per_cm3(recipe.parts)
    made = []
    for number in range(1, buckets + 1):
        grams = base_g * (1 + 0.2 * (number - 1) * differ)
        lines = weigh_up(recipe, int(Decimal(str(grams)) / step), step)
        total = lines[-1].running_g
        waters = tuple(
            Water(how, d, water_ml(float(total), d, solids), slurry_ml(float(total), d, solids), "")
            for how, d in (("dip", 1.45), ("pour", 1.42), ("brush", 1.6))
        )
        made.append(Bucket(number, lines, total, waters))
    cautions = []
    for finding in material_cautions(LIBRARY, [recipe]):
        cautions.append((LIBRARY.cautions[finding.code], tuple(finding.subject.split(", "))))
    worst = made[0].weighings[-1]
    risky = {"lithium", "cobalt", "copper", "silver-salt", "manganese", "borate"}
    dry = sum((b.total_g for b in made), Decimal(0))
    return Sheet(
        recipe=recipe,
        code=recipe_code(recipe),
        asked="14 × (5 tiles and 2 pots)",
        dry_g=dry,
        base_g=sum(
            (w.weigh_g for b in made for w in b.weighings if not w.addition), start=Decimal(0)
        ),
        scale_g=step,
        buckets=tuple(made),
        rounding=Rounding(worst, 0.2, 0.001, 0.1, False, ""),
        cost=Decimal("12.30"),
        cost_per_100_g=0.25,
        cost_per_piece=0.13,
        currency="GBP",
        mixing=MIXING,
        keeping=KEEPING,
        left_over=LEFT_OVER,
        cautions=tuple(cautions),
        teacher_only=tuple(
            p.material.name for p in recipe.parts if teacher and risky & set(p.material.cautions)
        ),
        findings=(),
        units=units,
        piece="tile",
    )


def pack(
    *names: str,
    people: int | None = None,
    firing: str | None = None,
    audience: Audience = "adults",
    sheets: tuple[Sheet, ...] = (),
    **how: object,
) -> Pack:
    """A pack of demo glazes, or of ``sheets`` made before."""
    made = sheets or tuple(
        sheet(LIBRARY.recipe(n), teacher=audience == "school", **how)  # type: ignore[arg-type]
        for n in names
    )
    needs: dict[str, Need] = {}
    for one in made:
        for bucket in one.buckets:
            for w in bucket.weighings:
                known = needs.get(w.part.material.id)
                amount = w.weigh_g + (known.need_g if known else 0)
                needs[w.part.material.id] = Need(w.part, Decimal(amount), None, None, None, None)
    priced = [
        replace(n, have_g=300.0, buy_g=max(0.0, float(n.need_g) - 300.0), price_per_kg=4.0,
                cost=(4 * max(Decimal(0), n.need_g - 300) / 1000).quantize(Decimal("0.01")))
        for n in needs.values()
    ]  # fmt: skip
    plan = LIBRARY.firing(firing) if firing else None
    process: list[Caution] = []
    if plan:
        process += [LIBRARY.cautions[f.code] for f in firing_cautions(LIBRARY, plan)]
    if people:
        process.insert(0, LIBRARY.cautions["silica-dust"])
    invented = ("Ines", "Tomasz", "Blessing", "Jory", "Anneke", "Malik", "Petra", "Lowenna", "Sam",
                "Yusuf", "Merryn", "Oskar", "Dilan", "Keir")  # fmt: skip
    who = [(invented[k % 14], made[k % len(made)].recipe.name) for k in range(people or 0)]
    return Pack(
        title="Saltgrass Yard, autumn raku" if people else made[0].recipe.name,
        date="2026-10-17",
        audience=audience,
        people=people,
        sheets=made,
        needs=tuple(priced),
        cost=sum((n.cost or Decimal(0) for n in priced), Decimal(0)),
        currency="GBP",
        firing=plan,
        cautions=tuple(process),
        assignments=tuple(who),
    )
