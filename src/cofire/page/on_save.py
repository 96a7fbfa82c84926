"""Saving from the bench: what a draft differs in from its files, and how it comes into them."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from flask import Blueprint, abort, make_response, redirect, render_template, request
from werkzeug.wrappers import Response

from cofire.answers.history import changes_between, checked_why
from cofire.errors import CofireError, Place, refusal
from cofire.files import toml
from cofire.files.atomic_write import refuse_taken
from cofire.files.edits import locked, rewrite
from cofire.files.exported import file_text
from cofire.model.cooling import smoke_words
from cofire.page.desk import digest
from cofire.page.drafts import ChangedElsewhereError, Draft
from cofire.page.on_bench import desk, draft_of, drafts, shown_draft
from cofire.page.on_keep import folder_of, new_file, remember, replace_text, text_there, write_new
from cofire.read.units import show_temperature

routes = Blueprint("save", __name__)


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
    """Whether a file says what was opened or saved last, or what lay on the bench since: then a
    save was killed before the draft could learn of it."""
    if digest(text) == thing["hash"]:
        return True
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return False
    states = (draft.state, *draft.past)
    lay = [one for state in states
           for one in (state["glazes"] if kind == "recipes" else [state["firing"]])]  # fmt: skip
    since = [one for one in lay if (one["of"], one["hash"]) == (thing["of"], thing["hash"])]
    return any(one["data"] == data for one in since)


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
        rows.append(("after the pull", smoke_words(one.smoke), smoke_words(two.smoke)))
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
        path = new_file("bought" if bought else kind, form["name"])
        data["name"] = form["name"]
        text = file_text(data)
        write_new(path, text)
        if kind == "recipes":
            remember(path, why or f"from {thing['of']}")
    else:
        try:
            path = desk().lying(kind, thing["of"])
        except KeyError:
            raise refusal("bench-not-found", name=thing["of"]) from None
        there = text_there(path)
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
        replace_text("recipes", path, there, text, why)
        return path
    copied = folder_of("recipes" if "base" in data else "bought") / path.name
    refuse_taken(copied)
    write_new(copied, text)
    remember(copied, why)
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
