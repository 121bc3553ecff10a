"""Every refusal and every failure as a sentence: JSON under /api, a plain page elsewhere.

No stack trace leaves the server; the log gets the kind of fault and the line of ours it came from,
never what was sent. Not for: finding out what is wrong.
"""

from __future__ import annotations

import logging
import traceback
from pathlib import Path
from typing import Any

from flask import Flask, Response, jsonify, make_response, render_template, request
from werkzeug.exceptions import HTTPException, RequestEntityTooLarge

from scout.notebook.cursors import CursorInvalid
from scout.notebook.store.trouble import StoreTrouble
from scout.notebook.uploads import NotItsHash, WrongOffset
from scout.records.trouble import Refused

log = logging.getLogger("scout")

_STORE_STATUS = {"full": 507, "busy": 503, "read_only": 503, "disk": 503}
_WORDS = {
    400: "The request cannot be read; send it again as the interface describes it.",
    404: "There is nothing at this address; the app is at /, the pages without script at /plain.",
    405: "This address does not take that kind of request.",
    413: "The request is too large; send it in smaller parts.",
    415: "The request has the wrong Content-Type for this address.",
    416: "The photo has no such range of bytes.",
}
_FAULT = "This is a fault of the server, not yours. Nothing was half saved; try again later."


class Problem(Exception):
    """A refusal with its status, a code for programs and a sentence for people.

    `more`: what else a program is told.
    """

    def __init__(self, status: int, code: str, message: str, **headers: str) -> None:
        self.status = status
        self.code = code
        self.message = message
        self.headers = {name.replace("_", "-"): value for name, value in headers.items()}
        self.more: dict[str, Any] = {}
        super().__init__(message)


def answer_errors(app: Flask) -> None:
    """Answer every exception of an app in words."""

    @app.errorhandler(Problem)
    def _problem(problem: Problem) -> Response:
        return _said(problem.status, problem.code, problem.message, problem.headers, problem.more)

    @app.errorhandler(Refused)
    def _refused(refusal: Refused) -> Response:
        return _said(400, "refused", str(refusal))

    @app.errorhandler(CursorInvalid)
    def _cursor(trouble: CursorInvalid) -> Response:
        return _said(409, trouble.code, str(trouble))

    @app.errorhandler(WrongOffset)
    def _offset(trouble: WrongOffset) -> Response:
        headers = {"Upload-Offset": str(trouble.offset)}
        return _said(409, "wrong_offset", str(trouble), headers)

    @app.errorhandler(NotItsHash)
    def _hash(trouble: NotItsHash) -> Response:
        return _said(422, "not_its_hash", str(trouble), {"Upload-Offset": "0"})

    @app.errorhandler(StoreTrouble)
    def _store(trouble: StoreTrouble) -> Response:
        log.error("the notebook's file: %s", trouble.code)
        headers = {"Retry-After": "2"} if trouble.code == "busy" else {}
        return _said(_STORE_STATUS.get(trouble.code, 500), trouble.code, str(trouble), headers)

    @app.errorhandler(PermissionError)
    def _forbidden(fault: PermissionError) -> Response:
        log.error("the notebook's folder may not be written%s", _place(fault))
        return _store(StoreTrouble("read_only"))

    @app.errorhandler(HTTPException)
    def _http(error: HTTPException) -> Response:
        status = error.code or 500
        if status < 400:  # a redirection is an answer, not a refusal
            return make_response(error.get_response())
        headers = {}
        if status == 405:
            headers["Allow"] = ", ".join(sorted(getattr(error, "valid_methods", None) or ()))
        code = "too_large" if isinstance(error, RequestEntityTooLarge) else f"http_{status}"
        return _said(status, code, _WORDS.get(status, _WORDS[400]), headers)

    @app.errorhandler(Exception)
    def _fault(fault: Exception) -> Response:
        log.error("fault: %s%s", type(fault).__name__, _place(fault))
        return _said(500, "fault", _FAULT)


def _said(
    status: int,
    code: str,
    message: str,
    headers: dict[str, str] | None = None,
    more: dict[str, Any] | None = None,
) -> Response:
    if request.path.startswith("/api/"):
        body: Any = jsonify({"error": {"code": code, "message": message, **(more or {})}})
    else:
        body = render_template("refused.html", message=message)
    answer = make_response(body, status)
    answer.headers.update(headers or {})
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _place(fault: Exception) -> str:
    ours = [
        frame
        for frame in traceback.extract_tb(fault.__traceback__)
        if "scout" in Path(frame.filename).parts
    ]
    return f" in {Path(ours[-1].filename).name}, line {ours[-1].lineno}" if ours else ""
