from __future__ import annotations

from typing import Any

import click

from cofire.cli.common import JUDGED, answer_command, conditions_options, finish, studio


@answer_command()
@click.argument("recipe")
@click.option(
    "--batch",
    default="100 g",
    show_default=True,
    metavar="WEIGHT",
    help="Weight of the base; additions come on top.",
)
@click.option(
    "--scale", default="0.1 g", show_default=True, metavar="WEIGHT", help="Step of your scale."
)
@click.option("--slips", is_flag=True, help="Every line may also be off by a hundredth.")
@conditions_options(
    *JUDGED,
    body={"help": "Also vary the fit on this clay body."},
    firing={"help": "Also vary its ripeness in this firing."},
)
def shake(
    recipe: str, batch: str, scale: str, slips: bool, asked: dict[str, Any], as_json: bool
) -> int:
    """What an answer depends on: weighing, materials, models, coat, kiln or clay.

    Says which material to weigh most carefully, and where the scale is too coarse. With --body or
    --firing the exit status is 0 when the glaze stays right as it is weighed and bought, else 1.
    """
    answer = studio().shake(recipe, batch=batch, scale=scale, slips=slips, **asked)
    finish(answer, as_json, "sensitivity.show_sensitivity")
    return 0 if answer.yes else 1
