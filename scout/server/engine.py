"""The engine's calls over HTTP: the same text in and out as the worker on the phone gives.

Positions are in the body, never in the address. Not for: computing anything here.
"""

from __future__ import annotations

import threading
from typing import Final

from flask import Blueprint, Response, jsonify, make_response

from scout.engine.calls import CALLS, ENGINE_VERSION, call_text
from scout.records.schema import describe
from scout.server.bodies import JSON_TYPE, body
from scout.server.errors import Problem

LARGEST_REQUEST_BYTES: Final = 8 * 1_048_576
_AT_ONCE = 2
_PATIENCE_S = 20.0
_REFUSED = f'{{"engine":"{ENGINE_VERSION}","error":'

routes = Blueprint("engine", __name__, url_prefix="/api/v1")
_room = threading.BoundedSemaphore(_AT_ONCE)


@routes.post("/engine/<call>")
def compute(call: str) -> Response:
    """Answer one call of the engine. A refused request has status 400, an unknown call 404."""
    try:
        request_text = body(LARGEST_REQUEST_BYTES, JSON_TYPE).decode("utf-8")
    except UnicodeDecodeError:
        raise Problem(400, "not_json", "The request is not UTF-8 text.") from None
    if not _room.acquire(timeout=_PATIENCE_S):
        raise Problem(
            503, "busy", "The engine is busy with other requests; try again.", Retry_After="5"
        )
    try:
        said = call_text(call, request_text)
    finally:
        _room.release()
    answer = make_response(said)
    if said.startswith(_REFUSED):
        answer.status_code = 400 if call in CALLS else 404
    answer.mimetype = JSON_TYPE
    answer.headers["Cache-Control"] = "no-store"
    return answer


@routes.get("/schema")
def schema() -> Response:
    """Give every kind of record with its fields."""
    return jsonify(describe())
