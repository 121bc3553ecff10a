"""What is known of one base map: its name, where it lies, how near one can look at it.

Not for: where its tiles come from (`map_tiles`, `map_picture`).
"""

from __future__ import annotations

import math
from typing import Any, Final

import attrs

MOST_ZOOM: Final = 24
MOST_LAT_DEG: Final = 85.0511287798066  # where the square map of the world ends


class Unusable(Exception):
    """A supplied map cannot be shown; its text is a sentence for the person who supplied it."""


@attrs.frozen(kw_only=True)
class Bounds:
    """The edges of a map [deg]. Raises ValueError where they enclose nothing."""

    south_deg: float
    west_deg: float
    north_deg: float
    east_deg: float

    def __attrs_post_init__(self) -> None:
        edges = (self.south_deg, self.west_deg, self.north_deg, self.east_deg)
        if not all(math.isfinite(edge) for edge in edges):
            raise ValueError("The edges of a map are finite numbers.")
        if not -90 <= self.south_deg < self.north_deg <= 90:
            raise ValueError("The south edge lies below the north edge, both within ±90°.")
        if not -180 <= self.west_deg < self.east_deg <= 180:
            raise ValueError("The west edge lies left of the east edge, both within ±180°.")


@attrs.frozen(kw_only=True)
class Sheet:
    """One base map; `trouble` is a sentence where it cannot be shown."""

    name: str
    title: str
    kind: str
    bounds: Bounds | None = None
    least_zoom: int = 0
    most_zoom: int = 0
    attribution: str = ""
    trouble: str | None = None

    def as_json(self) -> dict[str, Any]:
        """Give it as the list of maps has it."""
        return attrs.asdict(self)


def image_type(begins: bytes) -> str | None:
    """Answer the type of a picture by its first bytes; None for anything but PNG, JPEG and WebP."""
    if begins.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if begins.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if begins[:4] == b"RIFF" and begins[8:12] == b"WEBP":
        return "image/webp"
    return None
