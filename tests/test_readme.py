"""What the README tells people to type works as it stands."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

README = (Path(__file__).parents[1] / "README.md").read_text("utf-8")
COMMANDS = [
    line.partition("#")[0].strip()
    for block in re.findall(r"```sh\n(.*?)```", README, re.DOTALL)
    for line in block.splitlines()
    if line.startswith("cofire ")
]


@pytest.mark.parametrize("line", COMMANDS)
def test_command(cofire, monkeypatch, line: str) -> None:  # type: ignore[no-untyped-def]
    for variable in ("HOME", "XDG_DATA_HOME"):
        monkeypatch.setenv(variable, str(cofire.folder))
    run = cofire(*shlex.split(line)[1:])
    assert run.code in (0, 1), run.err
    assert run.out


def test_the_two_pairs_of_the_artist_differ_as_told(cofire) -> None:  # type: ignore[no-untyped-def]
    words = ("pair", "clear-crackle", "turquoise-crackle", "--firing", "raku-workshop")
    assert cofire(*words, "--odds", "0.9", "--body", "unknown").code == 1
    assert cofire(*words, "--odds", "0.9", "--body", "raku").code == 0


def test_the_recipe_it_shows_reads(cofire) -> None:  # type: ignore[no-untyped-def]
    shown = re.findall(r"```toml\n(.*?)```", README, re.DOTALL)[0]
    path = cofire.write("recipes/harbour.toml", shown)
    assert cofire("formula", path).code == 0
    assert cofire("check").code == 0


def test_the_firing_it_shows_reads(cofire) -> None:  # type: ignore[no-untyped-def]
    shown = next(b for b in re.findall(r"```toml\n(.*?)```", README, re.DOTALL) if "segment" in b)
    run = cofire("firing", cofire.write("evening.toml", shown), "clear-crackle")
    assert run.code == 0
    assert "pot 3" in run.out


def test_the_python_it_shows_runs(capsys: pytest.CaptureFixture[str]) -> None:
    exec(re.findall(r"```python\n(.*?)```", README, re.DOTALL)[0], {})
    assert capsys.readouterr().out.startswith("True")
