"""A small server owned by the tests: the front end's files under its CSP, and the sync calls
answered by the real one. Faults of a bad link can be played: lost requests and answers, portals,
refusals.
"""

from __future__ import annotations

import json
import threading
from collections.abc import Callable
from contextlib import suppress
from email.message import Message
from functools import cache
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from importlib import resources
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

import attrs
from flask import Flask

from scout.installed import web_folder
from scout.notebook.notebook import Notebook
from scout.records.schema import describe
from scout.server.app import create_app

CSP = (
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; "
    "img-src 'self' blob: data:; font-src 'self'; connect-src 'self'; worker-src 'self'; "
    "manifest-src 'self'; media-src 'self' blob:; form-action 'self'; base-uri 'none'; "
    "object-src 'none'; frame-ancestors 'none'"
)
_TYPES = {".js": "text/javascript", ".json": "application/json", ".css": "text/css"}
_BLANK = b"<!doctype html><html lang=en><title>A blank page</title>"


@attrs.define
class Asked:
    """One request as it came."""

    method: str
    path: str
    query: dict[str, str]
    headers: Message[str, str]
    body: bytes


@attrs.define
class Answered:
    """One answer: status, content, headers; `lost` closes the connection instead of sending it."""

    status: int
    content: bytes
    headers: dict[str, str] = attrs.field(factory=dict)
    lost: bool = False


Fault = Callable[[Asked, Callable[[], Answered]], Answered | None]


def said(status: int, value: object) -> Answered:
    """Answer JSON."""
    content = value if isinstance(value, bytes) else json.dumps(value).encode()
    return Answered(status, content, {"Content-Type": "application/json"})


def refused(status: int, code: str, message: str) -> Answered:
    """Answer an error as JSON."""
    return said(status, {"error": {"code": code, "message": message}})


class SmallServer:
    """Serves until closed. `serve` changes the notebook for another; `fault` plays a bad link."""

    def __init__(self, notebook: Notebook | None = None) -> None:
        self.app: Flask | None = None
        self.serve(notebook)
        self.fault: Fault | None = None
        self.asked: list[Asked] = []
        small = self

        class Handler(_Handler):
            server_of_tests = small

        self._http = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self._http.daemon_threads = True
        self._thread = threading.Thread(target=self._http.serve_forever, args=(0.02,), daemon=True)
        self._thread.start()
        self.url = f"http://127.0.0.1:{self._http.server_port}/"

    def serve(self, notebook: Notebook | None) -> None:
        """Serve this notebook from now on; None: none."""
        self.app = None if notebook is None else create_app(notebook)

    def close(self) -> None:
        self._http.shutdown()
        self._http.server_close()
        self._thread.join()

    def answer(self, asked: Asked) -> Answered:
        if not asked.path.startswith("/api/v1/"):
            return _file(asked.path)
        self.asked.append(asked)
        if self.fault is not None:
            played = self.fault(asked, lambda: self._call(asked))
            if played is not None:
                return played
        return self._call(asked)

    def calls(self, name: str) -> list[Asked]:
        """Answer the requests of one call so far."""
        return [one for one in self.asked if one.path == f"/api/v1/{name}"]

    def _call(self, asked: Asked) -> Answered:
        if self.app is None:
            return refused(503, "closed", "The notebook is closed.")
        answer = self.app.test_client().open(
            asked.path,
            method=asked.method,
            query_string=asked.query,
            headers=[
                (name, value) for name, value in asked.headers.items() if name != "Connection"
            ],
            data=asked.body,
            environ_overrides={"REMOTE_ADDR": "127.0.0.1"},
        )
        ours = ("content-security-policy", "content-length", "connection")
        headers = {name: value for name, value in answer.headers if name.lower() not in ours}
        content = answer.get_data()
        answer.close()
        return Answered(answer.status_code, content, headers)


def lost(asked: Asked, work: Callable[[], Answered]) -> Answered:
    """Do the work and lose the answer."""
    work()
    return Answered(0, b"", lost=True)


@cache
def _rules(name: str) -> bytes:
    if name == "schema.json":
        return json.dumps(describe()).encode()
    return resources.files("scout.notebook").joinpath("upcasts.json").read_bytes()


def _file(path: str) -> Answered:
    if path == "/blank.html":
        return Answered(200, _BLANK, {"Content-Type": "text/html; charset=utf-8"})
    name = path.removeprefix("/")
    if name in ("schema.json", "upcasts.json"):
        return said(200, _rules(name))
    root = web_folder().resolve()
    file = (root / name).resolve()
    if not file.is_relative_to(root) or not file.is_file():
        return Answered(404, b"", {"Content-Type": "text/plain"})
    kind = _TYPES.get(Path(name).suffix, "application/octet-stream")
    return Answered(200, file.read_bytes(), {"Content-Type": kind})


class _Handler(BaseHTTPRequestHandler):
    server_of_tests: SmallServer
    protocol_version = "HTTP/1.1"

    def _serve(self) -> None:
        parts = urlsplit(self.path)
        query = {name: values[-1] for name, values in parse_qs(parts.query).items()}
        body = self.rfile.read(int(self.headers.get("Content-Length", 0)))
        asked = Asked(self.command, parts.path, query, self.headers, body)
        try:
            answered = self.server_of_tests.answer(asked)
        except Exception as trouble:  # a fault of the tests' own server must be seen, not hang
            answered = refused(500, "fault", repr(trouble))
        if answered.lost:
            self.close_connection = True
            return
        with suppress(ConnectionError):
            self.send_response(answered.status)
            for name, value in (answered.headers | {"Content-Security-Policy": CSP}).items():
                self.send_header(name, value)
            if answered.status != 204:
                self.send_header("Content-Length", str(len(answered.content)))
            self.end_headers()
            if self.command != "HEAD" and answered.status != 204:
                self.wfile.write(answered.content)

    do_GET = do_POST = do_HEAD = do_PATCH = _serve

    def log_message(self, *_: Any) -> None:
        return None
