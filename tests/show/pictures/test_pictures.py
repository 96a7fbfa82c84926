"""Pictures read as people read them: off their axes; and every one whole and within its frame."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from functools import cache
from typing import Any

import numpy as np
import pytest

from cofire.answers.fit import fit
from cofire.answers.results.fit import FitAnswer
from cofire.files.library import Library
from cofire.model.conditions import Conditions
from cofire.show.drawing import PAPER, Mark, Path, Words
from cofire.show.pictures.panels import cooling_panel, crackle_panels

LIB = Library()
SVG = "{http://www.w3.org/2000/svg}"
PULLED = ("--firing", "raku-workshop", "--body", "raku")
DRAWN = {
    "strip, way and crackle": ("fit", "clear-crackle", *PULLED),
    "strip of three": ("fit", "clear-crackle", "frit-gloss", "true-matte", *PULLED),
    "line": ("blend", "frit-gloss", "clear-crackle", "--body", "raku"),
    "triangle": ("blend", "frit-gloss", "clear-crackle", "true-matte", *PULLED),
    "square": ("blend", "frit-gloss", "clear-crackle", "true-matte", "satin-white"),
    "one addition": ("blend", "clear-crackle", "--add", "tin oxide 0-8", "--body", "raku"),
    "two additions": ("blend", "frit-gloss", "--add", "tin oxide 0-8", "--add", "zircon 0-12"),
    "map": ("map", "clear-crackle", "--show", "right", *PULLED),
    "map of cracks": ("map", "clear-crackle", "--show", "crackle", *PULLED),
    "map outside": ("map", "frit-gloss", "--across", "SiO2 2-9", "--up", "B2O3 0-3"),
    "pulled firing": ("firing", "raku-workshop", "frit-gloss", "true-matte"),
    "closed firing": ("firing", "earthenware-cone-04"),
}


@pytest.mark.parametrize("name", DRAWN)
def test_a_picture_is_whole_and_within_its_frame(cofire: Any, name: str) -> None:
    run = cofire(*DRAWN[name], "--svg", "a.svg")
    assert run.code in (0, 1), run.err
    text = (cofire.folder / "a.svg").read_text("utf-8")
    root = ET.fromstring(text)
    _, _, wide, high = map(float, root.attrib["viewBox"].split())
    assert not re.search(r"\b(nan|inf|None)\b", text)
    words = [t for t in root.iter(f"{SVG}text") if (t.text or "").strip()]
    assert len(words) > 5
    for one in words:
        assert -1.0 <= float(one.attrib["x"]) <= wide + 1.0, one.text
        assert 0.0 <= float(one.attrib["y"]) <= high + 1.0, one.text
    for path in root.iter(f"{SVG}path"):
        numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", path.attrib["d"])]
        assert all(-15.0 <= n <= max(wide, high) + 15.0 for n in numbers)
    named = [LIB.recipe(w).name for w in DRAWN[name][1:] if w.endswith(("gloss", "crackle", "e"))
             and any(w == path.stem for path, _ in LIB.files("recipes"))]  # fmt: skip
    said = " ".join(t.text or "" for t in words)
    for recipe in named:
        assert recipe in said


@cache
def answer(cooling: str | None = None) -> FitAnswer:
    at = Conditions.read(LIB, body="raku", firing="raku-workshop", cooling=cooling)
    return fit(LIB, LIB.recipe("clear-crackle"), at)


def axis(marks: list[Mark]) -> tuple[np.ndarray, np.ndarray]:
    """Heights of the words left of an axis, rising values: what a ruler laid across it reads."""
    found = sorted(
        (float(m.text.replace("−", "-").replace("+", "")), m.y - 0.32 * m.size)
        for m in marks
        if isinstance(m, Words) and m.anchor == "end" and re.fullmatch(r"[+−-]?[\d.]+", m.text)
    )
    values, y = zip(*found, strict=True)
    assert len(values) > 2
    return np.array(values), np.array(y)


def read(y: float, values: np.ndarray, at: np.ndarray) -> float:
    """A straight axis through its first and last word."""
    slope = (values[-1] - values[0]) / (at[-1] - at[0])
    return float(values[0] + slope * (y - at[0]))


def corners(d: str) -> list[tuple[float, float]]:
    numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", d)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


@pytest.mark.parametrize("cooling", [None, "5 min air, 30 min bin"])
def test_cracks_are_as_far_apart_as_they_are_drawn(cooling: str | None) -> None:
    """Spots read off the axis of millimetres, left of each pair the black net, right the whole;
    a net that hardly any draw has is left out."""
    curve = answer(cooling).air_and_smoke
    assert curve is not None
    marks = crackle_panels(curve, 0.0)
    values, at = axis(marks)
    circles = (m for m in marks if isinstance(m, Path) and m.fill == PAPER and "C" in m.d)
    spots = [corners(m.d)[0] for m in circles]
    nets = [net for how in (*curve.air, *curve.bin) for net in (how.whole, how.black)
            if net.spacing_mm is not None and net.odds >= 0.1]  # fmt: skip
    assert len(spots) == len(nets) > 6
    for (_, y), net in zip(spots, nets, strict=True):
        assert net.spacing_mm is not None
        assert np.exp(read(y, np.log(values), at)) == pytest.approx(
            min(net.spacing_mm.value, 70.0), rel=0.03
        )  # wider nets lie on the edge


def test_stress_on_the_way_is_drawn_as_it_is() -> None:
    """The thick line read off both axes: MPa upwards, hot on the left."""
    way, strip = answer().way_down, answer().strip_mpa
    assert way is not None
    marks = cooling_panel(way, strip, 0.0)
    values, at = axis(marks)
    hot = sorted((float(m.text.split()[0]), m.x) for m in marks
                 if isinstance(m, Words) and m.text.endswith("°C"))  # fmt: skip
    celsius, x_at = (np.array(v) for v in zip(*hot, strict=True))
    (thick,) = (m for m in marks if isinstance(m, Path) and m.width == 3.0)
    drawn = corners(thick.d)
    assert len(drawn) == len(way.temperature_c)
    for (x, y), t_c, mpa in zip(drawn, way.temperature_c, way.stress_mpa, strict=True):
        assert read(x, celsius, x_at) == pytest.approx(t_c, abs=1.0)
        assert read(y, values, at) == pytest.approx(mpa, abs=0.5)
    dashes = {m.dash: corners(m.d)[0][1] for m in marks if isinstance(m, Path) and m.dash}
    assert read(dashes["9 5"], values, at) == pytest.approx(strip.crazes_at_once_from, abs=0.5)
    later = strip.crazes_by_horizon_from
    assert read(dashes["2 4"], values, at) == pytest.approx(later, abs=0.5)
