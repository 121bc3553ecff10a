"""The notebook over HTTP, as a phone of the tests speaks to it: a Flask client, or a real port."""

from __future__ import annotations

import base64
import hashlib
import http.client
import json
import threading
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import Any, Protocol
from urllib.parse import urlencode

import attrs
from flask.testing import FlaskClient

from scout.notebook.cursors import CursorInvalid
from scout.notebook.notebook import Notebook
from scout.server.app import create_app
from scout.server.serving import listen
from tests.notebook.phone import Change

API = "/api/v1/"
JSON = "application/json"
PIECE = "application/offset+octet-stream"


@attrs.frozen
class Said:
    """An answer: its status, its headers in small letters, its body."""

    status: int
    headers: Mapping[str, str]
    body: bytes

    @property
    def json(self) -> Any:
        return json.loads(self.body)


class Link(Protocol):
    """A way to the server."""

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str) -> Said: ...


class Client:
    """The Flask client of an app."""

    def __init__(self, client: FlaskClient) -> None:
        self.client = client

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str) -> Said:
        said = self.client.open(path, method=method, data=body, headers=_headers(headers))
        with said:
            return Said(said.status_code, {k.lower(): v for k, v in said.headers}, said.data)


class Line:
    """A connection to a real port, opened anew when it breaks."""

    def __init__(self, address: str) -> None:
        self.host = address.removeprefix("http://")
        self._line: http.client.HTTPConnection | None = None

    def _opened(self) -> http.client.HTTPConnection:
        return http.client.HTTPConnection(self.host, timeout=30)

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str) -> Said:
        if self._line is None:
            self._line = self._opened()
        try:
            self._line.request(method, path, body=body, headers=_headers(headers))
            said = self._line.getresponse()
            return Said(said.status, {k.lower(): v for k, v in said.getheaders()}, said.read())
        except (OSError, http.client.HTTPException):
            self.close()
            raise

    def close(self) -> None:
        if self._line is not None:
            self._line.close()
        self._line = None


def _headers(given: Mapping[str, str]) -> dict[str, str]:
    sent = {"X-Scout": "1", "Content-Type": JSON}
    sent |= {name.replace("_", "-"): value for name, value in given.items()}
    return {name: value for name, value in sent.items() if value}


class OverHttp:
    """What a phone asks of the server, over a link."""

    def __init__(self, link: Link) -> None:
        self.link = link

    def push(
        self, changes: Sequence[Change], furthest: str | None
    ) -> tuple[list[dict[str, Any]], str | None]:
        said = self._asked("POST", "push", {"changes": list(changes), "furthest": furthest})
        return said["answers"], said["furthest"]

    def pull(
        self, cursor: str | None, furthest: str | None, limit: int
    ) -> tuple[list[tuple[int, Change]], str, bool]:
        asked = {"cursor": cursor, "furthest": furthest, "limit": limit}
        typed = urlencode({name: value for name, value in asked.items() if value is not None})
        said = self._asked("GET", f"pull?{typed}", None)
        rows = [(row["seq"], row["change"]) for row in said["changes"]]
        return rows, said["cursor"], said["more"]

    def offer(self, ids: Sequence[str]) -> tuple[list[str], dict[str, int], str]:
        missing: list[str] = []
        present: dict[str, int] = {}
        furthest = ""
        for start in range(0, max(len(ids), 1), 5000):
            said = self._asked("POST", "offer", {"changes": list(ids[start : start + 5000])})
            missing += said["missing"]
            present |= said["present"]
            furthest = said["furthest"]
        return missing, present, furthest

    def _asked(self, method: str, path: str, body: Any) -> Any:
        held = None if body is None else json.dumps(body).encode()
        said = self.link.ask(method, API + path, held)
        if said.status == 409:
            assert said.json["error"]["code"] == "cursor_invalid"
            raise CursorInvalid
        assert said.status == 200, (said.status, said.body)
        return said.json


def client_of(notebook: Notebook) -> Client:
    return Client(create_app(notebook).test_client())


@contextmanager
def listening(notebook: Notebook) -> Iterator[Line]:
    """Serve a notebook on a free port for a while."""
    server = listen(create_app(notebook), 0)
    thread = threading.Thread(target=server.run)
    thread.start()
    line = Line(server.address)
    try:
        yield line
    finally:
        line.close()
        server.stop()
        thread.join()


def digest(piece: bytes) -> str:
    """Write a Content-Digest (RFC 9530, 2)."""
    return f"sha-256=:{base64.b64encode(hashlib.sha256(piece).digest()).decode()}:"


def send_piece(
    link: Link, sha256: str, offset: int, size: int, piece: bytes, **headers: str
) -> Said:
    """Send one piece of a photo."""
    usual = {
        "Content_Type": PIECE,
        "Upload_Offset": str(offset),
        "Upload_Length": str(size),
        "Content_Digest": digest(piece),
    }
    return link.ask("PATCH", f"{API}blobs/{sha256}", piece, **(usual | headers))


def send_photo(link: Link, held: bytes, piece_bytes: int = 1 << 20) -> str:
    """Send a photo from where the server is to its end; answers its hash."""
    sha256 = hashlib.sha256(held).hexdigest()
    offset = int(link.ask("HEAD", f"{API}blobs/{sha256}").headers["upload-offset"])
    while offset < len(held):
        said = send_piece(link, sha256, offset, len(held), held[offset : offset + piece_bytes])
        assert said.status == 204, said.body
        offset = int(said.headers["upload-offset"])
    return sha256
