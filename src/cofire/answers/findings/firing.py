"""Doubts about a firing and its kiln."""

from __future__ import annotations

from cofire.findings import Finding
from cofire.model.schedule import too_fast
from cofire.records import Firing


def speed_findings(firing: Firing) -> list[Finding]:
    """What the kiln's speed rests on, and where the plan asks for more than it can do."""
    found = []
    if not firing.kiln.source.startswith("logged"):
        found.append(
            Finding(
                "firing-source",
                "note",
                "the kiln's speed is an assumption until it is logged (cofire kiln-log).",
                firing.kiln.source,
                firing.name,
            )
        )
    if firing.peak_c > firing.kiln.top_c + 1.0:
        found.append(
            Finding(
                "above-the-kiln",
                "warning",
                f"{firing.peak_c:.0f} °C is above the {firing.kiln.top_c:.0f} °C up to which this "
                "kiln is known: elements, lining or burner may not bear it. Its maker's limit "
                "counts.",
                firing.kiln.source,
                firing.name,
            )
        )
    slow = too_fast(firing)
    if slow:
        which = ", ".join(map(str, slow))
        found.append(
            Finding(
                "kiln-too-slow",
                "caution",
                f"segment {which} asks for more than this kiln can do; it goes as fast as it can.",
                firing.kiln.source,
                firing.name,
            )
        )
    return found
