"""Odd files, glazes and words: no traceback, no nan, no warning, no lost byte, one of three codes.

The same cases each time; ``long_run.py`` tries new ones for as long as you like.
"""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from inputs import MAKERS
from run_program import Case, Ran, tried, wrongs

#: Cases of a kind in one test, and how many tests there are of it.
_CASES, _TESTS = {"file": 12, "glaze": 5, "words": 16}, 5


@pytest.mark.parametrize("seed", range(_TESTS))
@pytest.mark.parametrize("kind", sorted(MAKERS))
def test_odd_input_is_answered_or_refused(kind: str, seed: int) -> None:
    rng = Random(f"{kind} {seed}")
    for _ in range(_CASES[kind]):
        case = MAKERS[kind](rng)
        assert tried(case) == [], case.to_json()


@settings(max_examples=30, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
@given(st.randoms(use_true_random=False))
def test_the_smallest_changes_of_files(rng: Random) -> None:
    """As above, with cases that hypothesis chooses and makes small."""
    case = MAKERS["file"](rng)
    assert tried(case) == [], case.to_json()


@pytest.mark.parametrize(
    ("ran", "wrong"),
    [
        (Ran(70, "", "", []), "left with 70"),
        (Ran(2, "", "", []), "refused without a word"),
        (Ran(0, "stress, MPa   +nan\n", "", []), "printed “+nan”"),
        (Ran(0, '{"odds": Infinity}', "", []), "printed “Infinity”"),
        (Ran(1, "\x1b[31mno", "", []), "control characters"),
        (Ran(0, "", "", ["RuntimeWarning: divide"]), "warned"),
        (Ran(0, "", "Traceback (most recent call last)", []), "a traceback"),
    ],
)
def test_the_harness_sees_what_it_looks_for(ran: Ran, wrong: str) -> None:
    (found,) = wrongs(Case(["formula"]), ran, {}, {})
    assert wrong in found


def test_the_harness_sees_what_is_lost() -> None:
    before = {"recipes/a.toml": b"kaolin = 1\n", "recipes/history/a.toml": b"kept\n"}
    good = Ran(0, "", "", [])
    after = {"recipes/a.toml": b"kaolin = 2\n", "recipes/history/a.toml": b"kept\nkaolin = 1\n"}
    assert wrongs(Case([]), good, before, after) == []
    for other in (
        {"recipes/a.toml": b"kaolin = 2\n", "recipes/history/a.toml": b"kept\n"},
        {"recipes/history/a.toml": b"kept\n"},
        before | {"recipes/history/a.toml": b"new\n"},
        before | {"recipes/.a.toml.x2y": b""},
    ):
        assert len(wrongs(Case([]), good, before, other)) == 1
