"""A base map that the user supplies as a file of ready-made tiles (raster MBTiles 1.3).

The file is an SQLite database, opened for reading only and never changed. Not for: HTTP (`maps`),
or one picture of the land (`map_picture`).
"""

from __future__ import annotations

import math
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Final

import attrs

from scout.server.map_sheet import MOST_ZOOM, Bounds, Sheet, Unusable, image_type

_VECTOR: Final = ("pbf", "mvt")
_LARGEST_TILE_BYTES: Final = 4 * 1_048_576
_LONGEST_WORDS: Final = 300


@attrs.frozen
class TileFile:
    """A file of tiles."""

    path: Path

    def sheet(self, name: str) -> Sheet:
        """Read what the file says of itself; raises Unusable with a sentence."""
        with self._reading() as db:
            said = {
                str(key): str(value)
                for key, value in db.execute("SELECT name, value FROM metadata")
            }
            if said.get("format", "").lower() in _VECTOR:
                raise Unusable(
                    "This file holds vector tiles, which cannot be drawn here; "
                    "supply one with pictures (PNG, JPEG or WebP)."
                )
            least, most = _zooms(db, said)
            bounds = _said_bounds(said.get("bounds")) or _tile_bounds(db, most)
        return Sheet(
            name=name,
            title=said.get("name", name)[:_LONGEST_WORDS] or name,
            kind="tiles",
            bounds=bounds,
            least_zoom=least,
            most_zoom=most,
            attribution=said.get("attribution", "")[:_LONGEST_WORDS],
        )

    def tile(self, zoom: int, x: int, y: int) -> bytes | None:
        """Give the bytes of a tile counted from the north, or None where there is none."""
        with self._reading() as db:
            found = db.execute(
                "SELECT tile_data FROM tiles"
                " WHERE zoom_level = ? AND tile_column = ? AND tile_row = ?",
                (zoom, x, (1 << zoom) - 1 - y),  # in the file, rows are counted from the south
            ).fetchone()
        if found is None or not isinstance(found[0], bytes):
            return None
        tile: bytes = found[0]
        if len(tile) > _LARGEST_TILE_BYTES or image_type(tile) is None:
            return None
        return tile

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        # immutable: a file on a locked card can be read too, and nothing is put beside it
        address = f"{self.path.resolve().as_uri()}?mode=ro&immutable=1"
        try:
            with closing(sqlite3.connect(address, uri=True)) as db:
                yield db
        except (sqlite3.Error, UnicodeDecodeError) as error:
            raise Unusable(
                "This file cannot be read as MBTiles; it may be cut short. Copy it here again."
            ) from error


def _zooms(db: sqlite3.Connection, said: dict[str, str]) -> tuple[int, int]:
    """Take the zooms as the file says them; an older one may not, and then its tiles do."""
    try:
        least, most = int(said["minzoom"]), int(said["maxzoom"])
    except (KeyError, ValueError):
        least, most = db.execute("SELECT min(zoom_level), max(zoom_level) FROM tiles").fetchone()
        if not isinstance(least, int) or not isinstance(most, int):
            raise Unusable("This file holds no tiles; copy it here again.") from None
    if not 0 <= least <= most <= MOST_ZOOM:
        raise Unusable(f"This file names zooms outside 0 to {MOST_ZOOM}; it cannot be shown.")
    return least, most


def _said_bounds(text: str | None) -> Bounds | None:
    try:
        west, south, east, north = (float(part) for part in (text or "").split(","))
        return Bounds(south_deg=south, west_deg=west, north_deg=north, east_deg=east)
    except ValueError:
        return None


def _tile_bounds(db: sqlite3.Connection, zoom: int) -> Bounds:
    west, east, south, north = db.execute(
        "SELECT min(tile_column), max(tile_column) + 1, min(tile_row), max(tile_row) + 1"
        " FROM tiles WHERE zoom_level = ?",
        (zoom,),
    ).fetchone()
    if west is None:
        raise Unusable("This file holds no tiles at its largest zoom; copy it here again.")
    count = 1 << zoom

    def lat(row: int) -> float:
        return math.degrees(math.atan(math.sinh(math.pi * (2 * row / count - 1))))

    try:
        return Bounds(
            south_deg=lat(south),
            west_deg=west / count * 360 - 180,
            north_deg=lat(north),
            east_deg=east / count * 360 - 180,
        )
    except (ValueError, OverflowError):
        raise Unusable("This file holds tiles outside the world; it cannot be shown.") from None
