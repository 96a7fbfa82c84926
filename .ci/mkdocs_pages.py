"""Gives mkdocs the pages that the program writes, and the order of all."""

from __future__ import annotations

from typing import Any

from mkdocs.structure.files import File, Files

from cofire.cli.reference import made
from cofire.documents import ORDER


def on_config(config: Any) -> Any:
    config.nav = [{part: [f"{name}.md" for name in names]} for part, names in ORDER.items()]
    return config


def on_files(files: Files, config: Any) -> Files:
    for name, text in made().items():
        files.append(File.generated(config, f"{name}.md", content=text))
    return files
