"""Questions answered in the words of the terminal, materials, words, and what has to be typed."""

from __future__ import annotations

import contextlib
import io
import re
import shlex
import threading
from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from typing import Any

from flask import Blueprint, Response, abort, jsonify, render_template, request
from markupsafe import Markup
from werkzeug.wrappers import Response as AnyResponse

from cofire.errors import CofireError, refusal
from cofire.files.read_cautions import read_cautions
from cofire.most import MOST
from cofire.page.on_bench import desk
from cofire.record import PICTURES
from cofire.show.screen import Screen

routes = Blueprint("ask", __name__)
_SAYING = threading.Lock()


@dataclass(frozen=True)
class Field:
    """One thing to fill in: how it is called, an example, and whether it has to be there."""

    name: str
    label: str
    kind: str = "text"  # or glaze, glazes (with those bought), recipe, body, firing, lines, check
    start: str = ""
    needed: bool = False


_RECIPE = Field("recipe", "Glaze", "recipe", needed=True)
_GLAZE = Field("recipe", "Glaze", "glaze", needed=True)
_BODY, _FIRING = Field("body", "Clay body", "body"), Field("firing", "Firing", "firing")
_COAT, _WALL = Field("coat", "Coat", start="3 brushed"), Field("wall", "Wall", start="6 mm")


@dataclass(frozen=True)
class Question:
    """A question: its command, what to fill in, the view that prints it on a terminal, and the
    method of ``Studio``."""

    command: str
    title: str
    fields: tuple[Field, ...]
    view: str
    method: str
    folds: bool = True  # whether its notes and cautions do


QUESTIONS = {
    q.command: q
    for q in (
        Question("formula", "Oxides, unity formula and melt range",
                 (_RECIPE, _FIRING), "formula.show_formula", "formula"),
        Question("fit", "Will it craze or shiver?",
                 (_GLAZE, Field("body", "Clay body", "body", needed=True), _FIRING, _COAT, _WALL),
                 "fit.show_fit", "fit"),
        Question("firing", "A firing over time",
                 (Field("firing", "Firing", "firing", needed=True),
                  Field("recipes", "Glazes", "glazes"), _WALL), "firing.show_firing", "firing"),
        Question("shake", "What an answer depends on",
                 (_RECIPE, _BODY, _FIRING, Field("batch", "Batch", start="200 g"),
                  Field("scale", "Scale reads to", start="0.1 g")),
                 "sensitivity.show_sensitivity", "shake"),
        Question("levers", "What moves one wish furthest?",
                 (_RECIPE, Field("want", "One wish", start="black crackle 15 mm", needed=True),
                  Field("body", "Clay body", "body", needed=True), _FIRING, _COAT, _WALL),
                 "levers.show_levers", "levers"),
        Question("compose", "From a unity formula to recipes",
                 (Field("formula", "Unity formula", needed=True,
                        start="0.3 Na2O, 0.7 CaO, 0.35 Al2O3, 3 SiO2, 0.3 B2O3"),),
                 "compose.show_compose", "compose"),
        Question("tile", "A clay's expansion from fired tiles",
                 (Field("tiles", "Tiles, one to a line", "lines", needed=True,
                        start="clear-crackle, 3 brushed, crazed 4 mm"),
                  Field("body", "A clay near to it", "body", needed=True), _FIRING,
                  Field("fired", "with what was written down of this clay", "check")),
                 "tile.show_tiles", "tile"),
        Question("lustre", "When a lustre can be reduced", (_GLAZE, _FIRING),
                 "lustre.show_lustre", "lustre"),
        Question("day", "A day at the kiln",
                 (Field("firing", "Firing", "firing", needed=True),
                  Field("pots", "Pots", start="18", needed=True),
                  Field("pot", "A pot", start="12 x 15 cm", needed=True),
                  Field("chamber", "Chamber", start="60 x 50 cm", needed=True),
                  Field("bins", "Bins", start="6", needed=True),
                  Field("start", "Start", start="9:00"),
                  Field("end", "End", start="15:30")), "day.show_day", "day"),
        Question("card", "How far the glass models miss", (), "card.show_card", "card",
                 folds=False),
        Question("stock", "What is on the shelf", (), "stock.show_stock", "stock",
                 folds=False),
    )
}  # fmt: skip
#: Where the page answers a command in a way of its own, and what it is called there.
PAGES = {
    "pair": ("/", "Do the glazes ripen together?"),
    "adjust": ("/", "Wishes, and the nearest recipes"),
    "swap": ("/", "Swap a material"),
    "blend": ("/", "Blend glazes, or additions"),
    "map": ("/", "A map around a glaze"),
    "set": ("/", "Change an amount"),
    "keep": ("/shelf", "Keep a version"),
    "history": ("/shelf", "What changed, when and why"),
    "batch": ("/sheets", "Weigh and print"),
    "fired": ("/fired", "What came out of the kiln"),
    "explain": ("/words", "What a word means"),
    "materials": ("/materials", "Find a material"),
    "recipes": ("/shelf", "Recipes"),
    "bodies": ("/shelf", "Clay bodies"),
    "firings": ("/shelf", "Firings"),
    "kilns": ("/shelf", "Kilns"),
    "check": ("/shelf", "What is wrong in a file"),
    "kiln-log": ("/new/kilns", "A kiln from its log"),
    "read": ("/new/recipes", "A recipe from columns"),
    "bench": ("/", "The bench itself"),
}
#: What has to be typed.
TYPED = {
    "docs": "cofire docs",
    "completion": "cofire completion bash --install",
    "predict": "cofire predict TABLE.csv --basis mol",
    "init": "cofire init my-studio",
    "import": "cofire import book.csv",
    "export": "cofire export my-studio.json",
    "table": 'cofire table clear-crackle --dry "2 kg"',
}
_WHOLE = ("pots", "bins")


@routes.get("/ask")
def everything() -> str:
    """All questions: on a page, in the terminal's words, or to be typed."""
    return render_template("everything.html", questions=QUESTIONS, pages=PAGES, typed=TYPED)


@routes.get("/ask/<command>")
def ask(command: str) -> Response:
    if command not in QUESTIONS:
        abort(404)
    question = QUESTIONS[command]
    if "ask" not in request.args and question.fields:
        return form(question)
    try:
        asked = _asked(question)
        answer = getattr(desk().studio, question.method)(**asked)
    except CofireError as wrong:
        return form(question, wrong)
    svg = said = ""
    if answer is not None:
        unfold, known = question.folds and "all" in request.args, read_cautions(desk().folder)
        how = [Screen(more=unfold, cautions=unfold, known=known)] if question.folds else []
        module, _, function = question.view.rpartition(".")
        show = getattr(import_module(f"cofire.show.{module}"), function)
        said, typed = _said(show, answer, *how), _typed(question, asked, unfold)
        if type(answer).__name__ in PICTURES:
            svg = Markup(answer.to_svg())
    return form(question, said=said, typed=typed, svg=svg)


def form(question: Question, error: CofireError | None = None, **answer: str) -> Response:
    """A question with what was filled in, and its answer or what is wrong."""
    studio = desk().studio
    page = render_template(
        "ask.html", q=question, args=request.args, error=error, **answer,
        recipes=desk().mixed(), glazes=desk().glazes(), bodies=studio.bodies().items,
        firings=studio.firings().items,
    )  # fmt: skip
    return Response(page, 400 if error else 200)


def _asked(question: Question) -> dict[str, Any]:
    """What was filled in, by the names of the Python API."""
    given = {field.name: _given(field) for field in question.fields}
    needed = {field.name for field in question.fields if field.needed}
    return {name: value for name, value in given.items() if value not in ("", []) or name in needed}


def asked_day() -> dict[str, Any]:
    """What was filled in of a day at the kiln."""
    return _asked(QUESTIONS["day"])


def _given(field: Field) -> Any:
    """A field as the Python API takes it; only ids name files, never paths."""
    if field.kind == "check":
        return field.name in request.args or ""
    if field.kind in ("glazes", "lines"):
        values = request.args.getlist(field.name)
        if field.kind == "lines":
            lines = [line.strip() for line in "\n".join(values).splitlines() if line.strip()]
            if any("/" in line or "\\" in line or line.startswith((".", "~")) for line in lines):
                raise refusal("bench-path", said=lines[0][:80])
            return lines
        return [listed("glaze", value) for value in values if value]
    value = request.args.get(field.name, field.start if field.needed else "")[:2000]
    kinds = {"recipe": "recipes", "glaze": "glaze", "body": "bodies", "firing": "firings"}
    if value and field.kind in kinds:
        return listed(kinds[field.kind], value)
    if field.name == "formula" and ("/" in value or "\\" in value or value.endswith(".toml")):
        abort(400, "A formula names oxides.")
    if field.name in _WHOLE and value:
        return _whole(field.name, value)
    return value


def _whole(things: str, text: str) -> int:
    """A count as it is typed. Raises QuantityError."""
    if not re.fullmatch("[0-9]{1,6}", text.strip()):
        raise refusal("no-such-count", name=things, count=f"“{text[:40]}”", most=MOST[things])
    return int(text)


def listed(kind: str, id: str) -> str:
    """An id that is really on the shelf: no path. Raises UnknownNameError."""
    try:
        _ = desk().glaze_file(id) if kind == "glaze" else desk().file(kind, id)
    except KeyError:
        raise refusal("bench-not-found", name=id[:80]) from None
    return id


def _said(show: Callable[..., None], *answer: Any) -> str:
    """An answer in the words of the terminal, which has one screen for all threads."""
    with _SAYING, contextlib.redirect_stdout(io.StringIO()) as out:
        show(*answer)
    return re.sub(r"\x1b\[[0-9;]*m", "", out.getvalue()).rstrip()


def _typed(question: Question, asked: dict[str, Any], unfold: bool) -> str:
    """What to type for the same."""
    words = ["cofire", question.command]
    for name, value in asked.items():
        if name in ("recipe", "recipes", "formula", "tiles") or (
            name == "firing" and question.command in ("firing", "day")
        ):
            words += [shlex.quote(v) for v in (value if isinstance(value, list) else [value])]
        elif value is True:
            words.append(f"--{name}")
        else:
            words += [f"--{name.replace('_', '-')}", shlex.quote(str(value))]
    return " ".join([*words, *(("--more", "--cautions") if unfold else ())])


@routes.get("/materials")
def materials() -> str:
    words = request.args.get("find", "").split()[:8]
    answer = desk().studio.materials(*words)
    return render_template("materials.html", found=answer.materials[:120], words=" ".join(words),
                           more=max(len(answer.materials) - 120, 0))  # fmt: skip


@routes.get("/materials/<id>")
def material(id: str) -> str:
    library = desk().studio.library
    if id not in library.materials:
        abort(404)
    from cofire.answers.materials import Named
    from cofire.show.stock import show_material

    named = Named(library.materials[id], ())
    said = _said(show_material, named, library.cautions)
    return render_template("said.html", title=named.material.name, said=said,
                           typed=f"cofire materials show {id}", svg="")  # fmt: skip


@routes.get("/words")
def words() -> str:
    """All words that are explained."""
    return render_template("words.html", words=desk().studio.explain().words)


@routes.get("/words/<word>")
def word(word: str) -> str:
    """One word on a page of its own."""
    return render_template("words.html", words=desk().studio.explain(word[:80]).words, one=word)


@routes.get("/api/word/<word>")
def word_alone(word: str) -> AnyResponse:
    (found,) = desk().studio.explain(word[:80]).words
    return jsonify({"name": found.names[0], "means": found.means, "source": found.source})
