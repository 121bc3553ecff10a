"""Many phones over TLS with a token: what holds over plain HTTP holds behind the house's door."""

from __future__ import annotations

import http.client
import json

from scout.notebook.notebook import Notebook
from scout.server import pairing
from scout.server.tokens import COOKIE

from .house import Opened, opened
from .linked import API, Line, Link, Said
from .phones_served import ON_A_PORT, ManyPhonesServed


class SafeLine(Line):
    """A phone's connection over TLS, opened anew when it breaks, with its cookie."""

    def __init__(self, house: Opened) -> None:
        super().__init__(f"127.0.0.1:{house.port}")
        self._house = house
        self._cookie = ""

    def _opened(self) -> http.client.HTTPConnection:
        return http.client.HTTPSConnection(self.host, context=self._house.trust, timeout=30)

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str) -> Said:
        said = super().ask(method, path, body, Cookie=self._cookie, **headers)
        given = said.headers.get("set-cookie", "")
        if given.startswith(COOKIE):
            self._cookie = given.split(";")[0]
        return said


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


class ManyPhonesOverTls(ManyPhonesServed):
    """Every request goes over TLS, by a device that was paired."""

    def link(self) -> Link:
        house = self.running.enter_context(opened(self.notebook))
        line = paired(house, self.notebook, "01900000-0000-7000-8000-00000000dddd")
        self.running.callback(line.close)
        return line


TestManyPhonesOverTls = ManyPhonesOverTls.TestCase
TestManyPhonesOverTls.settings = ON_A_PORT
