"""One answer by which a phone finds out that it trusts this server: nothing is said in it.

The page by which a phone comes to trust the notebook, which is another origin without TLS, asks for
it; so it alone may be asked for from elsewhere. Not for: anything about the notebook.
"""

from __future__ import annotations

from flask import Blueprint, Response, make_response

routes = Blueprint("padlock", __name__)


@routes.get("/padlock")
def padlock() -> Response:
    """Answer nothing, over a line that the phone had to trust to hear it."""
    answer = make_response("", 204)
    answer.headers["Cross-Origin-Resource-Policy"] = "cross-origin"
    answer.headers["Cache-Control"] = "no-store"
    return answer
