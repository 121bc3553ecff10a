"""The body of a request: its length known, its size bounded, read whole or not at all.

A body that is refused is read to its end first, within bounds, or the connection is closed: a
browser that is still sending would otherwise report a broken line instead of the sentence. Not for:
what the bytes mean.
"""

from __future__ import annotations

from typing import Any, Final

from flask import Flask, request

from scout.notebook.strict_json import NotStrictJson, read_strict
from scout.server.errors import Problem

LARGEST_BYTES: Final = 8 * 1_048_576
"""No request of any kind is larger."""

JSON_TYPE: Final = "application/json"
_PIECE = 1 << 16


def bound(app: Flask) -> None:
    """Refuse bodies without a length and larger ones than anything here takes."""

    @app.before_request
    def _bound() -> None:
        if "chunked" in request.headers.get("Transfer-Encoding", "").lower():
            _drain(LARGEST_BYTES)
            raise Problem(411, "no_length", "Send the body with its Content-Length.")
        if (request.content_length or 0) > LARGEST_BYTES:
            raise _too_large(LARGEST_BYTES)


def body(largest_bytes: int, content_type: str) -> bytes:
    """Read the whole body; raises Problem for one too large, of another type, or cut short."""
    length = request.content_length
    if length is None:
        raise Problem(411, "no_length", "Send the body with its Content-Length.")
    if length > largest_bytes:
        raise _too_large(largest_bytes)
    if request.mimetype != content_type:
        _drain(length)
        raise Problem(415, "wrong_type", f"Send the body with Content-Type: {content_type}.")
    try:
        held = request.stream.read()
    except OSError:
        held = b""
    if len(held) != length:
        raise Problem(400, "cut_short", "The body ended early; send it again.", Connection="close")
    return held


def json_body(largest_bytes: int) -> dict[str, Any]:
    """Read the body as one strict JSON object; raises Problem."""
    try:
        read = read_strict(body(largest_bytes, JSON_TYPE), largest_bytes=largest_bytes)
    except NotStrictJson as trouble:
        raise Problem(
            400, "not_json", f"The request {trouble.says} (line {trouble.line})."
        ) from None
    if not isinstance(read, dict):
        raise Problem(400, "not_json", "The request is not a JSON object in braces.")
    return read


def _too_large(largest_bytes: int) -> Problem:
    _drain(2 * LARGEST_BYTES)  # twice, so that what is only a little too large hears why
    return Problem(
        413,
        "too_large",
        f"The request is too large; at most {largest_bytes} bytes are taken here. Split it.",
        Connection="close",
    )


def _drain(most: int) -> None:
    stream = request.environ["wsgi.input"]
    if request.content_length is not None:
        most = min(most, request.content_length)
    try:
        while most > 0 and (piece := stream.read(min(_PIECE, most))):
            most -= len(piece)
    except Exception:  # whatever the connection does now, it is being refused
        return
