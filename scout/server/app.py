"""The server put together: one notebook, its blueprints, its guards, its words for what fails.

Not for: listening on a port (`serving`).
"""

from __future__ import annotations

from contextlib import suppress

from flask import Flask
from jinja2 import StrictUndefined

from scout.notebook.clock import milliseconds, new_id, written
from scout.notebook.notebook import Notebook
from scout.notebook.photos import Photos
from scout.notebook.scoped import Scoped
from scout.notebook.store import people
from scout.notebook.store.trouble import StoreTrouble
from scout.notebook.uploads import Uploads
from scout.records.sizes import size_words
from scout.server import (
    backing,
    blobs,
    bodies,
    engine,
    errors,
    exits,
    headers,
    kit_pages,
    land,
    land_page,
    maps,
    members,
    packs,
    padlock,
    pages,
    photos,
    sync,
    tokens,
    way_in,
    web,
    who,
)
from scout.server.doors import HOSTS
from scout.server.reading import Reading
from scout.server.upkeep import Upkeep


def create_app(notebook: Notebook, *, hosts: tuple[str, ...] = HOSTS) -> Flask:
    """Make the server of one notebook. `hosts`: the names under which it may be reached."""
    app = Flask("scout.server", static_folder=None)
    app.jinja_env.undefined = StrictUndefined
    app.jinja_env.filters |= {
        "named": lambda records: [(one.id, one.name) for one in records],
        "twice": lambda words: [(word, word) for word in words],
    }
    app.jinja_env.filters["size"] = size_words
    app.config["SCOUT_NOTEBOOK"] = notebook
    app.config["SCOUT_UPLOADS"] = uploads = Uploads(notebook)
    with suppress(StoreTrouble):  # a notebook that can only be read is served all the same
        uploads.sweep()
    app.config["SCOUT_PHOTOS"] = Photos(notebook.blobs)
    app.config["SCOUT_READING"] = Reading(notebook)
    app.config["SCOUT_SCOPED"] = Scoped(notebook)
    app.config["SCOUT_UPKEEP"] = Upkeep(notebook)
    app.config["SCOUT_OWNER"] = _owner(notebook)
    errors.answer_errors(app)
    who.guard(app, hosts)
    bodies.bound(app)
    headers.protect(app)
    tokens.carry(app)
    for part in (
        *(sync, blobs, photos, engine, packs, maps),
        *(pages, kit_pages, exits),
        *(padlock, way_in, members, backing),
        *(land, land_page),
    ):
        app.register_blueprint(part.routes)
    app.register_blueprint(web.routes)
    return app


def _owner(notebook: Notebook) -> str | None:
    """Answer the notebook's owner, made known on first use; None where it cannot be written."""
    now = notebook.clock()
    with suppress(StoreTrouble), notebook.store.writing() as db:
        return people.store_owner(db, new_id(milliseconds(now)), "owner", written(now))
    return None
