from __future__ import annotations

from typing import Any

from cofire.cli.common import command, finish, studio


def _lister(kind: str) -> Any:
    @command(kind, help=f"List the {kind} that can be named.")
    def lists(as_json: bool) -> None:
        finish(getattr(studio(), kind)(), as_json, "terminal.show_shelf")

    return lists


recipes, bodies, firings, kilns = map(_lister, ("recipes", "bodies", "firings", "kilns"))
