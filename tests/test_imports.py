"""The house: help loads nothing heavy, and the tables in the code match the commands."""

from __future__ import annotations

import importlib
import subprocess
import sys

import click

from cofire.cli.main import COMMANDS

HEAVY = (
    "numpy",
    "scipy",
    "reportlab",
    "pint",
    "periodictable",
    "rich",
    "segno",
    "tomlkit",
    "flask",
    "waitress",
)


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys\nfrom cofire.cli.main import cofire\n"
        "cofire.main(['--help'], standalone_mode=False)\n"
        f"print('loaded:', [m for m in {HEAVY!r} if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "loaded: []" in done.stdout


def test_answers_need_neither_pint_nor_periodictable_nor_scipy() -> None:
    code = (
        "import sys, cofire\ns = cofire.Studio()\ns.formula('clear-crackle')\n"
        "s.pair(['frit-gloss', 'true-matte'], 'raku-workshop', body='raku')\n"
        "heavy = ('pint', 'periodictable', 'rich', 'scipy')\n"
        "print('loaded:', [m for m in heavy if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "loaded: []" in done.stdout


def test_every_command_says_what_the_list_says() -> None:
    for name, (module, line) in COMMANDS.items():
        command = getattr(importlib.import_module(f"cofire.cli.{module}"), name.replace("-", "_"))
        assert isinstance(command, click.Command)
        assert command.help and command.help.splitlines()[0].strip(), name
        assert line.endswith((".", "?"))
