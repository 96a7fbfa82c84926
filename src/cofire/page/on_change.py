"""Changing a glaze on the bench: wishes and proposals, swap, blends and maps to click into."""

from __future__ import annotations

import math
import re
import shlex
import tomllib
from collections.abc import Mapping, Sequence
from typing import Any

from flask import Blueprint, make_response, redirect, render_template, request
from markupsafe import Markup
from werkzeug.wrappers import Response

from cofire.answers.batch.recipe_code import recipe_code
from cofire.answers.blend.blend import recipe_at as blend_recipe
from cofire.answers.map.family_map import SHOWN
from cofire.answers.map.family_map import recipe_at as map_recipe
from cofire.errors import CofireError, refusal
from cofire.files.recipe_writer import recipe_text
from cofire.page.desk import refuse_paths
from cofire.page.on_bench import desk, draft_of, drafts, shown_draft
from cofire.records import Recipe
from cofire.show.pictures.blend import cells
from cofire.show.pictures.map import spread_over

routes = Blueprint("change", __name__)
#: Which place of a map would be taken; the script moves it.
_RING = '<circle class="place" r="12" cx="-20" cy="-20"/>'


def _glaze(state: dict[str, Any], k: int) -> Recipe:
    if not 0 <= k < len(state["glazes"]):
        raise refusal("bench-not-found", name=str(k + 1))
    return desk().studio.recipe(state["glazes"][k]["data"])


def _alone(state: dict[str, Any], k: int) -> dict[str, Any]:
    """Conditions for one glaze of several: its own coat, and what the page says to leave out."""
    asked = desk().asked(state)
    coats = [coat.strip() for coat in str(asked.get("coat", "")).split(";") if coat.strip()]
    if coats:
        asked["coat"] = coats[k if len(coats) > 1 else 0]
    for key in ("body", "firing"):
        if request.args and request.args.get(f"with_{key}", "yes") == "no":
            del asked[key]
    return asked


def _text(recipe: Recipe) -> str:
    return recipe_text(recipe, digits=6)


@routes.get("/bench/<id>/wishes/<int:k>")
def wishes(id: str, k: int) -> Response:
    """Wishes in sliders and words, and the nearest recipes that meet them."""
    draft = draft_of(id)
    recipe = _glaze(draft.state, k)
    args = request.args
    targets = [f"{word} {args[key]}{unit}" for key, word, unit in (
        ("expansion", "expansion", ""), ("crackle", "black crackle", " mm"),
        ("ripe", "ripe at", " C"),
    ) if args.get(key)]  # fmt: skip
    targets += _lines(args.get("more", ""))
    hidden = args.getlist("hide")
    answer, cards, error = None, [], None
    if "ask" in args:
        try:
            answer = desk().studio.adjust(
                draft.state["glazes"][k]["data"], targets, without=args.getlist("without"),
                keep=[name for name in args.getlist("keep") if name], **_alone(draft.state, k),
            )  # fmt: skip
        except CofireError as wrong:
            error = wrong
    if answer:
        had = {part.material.id for part in recipe.parts}
        for letter, one in zip("ABCDEFGH", answer.proposals, strict=False):
            code = recipe_code(one.recipe)
            if code in hidden:
                continue
            now = {part.material.id: recipe.percent(part) for part in recipe.parts}
            rows = []
            for part in one.recipe.parts:
                was, to = now.pop(part.material.id, 0.0), one.recipe.percent(part)
                rows.append((part.material.name, was, to))
            rows += [(desk().studio.library.materials[m].name, was, 0.0) for m, was in now.items()]
            new = [p.material.id for p in one.recipe.parts if p.material.id not in had]
            cards.append({"letter": letter, "one": one, "rows": rows, "text": _text(one.recipe),
                          "code": code, "new": new})  # fmt: skip
    return _page("wishes.html", error, draft=draft, k=k, recipe=recipe, answer=answer,
                           cards=cards, args=args, hidden=hidden,
                           typed=_typed(draft.state, k, targets))  # fmt: skip


def _page(name: str, error: CofireError | None, **filled: Any) -> Response:
    """A form with what was filled in, its answer, or what is wrong."""
    return make_response(render_template(name, error=error, **filled), 400 if error else 200)


def _typed(state: dict[str, Any], k: int, targets: Sequence[str]) -> str:
    """What to type for the same."""
    said = [("want", target) for target in targets]
    said += [(key, value["of"] if isinstance(value, dict) else value) for key, value in
             (("body", state["body"]), ("firing", state["firing"]))
             if request.args.get(f"with_{key}", "yes") != "no"]  # fmt: skip
    said += [(key, name) for key in ("keep", "without") for name in request.args.getlist(key)]
    words = (f"--{key} {shlex.quote(value)}" for key, value in said)
    return " ".join(["cofire adjust", shlex.quote(state["glazes"][k]["of"]), *words])


@routes.get("/bench/<id>/swap/<int:k>")
def swap(id: str, k: int) -> str:
    draft = draft_of(id)
    recipe = _glaze(draft.state, k)
    gone = request.args.get("gone", "")
    answer, ways, why = None, [], ""
    if gone:
        found = desk().studio.swap(draft.state["glazes"][k]["data"], gone)
        if found.recipes:
            answer = found.recipes[0]
            ways = [(way, _text(way.recipe)) for way in answer.ways]
        else:
            why = found.failed[0].why
    return render_template("swap.html", draft=draft, k=k, recipe=recipe, gone=gone, answer=answer,
                           ways=ways, why=why)  # fmt: skip


@routes.get("/bench/<id>/blend")
def blend(id: str) -> Response:
    """The glazes of a draft, or additions to one of them; every point can be taken."""
    draft = draft_of(id)
    args = request.args
    known = [str(k) for k, one in enumerate(draft.state["glazes"]) if "base" in one["data"]]
    named = [name for name in args.getlist("glaze") if name] or known[:4]
    recipes, additions, steps = _blended(draft.state, named, args)
    answer = svg = error = None
    points: list[dict[str, Any]] = []
    if "ask" in args:
        try:
            answer = desk().studio.blend(recipes, additions, steps=steps, **_alone(draft.state, 0))
        except CofireError as wrong:
            error = wrong
    if answer:
        for p, (x, y, wide) in enumerate(cells(answer)):
            points.append({"p": p, "label": answer.points.labels[p], "x": x, "y": y, "wide": wide,
                           "word": answer.words[p], "odds": float(answer.seen.odds_right[p]),
                           "expansion": float(answer.seen.expansion_1e6_per_k[p])})  # fmt: skip
        hits = Markup("").join(
            Markup('<rect class="hit" data-p="{}" x="{}" y="{}" width="{}" height="{}"/>').format(
                one["p"], one["x"] - one["wide"] / 2, one["y"] - one["wide"] / 2, one["wide"],
                one["wide"],
            )
            for one in points
        )  # fmt: skip
        svg = Markup(answer.to_svg().replace("</svg>", str(hits) + "</svg>"))
    return _page(
        "blend.html", error, draft=draft, answer=answer, svg=svg, points=points, named=named,
        steps=steps,
        additions="\n".join(additions), args=args, recipes=desk().mixed(),
        chosen=[r.name for r in recipes],
    )  # fmt: skip


def _blended(
    state: dict[str, Any], named: Sequence[str], asked: Mapping[str, str]
) -> tuple[list[Recipe], list[str], int]:
    """Glazes by their place in the draft or by id, additions, and steps of a blend."""
    recipes = [_named(state, n) for n in named]
    return recipes, _lines(asked.get("add", "")), _steps(asked.get("steps", "5"))


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _named(state: dict[str, Any], name: str) -> Recipe:
    """A glaze of the bench by its number, or one of the studio by its id, never by a path."""
    if re.fullmatch("[0-9]{1,3}", name):
        return _glaze(state, int(name))
    try:
        desk().file("recipes", name)
    except KeyError:
        raise refusal("bench-not-found", name=name) from None
    return desk().studio.recipe(name)


def _steps(text: str) -> int:
    """Steps of a blend, 1 to 12. Raises QuantityError."""
    if not re.fullmatch("[0-9]{1,2}", text) or not 1 <= int(text) <= 12:
        raise refusal("no-such-count", name="steps", count=text[:40], most=12)
    return int(text)


@routes.post("/bench/<id>/blend/<int:p>")
def take_point(id: str, p: int) -> Response:
    """A point of a blend becomes the first glaze on the bench."""
    draft = shown_draft(id)
    form = request.form
    recipes, additions, steps = _blended(draft.state, form.getlist("glaze"), form)
    answer = desk().studio.blend(recipes, additions, steps=steps)
    if p >= len(answer.shares):
        raise refusal("bench-not-found", name=str(p))
    return _taken(id, 0, _text(blend_recipe(answer, p)))


@routes.get("/bench/<id>/map/<int:k>")
def family_map(id: str, k: int) -> Response:
    """One quantity over two materials or oxides; every place can be taken."""
    draft = draft_of(id)
    recipe = _glaze(draft.state, k)
    args = request.args
    across, up = args.get("across", "silica"), args.get("up", "kaolin")
    show = args.get("show") or None
    answer = svg = error = None
    if "ask" in args:
        try:
            answer = desk().studio.map(draft.state["glazes"][k]["data"], across, up, show=show,
                                       **_alone(draft.state, k))  # fmt: skip
        except CofireError as wrong:
            error = wrong
    if answer:
        svg = Markup(answer.to_svg().replace("</svg>", _RING + "</svg>"))
    return _page(
        "map.html", error, draft=draft, k=k, recipe=recipe, answer=answer, svg=svg,
        across=across, up=up,
        show=show or "", shown=SHOWN, box=spread_over(), args=args,
    )  # fmt: skip


@routes.post("/bench/<id>/map/<int:k>")
def take_place(id: str, k: int) -> Response:
    draft = shown_draft(id)
    form = request.form
    try:
        x, y = float(form["x"]), float(form["y"])
        if not (math.isfinite(x) and math.isfinite(y)):
            raise ValueError(form["x"])
    except (KeyError, ValueError):
        raise refusal("bench-no-such-change", said=form.get("x", "")[:40]) from None
    axes = (form.get("across", "silica"), form.get("up", "kaolin"))
    recipe = map_recipe(desk().studio.library, _glaze(draft.state, k), axes, x, y)
    return _taken(id, k, _text(recipe))


@routes.post("/bench/<id>/take/<int:k>")
def take(id: str, k: int) -> Response:
    """A proposal is accepted: its recipe takes the place of a glaze, or is pinned beside it."""
    text = request.form.get("text", "")
    if request.form.get("how") == "pin":
        draft = shown_draft(id)
        data = _parsed(text)
        refuse_paths(data)
        desk().studio.recipe(data)
        pins = [*draft.state.get("pins", []), {"k": k, "text": text}][-12:]
        drafts().change(id, draft.version, {**draft.state, "pins": pins})
        return redirect(f"/bench/{id}#pins", 303)
    return _taken(id, k, text)


def _taken(id: str, k: int, text: str) -> Response:
    draft = shown_draft(id)
    state = desk().changed(draft.state, [[f"glazes.{k}.data", _parsed(text)]])
    drafts().change(id, draft.version, state)
    return redirect(f"/bench/{id}", 303)


def _parsed(text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        raise refusal("bench-no-such-change", said=text[:40]) from None


@routes.post("/bench/<id>/unpin/<int:n>")
def unpin(id: str, n: int) -> Response:
    draft = shown_draft(id)
    pins = [pin for place, pin in enumerate(draft.state.get("pins", [])) if place != n]
    drafts().change(id, draft.version, {**draft.state, "pins": pins})
    return redirect(f"/bench/{id}", 303)
