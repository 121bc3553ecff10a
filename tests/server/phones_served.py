"""Many phones whose every request goes over a link to a server that runs."""

from __future__ import annotations

import contextlib
import os

from hypothesis import settings

from scout.notebook.notebook import Notebook
from tests.notebook.many_phones import ManyPhones
from tests.notebook.phone import Server

from .linked import Link, OverHttp

FULL = os.environ.get("SCOUT_FULL") == "1"
ON_A_PORT = settings(max_examples=20 if FULL else 2, stateful_step_count=50 if FULL else 20)


class ManyPhonesServed(ManyPhones):
    """A server is begun for each notebook that is opened, and ended with it."""

    def __init__(self) -> None:
        super().__init__()
        self.running = contextlib.ExitStack()
        self.served: tuple[Notebook, Server] | None = None

    def link(self) -> Link:
        """Begin to serve the notebook until `running` ends; answers the way to it."""
        raise NotImplementedError

    def server(self) -> Server:
        if self.served is None or self.served[0] is not self.notebook:
            self.running.close()
            self.served = self.notebook, OverHttp(self.link())
        return self.served[1]

    def teardown(self) -> None:
        try:
            super().teardown()
        finally:
            self.running.close()
