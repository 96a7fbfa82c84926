"""Options that several commands share."""

from __future__ import annotations

import functools
import sys
from collections.abc import Callable, Iterable, Sequence
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, TypeVar

import click

from cofire.names import shown

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from cofire.files.atomic_write import FileKind
    from cofire.studio import Studio

F = TypeVar("F", bound=Callable[..., Any])
T = TypeVar("T")


class Number(click.FloatRange):
    """A number in the grammar of everything that is typed. Raises QuantityError."""

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        from cofire.read.number import number

        return float(super().convert(float(number(value)), param, ctx))

    def _describe_range(self) -> str:
        # click would say “x<=None” of a number without limits
        return "" if self.min is self.max is None else super()._describe_range()


class Count(click.IntRange):
    """A whole number in that grammar."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        from cofire.read.number import whole_number

        return int(super().convert(whole_number(value), param, ctx))

    def _describe_range(self) -> str:
        return "" if self.min is self.max is None else super()._describe_range()


class Named(click.types.StringParamType):
    """A name that the Tab key completes with what lies in these folders of a studio."""

    def __init__(self, *folders: str) -> None:
        self.folders = folders

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        from click.shell_completion import CompletionItem

        from cofire.errors import CofireError
        from cofire.files.library import Library

        try:
            library = Library.open(ctx.find_root().params.get("studio"))
            ids = set(library.materials) if "materials" in self.folders else set()
            for kind, _, inner in (f.partition("/") for f in self.folders if f != "materials"):
                ids |= {path.stem for path, _ in library.files(kind, inner)}
        except CofireError:  # said when the command is given
            return []
        return [CompletionItem(one) for one in sorted(ids) if one.startswith(incomplete)]


#: What the Tab key completes, by the name of an argument or what an option takes.
_NAMED = {
    "recipe": Named("recipes"), "recipes": Named("recipes"), "firing": Named("recipes/firings"),
    "kiln": Named("recipes/kilns"), "body": Named("materials/bodies"),
    "material": Named("materials"), "recipe... material": Named("recipes", "materials"),
}  # fmt: skip


def studio() -> Studio:
    """The studio named with --studio, or found, with all that is shipped."""
    from cofire.studio import Studio

    context = click.get_current_context()
    opened = Studio(context.find_root().obj)
    context.meta[_STUDIO] = opened.library.studio
    return opened


def allowed(
    texts: tuple[str, ...], stock: bool, only: bool = False
) -> Sequence[str] | Literal["stock"] | None:
    """What may come into a recipe by --from, --in-stock and --only, as the Python API says it."""
    if bool(texts) + stock + only > 1:
        raise click.UsageError("choose one of --from, --in-stock and --only.")
    return "stock" if stock else () if only else texts or None


def in_stock(run: F) -> F:
    """The option --in-stock."""
    help = "New materials may only be those of which stock.toml says that some is left."
    return click.option("--in-stock", "stock", is_flag=True, help=help)(run)


#: Options that say under which conditions glazes are used, by the names of ``Conditions.read``.
_CONDITIONS: dict[str, dict[str, Any]] = {
    "body": {"metavar": "BODY", "help": "Also judge the fit on this clay body."},
    "firing": {"metavar": "FIRING", "help": "See “cofire firings”."},
    "after": {
        "metavar": "FIRING", "multiple": True,
        "help": "A firing that the pot had before; again for each, in their order.",
    },
    "kiln": {"metavar": "KILN", "help": "Fire it in this kiln (see “cofire kilns”)."},
    "load": {"metavar": "WEIGHT", "help": "Ware and shelves in it, e.g. “12 kg”."},
    "volts": {"metavar": "V", "help": "What the plug gives, e.g. “207”."},
    "amps": {"metavar": "A", "help": "What its circuit carries, e.g. “16”."},
    "cable": {"metavar": "CABLE", "help": "A long cable, e.g. “30 m of 1.5 mm2”."},
    "price_per_kwh": {
        "flag": "--price", "type": Number(), "metavar": "MONEY",
        "help": "Price of a kWh, to calculate the cost.",
    },
    "cooling": {
        "metavar": "HOW",
        "help": "“100 C/h” in a kiln, or what a pulled pot goes through: “20 s air, 30 min bin, "
        "water”. After air there may be “10 s fan” and “5 s spray”; or sawdust or buried.",
    },
    "shape": {
        "type": click.Choice(["pot", "both-sides", "tile"]),
        "help": "A closed pot glazed on one side (the default) or both, or a flat tile.",
    },
    "clear_foot": {
        "metavar": "LENGTH", "help": "Bare clay below the glaze; the default is 6 mm.",
    },
    "ripple": {"metavar": "LENGTH", "help": "Brush marks a gloss must lose; 2.5 mm."},
    "grain": {"metavar": "LENGTH", "help": "Radius of the batch's grains; 0.025 mm."},
    "coat": {
        "metavar": "COAT",
        "help": "e.g. “0.25 mm fired”, “0.5 mm dry”, “3 brushed”; of several glazes one for all, "
        "or one for each in the order of layers: “3 brushed; 1 dip”.",
    },
    "wall": {"metavar": "LENGTH", "help": "Wall of the pot, e.g. “6 mm”."},
    "odds": {
        "type": Number(), "metavar": "ODDS", "default": 0.8, "show_default": True,
        "help": "How sure a “yes” has to be.",
    },
    "steam": {
        "metavar": "TEST", "help": "A steam test to foretell; the default is “5 bar, 2 h”.",
    },
    "horizon_years": {
        "flag": "--horizon", "type": Number(), "metavar": "YEARS", "default": 1.0,
        "show_default": True,
        "help": "Years that a glaze has to stay whole while its clay takes up moisture.",
    },
}  # fmt: skip


#: All that says how glazes are judged on a body and in a firing.
JUDGED = (
    "body", "firing", "after", "kiln", "load", "cooling", "shape", "coat", "wall", "odds",
    "horizon_years",
)  # fmt: skip


class Once(click.Command):
    """Refuses an option given twice instead of taking the last."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        _, _, given = self.make_parser(ctx).parse_args(list(args))
        seen: set[str] = set()
        for param in given:
            once = isinstance(param, click.Option) and not param.multiple and not param.is_flag
            if once and param.name in seen:
                raise click.UsageError(f"{param.opts[0]} is given twice.", ctx)
            seen.add(str(param.name))
        return super().parse_args(ctx, args)


class Command(Once):
    """A command; its answer can be had as JSON."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for param in self.params:
            words = ((param.metavar or "").lower(), param.name or "")
            named = next((_NAMED[word] for word in words if word in _NAMED), None)
            if named and type(param.type) is click.types.StringParamType:
                param.type = named
        self.params.append(
            click.Option(["--json", "as_json"], is_flag=True, help="The same as JSON.")
        )


#: How much of an answer a screen shows: one line, or what usually folds.
_FOLDS = {
    "brief": "Only the verdict, in one line.",
    "more": "Also what usually folds: notes in full, and the tables behind the answer.",
    "cautions": "All cautions in full.",
}
#: Where a context keeps the studio's folder.
_STUDIO = "cofire.studio"


class AnswerCommand(Command):
    """A command whose answer has a headline, and notes that fold."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, help in _FOLDS.items():
            option = click.Option(
                [f"--{name}"], is_flag=True, help=help, expose_value=False, callback=_keep
            )
            self.params.append(option)


def _keep(ctx: click.Context, param: click.Parameter, value: bool) -> None:
    ctx.meta[f"cofire.{param.name}"] = value


class Group(Once, click.Group):
    """Commands of one thing."""

    command_class = Command


command = functools.partial(click.command, cls=Command)
answer_command = functools.partial(click.command, cls=AnswerCommand)


def conditions_options(*names: str, **changed: dict[str, Any]) -> Callable[[F], F]:
    """Options for some of the conditions, handed to the command as one ``asked``; ``changed`` are
    attributes that differ for this command."""

    def decorate(run: F) -> F:
        @functools.wraps(run)
        def gathered(*args: Any, **kwargs: Any) -> Any:
            given = {name: kwargs.pop(name) for name in names}
            asked = {name: value for name, value in given.items() if value is not None}
            return run(*args, asked=asked, **kwargs)

        for name in reversed(names):
            attributes = _CONDITIONS[name] | changed.get(name, {})
            flag = attributes.pop("flag", f"--{name.replace('_', '-')}")
            gathered = click.option(flag, name, **attributes)(gathered)
        return gathered  # type: ignore[return-value]

    return decorate


#: What is drawn, by the name of its option's value.
_DRAWN: dict[str, FileKind] = {
    "page": "page", "save": "page", "svg": "picture", "pdf": "PDF", "phone": "page",
    "table": "table",
}  # fmt: skip


paper = click.option(
    "--paper", type=click.Choice(["A4", "Letter"]), default="A4", show_default=True
)


def may_draw(ctx: click.Context, param: click.Parameter, value: str | None) -> str | None:
    """For options that name a file to write: refuses a person's own file before any computing."""
    if value is not None:
        from cofire.files.atomic_write import refuse_overwrite

        # what is not in the table is a page or a PDF, as its name ends
        kind: FileKind = "PDF" if value.lower().endswith(".pdf") else "page"
        refuse_overwrite(Path(value), _DRAWN.get(str(param.name), kind))
    return value


def say(text: object, *, err: bool = False) -> None:
    """Print a line; what could drive the screen is written out."""
    click.echo(shown(str(text)), err=err)


def document(text: str) -> str:
    """A text that may be piped into a file: exactly as it is, unless it goes to a screen."""
    return shown(text) if sys.stdout.isatty() else text


def print_json(answer: object, command: str = "") -> None:
    """Print a record as JSON under the name of the command, or another."""
    from cofire.record import to_json
    from cofire.show.json import dumps

    click.echo(dumps(to_json(answer, command or command_name()), indent=2))


def progress(word: str, least: int) -> Callable[[Sequence[T]], Iterable[T]]:
    """Shows on a screen how far the work on ``least`` things or more has got."""

    def shown(items: Sequence[T]) -> Iterable[T]:
        if len(items) < least or not sys.stderr.isatty():
            return items
        from rich.progress import track

        from cofire.show.terminal import error_console

        return track(items, word, console=error_console(), transient=True)

    return shown


def command_name() -> str:
    """“formula”, “materials.show”: the words typed after “cofire”."""
    return ".".join(click.get_current_context().command_path.split()[1:])


def draw(
    answer: object, file: str | None, view: str, kind: FileKind = "picture", **how: Any
) -> None:
    """Write a drawing of an answer, by “module.function” in ``show``, to a file if one is named."""
    if file is not None:
        from cofire.files.atomic_write import write_answer

        module, _, function = view.rpartition(".")
        made = getattr(import_module(f"cofire.show.{module}"), function)(answer, **how)
        write_answer(Path(file), kind, made)


def finish(answer: object, as_json: bool, view: str, **how: Any) -> None:
    """Print an answer: as JSON, or on the terminal by ``view``, “module.function” in ``show``,
    which is not loaded for JSON. The view of an ``answer_command`` is told what folds."""
    if as_json:
        print_json(answer)
        return
    context = click.get_current_context()
    module, _, function = view.rpartition(".")
    show = getattr(import_module(f"cofire.show.{module}"), function)
    if not isinstance(context.command, AnswerCommand):
        show(answer, **how)
        return
    from cofire.files.read_cautions import keep_as_read, read_cautions
    from cofire.show.screen import Screen

    folder = context.meta.get(_STUDIO)
    given = {name: context.meta[f"cofire.{name}"] for name in _FOLDS}
    screen = Screen(**given, known=read_cautions(folder) if folder else None)
    show(answer, screen=screen, **how)
    if folder and sys.stdout.isatty():
        keep_as_read(folder, screen.in_full)
