"""A sightline of a notebook followed over the land: what blocks it, the gap, and its side view.

The gap is offered beside what the person noted, and stands in its place only when they say so. Not
for: following it (`scout.terrain.sight`).
"""

from __future__ import annotations

import math
from typing import Any

import attrs

from scout.engine.sightline import Sight, resolve
from scout.notebook.notebook import Notebook
from scout.notebook.saving import Edit, Saved
from scout.records.measured import Gap
from scout.records.trouble import Refused
from scout.server.land_records import records_of, shelf_of
from scout.terrain.model import BARE
from scout.terrain.sight import Line, Sighted, sight_of
from scout.terrain.sight_picture import side_view

_USUAL_LENS_M = 1.2
_USUAL_PERCH_M = 0.2
_LEAST_TILT_DEG = 0.5


@attrs.frozen(kw_only=True)
class Followed:
    """A sightline over the land: what was found, as a drawing, and what was noted of the gap."""

    sightline: str
    name: str
    sighted: Sighted
    noted: Gap | None

    @property
    def svg(self) -> str:
        """Its side view."""
        return side_view(self.sighted)

    @property
    def noted_words(self) -> str:
        """What the person noted of the gap."""
        if self.noted is None:
            return "No gap was noted."
        if self.noted.sky:
            return "Noted: sky behind the perch."
        return f"Noted: {self.noted.m:g} m ({self.noted.how or 'measured'}); that counts."

    def as_json(self) -> dict[str, Any]:
        """Answer it for a page."""
        seen = self.sighted
        gap = seen.gap_m
        return {
            "sightline": self.sightline,
            "name": self.name,
            "free": seen.blocked_at_m is None,
            "sight_words": seen.sight_words,
            "gap_words": seen.gap_words,
            "noted_words": self.noted_words,
            "gap_m": None if gap is None or math.isinf(gap) else round(gap, 1),
            "sky_behind": gap is not None and math.isinf(gap),
            "tilt_deg": round(seen.tilt_deg, 1),
            "remarks": list(seen.remarks),
            "made_from": seen.made_from,
            "svg": self.svg,
        }


def follow(notebook: Notebook, sightline_id: str, kind: str = BARE) -> Followed:
    """Follow a sightline over the land. Raises Refused."""
    records = records_of(notebook)
    line = records.get("sightline", {}).get(sightline_id)
    if line is None:
        raise Refused.one("there is no such sightline here (yet)", "sightline")
    vantage, perch = records["vantage"][line.vantage], records["perch"][line.perch]
    readings = [
        one for one in records.get("measurement", {}).values() if one.sightline == sightline_id
    ]
    sight = resolve(line, vantage, perch, readings, notebook.clock())
    return Followed(
        sightline=sightline_id,
        name=f"{vantage.name} → {perch.name}",
        sighted=sight_of(shelf_of(notebook).models(), _line(sight, vantage, perch), kind),
        noted=line.gap,
    )


def take_gap(notebook: Notebook, sightline_id: str, kind: str = BARE, via: str = "app") -> Saved:
    """Note the gap that the land gives on a sightline. Raises Refused where it gives none."""
    gap = follow(notebook, sightline_id, kind).sighted
    if gap.gap_m is None:
        raise Refused.one("what stands behind the perch is not known from the land")
    noted: dict[str, object]
    if math.isinf(gap.gap_m):
        noted = {"sky": True}
    else:
        ends = [
            one for one in (gap.gap_low_m, gap.gap_high_m) if one is not None and math.isfinite(one)
        ]
        spread = max((abs(one - gap.gap_m) for one in ends), default=0.0)
        noted = {
            "m": round(gap.gap_m, 1),
            "ranged_from": "perch",
            "how": "map",
            "plus_minus_m": round(max(spread, 0.5), 1),
        }
    return notebook.save([Edit(kind="sightline", record=sightline_id, set={"gap": noted})], via)


def _line(sight: Sight, vantage: Any, perch: Any) -> Line:
    measured = sight.tilt_deg if sight.tilt_deg and sight.tilt_deg.source == "measured" else None
    tilt = 0.0 if sight.tilt_deg is None else sight.tilt_deg.value
    unsure = 2.0 if measured is None else measured.plus_minus
    return Line(
        lat_deg=vantage.position.lat,
        lon_deg=vantage.position.lon,
        bearing_deg=sight.bearing_deg.value % 360.0,
        distance_m=sight.distance_m.value * math.cos(math.radians(tilt)),
        lens_height_m=_USUAL_LENS_M if vantage.lens_height_m is None else vantage.lens_height_m,
        perch_height_m=_USUAL_PERCH_M if not perch.height_m else perch.height_m,
        tilt_deg=None if measured is None else measured.value,
        tilt_plus_minus_deg=max(_LEAST_TILT_DEG, unsure),
    )
