"""The command line: the commands, and exit codes.

Nothing heavy is imported here; a command's module is loaded when it is called.
"""

from __future__ import annotations

import contextlib
import gc
import importlib
import io
import itertools
import os
import signal
import sys
from typing import Any, Final

import click

from cofire import __version__
from cofire.cli.common import Group
from cofire.errors import CofireError
from cofire.names import shown

YES, NO, BAD_INPUT, OUR_BUG, INTERRUPTED = 0, 1, 2, 70, 130

#: command -> (module, one line of help). Help must not import the commands.
COMMANDS: Final = {
    "pair": ("pair", "Do these glazes share one firing, and do they fit the body?"),
    "fit": ("fit", "Will this glaze craze or shiver on that body?"),
    "blend": ("blend", "Line blends, triaxials and grids: what is every point like?"),
    "firing": ("firing", "A firing over time: what to key in, loads, cones, ripeness."),
    "formula": ("formula", "Oxides, unity formula, expansion and melt range of a recipe."),
    "map": ("map", "A map of a glaze family over two materials or oxides."),
    "shake": ("shake", "What an answer depends on: weighing, materials, kiln or clay."),
    "predict": ("predict", "A table of oxide compositions in, properties out."),
    "adjust": ("adjust", "The nearest recipe that does what you want."),
    "levers": ("levers", "One wish: how far glaze, coat, air, bin, wall and clay go."),
    "swap": ("swap", "Rebuild a glaze without a material that is gone."),
    "compose": ("compose", "From a unity formula to recipes."),
    "tile": ("tile", "Learn a clay's expansion from fired tiles."),
    "fired": ("fired", "Write down what came out of the kiln, beside the recipe."),
    "lustre": ("lustre", "Between which temperatures a lustre glaze can be reduced."),
    "batch": ("batch", "Sheets to weigh by: a bucket or a class, costs, who does what."),
    "day": ("day", "Plan a day: firings, pulls and bins for a number of pots."),
    "explain": ("explain", "What a word on the screen means, with its source."),
    "card": ("card", "How far the glass models miss on glasses they never saw."),
    "bench": ("bench", "A page in your browser for all of this, on your own studio."),
    "materials": ("materials", "List, search, show and add studio materials."),
    "recipes": ("shelf", "List the recipes that can be named."),
    "bodies": ("shelf", "List the clay bodies that can be named."),
    "firings": ("shelf", "List the firings that can be named."),
    "kilns": ("shelf", "List the kilns that can be named."),
    "init": ("init", "Make a studio folder for your own recipes and materials."),
    "read": ("read", "A recipe from columns pasted from a spreadsheet."),
    "import": ("import_table", "Many recipes from one sheet, long or wide, CSV or XLSX."),
    "stock": ("stock", "What is on your shelf and what it cost; a whole list from a sheet."),
    "table": ("table", "A recipe or a batch as columns for a spreadsheet."),
    "set": ("set", "Change one amount in a recipe's file, and remember what it was."),
    "keep": ("keep", "Keep the present version of a recipe, and why it changed."),
    "history": ("history", "What changed in a recipe, when, and why."),
    "kiln-log": ("kiln_log", "Learn what your kiln can do from a log of it."),
    "export": ("export", "All that your studio holds, as JSON or CSV."),
    "docs": ("docs", "All documents as one page in your browser, without a network."),
    "completion": ("completion", "Let the Tab key complete names; install the manual page."),
    "check": ("check", "Check every material, recipe, body and firing file."),
}


class _Lazy(Group):
    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        if name not in COMMANDS:
            return None
        module = importlib.import_module(f"cofire.cli.{COMMANDS[name][0]}")
        command = getattr(module, name.replace("-", "_"))
        assert isinstance(command, click.Command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            from cofire.errors import did_you_mean

            hint = did_you_mean(args[0], COMMANDS) or "See  cofire --help"
            raise click.UsageError(f"there is no command “{args[0]}”. {hint}", ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in COMMANDS.items()])


@click.group(cls=_Lazy, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, message="cofire %(version)s")
@click.option(
    "--studio", metavar="FOLDER", help="Your own materials and recipes (has studio.toml)."
)
@click.pass_context
def cofire(ctx: click.Context, studio: str | None) -> None:
    """Will these glazes ripen together in the firing you plan, and do they fit the body?

    Numbers come from measured glasses and physics, with their uncertainty. No answer here
    says that a glaze is safe for food, and none replaces a test tile.
    """
    ctx.obj = studio


def _use_utf8() -> None:
    """Make every character printable, whatever the encoding of the system.

    Files and pipes are UTF-8, like every file of cofire. A screen shows “?” for what it lacks.
    """
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # None in a window without a terminal
            reads = stream is sys.stdin
            stream.reconfigure(
                encoding=None if stream.isatty() else "utf-8-sig" if reads else "utf-8",
                errors=None if reads else "replace",
            )


def _show_usage(error: click.ClickException) -> None:
    """As click shows it, which would drop escape codes instead of writing them out."""
    if isinstance(error, click.exceptions.NoArgsIsHelpError):
        error.show()
        return
    said = f"Error: {error.format_message()}"
    ctx = error.ctx if isinstance(error, click.UsageError) else None
    if _as_json():
        from cofire.show.problems import coded

        hint = f"See  {ctx.command_path} --help" if ctx else ""
        _show(coded("usage", error.format_message(), hint), BAD_INPUT)
        return
    if ctx:
        said = f"{ctx.get_usage()}\nTry '{ctx.command_path} --help' for help.\n\n{said}"
    click.echo(shown(said), err=True)


def _as_json() -> bool:
    """Whether --json was asked for, also where the rest cannot be read."""
    return "--json" in itertools.takewhile(lambda word: word != "--", sys.argv[1:])


def _show(error: CofireError, exit_status: int) -> None:
    """Write an error to standard error, in the form that was asked for."""
    if _as_json():
        from cofire.show import json

        json.show_error(error, exit_status)
    else:
        from cofire.show import problems

        problems.show_error(error)


class _Pipe(io.FileIO):
    """A stream that forgets what nobody reads any more: the answer is still yes or no."""

    def __init__(self, handle: int, forgives: type[OSError]) -> None:
        super().__init__(handle, "wb", closefd=False)
        self._forgives = forgives

    def write(self, data: Any) -> int:
        try:
            return super().write(data)
        except self._forgives:
            return memoryview(data).nbytes


def _open_streams() -> None:
    """Give every standard stream a file of its own, so that no other file takes its place.

    One that is closed cannot be read or written. A pipe that is closed early takes no harm, and
    standard error never does.
    """
    for handle, how in enumerate((os.O_WRONLY, os.O_RDONLY, os.O_WRONLY)):
        try:
            os.fstat(handle)
        except OSError:
            os.open(os.devnull, how)
    if sys.stdin is None:
        sys.stdin = io.TextIOWrapper(io.BufferedReader(io.FileIO(0, closefd=False)))
    for name, handle, forgives in (("stdout", 1, BrokenPipeError), ("stderr", 2, OSError)):
        was = getattr(sys, name)
        if was is not None and was.isatty():
            continue
        raw = io.BufferedWriter(_Pipe(handle, forgives))
        setattr(sys, name, io.TextIOWrapper(raw, "utf-8", "replace", line_buffering=handle == 2))


def _use_size() -> None:
    """Forget a size of the screen that no screen has."""
    for name in ("COLUMNS", "LINES"):
        size = os.environ.get(name, "80")
        if not (size.isascii() and size.isdigit() and len(size) <= 4 and int(size) >= 10):
            del os.environ[name]


def main() -> None:
    """Run the command line and exit with 0 yes, 1 no, 2 bad input, 70 a bug of ours, 130 stopped
    by Ctrl-C."""
    # the arrays here are small: threads inside numpy's sums only cost time to start, and garbage
    # collection is of no use in a run this short
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    gc.set_threshold(100_000)
    _use_utf8()
    _use_size()
    try:
        code = cofire.main(standalone_mode=False, prog_name="cofire")
        sys.stdout.flush()
    except (click.exceptions.Abort, KeyboardInterrupt):
        sys.exit(INTERRUPTED)
    except click.ClickException as error:
        _show_usage(error)
        sys.exit(BAD_INPUT)
    except CofireError as error:
        _show(error, BAD_INPUT)
        sys.exit(BAD_INPUT)
    except OSError as trouble:  # a full disk, a folder that is gone; streams have no name
        from cofire.show.problems import coded

        what = trouble.filename or "The answer cannot be written"
        _show(coded("system", f"{what}: {trouble.strerror}."), BAD_INPUT)
        sys.exit(BAD_INPUT)
    except Exception as bug:
        from cofire.show.problems import bug_error

        _show(bug_error(bug), OUR_BUG)
        sys.exit(OUR_BUG)
    sys.exit(code if isinstance(code, int) else YES)


def run() -> None:
    """``main`` as a program, which exits without cleaning up.

    Unloading numpy would take a quarter of the time of the whole answer. Nothing is lost: output is
    flushed, and files are complete before a command returns.
    """
    try:
        try:
            _open_streams()
            for name in ("SIGTERM", "SIGHUP"):
                if hasattr(signal, name):
                    signal.signal(getattr(signal, name), _leave)
            if signal.getsignal(signal.SIGINT) is not signal.SIG_IGN:
                signal.signal(signal.SIGINT, signal.default_int_handler)
            main()
        finally:
            signal.signal(signal.SIGINT, signal.SIG_IGN)
    except SystemExit as left:
        code = left.code if isinstance(left.code, int) else OUR_BUG
    except KeyboardInterrupt:
        code = INTERRUPTED
    with contextlib.suppress(OSError, ValueError):
        sys.stderr.flush()
    os._exit(code)


def _leave(number: int, _: object) -> None:
    """Told to stop: temporary files are removed on the way out."""
    sys.exit(128 + number)
