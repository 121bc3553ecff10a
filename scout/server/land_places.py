"""Places that were found, as records: in a layer, and as a vantage with its sightline.

Not for: finding them (`land_search`).
"""

from __future__ import annotations

from typing import Any
from zoneinfo import ZoneInfo

from scout.notebook.clock import milliseconds, new_id
from scout.notebook.notebook import Notebook
from scout.notebook.saving import Edit, Saved
from scout.records.trouble import Refused
from scout.server.land_records import named, records_of
from scout.server.land_spared import open_spots
from scout.terrain.spots import Spot


def sit_there(notebook: Notebook, layer_id: str, place: int, via: str = "app") -> Saved:
    """Make a found place a vantage with its sightline, as one Save. Raises Refused."""
    records = records_of(notebook)
    layer = named(records, "layer", layer_id)
    if not 0 <= place < len(layer.spots):
        raise Refused.one(f"this layer has {len(layer.spots)} places", "place")
    on = notebook.clock().astimezone(ZoneInfo(records["site"][layer.site].zone)).date()
    offered, why = open_spots(records, layer, on)
    spot = dict(offered).get(place)
    if spot is None:
        raise Refused.one(f"this place is not offered now: {why.rstrip('.')}", "place")
    perch = named(records, "perch", spot.perch)
    vantage = new_id(milliseconds(notebook.clock()))
    made: dict[str, object] = {
        "site": layer.site,
        "name": f"Found place {place + 1} for {perch.name}"[:80],
        "cover": "open",
        "position": {"lat": spot.position.lat, "lon": spot.position.lon, "source": "map"},
        "lens_height_m": spot.lens_height_m,
        "slope_deg": spot.slope_deg,
    }
    if spot.ground_m is not None:
        made["ground_elevation"] = {"m": spot.ground_m, "how": "terrain"}
    line: dict[str, object] = {"vantage": vantage, "perch": perch.id}
    if layer.light_wanted is not None:
        line["light_wanted"] = layer.light_wanted
    if spot.sky_behind:
        line["gap"] = {"sky": True}
    elif spot.gap_m is not None:
        line["gap"] = {"m": spot.gap_m, "how": "map"}
    return notebook.save(
        [
            Edit(kind="vantage", record=vantage, set=made),
            Edit(kind="sightline", set=line),
        ],
        via,
    )


def as_record(spot: Spot) -> dict[str, object]:
    """Write a place as a layer's record carries it."""
    said = spot.as_json()
    good: Any = said["good_min"]
    record: dict[str, object] = {
        "perch": spot.perch,
        "position": {"lat": said["lat"], "lon": said["lon"], "source": "map"},
        "ground_m": said["ground_m"],
        "lens_height_m": spot.lens_height_m,
        "distance_m": said["distance_m"],
        "plus_minus_m": said["plus_minus_m"],
        "bearing_deg": said["bearing_deg"],
        "tilt_deg": said["tilt_deg"],
        "gap_m": said["gap_m"],
        "sky_behind": said["sky_behind"],
        "gap_at_least": said["gap_at_least"],
        "good_clear_min": good["clear"],
        "good_mixed_min": good["in and out"],
        "good_overcast_min": good["overcast"],
        "slope_deg": said["slope_deg"],
        "bad_winds": spot.bad_winds,
        "walk_m": said["walk_m"],
        "walk_by": said["walk_by"],
        "walk_seen_percent": said["walk_seen_percent"],
    }
    return {name: value for name, value in record.items() if value is not None}
