"""Compositions from Python: ``Studio.predict`` takes columns, and refuses all else with words."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from cofire import glass
from cofire.answers.predict import ISOKOMS, properties
from cofire.chem.oxides import OXIDES
from cofire.errors import CofireError, CompositionError
from cofire.studio import Studio

GLASS: dict[str, Any] = {"SiO2": [70.0, 60.0], "Na2O": [20.0, 25.0], "CaO": [10.0, 15.0]}


class Frame:
    """As data frames are: headings, and a column for each."""

    def __init__(self, columns: dict[Any, Any]) -> None:
        self._columns = columns

    def keys(self) -> list[Any]:
        return list(self._columns)

    def __getitem__(self, heading: Any) -> Any:
        return self._columns[heading]


class OtherFrame:
    """As other data frames are, which call their headings columns."""

    def __init__(self, columns: dict[str, Any]) -> None:
        self._columns = columns

    @property
    def columns(self) -> list[str]:
        return list(self._columns)

    def __getitem__(self, heading: str) -> Any:
        return np.asarray(self._columns[heading])


def same(one: dict[str, Any], other: dict[str, Any]) -> bool:
    return list(one) == list(other) and all(np.array_equal(one[k], other[k]) for k in one)


@pytest.mark.parametrize("frame", [Frame, OtherFrame])
def test_a_frame_is_read_as_a_dictionary(frame: Callable[..., Any]) -> None:
    assert same(Studio.predict(frame(GLASS), "mol"), Studio.predict(GLASS, "mol"))


def test_headings_are_read_in_any_case_and_with_their_unit() -> None:
    other = {"sio2": GLASS["SiO2"], "NA2O %": GLASS["Na2O"], "CaO (wt.-%)": GLASS["CaO"]}
    assert same(Studio.predict(other, "wt"), Studio.predict(GLASS, "wt"))
    with pytest.raises(CompositionError, match="CaO"):
        Studio.predict(other, "mol")


def test_other_kinds_of_whole_columns() -> None:
    kinds = (
        tuple,
        np.array,
        lambda v: np.array(v, dtype=object),
        lambda v: np.array(v, dtype="i4"),
    )
    for kind in kinds:
        columns = {oxide: kind([int(v) for v in values]) for oxide, values in GLASS.items()}
        assert same(Studio.predict(columns, "mol"), Studio.predict(GLASS, "mol"))


def test_a_column_that_is_no_oxide_is_named_or_refused() -> None:
    frame = {"batch": ["a", "b"], **GLASS}
    with pytest.raises(CompositionError, match="batch"):
        Studio.predict(frame, "mol")
    assert same(Studio.predict(frame, "mol", ignore=["Batch"]), Studio.predict(GLASS, "mol"))
    assert same(Studio.predict(frame, "mol", ignore="batch"), Studio.predict(GLASS, "mol"))
    with pytest.raises(CompositionError, match=r"CO2.*ignore"):  # gone in the fire is no reason
        Studio.predict({"CO2": [1, 1], **GLASS}, "mol")


def test_no_rows_give_no_rows() -> None:
    empty = Studio.predict({"SiO2": [], "Na2O": []}, "mol", temperature_c=[])
    full = Studio.predict(GLASS, "mol", temperature_c=[900, 1000])
    assert list(empty) == list(full)
    assert {len(v) for v in empty.values()} == {0}


NO_TABLES: list[Any] = [
    {}, None, 5, dict, "SiO2", ["SiO2"], {"SiO2": 70.0}, {"SiO2": ["70"]}, {"SiO2": ["seventy"]},
    {"SiO2": np.array([True, 1.0], dtype=object)},
    {"SiO2": [None, 1.0]}, {"SiO2": [True, False]}, {"SiO2": [1j]}, {"SiO2": [[1.0, 2.0]]},
    {"SiO2": [[1.0], [2.0, 3.0]]}, {"SiO2": [math.nan]}, {"SiO2": [math.inf]}, {"SiO2": [-1.0]},
    {"SiO2": [10**400]}, {"SiO2": "70"}, {"SiO2": {70.0}}, {"SiO2": [1.0], "Na2O": [1.0, 2.0]},
    {1: [1.0]}, {("SiO2", "wt"): [1.0]}, {None: [1.0]}, {"SiO2": [1.0], "sio2": [1.0]},
    {"SiO2 ppm": [1.0]}, {"Na20": [1.0]}, {"": [1.0], "SiO2": [1.0]}, {"note": [1.0]},
    {"SiO2": np.ma.array([1.0, 2.0], mask=[False, True])}, {"SiO2": np.array(["2026-11-26"], "M8")},
]  # fmt: skip


@pytest.mark.parametrize("table", NO_TABLES, ids=repr)
@pytest.mark.parametrize("frame", [dict, Frame])
def test_what_is_no_table_is_refused(table: Any, frame: Callable[..., Any]) -> None:
    with pytest.raises(CompositionError) as refused:
        Studio.predict(frame(table) if isinstance(table, dict) else table, "mol")
    assert refused.value.hint


@pytest.mark.parametrize("level", [0.49, 0.991, 0, 1, 90, math.nan, "0.9", None, True, [0.9], 1j])
def test_a_level_that_is_none(level: Any) -> None:
    with pytest.raises(CompositionError, match="level"):
        Studio.predict(GLASS, "mol", level=level)


@pytest.mark.parametrize("basis", ["MOL", "", "weight", None, 1, ["mol"], np.array(["mol", "wt"])])
def test_a_basis_that_is_none(basis: Any) -> None:
    with pytest.raises(CompositionError, match="basis"):
        Studio.predict(GLASS, basis)


@pytest.mark.parametrize(
    "hot",
    [[900], [900, 1000, 1100], 900, [[900, 1000]], ["900", "1000"], [900, math.nan], [900, -400],
     [900, 2501], [900, math.inf], [900, None], "900", {900, 1000}],
    ids=repr,
)  # fmt: skip
def test_a_temperature_that_is_none(hot: Any) -> None:
    with pytest.raises(CompositionError, match="temperature_c"):
        Studio.predict(GLASS, "mol", temperature_c=hot)


@pytest.mark.parametrize("ignore", [5, None, [5], [None]])
def test_what_to_ignore_is_a_list_of_headings(ignore: Any) -> None:
    with pytest.raises(CofireError, match="ignore"):
        Studio.predict(GLASS, "mol", ignore=ignore)


def test_a_wrong_amount_is_named_with_its_column_and_row() -> None:
    with pytest.raises(CompositionError, match=r"Na2O, row 1: “-3” is negative"):
        Studio.predict({**GLASS, "Na2O": [20, -3]}, "mol")


def test_a_higher_level_is_wider_around_the_same() -> None:
    narrow, wide = (Studio.predict(GLASS, "mol", level=level) for level in (0.5, 0.99))
    for column in ("expansion", "liquidus_c", "seals_c", "matures_c", "runs_c"):
        assert np.array_equal(narrow[column], wide[column])
        assert (wide[f"{column}_low"] < narrow[f"{column}_low"]).all()
        assert (wide[f"{column}_high"] > narrow[f"{column}_high"]).all()


def test_isokoms_are_as_doubtful_as_the_viscosity_there() -> None:
    """At the ends of the interval the curve has left its level by the half-width of log10 eta, as
    nearly as it is straight there."""
    mol = np.zeros((2, len(OXIDES)))
    for oxide, values in GLASS.items():
        mol[:, OXIDES.index(oxide)] = values
    found, curve = properties(mol), glass.viscosity(mol)
    for column, level in ISOKOMS.items():
        t_c = found[column]
        half = found[f"{column}_high"] - t_c
        assert t_c - found[f"{column}_low"] == pytest.approx(half)
        slope = (curve.log10_eta(t_c - 0.01) - curve.log10_eta(t_c + 0.01)) / 0.02
        assert half * slope == pytest.approx(curve.width(t_c), rel=1e-5), level
        assert (half > 5.0).all()


def test_many_rows_are_those_of_their_parts() -> None:
    rng = np.random.default_rng(3)
    mol = rng.random((2 * glass.CHUNK + 7, len(OXIDES)))
    hot = rng.uniform(700.0, 1300.0, len(mol))
    whole = properties(mol, hot)
    part = properties(mol[-20:], hot[-20:])
    for column, values in part.items():
        assert whole[column][-20:] == pytest.approx(values, rel=1e-5), column


def test_names_and_temperatures_come_along_as_from_a_file() -> None:
    table = {"name": ["a", "b"], "No.": [1, 2], **GLASS, "temperature_c": [900.0, 950.0]}
    answer = Studio.predict(table, "mol")
    assert answer["name"].tolist() == ["a", "b"]
    assert answer["No."].tolist() == [1, 2]
    asked = Studio.predict(GLASS, "mol", temperature_c=[900.0, 950.0])
    assert np.array_equal(answer["log10_viscosity"], asked["log10_viscosity"])


def test_no_oxide_is_left_out() -> None:
    with pytest.raises(CompositionError, match="would be another"):
        Studio.predict(GLASS, "mol", ignore=["sio2"])
