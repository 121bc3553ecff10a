"""Who asks, and whether the request comes from a page of ours.

Here the owner asks, at the machine itself: nothing from another machine is answered. A page of
another site that runs in the same browser is kept out by the Host that it was reached under (a name
made to point here is not ours), by Sec-Fetch-Site, and by a header that no form can send. Not for:
what a person may change in the notebook.
"""

from __future__ import annotations

import ipaddress
from typing import Final

import attrs
from flask import Flask, current_app, request

from scout.server.errors import Problem

OUR_HEADER: Final = "X-Scout"
HOSTS: Final = ("localhost", "127.0.0.1", "[::1]")
_HARMLESS = ("GET", "HEAD")


@attrs.frozen
class Asker:
    """A person, what they may do, and the device that they ask from (None: this machine)."""

    person: str | None
    role: str
    device: str | None


def asker() -> Asker:
    """Answer who asks; raises Problem for somebody unknown."""
    if not _is_here(request.remote_addr):
        raise Problem(
            401,
            "not_paired",
            "This notebook answers only at the machine on which it runs; open it there.",
        )
    return Asker(person=current_app.config.get("SCOUT_OWNER"), role="owner", device=None)


def guard(app: Flask, hosts: tuple[str, ...] = HOSTS) -> None:
    """Look at every request of an app before it is answered."""

    @app.before_request
    def _look() -> None:
        if _host_name(request.headers.get("Host", "")) not in hosts:
            raise Problem(
                421,
                "unknown_host",
                "The notebook is not reached under this name; use the address that scout printed.",
            )
        asker()
        if request.method not in _HARMLESS:
            _refuse_foreign()
        elif request.path.startswith("/api/"):
            _refuse_site(("same-origin", "none"))


def _refuse_foreign() -> None:
    _refuse_site(("same-origin",))
    if request.headers.get(OUR_HEADER) != "1":
        raise Problem(
            403, "header_missing", f"The header {OUR_HEADER}: 1 is missing; send it with requests."
        )


def _refuse_site(allowed: tuple[str, ...]) -> None:
    """Refuse what a browser says comes from another site; other programs say nothing."""
    site = request.headers.get("Sec-Fetch-Site")
    if site is not None and site not in allowed:
        raise Problem(403, "another_site", "A page of another site asked; open the notebook's own.")


def _host_name(host: str) -> str:
    return host.lower() if host.endswith("]") else host.rpartition(":")[0].lower() or host.lower()


def _is_here(address: str | None) -> bool:
    try:
        return address is not None and ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False
