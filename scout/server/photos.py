"""Photos as they are shown: a thumbnail, what the file says of itself, and the light it measured.

What a file says is a hint; a person takes it over into records, or does not. Not for: originals
(`blobs`).
"""

from __future__ import annotations

from typing import Final

from flask import Blueprint, Response, current_app, jsonify, request, send_file

from scout.notebook.photos import Looked, Photos, StillWaiting, light_offered
from scout.records.places import TONES
from scout.server.blobs import here, only_bytes
from scout.server.errors import Problem
from scout.server.reading import records

_LOOKS: Final = {"yes": True, "no": False}

routes = Blueprint("photos", __name__, url_prefix="/api/v1/photos")


@routes.get("/<sha256>/thumbnail")
def thumbnail(sha256: str) -> Response:
    """Give a small picture made anew from the photo's pixels, upright."""
    looked = _looked(sha256)
    if looked.thumbnail is None:
        raise Problem(422, "unreadable", f"{looked.facts['why']} The original is kept as it came.")
    answer = send_file(
        looked.thumbnail, mimetype="image/jpeg", etag=f"{sha256}-small", max_age=86_400
    )
    answer.headers["Cache-Control"] = "private, max-age=86400"
    return only_bytes(answer)


@routes.get("/<sha256>")
def facts(sha256: str) -> Response:
    """Give what a photo's file says, and the light it measured under what the person says of it.

    Asked with `tone` (what filled the frame), `looks_right` (yes, no), `compensation_ev`, `kit`.
    """
    looked = _looked(sha256)
    tone, said = request.args.get("tone"), request.args.get("looks_right")
    if tone is not None and tone not in TONES:
        raise Problem(400, "shape", f"tone: give one of: {', '.join(TONES)}.")
    if said is not None and said not in _LOOKS:
        raise Problem(400, "shape", "looks_right: give yes or no.")
    kit_id = request.args.get("kit")
    kit = records().get("kit", {}).get(kit_id) if kit_id else None
    if kit_id and kit is None:
        raise Problem(404, "no_kit", "kit: there is no such kit in the notebook.")
    light = light_offered(
        looked.facts,
        tone=tone,
        looks_right=None if said is None else _LOOKS[said],
        compensation_ev=_stops(request.args.get("compensation_ev")),
        kit=kit,
    )
    told = {name: value for name, value in looked.facts.items() if name != "form"}
    answer = jsonify({**told, "light": light})
    answer.headers["Cache-Control"] = "no-store"  # it may hold a position
    return answer


def _looked(sha256: str) -> Looked:
    photos: Photos = current_app.config["SCOUT_PHOTOS"]
    here(
        sha256, hashed=not photos.has_looked(sha256)
    )  # what was made of it was made of right bytes
    try:
        return photos.look(sha256)
    except StillWaiting as waiting:
        raise Problem(503, "busy", str(waiting), Retry_After="5") from None


def _stops(typed: str | None) -> float | None:
    if typed is None:
        return None
    try:
        stops = float(typed)
    except ValueError:
        stops = float("nan")
    if not -10 <= stops <= 10:
        raise Problem(400, "shape", "compensation_ev: give stops from -10 to 10.")
    return stops
