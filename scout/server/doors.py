"""The ways in: at this machine, over the house's network with TLS, behind a named proxy.

Each listener marks its requests with its door, and a door decides who may be known without a token
and under which names the notebook is reached. What a proxy forwards is believed from its one named
address, and from nobody else. Not for: what a person may do (`roles`).
"""

from __future__ import annotations

import ipaddress
from collections.abc import Callable, Iterable
from typing import Any, Final, Literal

import attrs
from flask import request

HERE: Final = "here"
LAN: Final = "lan"
PROXY: Final = "proxy"
HOSTS: Final = ("localhost", "127.0.0.1", "[::1]")
_MARK: Final = "scout.door"
_FORWARDED: Final = (
    "HTTP_FORWARDED",
    "HTTP_X_FORWARDED_FOR",
    "HTTP_X_FORWARDED_PROTO",
    "HTTP_X_FORWARDED_HOST",
    "HTTP_X_REAL_IP",
)

Application = Callable[[dict[str, Any], Callable[..., Any]], Iterable[bytes]]


@attrs.frozen
class Door:
    """A way in: its kind, the names it is reached under, and the one proxy it listens to."""

    kind: Literal["here", "lan", "proxy"]
    hosts: tuple[str, ...]
    proxy: str | None = None


def door() -> Door:
    """Answer the door that the present request came through."""
    found: Door = request.environ[_MARK]
    return found


def mark(environ: dict[str, Any], through: Door) -> None:
    """Mark a request that no listener has marked."""
    environ.setdefault(_MARK, through)


def marked(app: Application, through: Door) -> Application:
    """Wrap an app so that every request of one listener carries its door."""

    def answer(environ: dict[str, Any], start: Callable[..., Any]) -> Iterable[bytes]:
        forwarded = {name: environ.pop(name, "") for name in _FORWARDED}
        if through.kind == PROXY and not _take_over(environ, forwarded, through):
            return _refuse(start)
        if through.kind == HERE and any(forwarded.values()):
            return _refuse(start)  # a proxy on this machine would make everybody the owner
        environ[_MARK] = through
        return app(environ, start)

    return answer


def _take_over(environ: dict[str, Any], forwarded: dict[str, str], through: Door) -> bool:
    """Put what the proxy says of its client in the place of what the socket says."""
    if environ.get("REMOTE_ADDR") != through.proxy:
        return False
    # The last entry is the proxy's own word; what stands before it came from the client.
    client = forwarded["HTTP_X_FORWARDED_FOR"].rpartition(",")[2].strip()
    try:
        address = ipaddress.ip_address(client)
    except ValueError:
        return False
    if forwarded["HTTP_X_FORWARDED_PROTO"].rpartition(",")[2].strip() != "https":
        return False
    environ["REMOTE_ADDR"] = str(address)
    environ["wsgi.url_scheme"] = "https"
    if host := forwarded["HTTP_X_FORWARDED_HOST"].rpartition(",")[2].strip():
        environ["HTTP_HOST"] = host
    return True


def _refuse(start: Callable[..., Any]) -> Iterable[bytes]:
    words = (
        b"A proxy is answered only where scout serve named it with --proxy, and only what it "
        b"forwards from https with X-Forwarded-For and X-Forwarded-Proto. README.md shows how.\n"
    )
    start(
        "403 Forbidden",
        [
            ("Content-Type", "text/plain; charset=utf-8"),
            ("Content-Length", str(len(words))),
            ("X-Content-Type-Options", "nosniff"),
            ("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'"),
            ("Cache-Control", "no-store"),
        ],
    )
    return [words]
