"""Who is in: the owner lets phones in, and sends them away."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, abort, current_app, g, redirect, render_template, request
from markupsafe import Markup
from werkzeug.wrappers import Response as AnyResponse

from cofire.page.guard import Code, Guard
from cofire.show.drawing import elements
from cofire.show.sheets.qr import qr

routes = Blueprint("phones", __name__)


def _guard() -> Guard:
    found: Guard = current_app.extensions["guard"]
    return found


@routes.get("/phones")
def phones() -> str:
    return _phones()


def _phones(code: Code | None = None) -> str:
    _owner_only()
    lan = current_app.extensions["lan"]
    picture = qr(f"http://{lan}/in?code={code.text}") if code and lan else None
    inside = Markup(elements(picture)) if picture else ""
    return render_template("phones.html", sessions=list(_guard().sessions.values()), code=code,
                           qr=picture, qr_inside=inside)  # fmt: skip


def _owner_only() -> None:
    if g.session.role != "owner":
        abort(403, "Only this computer lets phones in, and sends them away.")


@routes.post("/phones")
def new_code() -> str:
    _owner_only()
    role: Any = "writer" if request.form.get("role") == "writer" else "guest"
    return _phones(_guard().new_code(role))


@routes.post("/phones/out")
def out() -> AnyResponse:
    _owner_only()
    who = request.form.get("who", "")
    if who == "all":
        _guard().revoke_all()
    else:
        _guard().revoke(who)
    return redirect("/phones", 303)
