"""The bench: one picture of glazes in a firing on a body, and all that can be dragged in it."""

from __future__ import annotations

import math
from contextlib import suppress
from functools import lru_cache
from typing import Any

from flask import (
    Blueprint,
    abort,
    current_app,
    g,
    jsonify,
    make_response,
    redirect,
    render_template,
    request,
)
from markupsafe import Markup
from werkzeug.wrappers import Response

from cofire.answers.quick_pair import MIXED, Look
from cofire.answers.results.fit import FitAnswer
from cofire.errors import CofireError, refusal
from cofire.model.overlap import DRAWS as MIX_DRAWS
from cofire.page.desk import Desk
from cofire.page.drafts import ChangedElsewhereError, Draft, Drafts
from cofire.records import SURFACES, Firing, Recipe
from cofire.show import drawing as draw
from cofire.show.pictures.bench import along_firing, pot_picture, strip_picture
from cofire.show.pictures.crackle import crackle_picture

routes = Blueprint("bench", __name__)
#: Widths of the picture, in the browser's px.
_NARROWEST, _WIDEST = 320.0, 1500.0
#: The piece on which cracks are drawn, mm.
_PIECE_MM = (62.0, 40.0)
#: Strips and nets that are kept; our choice.
_DRAWN = 32


def desk() -> Desk:
    found: Desk = current_app.extensions["desk"]
    return found


def drafts() -> Drafts:
    found: Drafts = current_app.extensions["drafts"]
    return found


def draft_of(id: str) -> Draft:
    """The draft, or no such page."""
    found = drafts().read(id)
    if found is None:
        abort(404, "This draft is not there any more. Lay it out anew.")
    return found


def shown_draft(id: str) -> Draft:
    """The draft that a form was shown for. Raises ChangedElsewhereError if it is not that any
    more: what is counted there may be something else now."""
    draft = draft_of(id)
    if request.form.get("version", str(draft.version)) != str(draft.version):
        raise ChangedElsewhereError
    return draft


@routes.get("/")
def start() -> Response | str:
    chooses = "choose" in request.args and g.session.role != "guest"
    if not chooses and (latest := drafts().latest()):
        return redirect(f"/bench/{latest.id}", 303)
    return _start()


def _start(error: CofireError | None = None) -> str:
    """What can be laid out, with what was chosen already, and what is wrong with it."""
    studio = desk().studio
    return render_template(
        "start.html", recipes=desk().glazes(), firings=studio.firings().items,
        bodies=studio.bodies().items, form=request.form, error=error,
    )  # fmt: skip


@routes.post("/bench")
def begin() -> Response:
    form = request.form
    glazes = [id for id in form.getlist("glaze") if id]
    try:
        if not glazes:
            raise refusal("no-recipe-named")
        for kind, id in (*(("recipes", id) for id in glazes), ("firings", form.get("firing", "")),
                         ("bodies", form.get("body", ""))):  # fmt: skip
            desk().lying(kind, id)
        state = desk().begin(glazes, form.get("firing", ""), form.get("body", ""))
    except KeyError:
        return make_response(_start(refusal("bench-not-found", name=id[:80])), 400)
    except CofireError as error:
        return make_response(_start(error), 400)
    return redirect(f"/bench/{drafts().begin(state).id}", 303)


@routes.get("/bench/<id>")
def bench(id: str) -> str:
    draft = draft_of(id)
    return render_template(
        "bench.html", draft=draft, surfaces=SURFACES, **controls(draft),
    )  # fmt: skip


def controls(draft: Draft) -> dict[str, Any]:
    """What stands beside the picture: amounts, steps and pulls, or what is wrong with them."""
    state = draft.state
    problems, glazes = [], []
    firing = None
    for k, glaze in enumerate(state["glazes"]):
        try:
            recipe = desk().glaze(glaze)
            glazes.append(_glaze(k, glaze, recipe))
        except CofireError as error:
            problems.append(f"{glaze['of']}: {error}")
            glazes.append({"k": k, "of": glaze["of"], "name": glaze["of"], "rows": (),
                           "known": True})  # fmt: skip
    try:
        firing = desk().firing(state["firing"]["data"])
    except CofireError as error:
        problems.append(str(error))
    return {
        "glazes": glazes, "firing": firing, "problems": problems,
        "firing_rows": _firing_rows(firing) if firing else (), **desk().shelves(),
    }  # fmt: skip


def _glaze(k: int, glaze: dict[str, Any], recipe: Recipe) -> dict[str, Any]:
    rows = []
    for section in ("base", "additions"):
        amounts = glaze["data"].get(section, {})
        plain = all(isinstance(v, int | float) for v in amounts.values())
        most = max([float(v) for v in amounts.values()] if plain and amounts else [0.0])
        for place, (name, amount) in enumerate(amounts.items()):
            top = 1.6 * max(float(amount), 0.25 * most, 2.0) if plain else 0.0
            rows.append({
                "path": f"glazes.{k}.{section}.{place}", "name": name, "amount": amount,
                "plain": plain, "section": section, "top": f"{top:.0f}",
                "step": "0.1" if top < 30.0 else "0.5",
            })  # fmt: skip
    return {"k": k, "of": glaze["of"], "name": recipe.name, "surface": recipe.surface,
            "known": recipe.known, "rows": rows}  # fmt: skip


def _firing_rows(firing: Firing) -> list[dict[str, Any]]:
    """Every number of a firing that can be changed."""
    rows: list[dict[str, Any]] = []

    def row(
        path: str, name: str, unit: str, value: float, low: int, high: float, step: int = 1
    ) -> None:
        rows.append({"path": f"firing.{path}", "name": name, "unit": unit, "low": low,
                     "high": int(high), "step": step, "value": _short(value)})  # fmt: skip

    for k, step in enumerate(firing.segments):
        at, name = f"segment.{k}", f"Step {k + 1}"
        row(f"{at}.target", f"{name}, to", "°C", step.target_c, 100, firing.kiln.top_c)
        row(f"{at}.hold", f"{name}, hold", "min", step.hold_min, 0, max(300, 2 * step.hold_min))
    for k, pull in enumerate(firing.pulls):
        at, first = f"pull.{k}", f"First {pull.name}, after step {pull.segment}"
        row(f"{at}.after", first, "min", pull.after_min, 0, max(120, 2 * pull.after_min))
        if pull.count > 1:
            every = f"Next {pull.name} every"
            row(f"{at}.every", every, "min", pull.every_min, 1, max(60, 2 * pull.every_min))
        row(f"{at}.count", f"Number of {pull.name}s", "", pull.count, 1, max(40, 2 * pull.count))
    if firing.pulls:
        row("smoke.air", "In air before the bin", "s", firing.smoke.air_s, 0, 300, 5)
        row("smoke.bin", "In the bin", "min", firing.smoke.bin_min, 0, 120)
    return rows


def _short(value: float) -> str:
    """A number in a field: “10”, “943.3”."""
    return f"{round(value, 1):g}"


@routes.post("/api/look")
def look() -> Response:
    """The picture and all numbers of a draft with changes that are not kept."""
    asked = _asked()
    draft = _as_seen(asked)
    state = desk().changed(draft.state, asked["changes"])
    sharp = asked.get("draws") == "all"
    found = desk().sharp(state) if sharp else desk().quick(state)
    return jsonify(_drawn(found, asked.get("width"), sharp=sharp))


def _drawn(found: Look, width: object, *, sharp: bool) -> dict[str, Any]:
    wide = float(width) if isinstance(width, int | float) and math.isfinite(width) else 900.0
    wide = min(max(wide, _NARROWEST), _WIDEST)
    along = along_firing(found.pair, found.tracks, wide)
    pot = pot_picture(found.pair)
    html = render_template(
        "look.html", answer=found.pair, look=found, sharp=sharp, grips=along.grips,
        chart=along.picture, inside=_inside(along.picture),
        pot=pot, pot_inside=_inside(pot), mixed=MIX_DRAWS if sharp else MIXED,
        fits=[_fit(glaze.fit, min(wide - 40.0, 400.0)) if glaze.fit else None
              for glaze in found.pair.glazes],
    )  # fmt: skip
    return {"html": html, "yes": found.pair.yes, "sentence": found.pair.sentence,
            "draws": found.draws, "sharp": sharp}  # fmt: skip


@lru_cache(_DRAWN)  # a glaze that did not change is not drawn again
def _fit(fit: FitAnswer, wide: float) -> dict[str, Any]:
    strip, net = strip_picture(fit, wide), crackle_picture(fit, _PIECE_MM)
    return {"strip": strip, "strip_inside": _inside(strip), "net": net, "net_inside": _inside(net)}


def _inside(picture: draw.Picture) -> Markup:
    """Drawn by our own modules, which escape every word."""
    return Markup(draw.elements(picture))


@routes.post("/api/change")
def change() -> Response:
    """The nearest change of the firing that makes a yes."""
    asked = _asked()
    draft = draft_of(str(asked.get("draft")))
    state = desk().changed(draft.state, asked["changes"])
    words, changes = desk().nearest_change(state)
    return jsonify({"words": words, "changes": changes})


@routes.post("/api/commit")
def commit() -> Response:
    """Keep changes in the draft; once, where they are sent again because no answer came."""
    asked = _asked()
    draft = draft_of(str(asked.get("draft")))
    if draft.past and draft.version - 1 == asked.get("version"):
        with suppress(CofireError):
            if desk().changed(draft.past[-1], asked["changes"]) == draft.state:
                return _now(draft)
    draft = _as_seen(asked)
    state = desk().changed(draft.state, asked["changes"])
    desk().recipes(state)
    desk().firing(state["firing"]["data"])
    if state["asked"] != draft.state["asked"]:  # what cannot be looked at is not kept
        desk().conditions(state)
    return _now(drafts().change(draft.id, draft.version, state))


@routes.post("/api/undo")
def undo() -> Response:
    asked = _asked()
    draft = _as_seen(asked)
    return _now(drafts().undo(draft.id, draft.version, again=bool(asked.get("again"))))


@routes.post("/api/fork")
def fork() -> Response:
    """A draft of its own out of an older version and changes that came too late."""
    asked = _asked()
    draft = draft_of(str(asked.get("draft")))
    state = next(
        (s for k, s in enumerate(reversed((*draft.past, draft.state)))
         if draft.version - k == asked.get("version")), draft.state,
    )  # fmt: skip
    made = drafts().begin(desk().changed(state, asked["changes"]))
    return jsonify({"draft": made.id})


@routes.get("/api/draft/<id>")
def version(id: str) -> Response:
    """Which version a draft has: a page asks when it is looked at again."""
    draft = draft_of(id)
    return jsonify({"draft": id, "version": draft.version})


def _now(draft: Draft) -> Response:
    html = render_template(
        "controls.html", draft=draft, surfaces=SURFACES, **controls(draft),
    )  # fmt: skip
    return jsonify({"version": draft.version, "html": html, "past": len(draft.past),
                    "ahead": len(draft.ahead)})  # fmt: skip


def _as_seen(asked: dict[str, Any]) -> Draft:
    """The draft of a request. Raises ChangedElsewhereError if the page saw an older one."""
    draft = draft_of(str(asked.get("draft")))
    if draft.version != asked.get("version"):
        raise ChangedElsewhereError
    return draft


def _asked() -> dict[str, Any]:
    """What a page sent: a draft, the version it saw, and a list of changes."""
    try:
        asked = request.get_json(silent=True)
    except RecursionError:  # brackets without end
        asked = None
    if not isinstance(asked, dict):
        abort(400, "That is no question of this page.")
    changes = asked.setdefault("changes", [])
    if not isinstance(changes, list) or len(changes) > 200:
        abort(400, "That is no question of this page.")
    return asked
