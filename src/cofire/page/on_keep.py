"""Keeping things: saving from the bench, and the files of the studio as plain text."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from flask import Blueprint, abort, g, make_response, redirect, render_template, request
from werkzeug.wrappers import Response

from cofire.answers.check import check_file
from cofire.answers.history import changes_between, checked_why, keep, read_text
from cofire.errors import CofireError, Place, refusal
from cofire.files import toml
from cofire.files.atomic_write import refuse_taken, writing
from cofire.files.edits import locked, make_folder, rewrite, text_of
from cofire.files.exported import file_text
from cofire.files.new_names import checked_name
from cofire.files.recipe_writer import recipe_text
from cofire.names import identifier, is_identifier
from cofire.page.desk import FOLDERS, digest, is_bought, refuse_paths
from cofire.page.drafts import ChangedElsewhereError, Draft
from cofire.page.on_bench import desk, draft_of, drafts, shown_draft
from cofire.read.units import show_temperature

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


def _new(kind: str, name: str) -> Path:
    """A file for a new thing called so; only letters that every disk takes come into its name."""
    id = identifier(checked_name(name))
    if not is_identifier(id):
        raise refusal("bench-no-letters", name=name)
    path = _folder(kind) / f"{id}.toml"
    refuse_taken(path)
    return path


def _folder(kind: str) -> Path:
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
    text = _text(path)
    return _editor(kind, id, path, text, text)


def _text(path: Path) -> str:
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
        new = _new(kind, form["name"])
        _write_new(new, text)
        return redirect(f"/file/{kind}/{new.stem}", 303)
    if not desk().is_own(path):
        raise refusal("bench-not-yours", name=path.name)
    there = _text(path)
    if "\r\n" in there:
        text = text.replace("\n", "\r\n")
    if digest(there) != form.get("hash") and there != text:
        error = refusal("bench-file-changed", name=path.name)
        return make_response(_editor(kind, id, path, text, there, error), 409)
    try:
        _replace(kind, path, there, text, form.get("why", ""))
    except CofireError as error:
        return make_response(_editor(kind, id, path, text, there, error), 400)
    return redirect(f"/file/{kind}/{id}?saved=1", 303)


def _replace(kind: str, path: Path, there: str, text: str, why: str) -> None:
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
    _remember(path, why)


def _keep_what_was(path: Path, text: str) -> None:
    """Raises DataFileError where the history cannot be written: then the recipe stays, too."""
    library = desk().studio.library
    try:
        read_text(library, text, path)
    except CofireError:
        return  # what is no recipe has no version
    keep(library, path, "as it was before the next change", datetime.now())


def _remember(path: Path, why: str) -> None:
    try:
        keep(desk().studio.library, path, why, datetime.now())
    except CofireError:
        return  # what is no recipe has no version


def _write_new(path: Path, text: str) -> None:
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
        path = _new("recipes", name)
        _write_new(path, recipe_text(answer.recipe))
        _remember(path, "as it came")
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
        path = _new("bodies", name)
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
        _write_new(path, text)
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


@routes.get("/bench/<id>/save")
def saving(id: str) -> str:
    """What a draft differs in from the files it came from, and how to save it."""
    return _compared(draft_of(id))


def _compared(draft: Draft, error: CofireError | None = None) -> str:
    """The same with what was filled in, and what is wrong with it."""
    return render_template(
        "save.html", draft=draft, things=_differences(draft), form=request.form, error=error
    )


def _differences(draft: Draft) -> list[dict[str, Any]]:
    state = draft.state
    things = []
    listed = [("recipes", k, glaze) for k, glaze in enumerate(state["glazes"])]
    for kind, k, thing in [*listed, ("firings", 0, state["firing"])]:
        found: dict[str, Any] = {"kind": kind, "k": k, "of": thing["of"], "gone": False,
                                 "theirs": False, "own": False, "changes": ()}  # fmt: skip
        found["name"] = thing["data"].get("name", thing["of"])
        try:
            path = desk().lying(kind, thing["of"])
            text = toml.read_text(path)
            found["own"] = desk().is_own(path)
            found["theirs"] = not _was_seen(draft, kind, thing, text)
            found["changes"] = _between(kind, tomllib.loads(text), thing["data"])
        except (KeyError, CofireError, tomllib.TOMLDecodeError):
            found["gone"] = True
        things.append(found)
    return things


def _was_seen(draft: Draft, kind: str, thing: dict[str, Any], text: str) -> bool:
    """Whether a file says what was opened, or what lay on the bench at any time: then a save was
    killed before the draft could learn of it."""
    if digest(text) == thing["hash"]:
        return True
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return False
    states = (draft.state, *draft.past)
    lay = [one for state in states
           for one in (state["glazes"] if kind == "recipes" else [state["firing"]])]  # fmt: skip
    return any(one["of"] == thing["of"] and one["data"] == data for one in lay)


def _between(
    kind: str, before: dict[str, Any], after: dict[str, Any]
) -> list[tuple[str, str, str]]:
    if kind == "recipes":
        return [(change.what, change.before or "–", change.after or "–")
                for change in changes_between(before, after)]  # fmt: skip
    library = desk().studio.library
    one, two = library.firing(before), library.firing(after)
    rows = []
    for n, (a, b) in enumerate(zip(one.segments, two.segments, strict=False), 1):
        if a.target_c != b.target_c:
            rows.append(
                (f"step {n}, to", show_temperature(a.target_c), show_temperature(b.target_c))
            )
        if a.hold_min != b.hold_min:
            rows.append((f"step {n}, hold", f"{a.hold_min:g} min", f"{b.hold_min:g} min"))
    for p, q in zip(one.pulls, two.pulls, strict=False):
        for word, was, to in (
            ("after", p.after_min, q.after_min),
            ("every", p.every_min, q.every_min),
        ):
            if was != to:
                rows.append((f"{p.name}, {word}", f"{was:g} min", f"{to:g} min"))
        if p.count != q.count:
            rows.append((f"{p.name}s", str(p.count), str(q.count)))
    if one.smoke != two.smoke:
        rows.append(("smoke", f"{one.smoke.air_s:g} s air, {one.smoke.bin_min:g} min bin",
                     f"{two.smoke.air_s:g} s air, {two.smoke.bin_min:g} min bin"))  # fmt: skip
    return rows


@routes.post("/bench/<id>/save")
def save(id: str) -> Response | str:
    """Save one thing of a draft: into its own file, line by line, or under a new name. What was
    filled in is shown again where that is refused."""
    try:
        return _saved(shown_draft(id))
    except ChangedElsewhereError:
        error = refusal("bench-draft-changed")
        return make_response(_compared(draft_of(id), error), 409)
    except CofireError as error:
        return make_response(_compared(draft_of(id), error), 400)


def _saved(draft: Draft) -> Response:
    form = request.form
    kind, why = form.get("kind", ""), checked_why(form.get("why", ""))
    state = draft.state
    k = form.get("k", "0")
    if kind not in ("recipes", "firings"):
        abort(404)
    if kind == "recipes" and k not in [str(n) for n in range(len(state["glazes"]))]:
        raise refusal("bench-not-found", name=k)
    thing = state["firing"] if kind == "firings" else state["glazes"][int(k)]
    data = dict(thing["data"])
    if form.get("name"):
        bought = kind == "recipes" and "base" not in data
        path = _new("bought" if bought else kind, form["name"])
        data["name"] = form["name"]
        text = file_text(data)
        _write_new(path, text)
        if kind == "recipes":
            _remember(path, why or f"from {thing['of']}")
    else:
        try:
            path = desk().lying(kind, thing["of"])
        except KeyError:
            raise refusal("bench-not-found", name=thing["of"]) from None
        there = _text(path)
        if not desk().is_own(path) and kind == "firings":
            raise refusal("bench-not-yours", name=path.name)
        if not _was_seen(draft, kind, thing, there):
            raise refusal("bench-file-changed", Place(path), name=path.name)
        if kind == "recipes":
            path = _save_recipe(path, thing, there, why)
        else:
            with locked(path.parent):
                rewrite(path, there, _with_comments(there, data))
    saved = desk().opened(kind, path.stem)
    new = {**state}
    if kind == "firings":
        new["firing"] = saved
    else:
        new["glazes"] = [saved if glaze is thing else glaze for glaze in state["glazes"]]
    drafts().change(draft.id, draft.version, new)
    return redirect(f"/bench/{draft.id}/save?saved={path.stem}", 303)


def _save_recipe(path: Path, thing: dict[str, Any], there: str, why: str) -> Path:
    """Amounts alone one by one; what else differs with them, in one text."""
    before, data = tomllib.loads(there), thing["data"]
    if all(before.get(key) == data.get(key)
           for key in (before.keys() | data.keys()) - {"base", "additions"}):  # fmt: skip
        return _set_amounts(thing, before, why)
    text = _with_comments(there, data)
    if desk().is_own(path):
        _replace("recipes", path, there, text, why)
        return path
    copied = _folder("recipes" if "base" in data else "bought") / path.name
    refuse_taken(copied)
    _write_new(copied, text)
    _remember(copied, why)
    return copied


def _set_amounts(thing: dict[str, Any], before: dict[str, Any], why: str) -> Path:
    """Amounts one by one, so that every other byte of the file stays; its history holds both."""
    changes = []
    for section, sign in (("base", ""), ("additions", "+ ")):
        was, now = before.get(section, {}), thing["data"].get(section, {})
        for name in [*was, *(n for n in now if n not in was)]:
            if was.get(name) != now.get(name):
                amount = "none" if name not in now else f"{now[name]:.12g}"
                changes.append(f"{sign}{name} = {amount}")
    if not changes:
        return desk().file("recipes", thing["of"])
    answer = desk().studio.set(thing["of"], *changes, why=why)
    return answer.file


def _with_comments(there: str, data: dict[str, Any]) -> str:
    """A firing's text with other values; comments and order stay."""
    import tomlkit

    document = tomlkit.parse(there)
    _put(document, data)
    made: str = document.as_string()
    return made if tomllib.loads(made) == data else file_text(data)


def _put(document: Any, data: dict[str, Any]) -> None:
    for key in [key for key in document if key not in data]:
        del document[key]
    for key, value in data.items():
        now = document.get(key)
        if isinstance(value, dict) and now is not None:
            _put(now, value)
        elif isinstance(value, list) and value and isinstance(value[0], dict) and now is not None:
            for one, said in zip(now, value, strict=False):
                _put(one, said)
        elif now != value:
            document[key] = value


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
    there = _text(path)
    _replace("recipes", path, there, version.text, f"back to version {number}")
    return redirect(f"/history/{id}", 303)
