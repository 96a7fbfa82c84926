"""Pages of the documents that are read off the program: commands, words, JSON and Python."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING

import click

from cofire import __version__
from cofire.cli.main import cofire

if TYPE_CHECKING:
    from cofire.record import Record


def made() -> dict[str, str]:
    """The pages that no file holds, by name."""
    return {
        "commands": commands_page(), "words": words_page(), "json": json_page(),
        "python": python_page(),
    }  # fmt: skip


def commands() -> Iterator[tuple[str, click.Command, click.Context]]:
    """Every command with the words that call it, groups before what is in them."""
    top = click.Context(cofire, info_name="cofire")
    yield "cofire", cofire, top
    for name in cofire.list_commands(top):
        yield from _with_inner(name, cofire.get_command(top, name), top)


def _with_inner(
    name: str, command: click.Command | None, parent: click.Context
) -> Iterator[tuple[str, click.Command, click.Context]]:
    assert command is not None
    context = click.Context(command, info_name=name, parent=parent)
    yield context.command_path, command, context
    if isinstance(command, click.Group):
        for inner in command.list_commands(context):
            yield from _with_inner(inner, command.get_command(context, inner), context)


def _usage(words: str, command: click.Command, context: click.Context) -> str:
    return " ".join([words, *command.collect_usage_pieces(context)])


def _options(command: click.Command, context: click.Context) -> list[tuple[str, str]]:
    records = (param.get_help_record(context) for param in command.get_params(context))
    return [(flag, text) for flag, text in filter(None, records)]


def _paragraphs(text: str | None) -> list[str]:
    return [" ".join(part.split()) for part in inspect.cleandoc(text or "").split("\n\n")]


def commands_page() -> str:
    """Every command, as its ``--help`` has it."""
    parts = [
        "# Every command",
        "The same as `cofire COMMAND --help`. The exit status is 0 for yes, 1 for no, 2 for bad "
        "input or an answer that cannot be written, 130 after Ctrl-C, and 70 for a bug of ours. "
        "**Yes** means that everything asked for together has 80 % odds (`--odds` changes that) "
        "and one standard error of the draws more.",
    ]
    for words, command, context in commands():
        parts += [f"## {words}", f"`{_usage(words, command, context)}`"]
        parts += [_cell(text) for text in _paragraphs(command.help)]
        rows = [f"| {_code(flag)} | {_cell(text)} |" for flag, text in _options(command, context)]
        parts.append("\n".join(["| option | what it does |", "| --- | --- |", *rows]))
    return "\n\n".join(parts) + "\n"


def _cell(text: str) -> str:
    """Text that markdown and its tables leave as it is."""
    return re.sub(r"([|<>*\[\]])", r"\\\1", text) if "`" not in text else text


def _code(text: str) -> str:
    return f"`{text.replace('|', chr(92) + '|')}`"


def man_page() -> str:
    """The manual page, cofire(1), for ``man``."""
    lines = [f'.TH COFIRE 1 "" "cofire {__version__}" "User Commands"', ".SH NAME"]
    lines.append(r"cofire \- will these glazes ripen together, and do they fit the body?")
    for words, command, context in commands():
        lines += [f".SH {_roff(words.upper())}", f".B {_roff(_usage(words, command, context))}"]
        for text in _paragraphs(command.help):
            lines += [".PP", _roff(text)]
        for flag, text in _options(command, context):
            lines += [".TP", f".B {_roff(flag)}", _roff(text)]
    lines += [".SH EXIT STATUS", "0 yes, 1 no, 2 bad input, 70 a bug of ours, 130 after Ctrl-C."]
    lines += [".SH SEE ALSO", _roff("cofire docs  opens all documents, without a network.")]
    return "\n".join(lines) + "\n"


def _roff(text: str) -> str:
    text = text.replace("\\", r"\e").replace("-", r"\-")
    text = re.sub(r"[^\x00-\x7f]", lambda sign: rf"\[u{ord(sign[0]):04X}]", text)
    return rf"\&{text}" if text[:1] in (".", "'") else text


def words_page() -> str:
    """The glossary."""
    from cofire.answers.glossary import glossary

    parts = [
        "# What the words mean",
        "Every noun that a screen prints. `cofire explain WORD` says the same.",
    ]
    for word in glossary().words:
        also = f" ({', '.join(word.names[1:])})" if word.names[1:] else ""
        parts.append(f"**{word.names[0]}**{also}: {word.means} *Source: {word.source}.*")
    return "\n\n".join(parts) + "\n"


def json_page() -> str:
    """The keys of every answer, read off its record."""
    from cofire.cli.json_schema import all_records
    from cofire.record import VERSION

    parts = [
        "# JSON",
        "`--json` after any command prints its answer as one JSON object, and `to_dict()` of any "
        "answer in Python gives the same. Keys carry their units (`stress_mpa`, `at_min`). What is "
        "not known or not finite is `null`. A predicted value is an object of `value`, `low`, "
        "`high`, `level` and `unit`; a body, a firing or a kiln is its name, a material its id.",
        f"`schema` holds the name of the answer and its `version`, now {VERSION}, which goes up "
        "when a key is renamed, is dropped or changes its meaning; not when one is added. Read "
        "what you know and pass over the rest.",
        "`cofire docs --schema` prints all of it as a JSON Schema (draft 2020-12), in which "
        "`schema.name` tells the answers apart.",
        "With `--json` an error is an object too, `cofire.error`, on standard error: standard "
        "output holds answers only, and is empty where there is none. `exit_status` is that of the "
        "program, 2 or 70; each of `errors` has a `message` (what is wrong), a `file` and `line` "
        "(where, if it is in a file), a `hint` (what to write instead) and a `code`: "
        "`data-file`, `unknown-name`, `quantity` or `composition`, `usage` for a command line that "
        "cannot be read, `system` for a disk or a network drive, `bug` for a bug of ours.",
    ]
    for record in sorted(all_records(), key=lambda one: (str(one.schema), one.__name__)):
        if not isinstance(record.schema, str) or not record.schema:
            continue
        keys = _json_keys(record)
        parts.append(f"## cofire.{record.schema}")
        parts.append(" ".join((inspect.getdoc(record) or "").split()))
        rows = [f"| {_code(key)} | {_code(kind)} |" for key, kind in keys.items()]
        parts.append("\n".join(["| key | in Python |", "| --- | --- |", *rows]))
    return "\n\n".join(parts) + "\n"


def _json_keys(record: type[Record]) -> dict[str, str]:
    """Keys of a record's JSON with their kinds, as its module writes them."""
    hidden = (*getattr(record, "json_hides", ()), *getattr(record, "json_spreads", ()))
    also = (path.rpartition(".")[2] for path in getattr(record, "json_also", ()))
    spread = (f"… all keys of {name}" for name in getattr(record, "json_spreads", ()))
    keys = dict.fromkeys((*also, *spread), "computed")
    if is_dataclass(record):
        keys |= {f.name: str(f.type) for f in fields(record) if f.name not in hidden}
    return keys


def python_page() -> str:
    """The Python API, from its docstrings."""
    import cofire as package
    from cofire.studio import Studio

    parts = [
        "# Python",
        "```python\nimport cofire\n\nstudio = cofire.Studio()\n```",
        *_documented(inspect.getmodule(Studio).__doc__),
        "Errors are `cofire.CofireError`, with `message`, `hint`, `place` and `code`. Every "
        "example below is run by the tests.",
    ]
    for name, method in inspect.getmembers(Studio, callable):
        if not name.startswith("_"):
            signature = re.sub(r"\(self(, )?", "(", str(inspect.signature(method)), count=1)
            signature = re.sub(r"""(: |-> )(['"])(.*?)\2""", r"\1\3", signature)
            parts += [f"## studio.{name}", f"`{name}{signature}`"]
            parts += _documented(method.__doc__)
    parts.append("## What else can be imported")
    others = (name for name in package.__all__ if name not in ("Studio", "__version__", "OXIDES"))
    for name in others:
        text = " ".join((inspect.getdoc(getattr(package, name)) or "").split("\n\n")[0].split())
        parts.append(f"`cofire.{name}`: {text}")
    return "\n\n".join(parts) + "\n"


def _documented(doc: str | None) -> Iterator[str]:
    """Paragraphs of a docstring; examples stand in a block."""
    for part in inspect.cleandoc(doc or "").split("\n\n"):
        if part.startswith(">>>"):
            yield f"```python\n{part}\n```"
        else:
            yield " ".join(part.replace("``", "`").split())
