from __future__ import annotations

import click

from cofire.cli.common import Count, allowed, answer_command, finish, in_stock, studio


@answer_command()
@click.argument("formula", metavar="UNITY")
@click.option("--from", "shelf", multiple=True, metavar="A,B,...", help="Use only these materials.")
@in_stock
@click.option(
    "--most",
    type=Count(1, 12),
    default=6,
    show_default=True,
    help="Most materials, if --from names none.",
)
@click.option("--save", metavar="FILE", help="Write the first answer as a recipe.")
def compose(
    formula: str, shelf: tuple[str, ...], stock: bool, most: int, save: str | None, as_json: bool
) -> int:
    """From a unity formula to recipes that make it.

    UNITY is “0.3 Na2O, 0.7 CaO, 0.35 Al2O3, 3 SiO2”, or the name of a recipe whose formula is
    meant. Exit status 0 when the formula can be reached, 1 when only nearly.
    """
    maker = studio()
    answer = maker.compose(formula, allowed=allowed(shelf, stock), most=most)
    if save:
        maker.save(answer.ways[0].recipe, save, f"From the unity formula {formula}.")
    finish(answer, as_json, "compose.show_compose", saved=save)
    return 0 if answer.yes else 1
