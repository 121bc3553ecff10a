"""Who asks, and whether the request comes from a page of ours.

At the machine itself the owner asks; through any other door a person is known by their device's
token. A page of another site that runs in the same browser is kept out by the Host that it was
reached under (a name made to point here is not ours), by Sec-Fetch-Site, and by a header that no
form can send. Not for: what a right means (`roles`), or tokens (`tokens`).
"""

from __future__ import annotations

import ipaddress
from collections.abc import Sequence
from typing import Final

import attrs
from flask import Flask, current_app, g, request

from scout.notebook.notebook import Notebook
from scout.records.fields import read_identity
from scout.server import tokens
from scout.server.certificates import is_private
from scout.server.doors import HERE, HOSTS, LAN, Door, door, mark
from scout.server.errors import Problem
from scout.server.limits import Pace, paces
from scout.server.roles import OPEN, RIGHTS, is_allowed

OUR_HEADER: Final = "X-Scout"
_HARMLESS = ("GET", "HEAD")


@attrs.frozen
class Asker:
    """A person, what they may do, and the device that they ask from (None: this machine).

    `sites`: the ids of those they may see, None for all; `sight`: what their device saw last.
    """

    person: str | None
    role: str
    device: str | None
    sites: frozenset[str] | None = None
    sight: str | None = None

    def must_write(self) -> None:
        """Raise Problem for somebody who may only look."""
        if self.role not in ("owner", "editor"):
            raise Problem(403, "not_allowed", _REFUSALS["write"])


def notebook() -> Notebook:
    """Answer the notebook that this server serves."""
    served: Notebook = current_app.config["SCOUT_NOTEBOOK"]
    return served


def asker() -> Asker:
    """Answer who asks; raises Problem for somebody unknown."""
    known: Asker | None = g.get("asker")
    if known is None:
        known = g.asker = _known()
    return known


def pusher(named: str | None) -> str | None:
    """Answer the device that sends a batch, None where nobody says; raises Refused for no id.

    A paired device is known by its token, whatever it says. At the machine itself, where nobody is
    asked, it is the one that the batch names: what another device wrote is then marked as carried.
    """
    known = asker().device
    if known is not None or named is None:
        return known
    return read_identity(named)


def _known() -> Asker:
    if door().kind == HERE:
        if not _is_here(request.remote_addr):
            raise Problem(
                401,
                "not_paired",
                "This notebook answers only at the machine on which it runs; open it there.",
            )
        return Asker(person=current_app.config.get("SCOUT_OWNER"), role="owner", device=None)
    if door().kind == LAN and not _is_of_a_house(request.remote_addr):
        raise Problem(403, "not_allowed", "This port answers the house's own network alone.")
    known = tokens.known(notebook(), tokens.sent())
    return Asker(
        person=known.person.id,
        role=known.person.role,
        device=known.device.id,
        sites=known.person.sites,
        sight=known.device.sight,
    )


def guard(app: Flask, hosts: tuple[str, ...] = HOSTS) -> None:
    """Look at every request of an app before it is answered.

    `hosts`: the names for requests that no listener marked with its door.
    """
    here = Door(HERE, hosts)
    buckets = paces()

    @app.before_request
    def _look() -> None:
        mark(request.environ, here)
        if _host_name(request.headers.get("Host", "")) not in door().hosts:
            raise Problem(
                421,
                "unknown_host",
                "The notebook is not reached under this name; use the address that scout printed.",
            )
        if request.method not in _HARMLESS:
            _refuse_foreign()
        elif request.path.startswith("/api/"):
            _refuse_site(("same-origin", "none"))
        try:
            _may_ask()
        finally:  # who is refused has cost work too
            _keep_pace(buckets)


def _keep_pace(buckets: Sequence[tuple[str, Pace]]) -> None:
    """Refuse a device, or an address that has none, that asks faster than any phone has to."""
    if door().kind == HERE or request.endpoint is None:
        return
    known: Asker | None = g.get("asker")
    who = request.remote_addr or "" if known is None or known.device is None else known.device
    pace = next(pace for begins, pace in buckets if request.endpoint.startswith(begins))
    pace.spend(who)


def _may_ask() -> None:
    """Hold the asker against the right of the endpoint; what has no right is answered to nobody."""
    if request.endpoint is None:  # there is nothing at this address, and that is said next
        if door().kind == HERE:
            asker()
        return
    right = RIGHTS.get(request.endpoint)
    if right == OPEN and door().kind != HERE:
        return
    known = asker()
    if right is None:
        if door().kind == HERE:
            return
        raise Problem(403, "not_allowed", "This address is answered at the notebook's own machine.")
    if not is_allowed(right, known.role, all_sites=known.sites is None):
        raise Problem(403, "not_allowed", _REFUSALS[right])


_REFUSALS: Final = {
    "whole": "This shows all sites, and you were given some of them; open the app instead.",
    "write": "You may look at this notebook and not write in it.",
    "owner": "Only the notebook's owners may do this.",
}


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


def _is_of_a_house(address: str | None) -> bool:
    try:
        return address is not None and is_private(ipaddress.ip_address(address))
    except ValueError:
        return False
