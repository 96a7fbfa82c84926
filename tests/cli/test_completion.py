"""The Tab key completes what can be named, and one command installs that with the manual."""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest


def offered(folder: Path, line: str) -> set[str]:
    """What a shell is offered at the end of a line."""
    environment = os.environ | {
        "COMP_WORDS": line, "COMP_CWORD": str(len(line.split(" ")) - 1),
        "_COFIRE_COMPLETE": "bash_complete",
    }  # fmt: skip
    command = [sys.executable, "-m", "cofire"]
    done = subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True)
    assert done.stderr == ""
    return {one.partition(",")[2] for one in done.stdout.splitlines() if one}


@pytest.mark.parametrize(
    ("line", "names"),
    [
        ("cofire pai", {"pair"}),
        ("cofire pair clear-", {"clear-crackle"}),
        ("cofire pair clear-crackle frit-", {"frit-gloss"}),
        ("cofire formula harb", {"harbour"}),
        ("cofire fit clear-crackle --body talc", {"talc-earthenware"}),
        ("cofire pair x --firing raku-w", {"raku-workshop"}),
        ("cofire firing raku-w", {"raku-workshop"}),
        ("cofire firing x --kiln gas", {"gas-raku"}),
        ("cofire swap white-crackle spodumene-c", {"spodumene-concentrate"}),
        ("cofire adjust x --without spodumene-c", {"spodumene-concentrate"}),
        ("cofire materials show spodumene-c", {"spodumene-concentrate"}),
    ],
)
def test_names_are_completed(cofire, line: str, names: set[str]) -> None:  # type: ignore[no-untyped-def]
    cofire.write("recipes/harbour.toml", 'surface = "gloss"\n[base]\nkaolin = 1\n')
    assert offered(cofire.folder, line) == names


def test_materials_that_cannot_be_read_are_not_offered(cofire) -> None:  # type: ignore[no-untyped-def]
    cofire.write("materials/mine.toml", "[broken")
    assert offered(cofire.folder, "cofire swap white-crackle spodumene-c") == set()
    assert offered(cofire.folder, "cofire pair clear-c") == {"clear-crackle"}


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_one_command_installs_it(cofire, monkeypatch, shell: str) -> None:  # type: ignore[no-untyped-def]
    home = cofire.folder / "home"
    for name in ("HOME", "XDG_DATA_HOME", "XDG_CONFIG_HOME"):
        monkeypatch.setenv(name, str(home))
    monkeypatch.setenv("SHELL", f"/bin/{shell}")
    start = {"bash": ".bashrc", "zsh": ".zshrc"}.get(shell, "")
    if start:
        cofire.write(f"home/{start}", "alias pot=cofire")
    assert cofire("completion", "--install").code == 0
    written = [path for path in home.rglob("*") if path.is_file() and path.name != start]
    assert len(written) == 2 and (home / "man" / "man1" / "cofire.1") in written
    (script,) = (path for path in written if path.suffix != ".1")
    began = (home / start).read_text() if start else ""
    assert not start or (began.startswith("alias pot=cofire\n") and str(script) in began)
    assert script.read_text("utf-8") == cofire("completion", shell).out
    if program := shutil.which(shell):
        assert subprocess.run([program, "-n", str(script)]).returncode == 0
    found = json.loads(cofire("completion", "--install", "--json").out)  # its own it may replace
    assert sorted(found["written"]) == sorted(map(str, written))
    script.write_text("my own\n")
    run = cofire("completion", "--install")
    assert run.code == 2 and "cofire did not write it" in run.err
    assert script.read_text() == "my own\n"
    assert not start or (home / start).read_text() == began  # one line, once


@pytest.mark.parametrize(
    ("typed", "name"),
    [("my", r"my\ clear"), ("'my", "my clear"), ("оль", r"ольха\,\ 2"), ("o", r"o\'brien")],
)
def test_bash_can_read_the_names_that_it_completes(cofire, typed: str, name: str) -> None:  # type: ignore[no-untyped-def]
    if not (bash := shutil.which("bash")):
        pytest.skip("no bash is here")
    for own in ("my clear", "ольха, 2", "o'brien"):
        cofire.write(f"recipes/{own}.toml", 'surface = "gloss"\n[base]\nkaolin = 1\n')
    script = cofire("completion", "bash").out.replace('"$1")', f'"{sys.executable}" -m cofire)')
    asked = f"""{script}
COMP_WORDS=(cofire formula {shlex.quote(typed)}); COMP_CWORD=2
_cofire_completion cofire; printf '%s\n' "${{COMPREPLY[@]}}" """
    done = subprocess.run(
        [bash, "-c", asked],
        capture_output=True,
        env=os.environ | {"LC_ALL": "C.UTF-8"},
        encoding="utf-8",
    )
    assert done.stdout.splitlines() == [name], done.stderr


def test_a_folder_of_the_system_is_a_whole_path(cofire, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setenv("HOME", str(cofire.folder / "home"))
    for name in ("XDG_DATA_HOME", "XDG_CONFIG_HOME"):
        monkeypatch.setenv(name, "relative")
    assert cofire("completion", "fish", "--install").code == 0
    assert not (cofire.folder / "relative").exists()
    assert (cofire.folder / "home/.config/fish/completions/cofire.fish").is_file()


def test_a_shell_that_is_not_known_is_said(cofire, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setenv("SHELL", "/bin/odd")
    run = cofire("completion")
    assert run.code == 2 and "bash, zsh, fish" in run.err


def test_the_manual_page_is_read_without_a_complaint(tmp_path: Path) -> None:
    from cofire.cli.reference import man_page

    if not (groff := shutil.which("groff") or shutil.which("mandoc")):
        pytest.skip("neither groff nor mandoc is here")
    (tmp_path / "cofire.1").write_text(man_page(), "utf-8")
    words = [groff, "-man", "-Tutf8", "-ww"] if groff.endswith("groff") else [groff, "-Tlint"]
    done = subprocess.run([*words, tmp_path / "cofire.1"], capture_output=True, text=True)
    assert done.stderr == ""
    assert "COFIRE PAIR" in re.sub(".\b", "", done.stdout)  # bold is struck twice
