"""Every record kind by its name: the one table that readers, forms, stores and the engine go by.

Not for: the fields themselves (`places`, `visits`, `kit`).
"""

from __future__ import annotations

from typing import Any

from scout.records import kit, layers, places, settings, visits
from scout.records.reading import read_object, read_register, write_object
from scout.records.trouble import Refused

SCHEMA = 1  # raised whenever a register is added, renamed, converted or split

KINDS: dict[str, type] = {
    "site": places.Site,
    "permission": places.Permission,
    "perch": places.Perch,
    "vantage": places.Vantage,
    "walk_in": places.WalkIn,
    "landmark": places.Landmark,
    "sightline": places.Sightline,
    "measurement": places.Measurement,
    "skyline": places.Skyline,
    "canopy": places.Canopy,
    "area": places.Area,
    "layer": layers.Layer,
    "kit": kit.Kit,
    "species": kit.Species,
    "visit": visits.Visit,
    "watch": visits.Watch,
    "sighting": visits.Sighting,
    "reaction": visits.Reaction,
    "light_reading": visits.LightReading,
    "photo": visits.Photo,
    "note": visits.Note,
    "tag": visits.Tag,
    "settings": settings.Settings,
}


def kind_named(name: object) -> type:
    """Answer the class of a kind; raises Refused for a kind that does not exist."""
    found = KINDS.get(name) if isinstance(name, str) else None
    if found is None:
        raise Refused.one(f"is not a kind of record; the kinds are: {', '.join(KINDS)}", "kind")
    return found


def read_record(kind: str, raw: object) -> Any:
    """Read a whole record of a kind from a JSON object; raises Refused with every fault."""
    return read_object(kind_named(kind), raw)


def read_part(kind: str, name: str, raw: object) -> Any:
    """Read one register of a kind, as a change carries it; raises Refused."""
    return read_register(kind_named(kind), name, raw)


def write_record(record: Any) -> dict[str, object]:
    """Write a record as a JSON object, leaving out what is not known."""
    return write_object(record)
