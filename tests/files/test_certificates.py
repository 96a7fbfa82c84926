"""Commas in certificates: decimals, columns, or a question."""

from __future__ import annotations

from pathlib import Path

import pytest

from cofire.errors import CofireError
from cofire.files.certificates import read_certificate

WANTED = {"SiO2": 66.3, "Al2O3": 33.4}


@pytest.mark.parametrize(
    "text",
    [
        "SiO2 66,3\nAl2O3 33,4\nLOI 0,3",
        "SiO2, 66,3\nAl2O3, 33,4\nLOI, 0,3",
        "SiO2: 66,3 %\nAl2O3=33,4\nLOI: 0,3",
        'SiO2,"66,3"\nAl2O3,"33,4"\nLOI,"0,3"',
        "SiO2,66.300\nAl2O3,33.400\nLOI,0.3",
        "SiO2\t66.300\nAl2O3\t33.400\nLOI\t0.3",
        "SiO2;66,300\nAl2O3;33,400\nLOI;0,3",
        "SiO2,Al2O3,LOI\n66.3,33.4,0.3",
        "SiO2;Al2O3;LOI\n66,3;33,4;0,3",
        "SiO2,66.3,%\nAl2O3,33.4,%\nLOI,0.3,%",
        "SiO2, 66.3, by XRF\nAl2O3, 33.4\nLOI, 0.3",
    ],
)
def test_one_analysis_in_many_hands(text: str) -> None:
    read = read_certificate(text, Path("c.csv"))
    assert read.oxides_wt_percent == pytest.approx(WANTED) and read.loi_percent == 0.3


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("SiO2,66,3\nAl2O3,33,4\nLOI,0,3", "“66,3” may be one number or two columns"),
        ("SiO2 66.300\nAl2O3 33.400\nLOI 1", "66.300 or 66300"),
        ("SiO2\t66,300\nAl2O3\t33", "66.300 or 66300"),
        ("SiO2 66_3", "not a number"),
    ],
)
def test_what_is_asked_back(text: str, said: str) -> None:
    with pytest.raises(CofireError, match=r"c\.csv, line 1") as wrong:
        read_certificate(text, Path("c.csv"))
    assert said in str(wrong.value)
