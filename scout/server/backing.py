"""Backups over HTTP: what is being done, what was made, one made or tried out now.

Not for: doing it (`upkeep`).
"""

from __future__ import annotations

from flask import Blueprint, Response, current_app, jsonify

from scout.server.bodies import json_body
from scout.server.upkeep import Upkeep

routes = Blueprint("backing", __name__, url_prefix="/api/v1/backups")
_LARGEST_BYTES = 1024


@routes.get("")
def status() -> Response:
    """Say how the backups stand."""
    return _told()


@routes.post("")
def make() -> Response:
    """Have a backup made."""
    json_body(_LARGEST_BYTES)
    _upkeep().ask("backup")
    return _told()


@routes.post("/drill")
def drill() -> Response:
    """Have the newest backup restored aside and checked."""
    json_body(_LARGEST_BYTES)
    _upkeep().ask("drill")
    return _told()


def _upkeep() -> Upkeep:
    found: Upkeep = current_app.config["SCOUT_UPKEEP"]
    return found


def _told() -> Response:
    answer = jsonify(_upkeep().status())
    answer.headers["Cache-Control"] = "no-store"
    return answer
