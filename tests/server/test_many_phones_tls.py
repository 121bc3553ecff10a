"""Many phones over TLS with a token: what holds over plain HTTP holds behind the house's door."""

from __future__ import annotations

import contextlib
import http.client
import json
import os

from hypothesis import settings

from scout.notebook.notebook import Notebook
from scout.server import pairing
from scout.server.tokens import COOKIE
from tests.notebook.many_phones import ManyPhones
from tests.notebook.phone import Server

from .house import Opened, opened
from .linked import API, JSON, OverHttp, Said

FULL = os.environ.get("SCOUT_FULL") == "1"


class SafeLine:
    """A phone's connection over TLS, opened anew when it breaks, with its cookie."""

    def __init__(self, house: Opened) -> None:
        self._house = house
        self._cookie = ""
        self._line: http.client.HTTPSConnection | None = None

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str) -> Said:
        if self._line is None:
            self._line = http.client.HTTPSConnection(
                "127.0.0.1", self._house.port, context=self._house.trust, timeout=30
            )
        sent = {"X-Scout": "1", "Content-Type": JSON, "Cookie": self._cookie}
        sent |= {name.replace("_", "-"): value for name, value in headers.items()}
        try:
            self._line.request(method, path, body=body, headers=sent)
            said = self._line.getresponse()
            for name, value in said.getheaders():
                if name.lower() == "set-cookie" and value.startswith(COOKIE):
                    self._cookie = value.split(";")[0]
            return Said(said.status, {k.lower(): v for k, v in said.getheaders()}, said.read())
        except (OSError, http.client.HTTPException):
            self.close()
            raise

    def close(self) -> None:
        if self._line is not None:
            self._line.close()
        self._line = None


def paired(house: Opened, notebook: Notebook, device: str) -> SafeLine:
    """Let a phone in, over the line itself."""
    line = SafeLine(house)
    owner = json.loads(_owner(house))["people"][0]["id"]
    printed = pairing.print_one(notebook, owner)
    claim = {"typed": printed.secret, "device": device, "name": "phone"}
    said = line.ask("POST", f"{API}pair/claim", json.dumps(claim).encode())
    assert said.status == 200, said.body
    return line


def _owner(house: Opened) -> bytes:
    line = http.client.HTTPConnection(house.here.removeprefix("http://"))
    try:
        line.request("GET", f"{API}people")
        return line.getresponse().read()
    finally:
        line.close()


class ManyPhonesOverTls(ManyPhones):
    """Every request goes over TLS, by a device that was paired."""

    def __init__(self) -> None:
        super().__init__()
        self.running = contextlib.ExitStack()
        self.served: tuple[Notebook, Server] | None = None

    def server(self) -> Server:
        if self.served is None or self.served[0] is not self.notebook:
            self.running.close()
            house = self.running.enter_context(opened(self.notebook))
            line = paired(house, self.notebook, "01900000-0000-7000-8000-00000000dddd")
            self.running.callback(line.close)
            self.served = self.notebook, OverHttp(line)
        return self.served[1]

    def teardown(self) -> None:
        try:
            super().teardown()
        finally:
            self.running.close()


TestManyPhonesOverTls = ManyPhonesOverTls.TestCase
TestManyPhonesOverTls.settings = settings(
    max_examples=20 if FULL else 2, stateful_step_count=50 if FULL else 20
)
