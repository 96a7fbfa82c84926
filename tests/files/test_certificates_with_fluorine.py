"""Certificates as laboratories print them: fluorine with its oxygen, rare alkalis, fluorides."""

from __future__ import annotations

from pathlib import Path

import pytest

from cofire.errors import CofireError
from cofire.files.certificates import Certificate, read_certificate

PAPER = Path("paper.csv")


def read(text: str) -> Certificate:
    return read_certificate(text, PAPER)


#: A lepidolite as laboratories print one; invented figures of the usual kind (from memory).
LEPIDOLITE = (
    "SiO2,52.4\nAl2O3,25.6\nLi2O,4.6\nK2O,8.7\nNa2O,0.6\nRb2O,1.9\nFe2O3,0.1\nF,6.5\nLOI,2.0\n"
)


@pytest.mark.parametrize("line", ["", "O = F,-2.74\n", "less O for F,2.74\n", "Total,100.0\n"])
def test_a_lepidolite_is_read_with_its_fluorine(line: str) -> None:
    """52.4 + 25.6 + … + 6.5 F less 0.421 × 6.5 for its oxygen and 2.0 of loss are 99.7."""
    paper = read(LEPIDOLITE + line)
    assert paper.oxides_wt_percent["F"] == 6.5
    assert paper.loi_percent == 2.0
    # rubidium counts as potassium, mole for mole: 1.9 × 94.196 / 186.935
    assert paper.oxides_wt_percent["K2O"] == pytest.approx(8.7 + 0.957, abs=0.002)
    assert any("Rb2O" in remark for remark in paper.remarks)


def test_a_frit_with_fluorine_gets_no_loss_invented() -> None:
    """46.5 + 12 + 20 + 15 + 5 + 2.6 of F less 1.09 for oxygen are 100.0."""
    paper = read("SiO2,46.5\nB2O3,12\nNa2O,20\nCaO,15\nAl2O3,5\nF,2.6\n")
    assert paper.loi_percent == pytest.approx(0.0, abs=0.01)


def test_fluorides_are_taken_apart() -> None:
    """CaF2 is 71.82 % CaO and 48.67 % F, of which 20.49 % stand in the place of oxygen."""
    paper = read("SiO2,60\nNa2O,20\nCaO,5\nCaF2,10\nAl2O3,5\nLOI,0\n")
    assert paper.oxides_wt_percent["CaO"] == pytest.approx(5 + 7.182, abs=0.002)
    assert paper.oxides_wt_percent["F"] == pytest.approx(4.867, abs=0.001)
    assert any("CaF2 10 % is counted as" in remark for remark in paper.remarks)


@pytest.mark.parametrize("volatile", ["SO3", "Cl", "CO2", "H2O", "N2O5"])
def test_what_leaves_in_the_fire_is_loss(volatile: str) -> None:
    paper = read(f"SiO2,60\nNa2O,20\nCaO,12\n{volatile},8\n")
    assert paper.loi_percent == pytest.approx(8.0)


@pytest.mark.parametrize("label", ["As2O3", "F2O", "XyO2", "CaFe2"])
def test_what_is_not_counted_is_named(label: str) -> None:
    with pytest.raises(CofireError, match=label):
        read(f"SiO2,60\nNa2O,20\nCaO,12\n{label},8\n")


def test_the_same_metal_in_two_states_is_asked_about() -> None:
    with pytest.raises(CofireError, match="Fe2O3"):
        read("SiO2,60\nNa2O,20\nFe2O3,10\nFeO,10\n")


@pytest.mark.parametrize(
    "line", ["O for F -4.21", "less O=F 4.21", "-O=F2 4.21", "(O≡F) 4.21", "O = F, Cl 4.21"]
)
@pytest.mark.parametrize("label", ["F", "F-", "f"])
def test_oxygen_for_fluorine_behind_blanks(line: str, label: str) -> None:
    read = read_certificate(
        f"SiO2 50\nAl2O3 20\nNa2O 24.21\n{label} 10\nLOI 0\n{line}\nTotal 100", Path("paper.txt")
    )
    assert read.oxides_wt_percent["F"] == 10.0
