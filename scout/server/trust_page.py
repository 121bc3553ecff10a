"""The page by which a phone comes to trust this notebook, over plain http on a port of its own.

It hands out the root certificate, says each step for each kind of phone, and asks the phone whether
the padlock holds; it knows nothing of the notebook and takes nothing in. What comes over plain http
can be changed on its way, so the fingerprint is shown to be compared with the terminal's. Not for:
pairing (that needs the padlock).
"""

from __future__ import annotations

from typing import Final

from flask import Flask, Response, make_response, render_template, request, send_from_directory
from jinja2 import StrictUndefined
from werkzeug.exceptions import HTTPException

from scout.server.certificates import Authority
from scout.server.headers import HEADERS
from scout.server.lan import Place

CERTIFICATE: Final = "/scout-root.crt"
PHONES: Final = {
    "iphone": "iPhone or iPad",
    "android": "Android phone",
    "computer": "Computer",
}
_FOLDER: Final = "trusting"
_FILES: Final = ("trust.css", "trust.js")


def create_trust_page(place: Place, root: Authority) -> Flask:
    """Make the page's own app."""
    app = Flask("scout.server", static_folder=None, template_folder=_FOLDER)
    app.jinja_env.undefined = StrictUndefined
    reached = " ".join((place.by_name, place.by_address))
    policy = (
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src data:; base-uri 'none'; "
        f"form-action 'none'; frame-ancestors 'none'; connect-src {reached}"
    )
    shared = {"place": place, "fingerprint": _in_groups(root.fingerprint), "phones": PHONES}

    @app.get("/")
    def choose() -> str:
        return render_template("choose.html", guessed=_guess(), **shared)

    for phone in PHONES:

        def steps(phone: str = phone) -> str:
            return render_template(f"{phone}.html", title=PHONES[phone], **shared)

        app.add_url_rule(f"/{phone}", phone, steps)

    @app.get(CERTIFICATE)
    def certificate() -> Response:
        answer = make_response(root.der)
        answer.mimetype = "application/x-x509-ca-cert"
        answer.headers["Content-Disposition"] = 'attachment; filename="scout-root.crt"'
        return answer

    for name in _FILES:

        def file(name: str = name) -> Response:
            return send_from_directory(f"{app.root_path}/{_FOLDER}", name)

        app.add_url_rule(f"/{name}", name, file)

    @app.errorhandler(HTTPException)
    def refused(error: HTTPException) -> tuple[str, int]:
        return render_template("nothing.html", **shared), error.code or 500

    @app.after_request
    def protect(answer: Response) -> Response:
        answer.headers["Content-Security-Policy"] = policy
        answer.headers["Cache-Control"] = "no-store"
        for name, value in HEADERS.items():
            if name != "Permissions-Policy":
                answer.headers[name] = value
        return answer

    return app


def _guess() -> str | None:
    said = request.headers.get("User-Agent", "")
    if "Android" in said:
        return "android"
    if any(word in said for word in ("iPhone", "iPad")):
        return "iphone"
    return None


def _in_groups(fingerprint: str) -> list[str]:
    """Cut a fingerprint into pieces that an eye can compare."""
    pairs = fingerprint.split(":")
    return [" ".join(pairs[start : start + 4]) for start in range(0, len(pairs), 4)]
