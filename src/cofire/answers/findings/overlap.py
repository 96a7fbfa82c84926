"""Findings about two glazes over each other."""

from __future__ import annotations

from collections.abc import Sequence

from cofire.answers.findings.texts import finding
from cofire.findings import Finding
from cofire.model.overlap import Overlap
from cofire.words import percent

#: Odds of running, where glazes overlap, or crazing, that are reported; our choice.
_OVERLAP_RUNS = 0.3
_MAY_CRAZE = {"crackle", "lustre"}


def overlap_findings(over: Sequence[Overlap], alone: float, odds: float) -> list[Finding]:
    """Where two glazes over each other run although neither does alone."""
    findings = []
    for one in over:
        if one.crazes is not None and not {one.first.surface, one.second.surface} & _MAY_CRAZE:
            worst, ends = float(one.crazes.max()), max(one.crazes[0], one.crazes[-1])
            if worst >= _OVERLAP_RUNS and worst > 2.0 * ends:
                findings.append(
                    finding(
                        "overlap-crazes", one.first.name, other=one.second.name, odds=percent(worst)
                    )
                )
        at = one.worst
        if one.runs[at] < _OVERLAP_RUNS or alone > 1.0 - odds:
            continue
        share = 100.0 * float(one.share_of_second[at])
        what = (
            f"{100 - share:.0f} : {share:.0f} mixed"
            if 0.0 < share < 100.0
            else "even one alone, twice as thick"
        )
        findings.append(
            finding(
                "overlap-runs",
                one.first.name,
                other=one.second.name,
                coat_mm=one.coat_fired_mm,
                odds=percent(float(one.runs[at])),
                what=what,
            )
        )
    return findings
