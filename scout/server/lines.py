"""TLS for the server: the handshake done by the thread that answers, never by the one that accepts.

So a stranger who connects and says nothing delays nobody else. Not for: certificates
(`certificates`).
"""

from __future__ import annotations

import socket
import ssl
from pathlib import Path
from typing import Any, Final

from cheroot.errors import FatalSSLAlert
from cheroot.ssl.builtin import BuiltinSSLAdapter

_HANDSHAKE: Final = 0x16  # the first byte of TLS; anything else is not TLS
_PLAIN: Final = (
    b"HTTP/1.1 400 Bad Request\r\nConnection: close\r\nContent-Type: text/plain\r\n"
    b"Content-Length: 46\r\n\r\nThis address answers https: type that first.\r\n"
)


class _Line(ssl.SSLSocket):
    """A connection whose handshake waits for the first read."""

    _shaken = False

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
        self.load()

    def load(self) -> None:
        """Read the certificate again; connections from now on are shown it."""
        self.context.load_cert_chain(self.certificate, self.private_key)

    def wrap(self, sock: socket.socket) -> tuple[ssl.SSLSocket, dict[str, Any]]:
        line = self.context.wrap_socket(sock, server_side=True, do_handshake_on_connect=False)
        return line, {"wsgi.url_scheme": "https", "HTTPS": "on"}
