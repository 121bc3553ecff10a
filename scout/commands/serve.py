"""The notebook served: to the browser on this machine, to the house, or behind a proxy.

Not for: what is answered (`scout.server`).
"""

from __future__ import annotations

import datetime as dt
import ipaddress
import logging
import shutil
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

import attrs
import click
from flask import Flask

from scout.commands.notebooks import in_words, notebook_at
from scout.commands.options import examples
from scout.commands.refusal import Refusal
from scout.commands.typed import now
from scout.installed import sample_site_folder
from scout.notebook.at_work import at_work
from scout.notebook.folder import read_folder
from scout.notebook.notebook import Notebook, open_notebook
from scout.server import lan, land_layers, land_records
from scout.server.app import create_app
from scout.server.doors import PROXY, Door
from scout.server.house import opened_to_house
from scout.server.serving import HOST, PORT, Listening, listen, listen_through
from scout.server.serving import serve as run
from scout.server.upkeep import Upkeep
from scout.terrain.shelf import Shelf

_PORT = click.IntRange(1, 65535)


@attrs.frozen
class _Keep:
    """Whether and how often the server backs the notebook up by itself."""

    into: Path | None
    every: dt.timedelta

    @property
    def words(self) -> str:
        if self.into is None:
            return "No backups are made by itself; --backup FOLDER has them made."
        hours = self.every.total_seconds() / 3600
        return f"Backed up into {self.into}, every {hours:g} h; see Book → Backups."

    @contextmanager
    def going(
        self, app: Flask, notebook: Notebook, chores: tuple[Callable[[], object], ...]
    ) -> Iterator[None]:
        upkeep = Upkeep(notebook, self.into, self.every, chores)
        app.config["SCOUT_UPKEEP"] = upkeep
        with upkeep.going():
            yield


@click.command(
    epilog=examples(
        "scout serve mine",
        "scout serve mine --lan",
        "scout serve mine --port 8400 --no-browser",
        "scout serve mine --proxy 127.0.0.1 --host notebook.example.org",
    )
)
@click.argument("path", metavar="NOTEBOOK", default=".")
@click.option(
    "--port",
    type=_PORT,
    metavar="N",
    help="The port; the usual one where left out, so that the address stays the same.",
)
@click.option("--no-browser", is_flag=True, help="Do not open the browser.")
@click.option(
    "--lan",
    "to_house",
    is_flag=True,
    help="Also to phones in the same Wi-Fi, by https; a page on a port of its own, by plain http, "
    "has each phone trust it first.",
)
@click.option(
    "--name",
    metavar="NAME",
    help="With --lan: the machine's name for phones; scout.local at first, then as last time.",
)
@click.option(
    "--address",
    metavar="ADDRESS",
    help="With --lan: one address of this machine, where it has several; all where left out.",
)
@click.option(
    "--lan-port",
    type=_PORT,
    metavar="N",
    help=f"With --lan: the port for phones; {lan.PORT} at first, then as last time. "
    f"The page for trust is at {lan.HELP_PORT}.",
)
@click.option(
    "--backup",
    "spare",
    metavar="FOLDER",
    help="Back up into this folder, best on another disk, as often as --every says.",
)
@click.option(
    "--every",
    "every_h",
    type=click.FloatRange(0.1, 24 * 31),
    default=24.0,
    show_default=True,
    metavar="HOURS",
    help="With --backup: how often.",
)
@click.option("--proxy", metavar="ADDRESS", help="Answer this proxy alone, which holds the TLS.")
@click.option("--host", metavar="NAME", help="With --proxy: the name that phones type.")
def serve(
    path: str,
    port: int | None,
    no_browser: bool,
    to_house: bool,
    name: str | None,
    address: str | None,
    lan_port: int | None,
    spare: str | None,
    every_h: float,
    proxy: str | None,
    host: str | None,
) -> None:
    """Serve a notebook: to this machine, with --lan to the house's phones too.

    The app and what it syncs; for a browser without script the sites, choice table, cards and the
    page for printing, at /plain. At this machine nobody is asked who they are; a phone is paired
    first. Makes the notebook where the folder is new or empty.
    """
    if proxy is not None and to_house:
        raise Refusal("--proxy: not together with --lan; the proxy is the way in, or this machine.")
    if (proxy is None) != (host is None):
        raise Refusal("--proxy and --host belong together: the proxy's address, the name typed.")
    if not to_house and any((name, address, lan_port)):
        raise Refusal("--name, --address and --lan-port are for --lan; add it.")
    with notebook_at(path, create=True) as notebook, at_work(notebook.folder):
        keep = _Keep(None if spare is None else Path(spare), dt.timedelta(hours=every_h))
        if proxy is not None and host is not None:
            _serve_proxy(notebook, proxy, host, port, keep)
        elif to_house:
            with in_words():
                place = lan.place_at(notebook.folder, name=name, port=lan_port, address=address)
                _serve(
                    notebook, port, browser=not no_browser, say=click.echo, place=place, keep=keep
                )
        else:
            _serve(notebook, port, browser=not no_browser, say=click.echo, keep=keep)


def serve_sample(say: Callable[[str], object], *, browser: bool) -> None:
    """Serve the invented sample site from a notebook that is thrown away afterwards."""
    home = tempfile.mkdtemp(prefix="scout-demo-")
    try:
        with in_words(), open_notebook(Path(home), now, create=True) as notebook:
            folder = read_folder(sample_site_folder())
            notebook.load(folder, folder.photo_paths)
            Shelf(notebook.folder).bring_from(Shelf(sample_site_folder()))
            threading.Thread(target=_draw_land, args=(notebook,), daemon=True).start()
            say("A browser at this machine is the owner's: it needs no pairing.")
            _serve(notebook, None, browser=browser, say=say)
    finally:
        shutil.rmtree(home, ignore_errors=True)


def _draw_land(notebook: Notebook) -> None:
    """Draw the sample's land beside the server, so that it is there to be looked at."""
    with suppress(Exception):  # the server may stop while it is at it, and the notebook is gone
        tomorrow = notebook.clock().date() + dt.timedelta(days=1)
        for site in land_records.records_of(notebook)["site"]:
            land_layers.relief(notebook, site)
            land_layers.light(notebook, site, tomorrow)


def _serve(
    notebook: Notebook,
    port: int | None,
    *,
    browser: bool,
    say: Callable[[str], object],
    place: lan.Place | None = None,
    keep: _Keep | None = None,
) -> None:
    _write_log()
    app = create_app(notebook)
    with ExitStack() as held:
        here = listen(app, port)
        held.callback(here.stop)
        words: tuple[str, ...] = ()
        beside: tuple[Listening, ...] = ()
        chores: tuple[Callable[[], object], ...] = ()
        if place is not None:
            house = held.enter_context(opened_to_house(app, notebook.folder, place, now()))
            words, beside = house.words, house.listenings
            chores = (lambda: house.renew(now()),)
        if keep is not None:
            held.enter_context(keep.going(app, notebook, chores))
            words = (*words, keep.words)
        run(here, say=say, browser=browser, beside=beside, words=words)


def _serve_proxy(notebook: Notebook, proxy: str, host: str, port: int | None, keep: _Keep) -> None:
    try:
        address = str(ipaddress.ip_address(proxy))
    except ValueError:
        raise Refusal("--proxy: give the address that the proxy asks from, like 127.0.0.1.") from (
            None
        )
    _write_log()
    local = ipaddress.ip_address(address).is_loopback
    app = create_app(notebook)
    with in_words():
        listening = listen_through(
            app,
            Door(PROXY, (host.lower(),), proxy=address),
            port or PORT,
            host=HOST if local else lan.EVERYWHERE,
        )
    click.echo(
        f"Behind the proxy at {address}: people reach the notebook at https://{host}. "
        "Everybody is asked who they are, this machine too; scout pair lets the first one in."
    )
    with keep.going(app, notebook, ()):
        run(listening, say=click.echo, browser=False, words=(keep.words,))


def _write_log() -> None:
    logging.basicConfig(level=logging.WARNING, format="%(levelname)s %(message)s")
