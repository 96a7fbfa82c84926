"""Commas in certificates: decimals, columns, or a question."""

from __future__ import annotations

from pathlib import Path

import pytest

from cofire.errors import CofireError
from cofire.files.certificates import Certificate, read_certificate

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


def certificate(text: str) -> Certificate:
    return read_certificate(text, Path("paper.txt"))


@pytest.mark.parametrize(
    "text",
    [
        "SiO2 (%) 64.0\nAl2O3 wt% 30\nLOI (1000 °C) 6",
        "SiO2: 64,05 %\nAl2O3: 29,95 %\nGlühverlust: 6,00 %",
        "SiO2 64\nAl2O3 30\nLoss on ignition 6.0\nTotal 100",
        "SiO2;64;%\nAl2O3;30;%\nLOI at 1025 °C;6;%",
    ],
)
def test_labels_of_several_words_and_units_behind_them(text: str) -> None:
    read = certificate(text)
    assert read.oxides_wt_percent == pytest.approx({"SiO2": 64, "Al2O3": 30}, abs=0.06)
    assert read.loi_percent == 6.0


@pytest.mark.parametrize(
    "line", ["Cr2O3 40 ppm", "Cr2O3,40,ppm", "Cr2O3: 40 mg/kg", "cr2o3\t40 PPM"]
)
def test_parts_per_million_are_no_per_cent(line: str) -> None:
    """40 ppm are 0.004 %."""
    sep = "," if "," in line else "\t" if "\t" in line else " "
    text = f"SiO2{sep}64\nAl2O3{sep}30\nLOI{sep}6\n{line}"
    assert certificate(text).oxides_wt_percent["Cr2O3"] == pytest.approx(0.004)


def test_carbonates_are_taken_apart() -> None:
    """Calcite is 56.03 % CaO and 43.97 % CO2 (theoretical)."""
    read = certificate("CaCO3 98\nSiO2 2")
    assert read.oxides_wt_percent["CaO"] == pytest.approx(0.5603 * 98, abs=0.01)
    assert read.loi_percent == pytest.approx(0.4397 * 98, abs=0.01)
    with pytest.raises(CofireError, match="CaO"):
        certificate("CaO 54.9\nCaCO3 98\nSiO2 2")


def test_gypsum_and_salt_add_up() -> None:
    """CaSO4.2H2O: CaO 32.57, SO3 46.50, H2O 20.93; NaCl: Na2O 53.03, Cl 60.66 (theoretical)."""
    for text in ("CaO 32.6\nSO3 46.5\nH2O 20.9", "CaO 32.6\nSO3 46.5\nLOI 20.9"):
        read = certificate(text)
        assert read.loi_percent == pytest.approx(67.4, abs=0.01)
        assert any("sulfate" in remark for remark in read.remarks)
    for end in ("", "\nO = Cl 13.7"):
        assert certificate(f"Na2O 53.03\nCl 60.66{end}").loi_percent == pytest.approx(
            46.97, abs=0.01
        )
    feldspar = "SiO2 66\nAl2O3 18\nK2O 12\nNa2O 3\nLOI 1\nCl 0.02"
    assert certificate(feldspar).loi_percent == 1.0


def test_nothing_is_said_of_what_is_not_there() -> None:
    assert certificate("SiO2 64\nAl2O3 30\nCaF2 0\nRb2O 0\nLOI 6").remarks == ()
