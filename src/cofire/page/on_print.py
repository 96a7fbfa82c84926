"""Sheets, cards and plans, to print or for a phone."""

from __future__ import annotations

import re
from typing import Any

from flask import Blueprint, Response, make_response, render_template, request
from werkzeug.wrappers import Response as AnyResponse

from cofire.errors import CofireError
from cofire.page.guard import SHEET_POLICY
from cofire.page.on_ask import QUESTIONS, asked_day, form, listed
from cofire.page.on_bench import desk, draft_of

routes = Blueprint("print", __name__)


@routes.get("/sheets")
def sheets() -> str:
    """What to print: how much of which glaze."""
    return _sheets()


def _sheets(error: CofireError | None = None) -> str:
    """The form with what was filled in, and what is wrong with it."""
    draft = draft_of(request.args["draft"]) if request.args.get("draft") else None
    chosen = [glaze["of"] for glaze in draft.state["glazes"]] if draft else []
    return render_template(
        "sheets.html", recipes=desk().mixed(), draft=draft,
        firings=desk().studio.firings().items, args=request.args,
        chosen=request.args.getlist("glaze") or chosen, error=error,
    )  # fmt: skip


@routes.get("/sheets/print")
def print_sheets() -> AnyResponse:
    """The same sheets that “cofire batch --html” writes, to print from the browser."""
    try:
        return _printed()
    except CofireError as error:
        return make_response(_sheets(error), 400)


def _printed() -> AnyResponse:
    from io import BytesIO

    from cofire.show.sheets.classroom import projector, slips
    from cofire.show.sheets.html import booklet_html, pack_html
    from cofire.show.sheets.pdf import pack_pdf
    from cofire.show.sheets.phone import phone_page

    args = request.args
    asked: dict[str, Any] = {}
    for name in ("dry", "bucket", "pieces", "scale", "people", "title"):
        if args.get(name):
            asked[name] = args[name]
    if args.get("school"):
        asked["school"] = True
    if args.get("people"):
        asked["people"] = [line.strip() for line in args["people"].split(",") if line.strip()]
    names: list[Any] = [listed("glaze", id) for id in args.getlist("glaze") if id]
    if args.get("draft"):
        draft = draft_of(args["draft"])
        on_bench = {glaze["of"]: glaze["data"] for glaze in draft.state["glazes"]}
        names = [on_bench.get(name, name) for name in names]
    firing = listed("firings", args["firing"]) if args.get("firing") else None
    pack = desk().studio.batch(names, firing=firing, **asked)
    paper: Any = "Letter" if args.get("paper") == "Letter" else "A4"
    if args.get("as") in ("projector", "slips"):
        made = projector(pack) if args["as"] == "projector" else slips(pack, (), paper)
        return _sheet(booklet_html(made, paper))
    if args.get("as") == "pdf":
        out = BytesIO()
        pack_pdf(
            pack, out, paper=paper, large=bool(args.get("large")), labels=bool(args.get("labels"))
        )
        response = Response(out.getvalue(), mimetype="application/pdf")
        response.headers["Content-Disposition"] = "attachment; filename=sheets.pdf"
        return response
    if args.get("as") == "phone":
        return _phone(phone_page(pack))
    page = pack_html(
        pack, paper=paper, large=bool(args.get("large")), labels=bool(args.get("labels")),
    )  # fmt: skip
    return _sheet(page)


@routes.get("/wall")
def wall() -> AnyResponse:
    """A day by the clock, for the wall."""
    from cofire.show.sheets.classroom import wall_sheet
    from cofire.show.sheets.html import booklet_html

    try:
        day = desk().studio.day(**asked_day())
    except CofireError as error:
        return form(QUESTIONS["day"], error)
    return _sheet(booklet_html(wall_sheet(day)))


@routes.get("/cards")
def cards() -> AnyResponse:
    """A firing as cards to hang at the kiln."""
    from cofire.show.sheets.cards import firing_cards
    from cofire.show.sheets.html import booklet_html

    args = request.args
    try:
        recipes = [listed("glaze", id) for id in args.getlist("glaze") if id]
        answer = desk().studio.firing(listed("firings", args.get("firing", "")), recipes)
    except CofireError as error:
        return form(QUESTIONS["firing"], error)
    return _sheet(booklet_html(firing_cards(answer)))


def _sheet(page: str) -> AnyResponse:
    response = Response(page, mimetype="text/html")
    response.headers["Content-Security-Policy"] = SHEET_POLICY
    return response


def _phone(page: str) -> AnyResponse:
    """A page for phones, whose one script is known by its hash."""
    script = re.search(r"'(sha256-[\w+/]+=*)'", page)
    assert script is not None
    response = Response(page, mimetype="text/html")
    response.headers["Content-Security-Policy"] = (
        f"default-src 'none'; style-src 'unsafe-inline'; script-src '{script[1]}'; "
        "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
    return response
