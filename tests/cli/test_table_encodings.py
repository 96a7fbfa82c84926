"""Every door for tables reads the same encodings, and a first line that says the separator."""

from __future__ import annotations

import pytest

GLASSES = "name;SiO2;Na2O;CaO\ngrün;70,5;15;14,5\nä;60;20;20\n"
CERTIFICATE = "# Prüfung\nSiO2;61,2\nMgO;30,9\nAl2O3;0,9\nCaO;0,6\nLOI;5,8\n"
LOG = "time (min);Größe;temperature (C)\n" + "".join(
    f"{m};ü;{1200 - 1180 * 0.99**m:.0f}\n" for m in range(0, 180, 5)
)
DOORS = {
    "predict": (GLASSES, ("predict", "table.csv", "--basis", "wt")),
    "read": ("Rohstoff ü;g\nkaolin;10,5\nflint;89,5\nborax;5\n", ("read", "table.csv")),
    "import": ("recipe;borax;kaolin;Größe\nGrün;90;10,5;ü\n",
               ("import", "table.csv", "--surface", "gloss", "--dry-run")),
    "stock": ("name;kg;Größe\ntalc;1,5;ü\n", ("stock", "import", "table.csv", "--dry-run")),
    "certificate": (CERTIFICATE, ("materials", "add", "table.csv", "--id", "t", "--name", "talc",
                                  "--supplier", "Tide", "--date", "2026")),
    "log": (LOG, ("kiln-log", "table.csv", "--like", "small-fibre")),
}  # fmt: skip


@pytest.mark.parametrize("door", DOORS)
def test_all_doors_read_alike(cofire, door: str) -> None:  # type: ignore[no-untyped-def]
    text, words = DOORS[door]
    answers = []
    for first in ("", "sep=;\r\n", '"sep=;"\n'):
        for encoding in ("utf-8", "utf-8-sig", "utf-16", "cp1252"):
            cofire.write("studio.toml", "")
            cofire.write("table.csv", (first + text).encode(encoding))
            for made in cofire.folder.glob("materials/t.toml"):
                made.unlink()
            run = cofire(*words)
            assert run.code == 0, (first, encoding, run.err)
            lines = [x for x in run.out.splitlines() if "1252" not in x and "accented" not in x]
            answers.append("\n".join(lines))
            if encoding == "cp1252" and door in ("predict", "import", "stock"):
                assert "Windows-1252" in run.out + run.err
    assert answers[0].strip()
    if door == "predict":  # which shows nothing else
        assert len(set(answers)) == 1


def test_what_is_in_no_encoding_is_refused_with_its_line(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("table.csv", GLASSES.encode("cp1252") + b"\x81;1;2;3\n")
    run = cofire("predict", "table.csv", "--basis", "wt")
    assert run.code == 2 and "line" in run.err


def test_lines_are_counted_with_the_first(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("table.csv", "sep=;\n" + GLASSES.replace("60", "x"))
    run = cofire("predict", "table.csv", "--basis", "wt")
    assert run.code == 2 and "line 4" in run.err
    cofire.write("table.csv", "sep=;\n")
    assert cofire("predict", "table.csv", "--basis", "wt").code == 2
