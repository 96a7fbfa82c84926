"""The page as a WSGI application: the door, errors in words, and all routes."""

from __future__ import annotations

import logging
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from flask import (
    Flask,
    Response,
    abort,
    current_app,
    g,
    jsonify,
    make_response,
    redirect,
    render_template,
    request,
)
from werkzeug.exceptions import HTTPException
from werkzeug.wrappers import Response as AnyResponse

from cofire import __version__
from cofire.errors import CofireError, Problems
from cofire.page import on_ask, on_bench, on_change, on_fired, on_keep, on_phones, on_print, on_save
from cofire.page.desk import Desk
from cofire.page.drafts import ChangedElsewhereError, Drafts
from cofire.page.guard import HEADERS, POLICY, Guard, Session
from cofire.page.words import FILTERS

#: Bytes of a request: a log of a long firing, or a long list of materials. Our choice.
MAX_BODY = 2_000_000
_COOKIE = "cofire_bench_"
#: What a guest may send: questions, which change nothing.
_QUESTIONS = {"bench.look", "bench.change"}
_OPEN = {"way_in", "enter", "static"}


def bench_app(folder: Path, hosts: frozenset[str], lan: str | None = None) -> Flask:
    """The page of the studio in a folder, for requests to ``hosts`` (“name:port”) alone; ``lan`` is
    the address at which phones find it, None where they do not."""
    app = Flask("cofire.page", static_url_path="/static")
    app.config.update(MAX_CONTENT_LENGTH=MAX_BODY, MAX_FORM_MEMORY_SIZE=MAX_BODY,
                      MAX_FORM_PARTS=500)  # fmt: skip
    app.json.sort_keys = False  # type: ignore[attr-defined]
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.jinja_env.filters.update(FILTERS)
    drafts = Drafts(folder)
    app.extensions["desk"], app.extensions["drafts"] = Desk(folder), drafts
    guard = app.extensions["guard"] = Guard(drafts.key(), hosts)
    app.extensions["lan"] = lan
    logging.getLogger("waitress").setLevel(logging.ERROR)

    app.before_request(lambda: _check(guard))
    app.after_request(_sealed)
    app.register_error_handler(CofireError, _refused)
    app.register_error_handler(ChangedElsewhereError, _changed)
    app.register_error_handler(HTTPException, _other)
    app.register_error_handler(Exception, _bug)
    app.add_url_rule("/in", "way_in", lambda: _way_in(guard))
    app.add_url_rule("/in", "enter", lambda: _enter(guard), methods=["POST"])
    for module in (on_bench, on_change, on_keep, on_save, on_ask, on_print, on_fired, on_phones):
        app.register_blueprint(module.routes)

    @app.context_processor
    def common() -> dict[str, Any]:
        session: Session | None = g.get("session")
        return {
            "token": guard.token(session) if session else "",
            "role": session.role if session else "",
            "guest": session is not None and session.role == "guest",
            "version": __version__,
            "studio_name": app.extensions["desk"].name,
            "lan": lan,
        }

    return app


def _check(guard: Guard) -> AnyResponse | None:
    """Refuse whoever is not meant: other hosts (a rebound name), other sites, strangers, guests
    who write, forms without the page's token."""
    host, origin = request.headers.get("Host", ""), request.headers.get("Origin")
    if not guard.is_host(host):
        abort(421, "This page answers under its own address only.")
    if origin is not None and not guard.is_own_origin(origin, host):
        abort(403, "Another site asked for this.")
    ours = request.headers.get("Sec-Fetch-Site", "same-origin") in ("same-origin", "none")
    follows_a_link = request.method == "GET" and request.headers.get("Sec-Fetch-Mode") == "navigate"
    if not ours and not follows_a_link:
        abort(403, "Another site asked for this.")
    g.session = guard.session(request.cookies.get(_cookie()))
    if request.endpoint in _OPEN:
        return None
    if g.session is None:
        if request.method == "GET" and request.accept_mimetypes.accept_html:
            return _at_the_door(401)
        abort(401, "Come in first: open the address that “cofire bench” printed.")
    if request.method not in ("GET", "HEAD"):
        given = request.headers.get("X-Bench-Token") or request.form.get("token", "")
        if not guard.is_token(g.session, given):
            abort(403, "This page is of another day. Reload it, and try again.")
        if g.session.role == "guest" and request.endpoint not in _QUESTIONS:
            abort(403, "Guests may look and try, but not save.")
    return None


def _sealed(response: Response) -> Response:
    response.headers.setdefault("Content-Security-Policy", POLICY)
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    if request.endpoint == "static":
        response.headers["Cache-Control"] = "no-cache"
    return response


def _at_the_door(status: int, said: str = "") -> AnyResponse:
    return Response(render_template("door.html", said=said), status)


def _way_in(guard: Guard) -> AnyResponse:
    """The address that is printed, or in the QR code, is opened."""
    given = request.args.get("code", "")
    if not given:
        return _at_the_door(200)
    return _try(guard, given)


def _enter(guard: Guard) -> AnyResponse:
    """A code was typed."""
    return _try(guard, request.form.get("code", ""))


def _try(guard: Guard, given: str) -> AnyResponse:
    address = request.remote_addr or ""
    if not guard.may_try(given, address):
        return _at_the_door(429, "Too many wrong codes. Wait a minute, then try again.")
    session = guard.enter(given, address)
    if session is None:
        return _at_the_door(403, "That code is wrong, used, or too old. Ask for a new one.")
    response = redirect("/", 303)
    response.set_cookie(_cookie(), session.id, httponly=True, samesite="Strict", max_age=30 * 86400)
    return response


def _cookie() -> str:
    """Cookies do not know ports: two benches on one computer have two."""
    return _COOKIE + request.host.rpartition(":")[2]


def _said(said: str, status: int, errors: Sequence[CofireError] = (), **more: Any) -> AnyResponse:
    """What is wrong, as JSON or as a page."""
    if request.path.startswith("/api/"):
        return make_response(jsonify({"error": said, **more}), status)
    return Response(render_template("error.html", said=said, errors=errors, back=_back()), status)


def _back() -> str:
    """The page of ours that led here; empty where it is this one, or another site's."""
    came = urlsplit(request.referrer or "")
    path = "/" + came.path.lstrip("/") + ("?" + came.query if came.query else "")
    is_here = request.method == "GET" and path == request.full_path.removesuffix("?")
    return "" if came.netloc != request.host or is_here else path


def _refused(error: CofireError) -> AnyResponse:
    """Something a person can put right."""
    errors = error.errors if isinstance(error, Problems) else (error,)
    here = current_app.extensions["desk"].folder  # which guests need not know
    return _said(str(error).replace(f"{here}{os.sep}", ""), 400, errors)


def _changed(_: ChangedElsewhereError) -> AnyResponse:
    return _said("This draft was changed in another window.", 409, changed=True)


def _other(error: HTTPException) -> AnyResponse:
    status, said = error.code or 500, error.description or error.name
    if said == type(error).description:  # in the words of the library
        said = {404: "There is no such page.", 405: "That cannot be done here.",
                413: "That is larger than this page takes."}.get(status, said)  # fmt: skip
    return _said(said, status)


def _bug(bug: Exception) -> AnyResponse:
    """Our mistake: told here and where “cofire bench” was typed."""
    from cofire.show.problems import bug_error, show_error

    show_error(bug_error(bug))
    said = f"Something is wrong in cofire itself ({type(bug).__name__}). Nothing was saved."
    return _said(said, 500)
