"""TLS for the server: the handshake done by the thread that answers, never by the one that accepts.

So a stranger who connects and says nothing delays nobody else. Not for: certificates
(`certificates`).
"""

from __future__ import annotations

import socket
import ssl
import threading
from collections import Counter
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any, Final

from cheroot.errors import FatalSSLAlert
from cheroot.ssl.builtin import BuiltinSSLAdapter

MOST_OF_ADDRESS: Final = 16
"""A browser opens six; nobody needs as many as would keep all threads busy."""
_HANDSHAKE: Final = 0x16  # the first byte of TLS; anything else is not TLS
_PLAIN: Final = (
    b"HTTP/1.1 400 Bad Request\r\nConnection: close\r\nContent-Type: text/plain\r\n"
    b"Content-Length: 46\r\n\r\nThis address answers https: type that first.\r\n"
)


class _Held:
    """How many connections each address holds just now."""

    def __init__(self) -> None:
        self._of: Counter[str] = Counter()
        self._lock = threading.Lock()

    def take(self, address: str) -> bool:
        """Count one more; false where the address has its fill."""
        with self._lock:
            if self._of[address] >= MOST_OF_ADDRESS:
                return False
            self._of[address] += 1
            return True

    def leave(self, address: str) -> None:
        with self._lock:
            self._of[address] -= 1
            if self._of[address] <= 0:
                del self._of[address]


class _Line(ssl.SSLSocket):
    """A connection whose handshake waits for the first read."""

    _shaken = False
    _leave: Callable[[], None] | None = None

    def leaving(self, leave: Callable[[], None]) -> None:
        """Have something called once, when the connection is gone."""
        self._leave = leave

    def _real_close(self) -> None:
        leave, self._leave = self._leave, None
        if leave is not None:
            leave()
        super()._real_close()  # type: ignore[misc]  # what close() does once nothing reads any more

    def recv_into(self, *args: Any, **named: Any) -> int:
        if not self._shaken:
            self._shake()
        return super().recv_into(*args, **named)

    def _shake(self) -> None:
        try:
            first = socket.socket.recv(self, 1, socket.MSG_PEEK)
            if first and first[0] != _HANDSHAKE:
                socket.socket.send(self, _PLAIN)
                raise FatalSSLAlert("not TLS")
            self.do_handshake()
        except (OSError, ValueError) as trouble:
            raise FatalSSLAlert("no handshake") from trouble
        self._shaken = True


class Tls(BuiltinSSLAdapter):
    """TLS 1.2 or newer with one certificate, which can be changed while the server runs."""

    def __init__(self, chain: Path, key: Path) -> None:
        self.certificate, self.private_key = str(chain), str(key)
        self.context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        self.context.minimum_version = ssl.TLSVersion.TLSv1_2
        self.context.sslsocket_class = _Line
        self._held = _Held()
        self.load()

    def load(self) -> None:
        """Read the certificate again; connections from now on are shown it."""
        self.context.load_cert_chain(self.certificate, self.private_key)

    def wrap(self, sock: socket.socket) -> tuple[ssl.SSLSocket, dict[str, Any]]:
        try:
            address = str(sock.getpeername()[0])
        except OSError as gone:
            raise FatalSSLAlert("gone before it was heard") from gone
        if not self._held.take(address):
            sock.close()
            raise FatalSSLAlert("too many connections of one address")
        try:
            line = self.context.wrap_socket(sock, server_side=True, do_handshake_on_connect=False)
        except OSError as trouble:
            self._held.leave(address)
            raise FatalSSLAlert("no line") from trouble
        assert isinstance(line, _Line)
        line.leaving(partial(self._held.leave, address))
        return line, {"wsgi.url_scheme": "https", "HTTPS": "on"}
