"""The headers that stand on every answer: what a page may run, load and show, and who may frame it.

An answer that has set one of them itself (a photo, a page made for printing) keeps its own. Not
for: caching, which each kind of answer decides.
"""

from __future__ import annotations

from typing import Final

from flask import Flask, Response, request

from scout.server.doors import PROXY, door

# Nothing but our own files; 'wasm-unsafe-eval' lets the engine's WebAssembly be compiled, no more.
POLICY: Final = (
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; "
    "img-src 'self' blob: data:; font-src 'self'; connect-src 'self'; worker-src 'self'; "
    "manifest-src 'self'; media-src 'self' blob:; form-action 'self'; base-uri 'none'; "
    "object-src 'none'; frame-ancestors 'none'"
)
_YEAR_S: Final = 31_536_000
_UPGRADE: Final = "; upgrade-insecure-requests"

HEADERS: Final = {
    "Permissions-Policy": (
        "geolocation=(self), camera=(self), accelerometer=(self), gyroscope=(self), "
        "magnetometer=(self), screen-wake-lock=(self), microphone=(), usb=(), payment=()"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


def protect(app: Flask) -> None:
    """Put the headers on every answer of an app, errors too.

    Over plain http on this machine nothing is upgraded, for there is no https to upgrade to.
    """

    @app.after_request
    def _headers(answer: Response) -> Response:
        policy = POLICY + _UPGRADE if request.is_secure else POLICY
        answer.headers.setdefault("Content-Security-Policy", policy)
        if door().kind == PROXY:  # a name of one's own; the house's own certificate may change
            answer.headers.setdefault("Strict-Transport-Security", f"max-age={_YEAR_S}")
        for name, value in HEADERS.items():
            answer.headers.setdefault(name, value)
        return answer
