"""What a long hold does, against the hours and temperatures of histories written by hand."""

from __future__ import annotations

from dataclasses import replace
from statistics import NormalDist
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from cofire import glass
from cofire.answers.findings import long_hold
from cofire.answers.findings.long_hold import crystal_findings, odds_below, vapour_findings
from cofire.chem.oxides import INDEX, OXIDES
from cofire.files.library import Library
from cofire.findings import Finding
from cofire.model.analysis import analyse

LIB = Library()


def held(hours: float, at_c: float) -> tuple[np.ndarray, np.ndarray]:
    """Five hours up, then a hold, a minute each."""
    time_min = np.arange(0.0, 300.0 + 60.0 * hours + 0.5)
    return 60.0 * time_min, np.interp(time_min, [0.0, 300.0], [20.0, at_c])


def crystals(surface: str, hours: float, at_c: float) -> list[Finding]:
    recipe = replace(LIB.recipe("frit-gloss"), surface=surface)
    return crystal_findings(recipe, glass.prepare(analyse(recipe).mol[None]), *held(hours, at_c))


def vapours(name: str, hours: float, at_c: float) -> dict[str, Finding]:
    recipe = LIB.recipe(name)
    found = vapour_findings(recipe, analyse(recipe), *held(hours, at_c))
    return {one.code: one for one in found}


@pytest.mark.parametrize("depth_c", [-60.0, 0.0, 25.0, 30.0, 100.0])
def test_odds_below_a_liquidus_are_normal(depth_c: float) -> None:
    assert odds_below(depth_c, 30.0) == pytest.approx(NormalDist(0.0, 30.0).cdf(depth_c))


def test_a_matte_held_hot_is_told_for_how_long() -> None:
    """A soft frit glaze has no crystals at 1300 °C; some minutes of the way up are near it."""
    (said,) = crystals("matte", 2.0, 1300.0)
    assert said.code == "too-hot-for-crystals" and "near 1300 °C" in said.message
    assert 2.0 <= float(said.message.split(" h near")[0].split()[-1]) <= 2.1
    assert crystals("matte", 0.2, 1300.0) == [] == crystals("gloss", 2.0, 1300.0)


def test_vapours_leave_in_hours_and_not_in_minutes() -> None:
    """Of soft frits; of the way up to 950 °C half an hour is above 850."""
    assert "3.5 h" in vapours("clear-crackle", 3.0, 950.0)["vapours"].message
    assert vapours("clear-crackle", 0.9, 950.0) == {} == vapours("clear-crackle", 5.0, 840.0)


def made_up(
    monkeypatch: pytest.MonkeyPatch,
    surface: str,
    *,
    over_c: float,
    hold_min: float = 60.0,
    grown_um: float = 500.0,
) -> Finding | None:
    """A hold at 900 °C, ``over_c`` below a liquidus that is known to 50 °C."""
    liquidus = SimpleNamespace(value=np.array([900.0 + over_c]), sd=np.array([50.0]),
                               low=np.array([880.0]), high=np.array([990.0]))  # fmt: skip
    eta = SimpleNamespace(log10_eta=lambda t_c: np.full(np.shape(t_c), 4.0))
    models = SimpleNamespace(liquidus=lambda _: liquidus, viscosity=lambda _: eta)
    monkeypatch.setattr(long_hold, "glass", models)
    monkeypatch.setattr(long_hold, "growth_um", lambda *_: np.array([grown_um]))
    time_s = 60.0 * np.array([0.0, 100.0, 100.0 + hold_min])
    recipe = replace(LIB.recipe("frit-gloss"), surface=surface)
    melt: Any = None
    found = crystal_findings(recipe, melt, time_s, np.array([20.0, 880.0, 900.0]))
    return found[0] if found else None


@pytest.mark.parametrize(
    ("over_c", "severity"), [(33.0, None), (34.0, "note"), (100.0, "note"), (101.0, "caution")]
)
def test_a_clear_glaze_clouds_with_three_quarters(
    monkeypatch: pytest.MonkeyPatch, over_c: float, severity: str | None
) -> None:
    """0.75 of a normal distribution lie below 0.6745 of its spread: 33.7 of 50 °C. A hundred below
    is deep."""
    for surface in ("gloss", "crackle"):
        found = made_up(monkeypatch, surface, over_c=over_c)
        assert (found.severity if found else None) == severity
        assert found is None or found.code == "may-cloud"
    assert made_up(monkeypatch, "satin", over_c=over_c) is None
    assert made_up(monkeypatch, "matte", over_c=over_c) is None


def test_crystals_are_seen_from_a_tenth_of_a_millimetre(monkeypatch: pytest.MonkeyPatch) -> None:
    assert made_up(monkeypatch, "gloss", over_c=80.0, grown_um=99.0) is None
    assert made_up(monkeypatch, "gloss", over_c=80.0, grown_um=100.0) is not None


@pytest.mark.parametrize(("over_c", "told"), [(-1.0, True), (0.0, False), (1.0, False)])
def test_a_matte_is_too_hot_where_the_liquidus_is_likelier_below(
    monkeypatch: pytest.MonkeyPatch, over_c: float, told: bool
) -> None:
    found = made_up(monkeypatch, "matte", over_c=over_c)
    assert (found is not None) == told
    if found:
        assert found.code == "too-hot-for-crystals"
        assert "1.0 h near 900 °C" in found.message
        assert "(about 899 °C, 880 to 990)" in found.message


@pytest.mark.parametrize(("minutes", "told"), [(29.0, False), (30.0, True)])
def test_half_an_hour_is_long(monkeypatch: pytest.MonkeyPatch, minutes: float, told: bool) -> None:
    """The moment at 880 °C is 20 °C off and no part of the hold."""
    assert (made_up(monkeypatch, "gloss", over_c=80.0, hold_min=minutes) is not None) == told


def gives_off(loi: float = 0.0, hours: float = 2.0, at_c: float = 851.0, **wt: float) -> Any:
    """Vapours of a glaze of these oxides, fired wt %, held so long."""
    oxides = np.zeros(len(OXIDES))
    for oxide, share in wt.items():
        oxides[INDEX[oxide]] = share
    analysis: Any = SimpleNamespace(oxides_wt_percent=oxides, loi_percent=loi)
    history = 3600.0 * np.array([0.0, 1.0, 1.0 + hours]), np.array([20.0, 850.0, at_c])
    return {f.code: f for f in vapour_findings(LIB.recipe("frit-gloss"), analysis, *history)}


@pytest.mark.parametrize(
    ("oxide", "least", "severity"),
    [("B2O3", 12.0, "note"), ("Na2O", 12.0, "note"), ("K2O", 10.0, "note"), ("Li2O", 4.0, "note"),
     ("PbO", 5.0, "warning")],
)  # fmt: skip
def test_what_evaporates_and_from_how_much_on(oxide: str, least: float, severity: str) -> None:
    assert gives_off(**{oxide: least - 0.1}) == {}
    found = gives_off(**{oxide: least})
    assert set(found) == {"vapours"} and found["vapours"].severity == severity
    assert oxide in found["vapours"].message and "2.0 h" in found["vapours"].message
    assert ("poison" in found["vapours"].message) == (oxide == "PbO")


@pytest.mark.parametrize(
    ("loi", "wt", "what"),
    [(15.0, {"F": 0.4, "Bi2O3": 4.9}, None), (15.5, {}, "the gas of its raw materials"),
     (0.0, {"F": 0.5}, "F"), (0.0, {"Bi2O3": 5.0}, "Bi2O3"),
     (15.5, {"F": 0.5, "Bi2O3": 5.0}, "F and Bi2O3")],
)  # fmt: skip
def test_what_blisters(loi: float, wt: dict[str, float], what: str | None) -> None:
    found = gives_off(loi, **wt)
    assert set(found) == (set() if what is None else {"blisters"})
    if what is not None:
        assert what in found["blisters"].message


def test_an_hour_and_a_half_above_850_counts() -> None:
    assert gives_off(hours=1.5, PbO=50.0) and not gives_off(hours=1.4, PbO=50.0)
    assert not gives_off(hours=9.0, at_c=850.0, PbO=50.0)
