"""The coefficients are what the code makes of the measured rows, and nothing else."""

from __future__ import annotations

import gzip
import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from threadpoolctl import threadpool_limits

from cofire import glass
from cofire.chem.oxides import OXIDES
from cofire.errors import CofireError
from cofire.glass import engine
from cofire.glass.basis import (
    nearness,
    plain,
    position,
    squared_distance,
    structure,
    to_measure_from,
)
from cofire.glass.refit.__main__ import SAME, difference, main, predictions, predictions_from, refit
from cofire.glass.refit.grounds import Grounds
from cofire.glass.refit.landmarks import choose_landmarks
from cofire.glass.refit.measured import MEASURED, Measured
from cofire.glass.refit.solve import LEVELS, calibrate


@cache
def _sixteenth() -> Measured:
    return Measured(every=16)


def small_grounds() -> Grounds:
    """A sixteenth of the publications and few landmarks."""
    return Grounds(_sixteenth(), 40)


@pytest.fixture(scope="module")
def small_cut(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("cut")
    with threadpool_limits(1):
        refit(small_grounds(), folder)
    return folder


def test_the_same_rows_give_the_same_predictions_on_two_threads(
    small_cut: Path, tmp_path: Path
) -> None:
    with threadpool_limits(2):
        refit(small_grounds(), tmp_path)
    first, second = (predictions_from(f) for f in (small_cut, tmp_path))
    assert np.isfinite(first).all()
    assert difference(first, second) < SAME


def test_a_small_cut_agrees_with_the_shipped_fit_where_it_is_sure(small_cut: Path) -> None:
    """A sixteenth of the publications knows less, but not something else: half of the shipped
    expansions and annealing points lie within half a unit and 20 K of the cut's."""
    cut, shipped = predictions_from(small_cut), predictions()
    for column, near in ((0, 0.5), (12, 20.0)):
        assert np.median(np.abs(cut - shipped)[:, column]) < near


def test_some_properties_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The files that such a fit writes serve as they stand, and say what they do not hold."""
    rows = tmp_path / "rows"
    rows.mkdir()
    for path in MEASURED.glob("*.csv.gz"):
        with gzip.open(path, "rt", encoding="utf-8") as lines:
            head, *rest = lines.read().splitlines()
        with gzip.open(rows / path.name, "wt", encoding="utf-8") as cut:
            cut.write("\n".join([head, *rest[::4]]) + "\n")
    out = tmp_path / "deep" / "out"
    words = ["--measured", str(rows), "--out", str(out), "--targets", "youngs, strain"]
    assert main([*words, "--landmarks", "30"]) == 0
    monkeypatch.setattr(engine, "FOLDER", out)
    for part in (engine.coefficients, engine.tables):
        part.cache_clear()
    window = np.zeros((1, len(OXIDES)))
    window[0, [OXIDES.index(o) for o in ("SiO2", "Na2O", "CaO")]] = 72, 14, 14
    try:
        assert 60.0 < glass.youngs_modulus(window).value[0] < 85.0
        assert 450.0 < glass.strain_point(window).value[0] < 560.0
        with pytest.raises(CofireError, match="liquidus"):
            glass.liquidus(window)
    finally:
        monkeypatch.undo()
        for part in (engine.coefficients, engine.tables):
            part.cache_clear()


ROW = "0.7,0,0,0,0.2,0,0,0.1,0,0,0,0,0,0,0,0,0,0,0,0,0,0,{value},{group},{core}"


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (ROW.format(value="7x", group="A|1", core=0), "E_GPa"),
        (ROW.format(value="nan", group="A|1", core=0), "E_GPa"),
        (ROW.format(value=70, group="", core=0), "group"),
        (ROW.format(value=70, group="A|1", core="yes"), "core"),
        (ROW.format(value=70, group="A|1", core=0) + ",5", "cells"),
        (ROW.format(value=70, group="A|1", core=0).replace("0.7", "0.8"), "add up to 1"),
        (ROW.format(value=70, group="A|1", core=0).replace("0.7,0,", "0.8,-0.1,"), "below 0"),
    ],
)
def test_a_row_that_cannot_be_read_is_refused_with_its_line(
    tmp_path: Path, row: str, says: str
) -> None:
    with gzip.open(MEASURED / "young.csv.gz", "rt", encoding="utf-8") as lines:
        head, good = lines.readline(), lines.readline()
    with gzip.open(tmp_path / "young.csv.gz", "wt", encoding="utf-8") as out:
        out.write(head + good + row + "\n")
    with pytest.raises(CofireError, match=says) as refused:
        Measured(tmp_path).rows("young", "E_GPa")
    assert refused.value.place and refused.value.place.line == 3


def test_files_that_are_missing_or_no_tables_are_refused(tmp_path: Path) -> None:
    with pytest.raises(CofireError, match="does not exist"):
        Measured(tmp_path).rows("young", "E_GPa")
    (tmp_path / "young.csv.gz").write_text("not packed")
    with pytest.raises(CofireError, match="cannot be read"):
        Measured(tmp_path).rows("young", "E_GPa")
    with pytest.raises(CofireError, match="no column"):
        Measured().rows("young", "E_MPa")
    assert main(["--measured", str(tmp_path)]) == 2
    assert main(["--targets", "colour"]) == 2


def test_columns_of_a_fit_are_those_of_the_engine() -> None:
    """Any weights give the same sums in both."""
    rng = np.random.default_rng(3)
    x = rng.dirichlet(np.full(22, 0.3), 300)
    landmarks = choose_landmarks(x, 25)
    columns = landmarks.columns(x)
    weights = np.asarray(rng.normal(size=columns.shape[1]))
    built = structure(x)
    near = nearness(squared_distance(position(x, built), to_measure_from(landmarks.at)), np.float64)
    engines = np.concatenate([plain(x, built), near], axis=1)
    assert engines @ landmarks.weights(weights) == pytest.approx(columns @ weights, rel=1e-6)


def test_widths_follow_the_errors() -> None:
    """Errors drawn three times as wide per unit of the second term: the width finds it, and its
    quantiles are those of the normal distribution."""
    rng = np.random.default_rng(5)
    n = 20_000
    terms = np.column_stack([rng.random(n), rng.random(n)])
    error = rng.normal(size=n) * 3.0 ** terms[:, 1]
    width = calibrate(error, np.zeros(n), rng.integers(0, 400, n), terms)
    assert width.slopes[0] == pytest.approx(0.0, abs=0.1)
    assert width.slopes[1] == pytest.approx(np.log(3.0), rel=0.1)
    half = width.q * width.scale(np.zeros(1), np.zeros((1, 2)))
    assert half[LEVELS.tolist().index(0.9)] == pytest.approx(1.645, rel=0.05)


def test_scores_and_card_are_written_with_it(small_cut: Path) -> None:
    scores = json.loads((small_cut / "scores.json").read_text("utf-8"))
    assert scores["properties"]["expansion"]["rows"] > 100
    page = (small_cut / "card.html").read_text("utf-8")
    assert page.count("<svg") == 4
    assert f"{scores['properties']['expansion']['rows']:,}" in page


def test_shipped_files_are_small() -> None:
    """About a megabyte of coefficients; the page and the scores are not loaded to predict."""
    size = sum((engine.FOLDER / f).stat().st_size for f in ("engine.npy", "doubt.npy"))
    assert size < 1_000_000


@pytest.mark.published
def test_moduli_of_halls_glazes_without_them() -> None:
    """Hall, J. Am. Ceram. Soc. 13 (1930) 182: Young's moduli of 113 analysed glazes, 63 to 84 GPa.
    With that publication left out of the fit (the card's number, which the refit writes) they are
    met within 6 %: stress in a coat is not known better than that anyway."""
    found = glass.scores()["unseen_glazes"]["Hall F.P.|1930"]["youngs"]
    assert found["rows"] > 100
    assert found["miss"] < 0.06 * 70.0
    assert abs(found["bias"]) < found["miss"]


@pytest.mark.published
def test_low_melting_glasses_of_two_publications_without_them() -> None:
    """Sawamura and others 1978 (JP 53003351) and Kosokabe and Hashimoto 2000, as collected in
    SciGlass: low-melting borosilicate glasses for sealing and ware. With both left out of the fit,
    their expansions are met within 0.45e-6/K and their Littleton points within 30 °C on average."""
    found = glass.scores()["unseen_glazes"]
    for kind, bound in (("expansion", 0.45), ("littleton", 30.0)):
        sets = [found[name][kind] for name in ("Sawamura K.|1978", "Kosokabe H.|2000")]
        rows = [one["rows"] for one in sets]
        assert min(rows) > 10
        assert np.average([one["miss"] for one in sets], weights=rows) < bound


@pytest.mark.published
def test_real_glazes_without_them() -> None:
    """Hall 1930 and Geller and others 1938: expansions of analysed glazes, left out of the fit, are
    missed by less than Appen's factors miss them, ranges read as the publications state them."""
    found = glass.scores()["unseen_glazes"]
    for name, kind in (
        ("Hall F.P.|1930", "expansion"),
        ("Hall F.P.|1930", "expansion_range_unknown"),
        ("Geller R.F.|1938", "expansion"),
    ):
        one = found[name][kind]
        assert one["miss"] < one["tables"]["appen"]["miss"]
