from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from shlex import quote
from typing import Any, ClassVar

import click
from click.shell_completion import get_completion_class

from cofire.cli.common import command, print_json, say
from cofire.record import Record

_SHELLS = ("bash", "zsh", "fish")
#: What stands in every file that is written, by which it is known again.
_MARK = "made by cofire completion"
#: Files that a shell reads when it starts, to which one line is added.
_READ_AT_START = {"bash": ".bashrc", "zsh": ".zshrc"}
#: As click has it, but names with spaces and signs are written as the shell reads them.
_BASH = """\
_cofire_completion() {
    local line value current=${COMP_WORDS[COMP_CWORD]}
    COMPREPLY=()
    while IFS= read -r line; do
        value=${line#*,}
        case ${line%%,*} in
            dir) compopt -o dirnames ;;
            file) compopt -o default ;;
            *) [[ $current == [\\'\\"]* ]] || printf -v value %q "$value"
               COMPREPLY+=("$value") ;;
        esac
    done < <(env COMP_WORDS="${COMP_WORDS[*]}" COMP_CWORD="$COMP_CWORD" \
        _COFIRE_COMPLETE=bash_complete "$1")
}
complete -F _cofire_completion cofire
"""


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
    home folder, for bash and zsh also a line at the end of .bashrc or .zshrc, and says which.
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
        say("Open a new terminal to use it.")
    else:
        click.echo(script, nl=False)


def _script(shell: str) -> str:
    from cofire.cli.main import cofire

    if shell == "bash":
        return _BASH
    kind = get_completion_class(shell)
    assert kind is not None
    made: Any = kind(cofire, {}, "cofire", "_COFIRE_COMPLETE")
    text = str(made.source_template % made.source_vars()).lstrip("\n")
    # names may hold commas
    return text.replace("#compdef cofire\n", "").replace('split ","', 'split -m 1 ","')


def _install(shell: str, script: str) -> dict[Path, str]:
    """Files written, with what they are. Raises CofireError where another file has the name."""
    from cofire.cli.reference import man_page
    from cofire.files.atomic_write import refuse_taken, writing, writing_bytes

    data = _folder("XDG_DATA_HOME", ".local/share")
    config = _folder("XDG_CONFIG_HOME", ".config")
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
    written = dict(zip(texts, (f"completion for {shell}", "manual page"), strict=True))
    if shell in _READ_AT_START:
        home = Path((shell == "zsh" and os.environ.get("ZDOTDIR")) or Path.home())
        start = home / _READ_AT_START[shell]
        was = start.read_bytes() if start.is_file() else b""
        if _MARK.encode() not in was:
            with writing_bytes(start) as raw:
                raw.write(was + _line(shell, places[shell], was).encode())
            written[start] = "one line, at the end"
    return written


def _folder(variable: str, usual: str) -> Path:
    """Where a person's files of a kind lie; a relative path counts for nothing, as XDG has it."""
    named = Path(os.environ.get(variable, ""))
    return named if named.is_absolute() else Path.home() / usual


def _line(shell: str, script: Path, was: bytes) -> str:
    begins = "(( $+functions[compdef] )) || { autoload -Uz compinit && compinit; }; "
    line = f"{begins if shell == 'zsh' else ''}source {quote(str(script))} # {_MARK}\n"
    return line if was.endswith(b"\n") or not was else f"\n{line}"
