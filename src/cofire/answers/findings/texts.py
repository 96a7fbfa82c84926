"""The texts of findings, from ``texts.toml`` beside this file."""

from __future__ import annotations

from typing import cast

from cofire.files import toml
from cofire.findings import Finding, Severity


def _texts() -> dict[str, dict[str, str]]:
    return toml.beside(__file__, "texts.toml")


def wording(name: str, line: str = "message", /, **fields: object) -> str:
    """One line of the table ``name``, with the fields it asks for. Raises KeyError without one."""
    return _texts()[name][line].format_map(fields)


def finding(
    name: str, subject: str = "", severity: Severity | None = None, /, **fields: object
) -> Finding:
    """The finding whose words stand under ``name``. Raises KeyError if a field is missing."""
    about = _texts()[name]
    return Finding(
        code=about.get("code", name),
        severity=severity or cast("Severity", about["severity"]),
        message=wording(name, **fields),
        source=wording(name, "source", **fields),
        subject=subject,
        headline=bool(about.get("headline")),
        short=wording(name, "short", **fields) if "short" in about else "",
    )
