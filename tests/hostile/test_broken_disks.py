"""A disk that fails, or a kill, at any call of a writer: what was there is whole, or what is new
is."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest
from broken_disks import WRITERS, calls_of, faults, killed_after, killed_at, time_of, with_fault


@pytest.mark.parametrize("name", sorted(WRITERS))
def test_a_disk_that_fails_loses_nothing(name: str) -> None:
    for at, number in faults(name):
        assert with_fault(name, at, number) == []


@pytest.mark.parametrize("name", sorted(WRITERS))
def test_a_kill_between_two_calls_loses_nothing(name: str) -> None:
    for at in range(len(calls_of(name))):
        assert killed_at(name, at) == []


@pytest.mark.parametrize("name", ["set", "keep", "read", "PDF", "swap"])
def test_a_kill_at_any_time_loses_nothing(name: str) -> None:
    usual_s = time_of(name)
    for seed in range(6):
        assert killed_after(name, Random(f"{name} {seed}"), usual_s) == []


def _in_place(path: Path, was: str | None, text: str, *_: object) -> None:
    path.write_text(text, "utf-8")


@pytest.mark.parametrize("stop", [with_fault, lambda name, at, _: killed_at(name, at)])
def test_a_writer_that_writes_in_place_is_caught(
    stop: Callable[[str, int, int], list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    for module in ("answers.set_amount", "files.recipe_history"):
        monkeypatch.setattr(f"cofire.{module}.rewrite", _in_place)
    wrong = [one for at, number in faults("set") for one in stop("set", at, number)]
    assert any("the studio is broken" in one for one in wrong)
