"""Curves of clays as a dilatometer gives them."""

from __future__ import annotations

import numpy as np
import pytest

from cofire.errors import CofireError
from cofire.files.library import Library
from cofire.model.body_draws import draw_body

LIB = Library()
BODY = """
name = "test clay"
source = "test"
[expansion]
{expansion}
[stiffness]
youngs_modulus_gpa = [15, 20]
poisson = [0.18, 0.20]
"""


def body(cofire, expansion: str):  # type: ignore[no-untyped-def]
    return LIB.body(cofire.write("clay.toml", BODY.format(expansion=expansion)))


@pytest.mark.parametrize(
    ("header", "unit"),
    [
        ("temperature (C),dL/L0 (%)", 1e-2),
        ("Temp (C),dL/L0 (ppm)", 1e-6),
        ("T (C),strain (mm/m)", 1e-3),
        ("T (C),dL/L0 (10^-6)", 1e-6),
        ("T (C),dL/L0 (µm/m)", 1e-6),
        ("T (C),dL/L0 (1e-3)", 1e-3),
        ("T (C),dL/L0 (1)", 1.0),
        ("T (C),dL/L0 (mm/mm)", 1.0),
    ],
)
def test_a_dilatometers_curve_is_taken_as_measured(cofire, header: str, unit: float) -> None:  # type: ignore[no-untyped-def]
    rows = [f"{t},{6.3e-6 * (t - 25) / unit:.9g}" for t in range(25, 651, 25)]
    cofire.write("clay.csv", "\n".join([header, *rows]))
    read = body(cofire, 'curve = "clay.csv"\ncurve_error_percent = 0')
    strain = draw_body(read).some(3).strain(np.array([100.0, 500.0, 640.0]))
    assert strain == pytest.approx(6.3e-6 * np.array([80.0, 480.0, 620.0]), rel=1e-6)


def test_fahrenheit_is_read_as_such(cofire) -> None:  # type: ignore[no-untyped-def]
    rows = [f"{1.8 * t + 32:.1f},{6.3e-4 * (t - 20):.9g}" for t in range(20, 651, 30)]
    cofire.write("clay.csv", "\n".join(["temperature (F),dL/L0 (%)", *rows]))
    read = body(cofire, 'curve = "clay.csv"\ncurve_error_percent = 0')
    assert draw_body(read).some(1).alpha_to(np.array([500.0]))[0] == pytest.approx(6.3, rel=1e-3)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "temperature (C),dL/L0 (ppm)\n20,0\n100,0.05\n300,0.17\n500,0.30\n600,0.36\n",
            "impossible for clay",
        ),
        (
            "temperature (C),dL/L0 (%)\n20,0\n100,0.05\n90,0.17\n500,0.30\n600,0.36\n",
            "falls or stays",
        ),
        ("temperature (C),dL/L0 (%)\n20,0\n100,0.05\n200,0.1\n250,0.13\n300,0.17\n", "450 °C"),
        ("temperature,dL/L0 (%)\n20,0\n100,0.05\n300,0.1\n400,0.2\n500,0.30\n", "°C or °F"),
        ("temperature (C),dL/L0\n20,0\n100,0.05\n300,0.1\n400,0.2\n500,0.30\n", "unit"),
        ("temperature (C),dL/L0 (%)\n20,0\n100,x\n300,0.1\n400,0.2\n500,0.30\n", "not a number"),
        ("temperature (C),dL/L0 (%)\n20,0\n100,0.05\n300,nan\n400,0.2\n500,0.30\n", "not a number"),
        (
            "temperature (C),dL/L0 (%)\n20,0\n100,0.05\n300,1.9\n400,0.2\n500,0.3\n",
            "impossible for clay",
        ),
        (
            "temperature (C),dL/L0 (%)\n20,0\n23,0\n60,0.02\n90,0.04\n600,0.36\n",
            "no readings between",
        ),
    ],
)
def test_curves_that_cannot_be_true(cofire, text: str, said: str) -> None:  # type: ignore[no-untyped-def]
    cofire.write("clay.csv", text)
    with pytest.raises(CofireError) as error:
        body(cofire, 'curve = "clay.csv"')
    assert said in f"{error.value.message} {error.value.hint}"
    assert "clay.csv" in str(error.value.place)


@pytest.mark.parametrize(
    ("alpha", "taken"), [(0.99, False), (1.01, True), (29.7, True), (30.3, False)]
)
def test_a_clay_shrinks_by_1_to_30_millionths_a_degree(cofire, alpha: float, taken: bool) -> None:  # type: ignore[no-untyped-def]
    """Mean expansion from 20 °C, at 200 °C already: 1.01e-6/K are 0.01818 % of length there."""
    rows = [f"{t},{1e-4 * alpha * (t - 20):.6f}" for t in (20, 110, 200, 300, 400, 500)]
    cofire.write("clay.csv", "\n".join(["temperature (C),dL/L0 (%)", *rows]))
    if taken:
        assert body(cofire, 'curve = "clay.csv"').curve is not None
    else:
        with pytest.raises(CofireError, match="impossible for clay"):
            body(cofire, 'curve = "clay.csv"')


def test_noise_at_the_ends_does_not_decide(cofire) -> None:  # type: ignore[no-untyped-def]
    """A logger every half degree with 0.002 % of noise: the same clay as without."""
    rng = np.random.default_rng(1)
    t = np.arange(25.0, 470.0, 0.5)
    noisy = 6.1e-4 * (t - 20.0) + 0.002 * rng.standard_normal(len(t))
    rows = [f"{a:.1f},{b:.5f}" for a, b in zip(t, noisy, strict=True)]
    cofire.write("clay.csv", "\n".join(["temperature (C),dL/L0 (%)", *rows]))
    read = body(cofire, 'curve = "clay.csv"\ncurve_error_percent = 0')
    for t_c in (460.0, 560.0):
        alpha = draw_body(read).some(1).alpha_to(np.array([t_c]))[0]
        assert alpha == pytest.approx(6.1, abs=0.3)


def test_a_measured_curve_keeps_its_shape_when_tiles_are_read(cofire) -> None:  # type: ignore[no-untyped-def]
    rows = [f"{t},{0.0006 * (t - 20) + (0.15 if t > 226 else 0):.4f}" for t in range(20, 701, 4)]
    cofire.write("clay.csv", "\n".join(["temperature (C),dL/L0 (%)", *rows]))
    draws = draw_body(body(cofire, 'curve = "clay.csv"')).some(5)
    same = draws.with_alpha(1e4 * (0.0006 * 480 + 0.15) / 480.0)
    for t_c in (200.0, 300.0, 500.0):
        strain = same.strain(np.full(5, t_c))[0]
        assert strain == pytest.approx(0.01 * (0.0006 * (t_c - 20) + 0.15 * (t_c > 226)), rel=0.02)
