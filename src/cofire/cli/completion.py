from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

import click
from click.shell_completion import get_completion_class

from cofire.cli.common import command, print_json, say
from cofire.record import Record

_SHELLS = ("bash", "zsh", "fish")
#: What stands in every file that is written, by which it is known again.
_MARK = "made by cofire completion"


@dataclass(frozen=True, eq=False, repr=False)
class Completion(Record):
    """What makes the Tab key complete names in a shell, and the files written."""

    shell: str
    script: str
    written: tuple[Path, ...]
    schema: ClassVar = "completion"


@command()
@click.argument("shell", type=click.Choice(_SHELLS), required=False)
@click.option("--install", is_flag=True, help="Write it where the shell looks, with the man page.")
def completion(shell: str | None, install: bool, as_json: bool) -> None:
    """Let the Tab key complete commands, recipes, bodies, firings and materials.

    For bash, zsh or fish; without a name, the shell that you are in. --install writes files in your
    home folder and says which.
    """
    shell = shell or Path(os.environ.get("SHELL", "")).name
    if shell not in _SHELLS:
        raise click.UsageError(f"name a shell: {', '.join(_SHELLS)}.")
    script = f"# {_MARK}\n{_script(shell)}"
    if shell == "zsh":  # its first line has to say what is completed
        script = f"#compdef cofire\n{script}"
    written = _install(shell, script) if install else {}
    if as_json:
        print_json(Completion(shell, script, tuple(written)))
    elif install:
        for path, what in written.items():
            say(f"{what}: {path}")
        if shell == "zsh":
            folder = next(iter(written)).parent
            say(f"Put  fpath=({folder} $fpath)  above compinit in ~/.zshrc.")
        say("Open a new terminal to use it.")
    else:
        click.echo(script, nl=False)


def _script(shell: str) -> str:
    from cofire.cli.main import cofire

    kind = get_completion_class(shell)
    assert kind is not None
    made: Any = kind(cofire, {}, "cofire", "_COFIRE_COMPLETE")
    return (
        str(made.source_template % made.source_vars()).lstrip("\n").replace("#compdef cofire\n", "")
    )


def _install(shell: str, script: str) -> dict[Path, str]:
    """Files written, with what they are. Raises CofireError where another file has the name."""
    from cofire.cli.reference import man_page
    from cofire.files.atomic_write import refuse_taken, writing

    data = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    config = Path(os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config")
    places = {
        "bash": data / "bash-completion" / "completions" / "cofire",
        "zsh": data / "zsh" / "site-functions" / "_cofire",
        "fish": config / "fish" / "completions" / "cofire.fish",
    }
    texts = {places[shell]: script}
    texts[data / "man" / "man1" / "cofire.1"] = f'.\\" {_MARK}\n{man_page()}'
    for path in texts:
        if path.is_file() and _MARK not in path.read_text("utf-8", "replace"):
            refuse_taken(path, ", and cofire did not write it")
    for path, text in texts.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        with writing(path) as out:
            out.write(text)
    return dict(zip(texts, (f"completion for {shell}", "manual page"), strict=True))
