from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click

from cofire.cli.common import (
    Count,
    answer_command,
    conditions_options,
    finish,
    may_draw,
    paper,
    studio,
)

if TYPE_CHECKING:
    from cofire.answers.batch.records import Method
    from cofire.answers.batch.scale import Units


@answer_command()
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
    "--scale-carries",
    metavar="WEIGHT",
    help="The most it weighs, bowl and all: “5 kg”.  [3 kg for steps of 0.1 g]",
)
@click.option(
    "--units", type=click.Choice(["g", "kg", "oz", "lb"]), help="Unit that your scale shows."
)
@click.option("--buckets", type=Count(), metavar="N", help="Number of buckets.")
@click.option(
    "--bucket-size",
    metavar="VOLUME",
    help="Slurry in each bucket, instead of --buckets.  [at most 15 l]",
)
@click.option("--firing", metavar="FIRING", help="Add the sheet and cautions of this firing.")
@click.option(
    "--school", is_flag=True, help="For children: refuses lead, what may cause cancer, poisons."
)
@click.option(
    "--even-with",
    multiple=True,
    metavar="MATERIAL",
    help="Allow this material at a school; never lead, nor what may cause cancer.",
)
@click.option(
    "--bins",
    type=Count(1, 50),
    metavar="N",
    help="Smoke bins at the kiln, for the pull plan of --firing.  [as many as it needs]",
)
@click.option(
    "--hands",
    type=Count(1, 20),
    default=2,
    show_default=True,
    help="Trained adults who pull pots and empty bins.",
)
@click.option("--title", default="", metavar="TEXT", help="Title of the sheets.")
@click.option(
    "--date",
    default="",
    metavar="TEXT",
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
@click.option(
    "--projector",
    metavar="FILE",
    callback=may_draw,
    help="Also write the steps large enough for a projector (.html or .pdf).",
)
@click.option(
    "--slips",
    metavar="FILE",
    callback=may_draw,
    help="Also write a checklist, and slips with questions before the session (.html or .pdf).",
)
@click.option(
    "--phone",
    metavar="FILE",
    callback=may_draw,
    help="Also write a page for phones, to tick what is weighed (HTML).",
)
@click.option("--names", default="", metavar="NAMES", help="Slips for pupils too: “Ines, Tomasz”.")
@paper
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
    scale_carries: str | None,
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
    bins: int | None,
    hands: int,
    page: str | None,
    pdf: str | None,
    projector: str | None,
    slips: str | None,
    phone: str | None,
    names: str,
    paper: Literal["A4", "Letter"],
    large: bool,
    labels: bool,
    asked: dict[str, Any],
    as_json: bool,
) -> int:
    """Sheets to weigh and mix by, for a bucket or a whole class.

    Give the amount as dry weight, as a bucket, or as pots and tiles. Printed weights add up to
    the last digit. Stock and prices come from “stock.toml” in your studio. Exit status
    0 when the scale can weigh all of it, 1 when an amount rounds to nothing.
    """
    from cofire.studio.workshop import write_page, write_pdf

    here = studio()
    pack = here.batch(
        recipes,
        dry=dry,
        bucket=bucket,
        pieces=pieces,
        tile=tile,
        mug=mug,
        pot=pot,
        shared=shared,
        methods=methods,
        density=density,
        scale=scale,
        scale_carries=scale_carries,
        units=units,
        buckets=buckets,
        bucket_size=bucket_size,
        firing=firing,
        school=school,
        even_with=even_with,
        title=title,
        date=date,
        people=people,
        teams=teams,
        bins=bins,
        hands=hands,
        **asked,
    )
    if page:
        write_page(pack, Path(page), paper, large, labels)
    if projector:
        here.projector(pack, projector, paper=paper)
    if slips:
        here.slips(pack, slips, names=names, paper=paper)
    if phone:
        here.phone(pack, phone)
    if pdf:
        from cofire.show.sheets.font_fallback import with_missing_letters

        write_pdf(pack, Path(pdf), paper, large, labels)
        pack = with_missing_letters(pack)
    finish(pack, as_json, "batch.show_pack")
    weighed = [w.weigh_g for sheet in pack.sheets for b in sheet.buckets for w in b.weighings]
    return 0 if all(weighed) else 1
