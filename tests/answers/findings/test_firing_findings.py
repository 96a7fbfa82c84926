"""What a plan asks of its kiln beyond what that can do, by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cofire.answers.findings.firing import speed_findings
from cofire.files.library import Library
from cofire.records import Firing

SLOW = Library().firing("earthenware-cone-04")  # 150 °C/h to 960 °C, 60 °C/h to 1063 °C


def codes(firing: Firing) -> set[str]:
    return {f.code for f in speed_findings(firing)}


def at_rate(c_per_h: float) -> Firing:
    first, *rest = SLOW.segments
    return replace(SLOW, segments=(replace(first, rate_c_per_h=c_per_h), *rest))


@pytest.mark.parametrize(("c_per_h", "slow"), [(150.0, False), (250.0, False), (600.0, True)])
def test_a_ramp_beyond_the_kiln_is_told(c_per_h: float, slow: bool) -> None:
    """900 °C/h cold, 200 °C/h at 1100 °C: 900 - 700 × 940/1080 = 291 °C/h at 960 °C."""
    assert ("kiln-too-slow" in codes(at_rate(c_per_h))) == slow


def test_a_peak_above_what_the_kiln_is_for_is_told() -> None:
    assert "above-the-kiln" not in codes(SLOW)
    weak = replace(SLOW.kiln, top_c=1050.0)
    assert "above-the-kiln" in codes(replace(SLOW, kiln=weak))


def test_a_kiln_that_was_logged_needs_no_source() -> None:
    logged = replace(SLOW.kiln, source="logged by us")
    assert "firing-source" in codes(SLOW)
    assert "firing-source" not in codes(replace(SLOW, kiln=logged))
