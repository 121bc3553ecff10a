"""The notebook opened to the house: TLS with its own certificate, the trust page, the name told.

Not for: each of these (`certificates`, `trust_page`, `advertising`), or the proxy's door (`doors`).
"""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

import attrs
import segno
from flask import Flask

from scout.records.trouble import Refused
from scout.server import lan
from scout.server.advertising import told
from scout.server.certificates import Authority, Shown, authority, shown
from scout.server.doors import LAN, Application, Door
from scout.server.lines import Tls
from scout.server.serving import Listening, listen_through
from scout.server.trust_page import create_trust_page


@attrs.define
class House:
    """The listeners towards the house, and what to say of them."""

    home: Path
    place: lan.Place
    root: Authority
    certificate: Shown
    tls: Tls
    listenings: tuple[Listening, ...]
    words: tuple[str, ...]

    def renew(self, now: dt.datetime) -> bool:
        """Change the certificate under a running server where it is about to end."""
        fresh = shown(self.home, self.root, self.place.names, self.place.addresses, now)
        if fresh.renewed is None:
            return False
        self.certificate = fresh
        self.tls.load()
        return True


@contextmanager
def opened_to_house(
    app: Application, home: Path, place: lan.Place, now: dt.datetime
) -> Iterator[House]:
    """Hold the ports towards the house for as long as the context lasts. Raises Refused."""
    if isinstance(app, Flask):
        app.config["SCOUT_PLACE"] = place
    root = authority(home, now)
    certificate = shown(home, root, place.names, place.addresses, now)
    tls = Tls(certificate.chain, certificate.key)
    door = Door(LAN, place.hosts)
    with ExitStack() as held:
        notebook = _taken(app, door, place, place.port, "--lan-port", tls)
        held.callback(notebook.stop)
        page = create_trust_page(place, root)
        trusting = _taken(page, door, place, place.help_port, "the page for trust")
        held.callback(trusting.stop)
        untold = held.enter_context(told(place))
        lan.keep(home, place)
        words = _words(place, root, certificate, untold)
        yield House(home, place, root, certificate, tls, (notebook, trusting), words)


def _taken(
    app: Application, door: Door, place: lan.Place, port: int, what: str, tls: Tls | None = None
) -> Listening:
    try:
        return listen_through(app, door, port, host=place.bound_to, tls=tls)
    except Refused as trouble:
        # No other port is tried: a phone finds its notebook under this one alone.
        raise Refused.one(f"{what}: {trouble}") from None


def drawn(text: str) -> str:
    """Draw a QR code for a terminal."""
    picture = io.StringIO()
    segno.make(text, error="m").terminal(picture, compact=True, border=2)
    return picture.getvalue()


def _words(
    place: lan.Place, root: Authority, certificate: Shown, untold: str | None
) -> tuple[str, ...]:
    words = [
        "",
        f"On the phone, in the same Wi-Fi, open {place.help} first (or scan this):",
        drawn(place.help),
        f"It leads to the notebook at {place.by_name} (or {place.by_address}).",
        "The certificate's fingerprint, to compare with what the phone shows:",
        *_fingerprint_lines(root),
    ]
    if place.changed_from is not None:
        words.append(
            f"This machine's address changed from {place.changed_from} to {place.address}. A phone "
            "that opened the notebook by the old address does not find it there, and under the new "
            "one it begins with an empty notebook that fills itself by sync; what it had not sent "
            f"stays under the old address. Open the notebook by its name, {place.by_name}, or give "
            "this machine a fixed address in the router."
        )
    if root.fresh:
        words.append("A root certificate was made for this notebook; each phone installs it once.")
    elif certificate.renewed is not None:
        words.append(
            f"The server's certificate was made anew, for {certificate.renewed}; "
            "the phones need nothing."
        )
    if untold is not None:
        words.append(untold)
    return tuple(words)


def _fingerprint_lines(root: Authority) -> list[str]:
    pairs = root.fingerprint.split(":")
    return [f"  {' '.join(pairs[:16])}", f"  {' '.join(pairs[16:])}"]
