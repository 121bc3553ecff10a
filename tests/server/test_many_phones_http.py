"""Many phones over HTTP: I2 to I10, I12 after any story, through the app and on a real port."""

from __future__ import annotations

from hypothesis import settings

from .linked import Link, client_of, listening
from .phones_served import FULL, ON_A_PORT, ManyPhonesServed


class ManyPhonesOverHttp(ManyPhonesServed):
    """Every request goes through the app."""

    def link(self) -> Link:
        return client_of(self.notebook)


class ManyPhonesOnAPort(ManyPhonesServed):
    """Every request goes over a socket to the threads of a real server."""

    def link(self) -> Link:
        return self.running.enter_context(listening(self.notebook))


TestManyPhonesOverHttp = ManyPhonesOverHttp.TestCase
TestManyPhonesOverHttp.settings = settings(
    max_examples=200 if FULL else 8, stateful_step_count=80 if FULL else 30
)
TestManyPhonesOnAPort = ManyPhonesOnAPort.TestCase
TestManyPhonesOnAPort.settings = ON_A_PORT
