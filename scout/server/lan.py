"""Where the notebook stands on the house's network: one stable name, its addresses, its ports.

What a phone keeps belongs to the address it was opened under, so the name and the ports stay the
same from start to start, and a changed address is said in words. Not for: certificates
(`certificates`), or telling the network (`advertising`).
"""

from __future__ import annotations

import ipaddress
import json
import re
import socket
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Final

import attrs
import ifaddr

from scout.records.trouble import Refused
from scout.server.certificates import FOLDER, is_private

PORT: Final = 8443
HELP_PORT: Final = 8444
NAME: Final = "scout"
EVERYWHERE: Final = "0.0.0.0"
_FILE: Final = "place.json"
_NAME = re.compile(r"[a-z0-9]([a-z0-9-]{0,30}[a-z0-9])?")


@attrs.frozen(kw_only=True)
class Place:
    """Where phones find the notebook."""

    name: str
    address: str
    others: tuple[str, ...]
    bound_to: str
    port: int
    help_port: int
    changed_from: str | None = None

    @property
    def host(self) -> str:
        return f"{self.name}.local"

    @property
    def by_name(self) -> str:
        return f"https://{self.host}:{self.port}"

    @property
    def by_address(self) -> str:
        return f"https://{self.address}:{self.port}"

    @property
    def help(self) -> str:
        return f"http://{self.address}:{self.help_port}"

    @property
    def names(self) -> tuple[str, ...]:
        return (self.host, "localhost")

    @property
    def addresses(self) -> tuple[ipaddress.IPv4Address, ...]:
        listed = dict.fromkeys((self.address, *self.others, "127.0.0.1"))
        return tuple(map(ipaddress.IPv4Address, listed))

    @property
    def hosts(self) -> tuple[str, ...]:
        """Every name that a request may carry as its Host."""
        return (*self.names, *map(str, self.addresses))


def place_at(
    home: Path,
    *,
    name: str | None = None,
    port: int | None = None,
    address: str | None = None,
    addresses: Callable[[], list[str]] | None = None,
) -> Place:
    """Answer where the notebook in `home` stands; what is left out is as it was last time.

    Raises Refused where the name is no name, or this machine is on no network of a house.
    """
    kept = _kept(home)
    name = (name or kept.get("name") or NAME).lower().removesuffix(".local")
    if not _NAME.fullmatch(name) or name == "localhost":
        raise Refused.one(f"name: {name} is no name of a machine; use letters, digits and -")
    port = port or _port(kept.get("port")) or PORT
    found = [_checked(address)] if address is not None else (addresses or house_addresses)()
    if not found:
        raise Refused.one(
            "this machine is on no network of a house now (no private IPv4 address); join the "
            "house's Wi-Fi first, or serve without --lan"
        )
    before = kept.get("address")
    help_port = _port(kept.get("help_port")) or (HELP_PORT if port != HELP_PORT else PORT)
    # The address that the phones know stays first as long as this machine still has it.
    first = before if before is not None and before in found else found[0]
    return Place(
        name=name,
        address=first,
        others=tuple(one for one in found if one != first),
        bound_to=EVERYWHERE if address is None else first,
        port=port,
        help_port=help_port,
        changed_from=before if before is not None and before != first else None,
    )


def keep(home: Path, place: Place) -> None:
    """Remember where the notebook stood, once it is really served there."""
    folder = home / FOLDER
    folder.mkdir(mode=0o700, exist_ok=True)
    facts = {
        "name": place.name,
        "address": place.address,
        "port": place.port,
        "help_port": place.help_port,
    }
    (folder / _FILE).write_text(json.dumps(facts, indent=1) + "\n", encoding="utf-8")


def _checked(address: str) -> str:
    try:
        typed = ipaddress.IPv4Address(address)
    except ValueError:
        raise Refused.one(f"address: {address} is no IPv4 address, like 192.168.1.20") from None
    if typed.is_loopback:
        raise Refused.one(
            f"address: {address} is this machine speaking to itself, and no phone reaches it; "
            "leave --address out, or give the address that this machine has in the house's Wi-Fi"
        )
    if not is_private(typed):
        raise Refused.one(
            f"address: {address} is no address of a house's own network; for one that the whole "
            "Internet reaches, put a proxy with its own certificate in front (--proxy)"
        )
    return str(typed)


def house_addresses() -> list[str]:
    """Answer this machine's private IPv4 addresses, the one towards the router first."""
    found = [
        ip.ip
        for adapter in ifaddr.get_adapters()
        for ip in adapter.ips
        if ip.is_IPv4 and isinstance(ip.ip, str)
    ]
    usable = [
        one
        for one in dict.fromkeys(found)
        if is_private(private := ipaddress.IPv4Address(one)) and not private.is_loopback
    ]
    towards = _towards_router()
    return sorted(usable, key=lambda one: one != towards)


def _towards_router() -> str | None:
    """Ask the machine which address it would speak from; a connected UDP socket sends nothing."""
    with suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.connect(("192.0.2.1", 9))  # an address that is kept free for examples (RFC 5737)
        return str(probe.getsockname()[0])
    return None


def _kept(home: Path) -> dict[str, str]:
    try:
        read = json.loads((home / FOLDER / _FILE).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    if not isinstance(read, dict):
        return {}
    return {key: str(value) for key, value in read.items() if isinstance(value, str | int)}


def _port(written: str | None) -> int | None:
    return int(written) if written and written.isdigit() and 0 < int(written) < 65536 else None
