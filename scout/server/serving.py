"""The server on a port: threads, a graceful stop, the address printed and opened.

The port stays the same from day to day, for what a browser keeps belongs to the address it was
opened under. Not for: what is answered (`app`).
"""

from __future__ import annotations

import errno
import signal
import threading
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from typing import Any, Final

import attrs
from cheroot.wsgi import Server
from flask import Flask

from scout.records.trouble import Refused

PORT: Final = 8391
HOST: Final = "127.0.0.1"
_THREADS = 8
_TIMEOUT_S = 30
_STOP_S = 5
_TRIES = 20


@attrs.frozen
class Listening:
    """A server that holds its port and is ready to be run."""

    server: Server
    address: str
    usual: bool

    def run(self) -> None:
        """Answer requests until stopped; returns when every answer begun is given."""
        try:
            self.server.serve()
        finally:
            self.server.stop()

    def stop(self) -> None:
        """Stop from another thread or a signal: new requests are refused, begun ones end."""
        self.server.stop()


def listen(app: Flask, port: int | None = None) -> Listening:
    """Take a port on this machine: the usual one, else the next that is free.

    A port that was asked for is taken or refused. Raises Refused.
    """
    tries = [port] if port is not None else [*range(PORT, PORT + _TRIES), 0]
    for one in tries:
        server = Server(
            (HOST, one),
            app,
            numthreads=_THREADS,
            timeout=_TIMEOUT_S,
            shutdown_timeout=_STOP_S,
            server_name="scout",
        )
        try:
            server.prepare()
        except OSError as error:
            server.stop()
            if port is not None:
                raise Refused.one(_why(port, error)) from None
            continue
        taken = int(server.bind_addr[1])
        return Listening(server, f"http://localhost:{taken}", taken == (port or PORT))
    raise Refused.one("no port is free on this machine; close another program and try again")


def serve(
    listening: Listening,
    *,
    say: Callable[[str], object],
    browser: bool = True,
    path: str = "/",
) -> None:
    """Run a server until Ctrl-C or a kind kill; prints its address, opens it in a browser."""
    address = f"{listening.address}{path}"
    say(f"The notebook is at {address}; stop it with Ctrl-C.")
    if not listening.usual:
        say(
            f"The usual port {PORT} is taken, perhaps by another scout. "
            "What a browser kept under the usual address is not shown under this one."
        )

    def stop(*_: Any) -> None:
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGTERM, stop)
    if browser:
        threading.Thread(target=_open, args=(address,), daemon=True).start()
    try:
        with suppress(KeyboardInterrupt):
            listening.run()
    finally:
        signal.signal(signal.SIGTERM, before)
    say("Stopped; everything that was answered is saved.")


def _open(address: str) -> None:
    with suppress(webbrowser.Error):
        webbrowser.open(address)


def _why(port: int, error: OSError) -> str:
    if error.errno == errno.EADDRINUSE or "in use" in str(error):
        return f"the port {port} is taken by another program; choose another one"
    if error.errno in (errno.EACCES, errno.EPERM):
        return f"the port {port} may not be used by you; choose one above 1023"
    return f"the port {port} cannot be used; choose another one"
