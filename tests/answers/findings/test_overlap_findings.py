"""Overlaps that are worth a word, made by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cofire.answers.findings.overlap import overlap_findings
from cofire.files.library import Library
from cofire.model.overlap import Overlap

LIB = Library()
SHARES = np.array([0.0, 0.25, 0.5, 1.0])


def over(runs: list[float], crazes: list[float] | None = None) -> Overlap:
    pair = LIB.recipe("frit-gloss"), LIB.recipe("satin-white")
    crazed = None if crazes is None else np.array(crazes)
    return Overlap(*pair, 0.5, SHARES, np.array(runs), crazed)


def told(one: Overlap, alone: float = 0.0) -> dict[str, str]:
    return {f.code: f.message for f in overlap_findings([one], alone, 0.8)}


def test_a_mixture_that_runs_is_named_by_its_shares() -> None:
    assert told(over([0.0, 0.1, 0.2, 0.0])) == {}
    message = told(over([0.1, 0.7, 0.5, 0.0]))["overlap-runs"]
    assert "75 : 25" in message and "70 %" in message
    assert "twice as thick" in told(over([0.6, 0.2, 0.1, 0.0]))["overlap-runs"]
    assert told(over([0.1, 0.7, 0.5, 0.0]), alone=0.3) == {}  # it runs alone already


def test_a_mixture_that_crazes_though_neither_does() -> None:
    calm = [0.0] * 4
    assert "overlap-crazes" in told(over(calm, [0.1, 0.5, 0.4, 0.1]))
    assert told(over(calm, [0.4, 0.5, 0.4, 0.1])) == {}  # hardly more than the first alone
    assert told(over(calm, [0.0, 0.2, 0.1, 0.0])) == {}
    crackle = replace(LIB.recipe("satin-white"), surface="crackle")
    meant = replace(over(calm, [0.1, 0.5, 0.4, 0.1]), second=crackle)
    assert told(meant) == {}
