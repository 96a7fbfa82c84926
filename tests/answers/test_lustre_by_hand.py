"""Windows of lustres, with curves of viscosity that are straight lines."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from cofire.answers.lustre import WINDOWS, _amount, _doubt_c, _spans, _window_c
from cofire.glass.estimate import Z90
from cofire.model.standard_draws import normals


class Line:
    """One decade in 50 °C: 10^12 at ``at_12_c``; its width is 0.5 decades."""

    def __init__(self, at_12_c: float) -> None:
        self.at_12_c = at_12_c

    def isokom(self, level: float) -> Any:
        return np.array([self.at_12_c + 50.0 * (12.0 - level)])

    def slope(self, t_c: Any) -> Any:
        return np.full(len(t_c), -1.0 / 50.0)

    def width(self, t_c: Any, level: float) -> Any:
        return np.full(len(t_c), 0.5 if level == 0.9 else np.nan)


def draws(at_12_c: float = 500.0, errors: tuple[float, ...] = (0.0, 1.0, -2.0)) -> Any:
    return SimpleNamespace(
        curve=Line(at_12_c), pick=np.zeros(len(errors), dtype=int), n=len(errors),
        viscosity_error=np.array(errors),
    )  # fmt: skip


def test_doubt_of_viscosity_as_degrees() -> None:
    """Half a decade is 25 °C on a line of 50 °C a decade."""
    assert _doubt_c(draws(), 10.0) == pytest.approx([0.0, 25.0, -50.0])


@pytest.mark.parametrize(
    ("process", "from_c", "to_c"), [("paste", 500.0, 725.0), ("glaze", 525.0, 800.0)]
)
def test_a_window_lies_between_two_viscosities(process: Any, from_c: float, to_c: float) -> None:
    """10^12 to 10^7.5 under a paste: 4.5 decades of 50 °C. Both ends are off together by 75 °C
    (90 %)."""
    off = 75.0 / Z90 * normals("lustre ends", 5)
    moves, sticks = _window_c(draws(errors=(0.0,) * 5), process)
    assert moves == pytest.approx(from_c + off)
    assert sticks == pytest.approx(to_c + off)


@pytest.mark.parametrize("at_12_c", [500.0, 590.0, 700.0])
def test_resinates_keep_to_what_their_makers_print(at_12_c: float) -> None:
    """From 600 °C at least, up to 780 °C at most, however soft or stiff the glaze."""
    off = 75.0 / Z90 * normals("lustre ends", 5)
    moves, sticks = _window_c(draws(at_12_c, errors=(0.0,) * 5), "resinate")
    assert moves == pytest.approx(np.maximum(at_12_c + off, 600.0))
    assert sticks == pytest.approx(np.clip(at_12_c + 225.0 + off, 600.0, 780.0))
    assert WINDOWS["resinate"] == WINDOWS["paste"]


def test_doubt_moves_each_draw() -> None:
    moves, sticks = _window_c(draws(), "paste")
    off = 75.0 / Z90 * normals("lustre ends", 3)
    assert moves == pytest.approx(500.0 + np.array([0.0, 25.0, -50.0]) + off)
    assert sticks - moves == pytest.approx(225.0)


def test_when_a_kiln_is_between_two_temperatures() -> None:
    """Up by 100 °C an hour to 800 °C and down: 500 to 600 °C from 5 to 6 h and from 10 to 11 h."""
    time_min, t_c = np.array([0.0, 480.0, 960.0]), np.array([0.0, 800.0, 0.0])
    (a, b), (c, d) = _spans(time_min, t_c, 500.0, 600.0)
    assert (a, b, c, d) == pytest.approx((300.0, 360.0, 600.0, 660.0), abs=0.2)
    assert _spans(time_min, t_c, 850.0, 900.0) == ()
    ((a, b),) = _spans(time_min, t_c, 700.0, 900.0)
    assert (a, b) == pytest.approx((420.0, 540.0), abs=0.2)
    ((a, b),) = _spans(time_min, t_c, -10.0, 900.0)
    assert (a, b) == (0.0, 960.0)


def test_how_much_metal_is_usual() -> None:
    assert _amount(0.4, 0.5, 5.0) == "little: 0.5 to 5 % is usual"
    assert _amount(0.5, 0.5, 5.0) == _amount(5.0, 0.5, 5.0) == "usual (0.5 to 5 %)"
    assert _amount(5.1, 0.5, 5.0).startswith("much: more than the usual 0.5 to 5 %")
