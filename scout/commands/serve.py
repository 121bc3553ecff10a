"""The notebook served to the browser on this machine.

Not for: what is answered (`scout.server`).
"""

from __future__ import annotations

import logging
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

import click

from scout.commands.notebooks import in_words, notebook_at
from scout.commands.options import examples
from scout.commands.typed import now
from scout.installed import sample_site_folder
from scout.notebook.folder import read_folder
from scout.notebook.notebook import Notebook, open_notebook
from scout.server.app import create_app
from scout.server.serving import listen
from scout.server.serving import serve as run


@click.command(epilog=examples("scout serve mine", "scout serve mine --port 8400 --no-browser"))
@click.argument("path", metavar="NOTEBOOK", default=".")
@click.option(
    "--port",
    type=click.IntRange(1, 65535),
    metavar="N",
    help="The port; the usual one where left out, so that the address stays the same.",
)
@click.option("--no-browser", is_flag=True, help="Do not open the browser.")
def serve(path: str, port: int | None, no_browser: bool) -> None:
    """Serve a notebook to the browser on this machine.

    Sites, choice table, cards and the page for printing, and the sync of what is written in the
    browser. Answers on this machine alone. Makes the notebook where the folder is new or empty.
    """
    with notebook_at(path, create=True) as notebook:
        _serve(notebook, port, browser=not no_browser, say=click.echo)


def serve_sample(say: Callable[[str], object], *, browser: bool) -> None:
    """Serve the invented sample site from a notebook that is thrown away afterwards."""
    home = tempfile.mkdtemp(prefix="scout-demo-")
    try:
        with in_words(), open_notebook(Path(home), now, create=True) as notebook:
            folder = read_folder(sample_site_folder())
            notebook.load(folder, folder.photo_paths)
            _serve(notebook, None, browser=browser, say=say, first="/plain")
    finally:
        shutil.rmtree(home, ignore_errors=True)


def _serve(
    notebook: Notebook,
    port: int | None,
    *,
    browser: bool,
    say: Callable[[str], object],
    first: str = "/",
) -> None:
    logging.basicConfig(level=logging.WARNING, format="%(levelname)s %(message)s")
    run(listen(create_app(notebook), port), say=say, browser=browser, path=first)
