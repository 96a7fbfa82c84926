"""Curves of clays worked by hand: where they are zero, and what no clay does."""

from __future__ import annotations

from pathlib import Path

import pytest

from cofire.errors import CofireError
from cofire.files.dilatometer import DilatometerCurve, read_curve

HEAD = "temperature (C),dL/L0 (1)"
#: 8 millionths a degree from 20 °C on.
STRAIGHT = [(t, 8e-6 * (t - 20.0)) for t in (20.0, 100.0, 200.0, 300.0, 400.0, 500.0)]


def read(folder: Path, points: list[tuple[float, float]], head: str = HEAD) -> DilatometerCurve:
    path = folder / "clay.csv"
    path.write_text("\n".join([head, *(f"{t:.10g},{s:.10g}" for t, s in points)]) + "\n")
    return read_curve(path)


def refused(folder: Path, points: list[tuple[float, float]], head: str = HEAD) -> CofireError:
    with pytest.raises(CofireError) as error:
        read(folder, points, head)
    return error.value


@pytest.mark.parametrize(
    ("unit", "one"),
    [("%", 0.01), ("percent", 0.01), ("ppm", 1e-6), ("um/m", 1e-6), ("µm/m", 1e-6),
     ("μm/m", 1e-6), ("mm/m", 1e-3), ("1e-6", 1e-6), ("10^-6", 1e-6), ("1e-3", 1e-3),
     ("10^-3", 1e-3), ("1", 1.0), ("m/m", 1.0), ("mm/mm", 1.0), ("-", 1.0)],
)  # fmt: skip
def test_units_of_length(tmp_path: Path, unit: str, one: float) -> None:
    curve = read(tmp_path, [(t, s / one) for t, s in STRAIGHT], f"Temp. [°C],dL/L0 [{unit}]")
    assert list(curve.strain) == pytest.approx([s for _, s in STRAIGHT], abs=1e-12)


def test_fahrenheits_become_degrees(tmp_path: Path) -> None:
    """212 °F are 100 °C, 932 °F are 500 °C; columns may stand the other way round."""
    points = [(8e-6 * (t - 20.0), 1.8 * t + 32.0) for t, _ in STRAIGHT]
    curve = read(tmp_path, points, "delta L (1),T (°F)")
    assert list(curve.t_c) == pytest.approx([20.0, 100.0, 200.0, 300.0, 400.0, 500.0])
    assert list(curve.strain) == pytest.approx([s for _, s in STRAIGHT], abs=1e-9)


REST = [(t, 8e-6 * (t - 20.0)) for t in (180.0, 290.0, 400.0, 500.0)]


@pytest.mark.parametrize(
    ("start", "at_20"),
    [
        # colder than the first reading it goes on with the slope of the first 50 degrees:
        # 4e-6 from 30 to 80 °C, so at 20 °C it stood 4e-5 below the first
        ([(30.0, 0.0), (55.0, 1e-4), (80.0, 2e-4), (81.0, 9e-4)], -4e-5),
        # or that of the first two readings, 7e-4 in 70 degrees
        ([(30.0, 0.0), (100.0, 7e-4), (110.0, 7e-4)], -1e-4),
        ([(20.5, 0.0), (40.5, 2e-4), (100.0, 6e-4)], -5e-6),
        # from 20 °C on nothing is gone on with; between readings it is straight
        ([(20.0, 3e-4), (40.0, 3e-4), (100.0, 6e-4)], 3e-4),
        ([(0.0, 1e-4), (20.0, 2e-4), (40.0, 2e-4), (100.0, 6e-4)], 2e-4),
        ([(10.0, 0.0), (30.0, 2e-4), (100.0, 6e-4)], 1e-4),
    ],
)
def test_it_is_zero_at_20_degrees(
    tmp_path: Path, start: list[tuple[float, float]], at_20: float
) -> None:
    points = start + REST
    curve = read(tmp_path, points)
    assert list(curve.strain) == pytest.approx([s - at_20 for _, s in points], abs=1e-10)


@pytest.mark.parametrize(
    ("points", "fine"),
    [
        ([(t, s) for t, s in STRAIGHT if t < 450.0] + [(450.0, 3.44e-3)], True),
        ([(t, s) for t, s in STRAIGHT if t < 450.0] + [(449.0, 3.43e-3)], False),
        ([(120.0, 8e-4), *STRAIGHT[2:]], True),
        ([(121.0, 8e-4), *STRAIGHT[2:]], False),
        (STRAIGHT[1:], True),
        (STRAIGHT[2:], False),
    ],
)
def test_how_far_a_curve_has_to_go(
    tmp_path: Path, points: list[tuple[float, float]], fine: bool
) -> None:
    if fine:
        assert len(read(tmp_path, points).t_c) == len(points)
    else:
        assert refused(tmp_path, points)


def test_four_readings_are_no_curve(tmp_path: Path) -> None:
    four = [(t, 8e-6 * (t - 20.0)) for t in (110.0, 230.0, 350.0, 470.0)]
    assert len(read(tmp_path, [(20.0, 0.0), *four]).t_c) == 5
    assert "at least five" in refused(tmp_path, four).message


def test_readings_are_120_degrees_apart_at_most(tmp_path: Path) -> None:
    """The line is that of the reading after the gap."""
    steps = (20.0, 100.0, 220.0, 300.0, 400.0, 500.0)
    assert len(read(tmp_path, [(t, 8e-6 * (t - 20.0)) for t in steps]).t_c) == 6
    steps = (20.0, 100.0, 200.0, 321.0, 400.0, 500.0)
    error = refused(tmp_path, [(t, 8e-6 * (t - 20.0)) for t in steps])
    assert error.place is not None and error.place.line == 5
    assert "between 200 and 321 °C" in error.message and "up to 120 °C" in error.hint


@pytest.mark.parametrize(("jump", "fine"), [(5.7e-3, True), (5.9e-3, False)])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_the_largest_step_of_a_clay(tmp_path: Path, jump: float, fine: bool, sign: float) -> None:
    """0.5 %, and 4e-5 for each of the 20 degrees it takes: 5.8e-3 in all."""
    up = [(20.0, 0.0), (120.0, 8e-4), (220.0, 1.6e-3), (320.0, 2e-3)]
    down = [(20.0, 0.0), (120.0, 2.5e-3), (220.0, 5.2e-3), (320.0, 8e-3)]
    points = up if sign > 0.0 else down
    after = points[-1][1] + sign * jump
    points = [*points, (340.0, after), (440.0, after + 1e-3), (500.0, after + 1.5e-3)]
    if fine:
        assert len(read(tmp_path, points).t_c) == 7
    else:
        error = refused(tmp_path, points)
        assert error.place is not None and error.place.line == 6
        assert f"{100.0 * sign * jump:+.2f} %" in error.message


@pytest.mark.parametrize(
    ("t_c", "alpha", "fine"),
    [(200.0, 0.9, False), (200.0, 1.1, True), (199.0, 0.9, True), (500.0, 30.5, False),
     (500.0, 29.5, True)],
)  # fmt: skip
def test_clays_grow_by_1_to_30_millionths_from_200_degrees_on(
    tmp_path: Path, t_c: float, alpha: float, fine: bool
) -> None:
    """Each reading from 20 °C on: at 200 °C 0.9e-6 are 1.62e-4."""
    points = [(t, 22e-6 * (t - 20.0)) for t in (20.0, 100.0, 200.0, 300.0, 400.0, 450.0)]
    if t_c < 300.0:
        points = [(t, 8e-6 * (t - 20.0)) for t in (20.0, 100.0, 300.0, 400.0, 500.0)]
    points = sorted([*points, (t_c, alpha * 1e-6 * (t_c - 20.0))])
    points = [p for k, p in enumerate(points) if not k or p[0] > points[k - 1][0]]
    if fine:
        assert len(read(tmp_path, points).t_c) == len(points)
    else:
        assert f"{alpha:g}" in refused(tmp_path, points).message


def test_the_worst_is_the_farthest_from_8_millionths(tmp_path: Path) -> None:
    """0.5 is 7.5 away, 31 is 23 away."""
    points = [(20.0, 0.0), (120.0, 6e-4), (200.0, 0.9e-4), (300.0, 31e-6 * 280.0),
              (400.0, 25e-6 * 380.0), (500.0, 20e-6 * 480.0)]  # fmt: skip
    assert "31" in refused(tmp_path, points).message


@pytest.mark.parametrize(
    ("head", "says"),
    [
        ("temperature,dL/L0 (%)", "temperature"),
        ("temperature (K),dL/L0 (%)", "temperature (K)"),
        ("temperature (C),dL/L0", "dL/L0"),
        ("temperature (C),dL/L0 (feet)", "dL/L0 (feet)"),
        ("temperature (C),size (%)", ""),
        ("heat (C),dL/L0 (%)", ""),
        ("a,b", ""),
    ],
)
def test_headings_have_to_say_what_they_are(tmp_path: Path, head: str, says: str) -> None:
    error = refused(tmp_path, STRAIGHT, head)
    assert error.place is not None and error.place.line == 1
    assert says in error.message
    assert "“temperature (C),dL/L0 (%)”" in error.hint
    if "feet" in head:
        assert error.hint.endswith("Units known: %, percent, ppm, um/m, µm/m, μm/m, mm/m.")


def test_rows_that_are_wrong_are_named(tmp_path: Path) -> None:
    path = tmp_path / "clay.csv"
    rows = [f"{t},{s}" for t, s in STRAIGHT]
    for wrong in ("250", "250,red", "200,1", "150,1"):
        path.write_text("\n".join([HEAD, *rows[:3], wrong, *rows[3:]]))
        with pytest.raises(CofireError) as error:
            read_curve(path)
        assert error.value.place is not None and error.value.place.line == 5
