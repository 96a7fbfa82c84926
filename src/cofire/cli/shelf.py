from __future__ import annotations

import click

from cofire.cli.common import library


def _list(ctx: click.Context, kind: str) -> None:
    from cofire.answers.shelf import shelf
    from cofire.show.terminal import show_shelf

    show_shelf(shelf(library(ctx), kind))


@click.command()
@click.pass_context
def recipes(ctx: click.Context) -> None:
    """List the recipes that can be named."""
    _list(ctx, "recipes")


@click.command()
@click.pass_context
def bodies(ctx: click.Context) -> None:
    """List the clay bodies that can be named."""
    _list(ctx, "bodies")


@click.command()
@click.pass_context
def firings(ctx: click.Context) -> None:
    """List the firings that can be named."""
    _list(ctx, "firings")
