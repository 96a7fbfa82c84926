"""Many materials from one sheet, by the checks of a single certificate."""

from __future__ import annotations

from pathlib import Path

import pytest

import cofire as package
from cofire.errors import CofireError

HEAD = "Material;SiO2 (wt %);Al2O3 %;MgO;SO3;LOI %;Supplier;Date;Melts;Dissolves;Colour\n"


@pytest.fixture
def studio(tmp_path: Path) -> package.Studio:
    (tmp_path / "studio.toml").write_text("")
    return package.Studio(tmp_path)


def test_a_row_is_what_materials_add_makes_of_a_certificate(
    studio: package.Studio, tmp_path: Path
) -> None:
    row = "Yard talc;61,2;0,9;32,05;-;5,85;Tide Minerals;2026-11;;no;pale\n"
    answer = studio.import_materials(text=HEAD + row)
    assert answer.yes and answer.written
    made = answer.materials[0].file.read_text()
    assert made.startswith("# Colour: pale\n") and answer.materials[0].remarks[0] == "Colour: pale"
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "studio.toml").write_text("")
    added = package.Studio(tmp_path / "other").add_material(
        text="SiO2\t61,2\nAl2O3\t0,9\nMgO\t32,05\nLOI\t5,85",
        id="yard-talc", names=["Yard talc"], supplier="Tide Minerals", date="2026-11",
    )  # fmt: skip
    assert made == "# Colour: pale\n" + added.file.read_text()
    own = package.Studio(tmp_path).material("yard talc").material
    assert own.oxides_wt_percent["MgO"] == 32.05 and own.loi_percent == 5.85


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("A;61,2;0,9;90;;5,85;T;2026;;no;", "A: "),  # more than 100 %
        ("A;1.200;0,9;32;;5,85;T;2026;;no;", "1200"),
        ("A;61,2;0,9;32;;5,85;;2026;;no;", "no supplier"),
        ("A;61,2;0,9;32;;5,85;T;;;no;", "no date"),
        ("A;61,2;0,9;32;;5,85;T;2026;;hardly;", "hardly"),
        ("A;61,2;0,9;32;;5,85;T;2026;warm;no;", "melts"),
        (";61,2;0,9;32;;5,85;T;2026;;no;", "no name"),
        ("Ä;61,2;0,9;32;;5,85;T;2026;;no;", "id"),
        ("A;;;;;;T;2026;;no;", "no oxides"),
    ],
)
def test_what_is_wrong_is_said_with_its_line(studio: package.Studio, row: str, said: str) -> None:
    good = "Good;61,2;0,9;32;;5,9;T;2026;;no;\n"
    answer = studio.import_materials(text=f"{HEAD}{row}\n{good}")
    assert [e.place.line for e in answer.errors if e.place] == [2]
    assert said in f"{answer.errors[0].message} {answer.errors[0].hint}"
    assert [one.id for one in answer.materials] == ["good"] and not answer.written
    answer = studio.import_materials(text=f"{HEAD}{row}\n{good}", only_good=True)
    assert answer.written and not answer.yes


def test_ids_that_are_taken(studio: package.Studio) -> None:
    text = "name,SiO2,MgO,LOI\nTalc ideal,62,32,6\nours,62,32,6\nOurs,62,32,6\n"
    said = {"supplier": "Tide", "date": "2026-11"}
    answer = studio.import_materials(text=text, **said)  # type: ignore[arg-type]
    assert [c.name for c in answer.clashes] == ["talc-ideal", "ours"] and not answer.written
    answer = studio.import_materials(text=text, on_clash="rename", **said)  # type: ignore[arg-type]
    assert [one.id for one in answer.materials] == ["talc-ideal-2", "ours", "ours-2"]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("name,SiO2 mol%,LOI\na,99,1\n", "SiO2"),
        ("name,Si02,LOI\na,99,1\n", "Si02"),
        ("SiO2,LOI\n99,1\n", "names"),
        ("name,material,SiO2\na,b,1\n", "may both be"),
    ],
)
def test_headings_that_do_not_say_what_is_what(studio: package.Studio, text: str, why: str) -> None:
    with pytest.raises(CofireError, match=why):
        studio.import_materials(text=text, supplier="Tide", date="2026-11")


def test_fluorine_as_laboratories_print_it(studio: package.Studio) -> None:
    text = "name,SiO2,CaO,Na2O,F,O for F,LOI\na,60,20,17.105,5,-2.105,0\n"
    answer = studio.import_materials(text=text, supplier="Tide", date="2026-11")
    assert answer.written
    own = package.Studio(answer.materials[0].file.parent.parent).material("a").material
    assert own.oxides_wt_percent["F"] == 5.0 and own.oxides_wt_percent["Na2O"] == 17.105


def test_a_title_and_units_in_brackets(studio: package.Studio) -> None:
    heads = "SiO2 (wt %);Al2O3 [%];K2O;Rb2O (%);CaF2 (%);F (%);Cl (%);SO3 (%);O=F;LOI 1000 °C (%)"
    row = "A;65;18;10;0,4;2,0;1,0;0,05;0,3;0,42;3,1;100"
    text = f"Price list and analyses\nname;{heads};Total %\n{row}"
    said = {"supplier": "Tide Minerals", "date": "2026-11"}
    assert studio.import_materials(text=text, **said).written
    assert studio.library.studio
    own = package.Studio(studio.library.studio).material("A")
    oxides = own.material.oxides_wt_percent
    assert oxides["CaO"] == pytest.approx(2.0 * 56.077 / 78.074, abs=1e-3)
    assert oxides["F"] == pytest.approx(1.0 + 2.0 * 37.997 / 78.074, abs=1e-3)
    assert oxides["K2O"] == pytest.approx(10 + 0.4 * 94.196 / 186.935, abs=1e-3)
    assert own.material.loi_percent == pytest.approx(3.1 + 0.35, abs=1e-6)
