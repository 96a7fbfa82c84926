"""A kiln's plug and cable by Ohm's law."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.answers.firing import firing_answer
from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.firing.supply import supplied
from cofire.model.conditions import Conditions

LIB = Library()


def test_power_goes_with_the_square_of_volts() -> None:
    got = supplied(3.6, 230.0, 0.0, 207.0)
    assert got.power_kw == pytest.approx(3.6 * 0.81)
    assert got.amps == pytest.approx(3600.0 / 230.0 * 0.9)
    assert got.volts_at_kiln == pytest.approx(207.0)
    assert got.needs_circuit_a == 16


def test_a_cable_is_a_resistance_in_line() -> None:
    """By hand: 14.69 Ω of elements, 2 x 50 m of copper at 0.02 Ω mm²/m over 1.5 mm²: 1.333 Ω."""
    got = supplied(3.6, 230.0, 0.0, None, None, 50.0, 1.5)
    amps = 230.0 / (230.0**2 / 3600.0 + 4.0 / 3.0)
    assert got.amps == pytest.approx(amps)
    assert got.volts_at_kiln == pytest.approx(230.0 - amps * 4.0 / 3.0)


def test_worn_elements_draw_less() -> None:
    new, worn = (supplied(3.6, 230.0, wear) for wear in (0.0, 0.1))
    assert worn.power_kw == pytest.approx(0.9 * new.power_kw)
    assert worn.amps == pytest.approx(0.9 * new.amps)


def test_the_rated_supply_changes_nothing() -> None:
    plain = Conditions.read(LIB, firing="raku-workshop").firing
    rated = Conditions.read(LIB, firing="raku-workshop", volts="230 V").firing
    assert plain is not None and rated is not None
    assert rated.kiln.wear == pytest.approx(plain.kiln.wear)


def said(**asked: str) -> dict[str, str]:
    at = Conditions.read(LIB, firing="raku-workshop", **asked)  # type: ignore[arg-type]
    return {f.code: f.message for f in firing_answer(LIB, [], at).findings}


def test_low_volts_make_the_peak_late_and_a_small_circuit_trips() -> None:
    at = [Conditions.read(LIB, firing="raku-workshop", volts=v) for v in ("230", "207")]
    first, later = (firing_answer(LIB, [], one).openings[0].at_min for one in at)
    assert later > first + 10.0
    assert "later" in said(volts="207")["supply"]
    assert "supply-trips" in said(volts="230", amps="13")
    assert "supply-trips" not in said(volts="230", amps="16")


@pytest.mark.parametrize(
    "asked",
    [
        {"volts": "150"},  # the peak does not come
        {"volts": "five"},
        {"cable": "30 m"},
        {"cable": "30 m of 0.1 mm2"},
        {"kiln": "gas-raku", "volts": "230"},
        {"kiln": "studio-brick", "volts": "230"},  # its file does not say its volts
    ],
)
def test_what_cannot_be_is_said(asked: dict[str, str]) -> None:
    with pytest.raises(CofireError) as error:
        said(**asked)
    assert error.value.hint
    assert np.isfinite(len(error.value.message))
