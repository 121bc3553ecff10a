"""The server on its ports: threads, a graceful stop, the addresses printed and opened.

The ports stay the same from day to day, for what a browser keeps belongs to the address it was
opened under. Not for: what is answered (`app`), or where the machine stands (`lan`).
"""

from __future__ import annotations

import errno
import logging
import signal
import threading
import webbrowser
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from typing import Any, Final

import attrs
from cheroot.wsgi import Server

from scout.records.trouble import Refused
from scout.server.doors import HERE, HOSTS, Application, Door, marked
from scout.server.lines import Tls

PORT: Final = 8391
HOST: Final = "127.0.0.1"
_THREADS = 8
_LAN_THREADS = 24  # a stranger who dawdles holds one of them, and not for long
_TIMEOUT_S = 30
_LAN_TIMEOUT_S = 15
_STOP_S = 5
_TRIES = 20
_LARGEST_HEADERS_BYTES = 32_768

log = logging.getLogger("scout")


class _Server(Server):
    """One that says a connection failed without a word of what was sent or by whom."""

    def error_log(self, msg: str = "", level: int = 20, traceback: bool = False) -> None:
        if level >= logging.WARNING or traceback:
            log.warning("a connection failed in the middle of a request")


@attrs.frozen
class Listening:
    """A server that holds its port and is ready to be run."""

    server: Server
    address: str
    usual: bool

    @property
    def port(self) -> int:
        return int(self.server.bind_addr[1])

    def run(self) -> None:
        """Answer requests until stopped; returns when every answer begun is given."""
        try:
            self.server.serve()
        finally:
            self.server.stop()

    def stop(self) -> None:
        """Stop from another thread or a signal: new requests are refused, begun ones end."""
        self.server.stop()


def listen(app: Application, port: int | None = None) -> Listening:
    """Take a port on this machine: the usual one, else the next that is free.

    A port that was asked for is taken or refused. Raises Refused.
    """
    tries = [port] if port is not None else [*range(PORT, PORT + _TRIES), 0]
    for one in tries:
        try:
            listening = listen_through(app, Door(HERE, HOSTS), one)
        except Refused:
            if port is not None:
                raise
            continue
        usual = listening.port == (port or PORT)
        return attrs.evolve(listening, address=f"http://localhost:{listening.port}", usual=usual)
    raise Refused.one("no port is free on this machine; close another program and try again")


def listen_through(
    app: Application, door: Door, port: int, *, host: str = HOST, tls: Tls | None = None
) -> Listening:
    """Take a port for one door, or refuse in words. Raises Refused."""
    outside = tls is not None or host != HOST
    server = _Server(
        (host, port),
        marked(app, door),
        numthreads=_LAN_THREADS if outside else _THREADS,
        timeout=_LAN_TIMEOUT_S if outside else _TIMEOUT_S,
        shutdown_timeout=_STOP_S,
        server_name="scout",
    )
    server.max_request_header_size = _LARGEST_HEADERS_BYTES
    if tls is not None:
        server.ssl_adapter = tls
    try:
        server.prepare()
    except OSError as error:
        server.stop()
        raise Refused.one(_why(port, error)) from None
    scheme = "http" if tls is None else "https"
    return Listening(server, f"{scheme}://{host}:{int(server.bind_addr[1])}", usual=True)


def serve(
    listening: Listening,
    *,
    say: Callable[[str], object],
    browser: bool = True,
    path: str = "/",
    beside: Sequence[Listening] = (),
    words: Sequence[str] = (),
) -> None:
    """Run servers until Ctrl-C or a kind kill; prints the address, opens it in a browser.

    `beside`: others that run with the first one; `words`: what more is said before they run.
    """
    address = f"{listening.address}{path}"
    say(f"The notebook is at {address}; stop it with Ctrl-C.")
    if not listening.usual:
        say(
            f"The usual port {PORT} is taken, perhaps by another scout. "
            "What a browser kept under the usual address is not shown under this one."
        )
    for line in words:
        say(line)

    def stop(*_: Any) -> None:
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGTERM, stop)
    with ExitStack() as running:
        for other in beside:
            running.enter_context(in_background(other))
        if browser:
            threading.Thread(target=_open, args=(address,), daemon=True).start()
        try:
            with suppress(KeyboardInterrupt):
                listening.run()
        finally:
            signal.signal(signal.SIGTERM, before)
    say("Stopped; everything that was answered is saved.")


@contextmanager
def in_background(listening: Listening) -> Iterator[Listening]:
    """Run a server on a thread of its own for as long as the context lasts."""
    thread = threading.Thread(target=listening.run, daemon=True)
    thread.start()
    try:
        yield listening
    finally:
        listening.stop()
        thread.join(_STOP_S * 2)


def _open(address: str) -> None:
    with suppress(webbrowser.Error):
        webbrowser.open(address)


def _why(port: int, error: OSError) -> str:
    if error.errno == errno.EADDRINUSE or "in use" in str(error):
        return f"the port {port} is taken by another program; choose another one"
    if error.errno in (errno.EACCES, errno.EPERM):
        return f"the port {port} may not be used by you; choose one above 1023"
    return f"the port {port} cannot be used; choose another one"
