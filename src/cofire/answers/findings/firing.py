"""Doubts about a firing and its kiln."""

from __future__ import annotations

from cofire.answers.findings.texts import finding
from cofire.findings import Finding
from cofire.model.schedule import too_fast
from cofire.records import Firing


def speed_findings(firing: Firing) -> list[Finding]:
    """The source of the kiln's speed, and where the plan asks for too much."""
    kiln, findings = firing.kiln, []
    if not kiln.source.startswith("logged"):
        findings.append(finding("firing-source", firing.name, source=kiln.source))
    if firing.peak_c > kiln.top_c + 1.0:
        findings.append(
            finding(
                "above-the-kiln",
                firing.name,
                peak_c=firing.peak_c,
                top_c=kiln.top_c,
                source=kiln.source,
            )
        )
    if slow := too_fast(firing):
        segments = ", ".join(map(str, slow))
        findings.append(
            finding("kiln-too-slow", firing.name, segments=segments, source=kiln.source)
        )
    return findings
