from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from cofire.cli.common import (
    Count,
    command,
    conditions_options,
    finish,
    library,
    may_draw,
    one_line,
)
from cofire.errors import QuantityError

if TYPE_CHECKING:
    from decimal import Decimal

    from cofire.answers.batch.pieces import PieceKind
    from cofire.answers.batch.records import Method, Pack
    from cofire.answers.batch.scale import Units
    from cofire.model.conditions import Asked


def _scale(scale: str | None, units: Units | None, large: bool) -> tuple[Decimal, Units]:
    """Step and unit of the scale; defaults are common practice (no source)."""
    from cofire.answers.batch.scale import read_step
    from cofire.read.units import GRAMS, WEIGHT, plain_unit, split

    usual: dict[Units, tuple[str, str]] = {
        "g": ("0.1 g", "1 g"),
        "kg": ("1 g", "1 g"),
        "oz": ("0.01 oz", "0.1 oz"),
        "lb": ("0.001 lb", "0.01 lb"),
    }
    if scale is None:
        shown: Units = units or "g"
        return read_step(usual[shown][large]), shown
    step = read_step(scale)
    if units:
        return step, units
    factor = GRAMS.get(plain_unit(split(scale, WEIGHT)[1]))
    return step, "oz" if factor == GRAMS["oz"] else "lb" if factor == GRAMS["lb"] else "g"


def _one_of(amounts: dict[str, str | int | None], do: str) -> None:
    """Raises QuantityError for options that exclude each other."""
    given = [name for name, value in amounts.items() if value is not None]
    if len(given) > 1:
        raise QuantityError(f"{' and '.join(given)} {do}.", hint="Give one of them.")


def _write(
    pack: Pack,
    page: str | None,
    pdf: str | None,
    paper: Literal["A4", "Letter"],
    large: bool,
    labels: bool,
) -> None:
    if page:
        from cofire.files.atomic_write import writing_answer
        from cofire.show.sheets.html import pack_html

        with writing_answer(Path(page), "page") as out:
            out.write(pack_html(pack, paper=paper, large=large, labels=labels))
    if pdf:
        from cofire.files.atomic_write import refuse_overwrite, writing_bytes
        from cofire.show.sheets.pdf import pack_pdf

        made = BytesIO()
        pack_pdf(pack, made, paper=paper, large=large, labels=labels)
        refuse_overwrite(Path(pdf), "PDF")
        with writing_bytes(Path(pdf)) as raw:
            raw.write(made.getvalue())


@command()
@click.argument("recipes", nargs=-1, required=True, metavar="RECIPE...")
@click.option("--dry", metavar="WEIGHT", help="Dry weight of the base, “2 kg”; additions on top.")
@click.option("--bucket", metavar="VOLUME", help="Volume of slurry, “10 l” or “2 gal” (US).")
@click.option(
    "--pieces",
    metavar="WORDS",
    help="“14 students x 5 tiles and 2 pots”; also mugs. A plus adds pieces for all.",
)
@click.option("--tile", metavar="SIZE", help="Sides, “10 x 10 cm”; one face, or add “both”.")
@click.option("--mug", metavar="SIZE", help="Diameter and height, “8 x 10 cm”.")
@click.option("--pot", metavar="SIZE", help="“12 x 15 cm”; add “outside” to glaze only that.")
@click.option(
    "--shared", is_flag=True, help="The glazes share the pieces; otherwise each glaze is on all."
)
@click.option(
    "--method",
    "methods",
    multiple=True,
    type=click.Choice(["dip", "pour", "brush", "spray"]),
    help="Water for this method; the first counts for amounts.  [dip, pour, brush]",
)
@click.option(
    "--density", multiple=True, metavar="G/ML", help="“1.5” for the first, or “brush 1.6”."
)
@click.option("--scale", metavar="STEP", help="What your scale reads to: “0.1 g”, “0.01 oz”.")
@click.option(
    "--units", type=click.Choice(["g", "kg", "oz", "lb"]), help="Unit that your scale shows."
)
@click.option("--buckets", type=Count(), metavar="N", help="Number of buckets.")
@click.option(
    "--bucket-size", metavar="VOLUME", help="Slurry in each bucket, instead of --buckets."
)
@click.option("--firing", metavar="FIRING", help="Add the sheet and cautions of this firing.")
@click.option("--school", is_flag=True, help="For children: refuses lead, barium, poisonous salts.")
@click.option(
    "--even-with",
    multiple=True,
    metavar="MATERIAL",
    help="Allow this material at a school although it is refused.",
)
@click.option("--title", default="", metavar="TEXT", callback=one_line, help="Title of the sheets.")
@click.option(
    "--date",
    default="",
    metavar="TEXT",
    callback=one_line,
    help="Date of the day; without it the sheets have a blank.",
)
@click.option("--people", type=Count(1, 1000), metavar="N", help="Number of people who weigh.")
@click.option("--teams", type=Count(1, 200), metavar="N", help="Number of teams.")
@click.option(
    "--html",
    "page",
    metavar="FILE",
    callback=may_draw,
    help="Also write sheets to print, as a page.",
)
@click.option(
    "--pdf", metavar="FILE", callback=may_draw, help="Also write sheets to print, as PDF."
)
@click.option("--paper", type=click.Choice(["A4", "Letter"]), default="A4", show_default=True)
@click.option("--large", is_flag=True, help="Large type on the sheets.")
@click.option("--labels", is_flag=True, help="Also labels for buckets and tiles.")
@conditions_options("body", "coat", "wall", body={"help": "Show how this bisque takes the coat."})
def batch(
    recipes: tuple[str, ...],
    dry: str | None,
    bucket: str | None,
    pieces: str | None,
    tile: str | None,
    mug: str | None,
    pot: str | None,
    shared: bool,
    methods: tuple[Method, ...],
    density: tuple[str, ...],
    scale: str | None,
    units: Units | None,
    buckets: int | None,
    bucket_size: str | None,
    firing: str | None,
    school: bool,
    even_with: tuple[str, ...],
    title: str,
    date: str,
    people: int | None,
    teams: int | None,
    page: str | None,
    pdf: str | None,
    paper: Literal["A4", "Letter"],
    large: bool,
    labels: bool,
    asked: Asked,
    as_json: bool,
) -> int:
    """Sheets to weigh and mix by, for a bucket or a whole class.

    Give the amount as dry weight, as a bucket, or as pots and tiles. Printed weights add up to
    the last digit. Stock and prices come from “stock.toml” in your studio. Exit status
    0 when the scale can weigh all of it, 1 when an amount rounds to nothing.
    """
    from cofire.answers.batch.pack import Order, School
    from cofire.answers.batch.pack import batch as answer_for
    from cofire.answers.batch.pieces import read_pieces, read_size
    from cofire.answers.batch.water import densities
    from cofire.files.stock import read_stock
    from cofire.model.conditions import Conditions
    from cofire.read.units import WEIGHT, measured, millilitres

    lib = library()
    _one_of({"--dry": dry, "--bucket": bucket, "--pieces": pieces}, "each say how much to mix")
    _one_of({"--buckets": buckets, "--bucket-size": bucket_size}, "both split the glaze")
    if shared and pieces is None:
        raise QuantityError("--shared shares out pieces.", hint="Say how many with --pieces.")
    chosen: tuple[Method, ...] = methods or ("dip", "pour", "brush")
    usual, thick = densities((), chosen), densities(density, chosen)
    sizes: dict[PieceKind, str | None] = {"tile": tile, "mug": mug, "pot": pot}
    sized = {kind: read_size(text, kind) for kind, text in sizes.items() if text}
    base_g = None if dry is None else measured(dry, WEIGHT)
    slurry_ml = None if bucket is None else millilitres(bucket)
    # more than two kilos go on a coarser scale
    much = (base_g or 0) > 2000 or (slurry_ml or 0.0) > 3000.0
    step_g, shown = _scale(scale, units, much)
    at = Conditions.read(lib, **asked)
    order = Order(
        densities=thick,
        step_g=step_g,
        units=shown,
        base_g=base_g,
        slurry_ml=slurry_ml,
        pieces=None if pieces is None else read_pieces(pieces, sized),
        shared=shared,
        coat=at.coat(0),
        wall_mm=at.wall_mm,
        body=at.body,
        buckets=buckets,
        bucket_ml=None if bucket_size is None else millilitres(bucket_size),
        named=tuple(m for m in chosen if thick[m] != usual[m]),
        words=(dry or bucket or "").strip(),
    )
    pack = answer_for(
        lib,
        [lib.recipe(r) for r in recipes],
        order,
        stock=read_stock(lib),
        firing=lib.firing(firing) if firing else None,
        group=School(
            school=school,
            allowed=tuple(lib.material(name)[0] for name in even_with),
            people=people,
            teams=teams,
            title=title,
            date=date,
        ),
    )
    _write(pack, page, pdf, paper, large, labels)
    if pdf:
        from cofire.show.sheets.font_fallback import with_missing_letters

        pack = with_missing_letters(pack)
    finish(pack, as_json, "batch.show_pack")
    weighed = [w.weigh_g for sheet in pack.sheets for b in sheet.buckets for w in b.weighings]
    return 0 if all(weighed) else 1
