"""The notebook's name told on the house's network (multicast DNS, RFC 6762), while it is served.

Without the package or where the network forbids it, the name must come from the router, and that is
said. Not for: the name itself (`lan`).
"""

from __future__ import annotations

import ipaddress
from collections.abc import Iterator
from contextlib import contextmanager

from scout.server.lan import Place

UNTOLD = (
    "The name {host} could not be told on this network ({why}). Give this machine a fixed address "
    "in the router, or a name there, and open the notebook by that."
)


@contextmanager
def told(place: Place) -> Iterator[str | None]:
    """Answer for the place's name as long as the context lasts; yields a sentence on trouble.

    Nothing is told of a notebook that only this machine reaches.
    """
    reached = [address for address in place.addresses if not address.is_loopback]
    if not reached or ipaddress.ip_address(place.bound_to).is_loopback:
        yield None
        return
    try:
        import zeroconf
    except ImportError:
        yield UNTOLD.format(host=place.host, why="the package zeroconf is not installed")
        return
    info = zeroconf.ServiceInfo(
        "_https._tcp.local.",
        f"{place.name}._https._tcp.local.",
        addresses=[address.packed for address in reached],
        port=place.port,
        server=f"{place.host}.",
    )
    try:
        spoken = zeroconf.Zeroconf(ip_version=zeroconf.IPVersion.V4Only)
    except (OSError, RuntimeError) as trouble:
        why = getattr(trouble, "strerror", None) or "no multicast"
        yield UNTOLD.format(host=place.host, why=why)
        return
    try:
        try:
            spoken.register_service(info)
            trouble_told = None
        except zeroconf.NonUniqueNameException:
            trouble_told = (
                f"Another machine here is called {place.name}; choose another name with --name."
            )
        except (OSError, zeroconf.Error, RuntimeError):
            trouble_told = UNTOLD.format(host=place.host, why="the network did not take it")
        yield trouble_told
    finally:
        spoken.close()
