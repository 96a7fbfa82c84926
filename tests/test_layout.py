"""Tests stand where their subject stands, and say nothing about how long anything takes."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

TESTS = Path(__file__).parent
SRC = TESTS.parent / "src" / "cofire"
#: Folders of tests that hold no tests: numbers of other people, and what is measured by hand.
NO_TESTS = {"published", "bench"}
#: Folders of tests that are about the whole program.
WHOLE = {"hostile", "book"}
#: Packages of records alone, which are tested where they are filled.
NO_CODE = {"answers/results"}

PACKAGES = sorted(
    str(folder.relative_to(SRC)) for folder in SRC.rglob("*")
    if folder.is_dir() and any(folder.glob("*.py"))
)  # fmt: skip
FILES = sorted(path.relative_to(TESTS) for path in TESTS.rglob("test_*.py"))


@pytest.mark.parametrize("path", FILES, ids=str)
def test_tests_lie_in_a_package_that_there_is(path: Path) -> None:
    here = (SRC / path.parent).is_dir() or path.parts[0] in WHOLE
    assert here, f"there is no src/cofire/{path.parent}"
    assert path.parts[0] not in NO_TESTS


@pytest.mark.parametrize("package", PACKAGES)
def test_every_package_has_tests(package: str) -> None:
    assert package in NO_CODE or any((TESTS / package).glob("test_*.py"))


def test_what_is_left_out_is_there() -> None:
    """An exception for what is gone would hide what comes by its name."""
    assert all((SRC / package).is_dir() for package in NO_CODE)
    assert all((TESTS / folder).is_dir() for folder in NO_TESTS | WHOLE)


def test_no_name_is_used_twice() -> None:
    """Test files are modules without packages: two of a name would be one."""
    names = [path.name for path in FILES]
    assert sorted(names) == sorted(set(names))


@pytest.mark.parametrize("path", FILES, ids=str)
def test_nothing_fails_for_being_slow(path: Path) -> None:
    """Time is measured in tests/bench; here work is counted."""
    text = (TESTS / path).read_text("utf-8")
    clocks = r"\bimport time\b|perf_" r"counter|\.monotonic\(|process_" r"time|time" r"out="
    assert not re.findall(clocks, text)
