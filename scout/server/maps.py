"""Base maps that the user put into the notebook's folder `maps`: a list of them, and their tiles.

A file `maps/heath.mbtiles`, or a picture `maps/heath.png` with a small file that says where it
lies. A tile that is not there is answered with 204, so that a phone which keeps an area for later
can keep that as well. Not for: fetching maps from anywhere, or drawing them.
"""

from __future__ import annotations

import hashlib
import re
from typing import Final

from flask import Blueprint, Response, jsonify, make_response, request

from scout.server.errors import Problem
from scout.server.map_picture import Picture
from scout.server.map_sheet import MOST_ZOOM, Sheet, Unusable, image_type
from scout.server.map_tiles import TileFile
from scout.server.reading import records
from scout.server.who import asker, notebook

FOLDER: Final = "maps"
_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._-]{0,79}")
_MOST_MAPS: Final = 100
_NAMED_BADLY: Final = (
    "The name of this file has signs that an address cannot carry; use letters, digits, - and _."
)

routes = Blueprint("maps", __name__, url_prefix="/api/v1/maps")


@routes.get("")
def sheets() -> Response:
    """Give every map with its bounds and zooms; one that cannot be shown has a sentence."""
    listed = [_sheet(name, source) for name, source in sorted(_sources().items())[:_MOST_MAPS]]
    found = [sheet for sheet in listed if _is_seen(sheet)]
    answer = jsonify({"maps": [sheet.as_json() for sheet in found]})
    answer.headers["Cache-Control"] = "no-store"  # bounds are a position
    return answer


@routes.get("/<name>/<int:zoom>/<int:x>/<int:y>")
def tile(name: str, zoom: int, x: int, y: int) -> Response:
    """Give one tile, counted from the north-west corner of the world."""
    source = _sources().get(name)
    if source is None or not _is_seen(_sheet(name, source)):
        raise Problem(404, "no_map", "There is no map of this name in the notebook's folder maps.")
    if zoom > MOST_ZOOM or x >= 1 << zoom or y >= 1 << zoom:
        raise Problem(404, "no_tile", f"A tile lies within the world and at zoom 0 to {MOST_ZOOM}.")
    try:
        held = source.tile(zoom, x, y)
    except Unusable as trouble:
        raise Problem(422, "unusable", str(trouble)) from None
    answer = make_response(held or b"", 200 if held else 204)
    if held:
        answer.mimetype = image_type(held) or "application/octet-stream"
        answer.set_etag(hashlib.sha256(held).hexdigest()[:32])
    answer.headers["Cache-Control"] = "private, max-age=86400"
    answer.headers["Content-Security-Policy"] = "default-src 'none'; sandbox"
    answer.make_conditional(request)
    return answer


def _is_seen(sheet: Sheet) -> bool:
    """Tell whether the asker may see a map: with all sites any, else one on which theirs lie."""
    sites = asker().sites
    if sites is None:
        return True
    known = records().get("site", {})
    centres = [known[site].centre for site in sites if site in known]
    edges = sheet.bounds
    return edges is not None and any(
        edges.south_deg <= one.lat <= edges.north_deg
        and edges.west_deg <= one.lon <= edges.east_deg
        for one in centres
    )


def _sources() -> dict[str, TileFile | Picture]:
    """Find what lies in the folder; a name is only ever compared, never made into a path."""
    folder = notebook().folder / FOLDER
    try:
        files = sorted(path for path in folder.iterdir() if path.is_file())
    except OSError:
        return {}
    found: dict[str, TileFile | Picture] = {}
    for path in files:
        kind = path.suffix.lower()
        if kind == ".mbtiles":
            found[path.stem] = TileFile(path)  # of one name, the tiles count before the picture
        elif kind in (".png", ".jpg", ".jpeg"):
            found.setdefault(path.stem, Picture(path))
    return found


def _sheet(name: str, source: TileFile | Picture) -> Sheet:
    kind = "tiles" if isinstance(source, TileFile) else "picture"
    if not _NAME.fullmatch(name):
        return Sheet(name=name, title=name, kind=kind, trouble=_NAMED_BADLY)
    try:
        return source.sheet(name)
    except Unusable as trouble:
        return Sheet(name=name, title=name, kind=kind, trouble=str(trouble))
