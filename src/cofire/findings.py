"""Findings: cautions, doubts and choices of the program; not errors."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["danger", "warning", "caution", "note"]
#: Gravest first.
SEVERITIES: tuple[Severity, ...] = ("danger", "warning", "caution", "note")


@dataclass(frozen=True)
class Finding:
    """``code`` is stable for machines, ``message`` is for people, ``source`` backs it.

    A caution names the ``act`` in which it hurts (“mixing”, “firing”, “lustre” or “using”) and the
    ids of the ``materials`` that bring it.
    """

    code: str
    severity: Severity
    message: str
    source: str = ""
    subject: str = ""
    headline: bool = False  # stands right below the verdict
    short: str = ""  # its gist in a few words, for a line of many
    act: str = ""
    materials: tuple[str, ...] = ()


def sort_findings(findings: list[Finding]) -> tuple[Finding, ...]:
    """Gravest first, without repeats, otherwise in order."""
    return tuple(sorted(dict.fromkeys(findings), key=lambda f: SEVERITIES.index(f.severity)))
