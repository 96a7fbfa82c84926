"""Files of plain lines are read by a shortcut: it says what Python's own reader of TOML says."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cofire.files.toml import _of_plain_lines

ROOT = Path(__file__).parents[2]
SHIPPED = sorted(p for kind in ("materials", "recipes") for p in (ROOT / kind).rglob("*.toml"))


def agrees(text: str) -> bool:
    """Whether the shortcut read the text; fails where it says anything else than ``tomllib``."""
    short = _of_plain_lines(text)
    try:
        told = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        told = None
    if short is not None:
        assert repr(short) == repr(told)  # also tells 1 from 1.0 and from true
    return short is not None


@pytest.mark.parametrize("path", SHIPPED, ids=lambda p: p.name)
def test_shipped_files(path: Path) -> None:
    assert agrees(path.read_text("utf-8")) or "firings" in path.parts


PIECES = (
    'a = "x"', "a = 1", "b = 1.50", "b = -0.0", "c = [1, 2.5]", 'c = ["p", "q"]', "[t]", "[u]",
    "d = { x = 1, y = 2.5 }", "d = { x = 1, x = 2 }", "# said", "", '"a b" = 3', '"a" = 4',
    "a.b = 1", "[t.s]", "[[t]]", "e = 01", "e = 1_000", "e = +1", "e = .5", "e = 1.", "e = 1e3",
    "e = inf", "e = nan", "e = null", "e = NaN", "e = Infinity", "e = 0x1F", "e = 1979-05-27",
    "e = true", "e = True", "e = [1,]", "e = [ 1 ]", "e = []", "e = {}", "e = { x = 1, }",
    'e = { x = "1" }', "e = 'x'", 'e = "a\\nb"', 'e = "a', 'e = """', '"""', "e = 5 # five",
    'e = "# no" # yes', "[t] # here", "  a = 1", "\tf = 2", "f = \"\tx\"", "f =", "= 3", "[t",
    "t = 1", "a = 1 b = 2", "f = [[1]]", "f = {x=1,y=2}", 'f = "ü釉"', "ü = 1", "f = 1\r",
    "f = \"\x7f\"", "# \x00", '"" = 1', "f = 99999999999999999999", "f = 1.7976931348623157e999",
    "f = [true, false]", "[a]", "[ t ]", '["t"]', "f = -5", "f = - 5", "\u2028", "f = 1\u00a0",
)  # fmt: skip


@given(st.lists(st.sampled_from(PIECES), max_size=8).map("\n".join))
def test_lines_of_all_kinds(text: str) -> None:
    agrees(text)


@given(st.text(alphabet='ab01."[]{}=,# \n\t-_\\', max_size=40))
def test_any_text(text: str) -> None:
    agrees(text)
