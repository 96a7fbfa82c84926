"""What came out of the kiln: to write down, and what was written of one glaze."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlencode

from flask import Blueprint, Response, abort, redirect, render_template, request
from werkzeug.wrappers import Response as AnyResponse

from cofire.errors import CofireError
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
        answer = studio.fired(listed("glaze", args["recipe"]))
    return render_template(
        "fired.html", answer=answer, error=error, args=args, glazes=desk().glazes(),
        bodies=studio.bodies().items, firings=studio.firings().items,
        shown=_FIRED,
    )  # fmt: skip


@routes.post("/fired")
def write_fired() -> AnyResponse:
    form = request.form
    recipe = listed("glaze", form.get("recipe", ""))
    said = {key: form.get(key, "").strip()[:_LONGEST] for key in _FIRED}
    if not (said["result"] or said["words"]):
        abort(400, "Say what it did, or something about it in words.")
    for key, kind in (("clay", "bodies"), ("firing", "firings")):
        if said[key]:
            listed(kind, said[key])
    try:
        desk().studio.fired(recipe, **said)
    except CofireError as error:
        return Response(_fired(form, error), 400)
    return redirect(f"/fired?{urlencode({'recipe': recipe, 'saved': 1})}", 303)
