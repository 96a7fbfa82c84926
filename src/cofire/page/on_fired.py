"""What came out of the kiln: to write down, and what was written of one glaze."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlencode

from flask import Blueprint, make_response, redirect, render_template, request
from werkzeug.wrappers import Response as AnyResponse

from cofire.errors import CofireError, refusal
from cofire.page.on_ask import listed
from cofire.page.on_bench import desk

routes = Blueprint("fired", __name__)
#: What can be said of a fired piece; letters of each.
_FIRED, _LONGEST = ("result", "clay", "coat", "firing", "pull", "cooling", "wall", "words"), 300


@routes.get("/fired")
def fired() -> str:
    """What came out of the kiln: to write down, and what was written of one glaze."""
    return _fired(request.args)


def _fired(args: Mapping[str, str], error: CofireError | None = None) -> str:
    studio, answer = desk().studio, None
    if args.get("recipe"):
        try:
            answer = studio.fired(listed("glaze", args["recipe"]))
        except CofireError as wrong:
            error = error or wrong
    return render_template(
        "fired.html", answer=answer, error=error, args=args, glazes=desk().glazes(),
        bodies=studio.bodies().items, firings=studio.firings().items,
        shown=_FIRED,
    )  # fmt: skip


@routes.post("/fired")
def write_fired() -> AnyResponse:
    form = request.form
    said = {key: form.get(key, "").strip()[:_LONGEST] for key in _FIRED}
    try:
        recipe = listed("glaze", form.get("recipe", ""))
        for key, kind in (("clay", "bodies"), ("firing", "firings")):
            if said[key]:
                listed(kind, said[key])
        if not (said["result"] or said["words"]):
            raise refusal("bench-nothing-said")
        desk().studio.fired(recipe, **said)
    except CofireError as error:
        return make_response(_fired(form, error), 400)
    return redirect(f"/fired?{urlencode({'recipe': recipe, 'saved': 1})}", 303)
