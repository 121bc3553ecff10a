"""Phones and strangers at the house's door, by the Flask client, each with its own cookie."""

from __future__ import annotations

import json
import random
import uuid
from http.cookies import SimpleCookie
from typing import Any

import attrs
from flask import Flask

from scout.notebook.notebook import Notebook
from scout.server import pairing
from scout.server.doors import HERE, HOSTS, LAN, Door
from scout.server.tokens import COOKIE

from .linked import API, JSON, Said

HOUSE = Door(LAN, ("scout.local",))
MACHINE = Door(HERE, HOSTS)


class Caller:
    """Somebody who asks through a door from an address, and keeps the cookie that they are given.

    Speaks as a Link does.
    """

    def __init__(
        self,
        app: Flask,
        *,
        door: Door = HOUSE,
        address: str = "192.168.1.77",
        device: str | None = None,
    ) -> None:
        self._client = app.test_client(use_cookies=False)
        self.door, self.address = door, address
        self.device = device or str(uuid.UUID(int=random.getrandbits(128), version=4))
        self.cookie: str | None = None
        self.given: SimpleCookie = SimpleCookie()

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str) -> Said:
        sent = {"X-Scout": "1", "Content-Type": JSON, "Sec-Fetch-Site": "same-origin"}
        if self.cookie:
            sent["Cookie"] = f"{COOKIE}={self.cookie}"
        sent |= {name.replace("_", "-"): value for name, value in headers.items()}
        secure = self.door.kind != HERE
        said = self._client.open(
            path,
            method=method,
            data=body,
            headers={name: value for name, value in sent.items() if value},
            base_url=f"{'https' if secure else 'http'}://{self.door.hosts[0]}:8443",
            environ_overrides={"scout.door": self.door, "REMOTE_ADDR": self.address},
        )
        with said:
            for given in said.headers.getlist("Set-Cookie"):
                self.given = SimpleCookie(given)
                if COOKIE in self.given:
                    self.cookie = self.given[COOKIE].value or None
            return Said(said.status_code, {k.lower(): v for k, v in said.headers}, said.data)

    def post(self, path: str, **body: Any) -> Said:
        return self.ask("POST", API + path, json.dumps(body).encode())

    def get(self, path: str) -> Said:
        return self.ask("GET", API + path)

    def code(self, path: str, **body: Any) -> str:
        """Post, and answer the code of the refusal (or "ok")."""
        said = self.post(path, **body)
        return "ok" if said.status == 200 else said.json["error"]["code"]


@attrs.define
class Household:
    """An app with its owner at the machine."""

    app: Flask
    notebook: Notebook
    owner: Caller = attrs.field(init=False)

    def __attrs_post_init__(self) -> None:
        self.owner = Caller(self.app, door=MACHINE, address="127.0.0.1")

    def caller(self, address: str = "192.168.1.77", device: str | None = None) -> Caller:
        return Caller(self.app, address=address, device=device)

    def person(self, name: str, role: str, sites: list[str] | None = None) -> str:
        said = self.owner.post("people", name=name, role=role, sites=sites)
        assert said.status == 200, said.body
        return str(said.json["person"]["id"])

    def paired(
        self,
        person: str,
        *,
        address: str = "192.168.1.77",
        name: str = "phone",
        device: str | None = None,
    ) -> Caller:
        """Let a phone in by a printed code, which costs no limit."""
        caller = self.caller(address, device)
        printed = pairing.print_one(self.notebook, person)
        said = caller.post("pair/claim", typed=printed.secret, device=caller.device, name=name)
        assert said.status == 200, said.body
        return caller

    def member(self, role: str, sites: list[str] | None = None) -> Caller:
        return self.paired(self.person(f"{role} person", role, sites))
