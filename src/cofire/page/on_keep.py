"""Keeping things: the files of the studio as plain text, new ones, and the history of a recipe."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from flask import Blueprint, abort, g, make_response, redirect, render_template, request
from werkzeug.wrappers import Response

from cofire.answers.check import check_file
from cofire.answers.history import checked_why, keep, read_text
from cofire.errors import CofireError, refusal
from cofire.files import toml
from cofire.files.atomic_write import refuse_taken, writing
from cofire.files.edits import locked, make_folder, rewrite, text_of
from cofire.files.new_names import checked_name
from cofire.files.recipe_writer import recipe_text
from cofire.names import identifier, is_identifier
from cofire.page.desk import FOLDERS, digest, is_bought, refuse_paths
from cofire.page.on_bench import desk

routes = Blueprint("keep", __name__)
_KINDS = {"recipes": "recipe", "firings": "firing", "kilns": "kiln", "bodies": "clay body",
          "materials": "material", "bought": "bought glaze"}  # fmt: skip
#: Files beside those of a kind that can be opened as text.
_SINGLE = {"names": "names.toml", "stock": "stock.toml", "studio": "studio.toml"}


def _own(kind: str, id: str) -> Path:
    """Where a file of this id lies, or would lie, in the studio."""
    if kind == "single":
        if id not in _SINGLE:
            abort(404)
        return desk().folder / _SINGLE[id]
    if kind not in FOLDERS:
        abort(404)
    try:
        return desk().file(kind, id)
    except KeyError:
        abort(404)


def new_file(kind: str, name: str) -> Path:
    """A file for a new thing called so; only letters that every disk takes come into its name."""
    id = identifier(checked_name(name))
    if not is_identifier(id):
        raise refusal("bench-no-letters", name=name)
    path = folder_of(kind) / f"{id}.toml"
    refuse_taken(path)
    return path


def folder_of(kind: str) -> Path:
    """Where things of a kind are kept; made where there is none yet."""
    root, inner = FOLDERS[kind]
    folder = desk().folder / root / inner
    make_folder(desk().folder / root)
    make_folder(folder)
    return folder


@routes.get("/shelf")
def shelf() -> str:
    """Everything that has a name, the person's own first, and what is wrong with it."""
    studio = desk().studio
    library = studio.library
    mine = [
        path
        for root, inner in FOLDERS.values()
        for path, own in library.files(root, inner) if own
    ]  # fmt: skip
    problems: list[CofireError] = []
    others = (desk().folder / _SINGLE[id] for id in ("names", "stock"))
    for path in [*mine, *others]:
        if path.is_file():
            try:
                check_file(library, path)
            except CofireError as error:
                toml.collect(problems, error)
    shelves = [
        ("recipes", "Recipes", desk().mixed()),
        ("firings", "Firings", studio.firings().items),
        ("bodies", "Clay bodies", studio.bodies().items),
        ("kilns", "Kilns", studio.kilns().items),
        ("bought", "Bought ready-made", [one for one in desk().glazes() if is_bought(one)]),
    ]
    own_materials = [path.stem for path, own in library.files("materials") if own]
    try:
        called: Any = studio.nicknames().nicknames
    except CofireError as error:
        called = ()
        toml.collect(problems, error)
    return render_template(
        "shelf.html", shelves=shelves, materials=own_materials, nicknames=called,
        problems=[(error, _link(error)) for error in problems], single=_SINGLE,
    )  # fmt: skip


def _link(error: CofireError) -> str:
    """Where the file with an error can be opened."""
    if error.place is None:
        return ""
    file = error.place.file
    for kind, (root, inner) in FOLDERS.items():
        if file.parent == desk().folder / root / inner:
            return f"/file/{kind}/{file.stem}"
    for id, name in _SINGLE.items():
        if file == desk().folder / name:
            return f"/file/single/{id}"
    return ""


@routes.get("/file/<kind>/<id>")
def file(kind: str, id: str) -> str:
    """A file as the text it is."""
    path = _own(kind, id)
    text = text_there(path)
    return _editor(kind, id, path, text, text)


def text_there(path: Path) -> str:
    """What a file says now; nothing where there is none."""
    if not path.exists():
        return ""
    return text_of(path) if desk().is_own(path) else toml.read_text(path)


def _editor(
    kind: str, id: str, path: Path, text: str, there: str, error: CofireError | None = None
) -> str:
    problems: list[Any] = []
    notes: list[Any] = []
    if path.exists():
        try:
            notes = check_file(desk().studio.library, path)
        except CofireError as problem:
            toml.collect(problems, problem)
    return render_template(
        "file.html", kind=kind, id=id, name=path.name, text=text, there=there, hash=digest(there),
        own=desk().is_own(path), error=error, problems=problems, notes=notes,
        word=_KINDS.get(kind, "file"),
    )  # fmt: skip


@routes.post("/file/<kind>/<id>")
def save_file(kind: str, id: str) -> Response | str:
    """Put a text in the place of the one that was opened; never over what somebody else wrote."""
    path = _own(kind, id)
    form = request.form
    text = form.get("text", "").replace("\r\n", "\n")
    if form.get("name"):
        new = new_file(kind, form["name"])
        write_new(new, text)
        return redirect(f"/file/{kind}/{new.stem}", 303)
    if not desk().is_own(path):
        raise refusal("bench-not-yours", name=path.name)
    there = text_there(path)
    if "\r\n" in there:
        text = text.replace("\n", "\r\n")
    if digest(there) != form.get("hash") and there != text:
        error = refusal("bench-file-changed", name=path.name)
        return make_response(_editor(kind, id, path, text, there, error), 409)
    try:
        replace_text(kind, path, there, text, form.get("why", ""))
    except CofireError as error:
        return make_response(_editor(kind, id, path, text, there, error), 400)
    return redirect(f"/file/{kind}/{id}?saved=1", 303)


def replace_text(kind: str, path: Path, there: str, text: str, why: str) -> None:
    """A recipe's history holds what it was and what it is. A text that cannot be read as TOML is
    refused, since it would hide what the file said."""
    refuse_paths(toml.parse(text, path).data)
    if kind != "recipes":
        with locked(path.parent):
            rewrite(path, there if path.exists() else None, text)
        return
    why = checked_why(why)
    _keep_what_was(path, there)
    with locked(path.parent):
        rewrite(path, there, text)
    remember(path, why)


def _keep_what_was(path: Path, text: str) -> None:
    """Raises DataFileError where the history cannot be written: then the recipe stays, too."""
    library = desk().studio.library
    try:
        read_text(library, text, path)
    except CofireError:
        return  # what is no recipe has no version
    keep(library, path, "as it was before the next change", datetime.now())


def remember(path: Path, why: str) -> None:
    """Put a recipe as it is now into its history."""
    try:
        keep(desk().studio.library, path, why, datetime.now())
    except CofireError:
        return  # what is no recipe has no version


def write_new(path: Path, text: str) -> None:
    """A new file; raises DataFileError where its text is no TOML or names other files."""
    refuse_paths(toml.parse(text, path).data)
    with writing(path, new=True) as out:
        out.write(text)


@routes.get("/new/<kind>")
def new(kind: str) -> str:
    if kind not in (*FOLDERS, "nickname"):
        abort(404)
    if g.session.role == "guest":
        abort(403, "Guests may look and try, but not save.")
    return _blank(kind, {})


def _blank(kind: str, form: Mapping[str, str], error: CofireError | None = None) -> str:
    """What to fill in for a new thing, with what was filled in already."""
    studio = desk().studio
    return render_template(
        "new.html", kind=kind, kilns=studio.kilns().items, bodies=studio.bodies().items,
        form=form, error=error,
    )  # fmt: skip


@routes.post("/new/<kind>")
def make(kind: str) -> Response:
    """A new thing: a recipe pasted, a material from a certificate, a kiln from a log, a body from a
    curve, a nickname."""
    try:
        return _made(kind)
    except CofireError as error:
        return make_response(_blank(kind, request.form, error), 400)


def _made(kind: str) -> Response:
    form, studio = request.form, desk().studio
    name = form.get("name", "")
    if kind == "recipes":
        surface: Any = form.get("surface") or None
        answer = studio.read(text=form.get("text", ""), name=name, surface=surface)
        path = new_file("recipes", name)
        write_new(path, recipe_text(answer.recipe))
        remember(path, "as it came")
        return redirect(f"/file/recipes/{path.stem}", 303)
    if kind == "materials":
        added = studio.add_material(
            text=form.get("text", ""), id=identifier(checked_name(name)), names=[name],
            supplier=form.get("supplier", ""), date=form.get("date", ""),
            dissolves=form.get("dissolves", "no"), melts=form.get("melts", ""),
        )  # fmt: skip
        return redirect(f"/file/materials/{added.file.stem}", 303)
    if kind == "nickname":
        studio.call_material(name, form.get("material", ""), change=bool(form.get("change")))
        return redirect("/shelf#nicknames", 303)
    if kind == "kilns":
        id = identifier(checked_name(name))
        with _pasted(form.get("text", ""), "log.csv") as log:
            studio.kiln_log(log, like=form.get("like") or None, name=name, save=id)
        return redirect(f"/file/kilns/{id}", 303)
    if kind == "bodies":
        path = new_file("bodies", name)
        curve = path.with_suffix(".csv")
        lines = [f"name = {toml.written(name)}", f"like = {toml.written(form.get('like', 'raku'))}",
                 f'source = "our own, {datetime.now():%Y-%m}"']  # fmt: skip
        if form.get("text", "").strip():
            refuse_taken(curve)
            with writing(curve, new=True) as out:
                out.write(form["text"].replace("\r\n", "\n"))
            lines += ["", "[expansion]", f"curve = {toml.written(curve.name)}"]
        text = "\n".join(lines) + "\n"
        try:
            studio.library.read_body(toml.parse(text, path))
        except CofireError:
            curve.unlink(missing_ok=True)
            raise
        write_new(path, text)
        return redirect(f"/file/bodies/{path.stem}", 303)
    abort(404)


@contextmanager
def _pasted(text: str, name: str) -> Iterator[Path]:
    """What was pasted, as a file outside the studio while the block runs."""
    with TemporaryDirectory(prefix="cofire-") as folder:
        path = Path(folder) / name
        path.write_text(text, encoding="utf-8")
        yield path


@routes.post("/nickname/forget")
def forget() -> Response:
    desk().studio.forget_nickname(request.form.get("name", ""))
    return redirect("/shelf#nicknames", 303)


@routes.get("/history/<id>")
def history(id: str) -> str:
    """What changed in a recipe, when and why."""
    _own("recipes", id)
    answer = desk().studio.history(id)
    return render_template("history.html", id=id, answer=answer)


@routes.post("/history/<id>/<int:number>")
def restore(id: str, number: int) -> Response:
    """An older version takes the place of the present one, which the history keeps."""
    path = _own("recipes", id)
    if not desk().is_own(path):
        raise refusal("bench-not-yours", name=path.name)
    version = desk().studio.version(id, number)
    there = text_there(path)
    replace_text("recipes", path, there, version.text, f"back to version {number}")
    return redirect(f"/history/{id}", 303)
