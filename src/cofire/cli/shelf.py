from __future__ import annotations

import click

from cofire.cli.common import command, json_option, library, print_json


def _list(ctx: click.Context, kind: str, as_json: bool) -> None:
    from cofire.answers.catalogue import shelf

    items = shelf(library(ctx), kind)
    if as_json:
        print_json({kind: items})
        return
    from cofire.show.terminal import show_shelf

    show_shelf(items)


@command()
@json_option
@click.pass_context
def recipes(ctx: click.Context, as_json: bool) -> None:
    """List the recipes that can be named."""
    _list(ctx, "recipes", as_json)


@command()
@json_option
@click.pass_context
def bodies(ctx: click.Context, as_json: bool) -> None:
    """List the clay bodies that can be named."""
    _list(ctx, "bodies", as_json)


@command()
@json_option
@click.pass_context
def firings(ctx: click.Context, as_json: bool) -> None:
    """List the firings that can be named."""
    _list(ctx, "firings", as_json)


@command()
@json_option
@click.pass_context
def kilns(ctx: click.Context, as_json: bool) -> None:
    """List the kilns that a firing can name."""
    _list(ctx, "kilns", as_json)
