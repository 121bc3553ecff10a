"""The app's own files over HTTP: its first page, its modules, its service worker, its schema.

Every answer must be asked for again (`no-cache`) and is then mostly "as you have it": what makes
the app start at once is the phone's own copy. Not for: what may be cached there (`web/sw.js`).
"""

from __future__ import annotations

import json
from importlib import resources

from flask import Blueprint, Response, abort, current_app, request

from scout.installed import web_folder
from scout.records.schema import describe
from scout.server.shell import FIRST_PAGE, Served, Shell

web_files = Blueprint("web", __name__)
routes = web_files


def shell() -> Shell:
    """Answer the app's front end, read when it is first asked for."""
    kept = current_app.extensions.get("scout_shell")
    if not isinstance(kept, Shell):
        kept = Shell(web_folder(), made_texts())
        current_app.extensions["scout_shell"] = kept
    return kept


def made_texts() -> dict[str, str]:
    """Answer what the front end must know of records: the kinds, and how older ones are read."""
    upcasts = resources.files("scout.notebook").joinpath("upcasts.json").read_text("utf-8")
    return {
        "schema.json": json.dumps(describe(), ensure_ascii=False, separators=(",", ":")),
        "upcasts.json": upcasts,
    }


@web_files.get("/")
def first_page() -> Response:
    """Give the page that every start begins with."""
    return _answer(FIRST_PAGE)


@web_files.get("/<path:name>")
def file(name: str) -> Response:
    """Give one file of the front end."""
    return _answer(name)


def _answer(name: str) -> Response:
    found = shell().file(name)
    if found is None:
        abort(404)
    tag = found.sha256.hex()[:32]
    zipped = found.zipped if request.accept_encodings["gzip"] > 0 else None
    answer = Response(_chosen(found, zipped), content_type=found.type)
    if zipped is not None:
        answer.headers["Content-Encoding"] = "gzip"
    answer.headers["Vary"] = "Accept-Encoding"
    answer.headers["Cache-Control"] = "no-cache"
    answer.set_etag(tag, weak=True)
    answer.make_conditional(request)
    return answer


def _chosen(found: Served, zipped: bytes | None) -> bytes:
    return found.plain if zipped is None else zipped
