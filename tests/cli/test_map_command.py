"""``cofire map`` as people type it."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET

import pytest

ALL = ("--body", "yard-raku", "--firing", "raku-workshop")


def widest(text: str) -> int:
    return max(len(line) for line in text.splitlines())


@pytest.mark.parametrize("show", ["right", "expansion", "stress", "crackle", "ripe-margin", "sits"])
def test_every_map_fits_eighty_columns(cofire, monkeypatch, show: str) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setenv("COLUMNS", "80")
    run = cofire("map", "clear-crackle", "--show", show, *ALL)
    assert run.code == 0, run.err
    assert widest(run.out) <= 80
    assert "◆" in run.out and "your recipe" in run.out
    assert "silica, per cent of base" in run.out


def test_shades_alone_tell_the_bands_apart(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire("map", "frit-gloss", "--across", "silica 0-40", "--up", "kaolin 0-30")
    assert "\x1b" not in run.out  # no colour without a screen
    drawn = "".join(line[9:70] for line in run.out.splitlines() if "│" in line or "┤" in line)
    shades = [s for s in "·░▒▓█■" if s in drawn]
    assert len(shades) >= 4
    for shade in shades:
        assert 3 * shade in run.out.partition("silica, per cent of base")[2]


def test_the_default_is_all_that_was_asked(cofire) -> None:  # type: ignore[no-untyped-def]
    assert json.loads(cofire("map", "frit-gloss", "--json").out)["show"] == "expansion"
    data = json.loads(cofire("map", "frit-gloss", *ALL, "--json").out)
    assert data["show"] == "right"
    assert len(data["values"]) == len(data["y"])
    assert all(len(row) == len(data["x"]) for row in data["values"])
    assert data["across"]["unit"] == "per cent of base"
    assert sum(p["per_100_of_base"] for p in data["own"]["parts"]) == pytest.approx(100.0)


def test_json_carries_the_lines(cofire) -> None:  # type: ignore[no-untyped-def]
    data = json.loads(
        cofire("map", "frit-gloss", "--across", "SiO2 2-5", "--up", "B2O3", "--json").out
    )
    assert data["across"]["unit"] == "moles to one of flux"
    assert data["contours"] and all(c["lines"] for c in data["contours"])
    assert data["own"]["parts"] == []


def test_the_picture_is_whole_and_holds_the_lines(cofire, tmp_path) -> None:  # type: ignore[no-untyped-def]
    path = tmp_path / "map.svg"
    words = ("map", "frit-gloss", "--across", "silica 0-60", "--up", "kaolin 0-60")
    assert cofire(*words, "--body", "white-earthenware", "--show", "fits", "--svg", path).code == 0
    root = ET.fromstring(path.read_text("utf-8"))
    said = " ".join(t.text or "" for t in root.iter("{http://www.w3.org/2000/svg}text"))
    assert "Clear water gloss" in said and "80 % asked" in said and "your recipe" in said
    assert "nan" not in path.read_text("utf-8")


def test_an_addition_is_an_axis_on_top(cofire) -> None:  # type: ignore[no-untyped-def]
    run = cofire("map", "white-crackle", "--across", "+ zircon 0-12", "--up", "tin oxide 0-12")
    assert run.code == 0
    assert "zircon, parts per 100 of base" in run.out
    assert "tin oxide, parts per 100 of base" in run.out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--show", "ripe"), "--firing"),
        (("--show", "stress"), "--body"),
        (("--across", "silica 40-10"), "less to more"),
        (("--across", "silca"), "Did you mean"),
        (("--up", "Al2O3"), "two of one kind"),
        (("--show", "colour"), "colour"),
        (("--odds", "80"), "odds"),
    ],
)
def test_what_cannot_be_mapped_is_said(cofire, words: tuple[str, ...], said: str) -> None:  # type: ignore[no-untyped-def]
    run = cofire("map", "frit-gloss", *words)
    assert run.code == 2
    assert said in run.err
    assert "Traceback" not in run.err
