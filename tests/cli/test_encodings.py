"""Output into a file or a pipe takes every character, whatever encoding the system has."""

from __future__ import annotations

import io
import os
import shlex
import subprocess
import sys

import pytest

from cofire.cli.main import COMMANDS, main

ENCODINGS = ("cp1252", "ascii", "latin-1")
FIRED = "--firing raku-workshop --body raku"
LINES = (
    f"pair frit-gloss true-matte {FIRED}",
    f"fit clear-crackle {FIRED}",
    "blend clear-crackle frit-gloss --steps 4 --firing raku-workshop",
    "firing raku-workshop clear-crackle",
    "formula clear-crackle --more",
    "formula clear-crackle --json",
    "map frit-gloss --across “silica 0-40” --up “kaolin 0-30”",
    "shake frit-gloss --body raku",
    "predict glasses.csv --basis wt",
    "adjust clear-crackle --want “expansion 7.6”",
    "swap white-crackle “natural borate”",
    "compose “1 CaO, 0.3 Al2O3, 3 SiO2”",
    "tile “clear-crackle, 3 brushed, crazed 4 mm” --body raku",
    "lustre copper-lustre --firing raku-workshop",
    "batch white-crackle --bucket “10 l”",
    "day raku-workshop --pots 28 --pot “12 x 15 cm” --chamber “40 x 45 cm” --bins 3",
    "card",
    "materials show “natural borate”",
    "recipes",
    "bodies",
    "firings",
    "kilns",
    "init .",
    "read columns.csv --name “Grün ü → 釉”",
    "import book.csv --surface gloss --dry-run",
    "table clear-crackle",
    "set mine.toml “kaolin = 11” --why “weniger, größer → 釉”",
    "keep mine.toml --why “größer → 釉”",
    "history mine.toml",
    "kiln-log log.csv --like small-brick",
    "export all.json --all",
    "stock",
    "fired mine.toml --clay raku --coat “3 brushed” --result whole --words “größer → 釉”",
    "levers clear-crackle --want “crackle 15 mm” --body raku",
    "explain “unity formula”",
    "docs --save documents.html",
    "completion bash",
    "check",
)
COMPLAINT = "formula mine.toml --firing “größer → 釉”"
FILES = {
    "book.csv": "recipe;frit-3134-type;kaolin;Bemerkung\nGrün ü → 釉;90;10,5;größer → 釉\n",
    "glasses.csv": "name,SiO2,Na2O,CaO\ngrün → 釉,70,15,15\n",
    "columns.csv": "silica,30\nkaolin,10\nwhiting,20\npotash feldspar,40\n",
    "mine.toml": 'name = "Grün → 釉"\nsurface = "gloss"\n[base]\northoclase = 60\nwhiting = 20\n'
    "silica = 20\nkaolin = 10\n",
    "log.csv": "time (min),temperature (C)\n"
    + "".join(f"{m},{1200 - 1180 * 0.99**m:.0f}\n" for m in range(0, 180, 5)),
}


def words_of(line: str) -> list[str]:
    return shlex.split(line.replace("“", "'").replace("”", "'"))


def test_every_command_is_tried() -> None:
    assert {words_of(line)[0] for line in LINES} == set(COMMANDS) - {"bench"}


class Terminal(io.TextIOWrapper):
    def isatty(self) -> bool:
        return True


def left_with(patch: pytest.MonkeyPatch, line: str, kind: type, encoding: str) -> tuple[int, bytes]:
    """The exit code, and all that is written to streams of this encoding."""
    raw = io.BytesIO()
    for name in ("stdout", "stderr"):
        patch.setattr(sys, name, kind(raw, encoding=encoding, write_through=True))
    patch.setattr(sys, "argv", ["cofire", *words_of(line)])
    with pytest.raises(SystemExit) as left:
        main()
    assert isinstance(left.value.code, int)
    return left.value.code, raw.getvalue()


@pytest.mark.parametrize("line", [*LINES, COMPLAINT])
def test_no_character_stops_a_command(  # type: ignore[no-untyped-def]
    cofire, monkeypatch: pytest.MonkeyPatch, line: str
) -> None:
    for kind, encoding in (*((io.TextIOWrapper, e) for e in ENCODINGS), (Terminal, "cp1252")):
        for name, text in FILES.items():
            cofire.write(name, text)
        (cofire.folder / "all.json").unlink(missing_ok=True)
        code, written = left_with(monkeypatch, line, kind, encoding)
        shown = written.decode(encoding if kind is Terminal else "utf-8")
        assert code == 2 if line == COMPLAINT else code in (0, 1), shown
        assert shown.strip()


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_a_redirected_answer_is_utf_8(encoding: str) -> None:
    code = "from cofire.cli.main import run; run()"
    done = {
        chosen: subprocess.run(
            [sys.executable, "-c", code, "formula", "clear-crackle"],
            capture_output=True,
            env={**os.environ, "PYTHONIOENCODING": chosen},
        )
        for chosen in (encoding, "utf-8")
    }
    assert done[encoding].returncode == 0, done[encoding].stderr
    assert "SiO₂" in done[encoding].stdout.decode("utf-8")
    assert done[encoding].stdout == done["utf-8"].stdout


@pytest.mark.parametrize("encoding", ENCODINGS)
def test_what_is_pasted_is_utf_8(encoding: str) -> None:
    code = "from cofire.cli.main import run; run()"
    done = subprocess.run(
        [sys.executable, "-c", code, "predict", "-", "--basis", "wt"],
        input="\ufeff" + FILES["glasses.csv"],
        encoding="utf-8",
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": encoding},
    )
    assert done.returncode == 0, done.stderr
    assert "grün → 釉" in done.stdout


def test_pasted_text_of_another_encoding_is_read_and_refused_with_its_line(  # type: ignore[no-untyped-def]
    cofire, monkeypatch: pytest.MonkeyPatch
) -> None:
    pasted = io.BytesIO("SiO2,61.2\nMgO,38.8\nGrün,0\n".encode("latin-1"))
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(pasted, "utf-8"))
    named = ("--id", "odd", "--name", "odd", "--supplier", "Tide Minerals", "--date", "2026-11")
    run = cofire("materials", "add", "-", *named)
    assert run.code == 2
    assert "line 3" in run.err and "“Grün”" in run.err
