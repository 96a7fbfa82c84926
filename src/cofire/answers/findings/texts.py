"""The words of findings, which stand in ``texts.toml`` beside this file."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import cast

from cofire.files import toml
from cofire.findings import Finding, Severity


@cache
def _texts() -> dict[str, dict[str, str]]:
    return toml.read(Path(__file__).with_name("texts.toml")).data


def wording(name: str, line: str = "message", /, **fields: object) -> str:
    """One line of the table ``name``, with the fields it asks for. Raises KeyError without one."""
    return _texts()[name][line].format_map(fields)


def finding(
    name: str, subject: str = "", severity: Severity | None = None, /, **fields: object
) -> Finding:
    """The finding whose words stand under ``name``. Raises KeyError where a field is missing."""
    about = _texts()[name]
    return Finding(
        code=about.get("code", name),
        severity=severity or cast("Severity", about["severity"]),
        message=wording(name, **fields),
        source=wording(name, "source", **fields),
        subject=subject,
    )
