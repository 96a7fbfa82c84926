"""Doubts about a firing and its kiln."""

from __future__ import annotations

from dataclasses import replace

from cofire.answers.findings.texts import finding, wording
from cofire.findings import Finding
from cofire.model.schedule import planned, too_fast
from cofire.records import Firing


def supply_findings(firing: Firing) -> list[Finding]:
    """What the kiln gets from its plug, where it is not what its plate says."""
    got = firing.supply
    if got is None:
        return []
    rated = replace(firing, kiln=replace(firing.kiln, wear=got.wear), supply=None)
    peak = max(range(len(firing.segments)), key=lambda k: firing.segments[k].target_c)
    there_min = [planned(one).ramp_end_s[peak] / 60.0 for one in (firing, rated)]
    late_min = round(there_min[0] - there_min[1])
    needs = got.needs_circuit_a
    found = [
        finding(
            "supply",
            firing.kiln.name,
            volts=got.volts_at_kiln,
            amps=got.amps,
            power_kw=got.power_kw,
            rated_kw=got.rated_kw,
            rated_volts=got.rated_volts,
            later=f"{abs(late_min)} min {'later' if late_min >= 0 else 'sooner'}",
            circuit=wording("supply", "none" if needs is None else "needs", amps=needs),
        )
    ]
    if got.circuit_a is not None and got.amps > got.circuit_a:
        found.append(
            finding(
                "supply-trips",
                firing.kiln.name,
                amps=got.amps,
                circuit_a=got.circuit_a,
                needs="more than 125" if needs is None else needs,
            )
        )
    return found


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
