"""The promised installs work: ``python tests/bench/installs.py python3.11 python3.13``.

Installs cofire with the lowest versions that pyproject.toml declares, and with the newest, for each
of the Pythons named (without any, for the one that runs this). Then asks for one answer for each
library and looks for a wrong exit status or any word of complaint. ``--tests`` runs the tests too:
those of the files and folders named after it, else all.
"""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
EXTRAS = PROJECT["optional-dependencies"]
FIRING = ("--firing", "raku-workshop", "--body", "raku")
#: Commands with the exit status that each must end with.
ASKED = {
    ("--version",): 0,
    ("pair", "clear-crackle", "turquoise-crackle", *FIRING): 0,
    ("predict", "glasses.csv", "--basis", "mol"): 0,
    ("adjust", "clear-crackle", "--want", "expansion 7.2"): 0,
    ("fit", "clear-crackle", "--body", "raku", "--wall", "2 furlong"): 2,
    ("fit", "clear-crackle", "--bodi", "raku"): 2,
    ("batch", "white-crackle", "--dry", "2 kg", "--pdf", "sheets.pdf"): 0,
    ("import", "book.xlsx"): 0,
    ("docs", "--save", "documents.html"): 0,
}
BOOK = """import openpyxl
book = openpyxl.Workbook()
book.active.append(["name", "material", "amount", "surface"])
book.active.append(["Quay clear", "frit-3134-type", 88, "gloss"])
book.active.append(["Quay clear", "kaolin", 12, "gloss"])
book.save("book.xlsx")
"""


def lowest() -> list[str]:
    """The lowest version of all that people install by name; test tools are the newest."""
    every = PROJECT["dependencies"] + EXTRAS["xlsx"]
    return sorted({re.sub(r"^([\w-]+)>=([\d.]+).*", r"\1==\2", one) for one in every})


def tried(python: str, constraints: list[str], tests: list[Path], folder: Path) -> list[str]:
    """What is wrong with one install."""
    said = []

    def run(*command: str | Path, wants: int = 0, quiet: bool = True) -> None:
        ended = subprocess.run(command, cwd=folder, capture_output=True, text=True)
        if ended.returncode != wants or (quiet and wants == 0 and ended.stderr):
            said.append(
                f"{' '.join(map(str, command))}\n{ended.stdout[-800:]}{ended.stderr[-2000:]}"
            )

    subprocess.run([python, "-m", "venv", folder / "venv"], check=True)
    inside = folder / "venv" / ("Scripts" if sys.platform == "win32" else "bin") / "python"
    (folder / "lowest.txt").write_text("\n".join(constraints))
    (folder / "glasses.csv").write_text("SiO2,Na2O,CaO\n70,15,15\n")
    what = f"{ROOT}[xlsx{',dev' if tests else ''}]"
    run(inside, "-m", "pip", "install", "-q", what, "--constraint", "lowest.txt", quiet=False)
    run(inside, "-c", BOOK)
    run(inside, "-m", "cofire", "init", ".")
    for words, wants in ASKED.items():
        run(inside, "-m", "cofire", *words, wants=wants)
    if tests:
        run(inside, "-m", "pytest", *tests, "-p", "no:cacheprovider", quiet=False)
    return said


def main() -> None:
    words = [*sys.argv[1:], "--tests"]
    at = words.index("--tests")
    pythons = words[:at] or [sys.executable]
    tests = [Path(word).resolve() for word in words[at + 1 : -1]]
    if "--tests" in sys.argv and not tests:
        tests = [ROOT / "tests"]
    failed = False
    for python in pythons:
        for name, constraints in (("lowest", lowest()), ("newest", [])):
            with tempfile.TemporaryDirectory() as folder:
                said = tried(python, constraints, tests, Path(folder))
            print(f"{python}, {name}: {'FAILED' if said else 'works'}", *said, sep="\n", flush=True)
            failed = failed or bool(said)
    sys.exit(failed)


if __name__ == "__main__":
    main()
