from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from cofire.cli.common import Group, finish, print_json, say, studio
from cofire.cli.import_table import pasted, restored, sheet_options


@click.group(cls=Group, invoke_without_command=True)
@click.option("--json", "as_json", is_flag=True, help="The same as JSON.")
@click.pass_context
def materials(ctx: click.Context, as_json: bool) -> None:
    """List, search, show, add and nickname studio materials.

    Without a command: list them all; with --json: all of them with oxides and LOI.
    """
    if ctx.invoked_subcommand is None:
        _show_list((), as_json)


@materials.command("find")
@click.argument("words", nargs=-1, required=True)
def find(words: tuple[str, ...], as_json: bool) -> int:
    """Materials whose names, ids or oxides hold all the WORDS. Exit status 1 if none does."""
    return _show_list(words, as_json)


@materials.command("show")
@click.argument("name", metavar="MATERIAL")
def show(name: str, as_json: bool) -> None:
    """One material: analysis, source, spread, cautions, and who else carries its name."""
    maker = studio()
    cautions = maker.library.cautions
    finish(maker.material(name), as_json, "stock.show_material", cautions=cautions)


@materials.command("add")
@click.argument("certificate", type=click.Path(path_type=Path))
@click.option("--id", "key", required=True, help="Short id, e.g. “talc-2026”.")
@click.option("--name", "names", required=True, multiple=True, help="What you call it; repeatable.")
@click.option("--supplier", required=True, help="Who sold it.")
@click.option("--date", required=True, help="Date of the certificate or the delivery.")
@click.option(
    "--dissolves",
    type=click.Choice(["no", "slightly", "yes"]),
    default="no",
    show_default=True,
    help="Does it dissolve in water?",
)
@click.option(
    "--melts",
    metavar="HOW",
    help="How it melts by itself: “glass” for a frit, “743 C” or “never”; else its analysis tells.",
)
@click.option(
    "--overrides", is_flag=True, help="Take the place of the shipped material of this id."
)
@click.option("--trust", is_flag=True, help="Keep it though it looks like another material.")
def add(
    certificate: Path,
    key: str,
    names: tuple[str, ...],
    supplier: str,
    date: str,
    dissolves: str,
    melts: str | None,
    overrides: bool,
    trust: bool,
    as_json: bool,
) -> None:
    """Add a material of your own from a supplier's CERTIFICATE (“-” reads what you paste).

    One oxide to a line (“SiO2, 66.3”), or a header line and a line of values; LOI for the loss
    on ignition. It is written into the materials folder of your studio.
    """
    from cofire.files.table_cells import plain_text
    from cofire.files.toml import read_stream, standard_input

    text = None
    if str(certificate) == "-":
        stream, path = standard_input()
        text = plain_text(read_stream(stream, path), path)[1]
    added = studio().add_material(
        None if text is not None else certificate,
        text=text,
        id=key,
        names=names,
        supplier=supplier,
        date=date,
        dissolves=dissolves,
        melts=melts if melts is not None else _asked(certificate, text),
        overrides=overrides,
        trust=trust,
    )
    if as_json:
        print_json(added)
        return
    for remark in added.remarks:
        say(f"Note: {remark}.")
    say(f"Written: {added.file}")


@materials.command("import")
@click.argument("table", type=click.Path(path_type=Path, allow_dash=True))
@sheet_options("rename", "number it")
@click.option("--supplier", default="", help="Who sold those whose rows do not say it.")
@click.option("--date", default="", help="Their date, of certificate or delivery.")
@click.option("--trust", is_flag=True, help="Keep those that look like other materials.")
def import_(table: Path, as_json: bool, **how: Any) -> int:
    """Many materials of your own from one sheet: TABLE is CSV, XLSX, or “-” for what is pasted.

    A row to each, with columns name, id, oxides in wt % (SiO2, Al2O3 ...), LOI, supplier, date,
    melts and dissolves. All are written, or none where one cannot be; exit status 1 then.
    """
    if (code := restored(table, as_json, how)) is not None:
        return code
    answer = studio().import_materials(**pasted(table), **how)
    finish(answer, as_json, "imported.show_materials")
    return 0 if answer.yes else 1


@materials.command("call")
@click.argument("nickname", required=False)
@click.argument("name", metavar="MATERIAL", required=False)
@click.option("--change", is_flag=True, help="Also where the name means another material so far.")
@click.option("--forget", is_flag=True, help="Take the NICKNAME out of the file.")
def call(nickname: str | None, name: str | None, change: bool, forget: bool, as_json: bool) -> None:
    """Remember a NICKNAME of your own for a material: “RIO” for “red iron oxide”.

    It is written into names.toml in your studio, and may then stand wherever a material is named.
    Without both words: list your own names.
    """
    if nickname is None and not (change or forget):
        listed = studio().nicknames()
        if as_json:
            print_json(listed)
            return
        for one in listed.nicknames:
            say(f"“{one.nickname}” is {one.material.name} ({one.material.id})")
        say(f"{len(listed.nicknames)} names of your own")
        return
    if nickname is None or (name is None) != forget:
        raise click.UsageError("Give a NICKNAME and a MATERIAL, or a NICKNAME and --forget.")
    if forget or name is None:
        answer = studio().forget_nickname(nickname)
        said = f"“{answer.nickname}” is forgotten; it was {answer.material.name}."
    else:
        answer = studio().call_material(nickname, name, change=change)
        said = f"“{answer.nickname}” is {answer.material.name}."
    if as_json:
        print_json(answer)
        return
    say(f"{said} Written: {answer.file}")


def _asked(certificate: Path, text: str | None) -> str:
    """Asks a person at a screen how it melts, where the analysis does not tell."""
    if text is not None or not sys.stdin.isatty():
        return ""
    from cofire.answers.materials import how_it_melts
    from cofire.files.table_cells import plain_text
    from cofire.files.toml import read_bytes

    if how_it_melts(plain_text(read_bytes(certificate), certificate)[1], certificate):
        return ""
    click.echo("How does it melt by itself? The analysis does not tell.")
    question = "“glass” for a frit, a temperature such as “1150 C”, or “never”"
    return str(click.prompt(question, default="not known", err=True)).removeprefix("not known")


def _show_list(words: tuple[str, ...], as_json: bool) -> int:
    answer = studio().materials(*words)
    finish(answer, as_json, "stock.show_materials", words=words)
    return 0 if answer.materials else 1
