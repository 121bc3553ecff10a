"""Many phones over HTTP: I2 to I10, I12 after any story, through the app and on a real port."""

from __future__ import annotations

import contextlib
import os

from hypothesis import settings

from scout.notebook.notebook import Notebook
from tests.notebook.many_phones import ManyPhones
from tests.notebook.phone import Server

from .linked import OverHttp, client_of, listening

FULL = os.environ.get("SCOUT_FULL") == "1"


class ManyPhonesOverHttp(ManyPhones):
    """Every request goes through the app."""

    served: tuple[Notebook, Server] | None = None

    def server(self) -> Server:
        if self.served is None or self.served[0] is not self.notebook:
            self.served = self.notebook, OverHttp(client_of(self.notebook))
        return self.served[1]


class ManyPhonesOnAPort(ManyPhones):
    """Every request goes over a socket to the threads of a real server."""

    def __init__(self) -> None:
        super().__init__()
        self.running = contextlib.ExitStack()
        self.served: tuple[Notebook, Server] | None = None

    def server(self) -> Server:
        if self.served is None or self.served[0] is not self.notebook:
            self.running.close()
            line = self.running.enter_context(listening(self.notebook))
            self.served = self.notebook, OverHttp(line)
        return self.served[1]

    def teardown(self) -> None:
        try:
            super().teardown()
        finally:
            self.running.close()


TestManyPhonesOverHttp = ManyPhonesOverHttp.TestCase
TestManyPhonesOverHttp.settings = settings(
    max_examples=200 if FULL else 8, stateful_step_count=80 if FULL else 30
)
TestManyPhonesOnAPort = ManyPhonesOnAPort.TestCase
TestManyPhonesOnAPort.settings = settings(
    max_examples=20 if FULL else 2, stateful_step_count=50 if FULL else 20
)
