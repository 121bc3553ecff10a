"""A notebook opened to the house on this machine alone: real TLS on a free port. Not a test."""

from __future__ import annotations

import datetime as dt
import socket
import ssl
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

import attrs
from flask import Flask

from scout.notebook.notebook import Notebook
from scout.server import lan
from scout.server.app import create_app
from scout.server.certificates import FOLDER, ROOT_FILE
from scout.server.house import House, opened_to_house
from scout.server.serving import in_background, listen


def free_ports(count: int) -> list[int]:
    """Find ports that nobody holds just now."""
    with ExitStack() as held:
        probes = [held.enter_context(socket.socket()) for _ in range(count)]
        for probe in probes:
            probe.bind(("127.0.0.1", 0))
        return [int(probe.getsockname()[1]) for probe in probes]


@attrs.frozen
class Opened:
    """A house with its app, its owner's address at the machine, and what a client trusts."""

    app: Flask
    house: House
    here: str
    trust: ssl.SSLContext

    @property
    def port(self) -> int:
        return self.house.place.port

    @property
    def address(self) -> str:
        return self.house.place.by_address

    @property
    def trust_page(self) -> str:
        return self.house.place.help


@contextmanager
def opened(notebook: Notebook, ports: tuple[int, int] | None = None) -> Iterator[Opened]:
    """Serve a notebook here and to the house; `ports`: those of the notebook and the trust page."""
    app = create_app(notebook)
    port, help_port = ports or free_ports(2)
    place = lan.place_at(notebook.folder, port=port, addresses=lambda: ["127.0.0.1"])
    place = attrs.evolve(place, bound_to="127.0.0.1", help_port=help_port)
    with ExitStack() as held:
        here = held.enter_context(in_background(listen(app, 0)))
        house = held.enter_context(
            opened_to_house(app, notebook.folder, place, dt.datetime.now(dt.UTC))
        )
        for listening in house.listenings:
            held.enter_context(in_background(listening))
        trust = ssl.create_default_context(cafile=notebook.folder / FOLDER / ROOT_FILE)
        yield Opened(app, house, here.address, trust)
