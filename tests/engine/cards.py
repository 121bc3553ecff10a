"""Small requests for outing cards, built part by part; nothing in them is a real place.

One site on a plain at 52.1 N: a perch called Stump, a vantage called Bank twelve metres east of
it looking west, so that a rising sun lights the animal from the front.
"""

from __future__ import annotations

import copy
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from scout.engine.calls import call

Record = dict[str, Any]

SITE = {"lat": 52.1, "lon": 0.2}
DEG_M = 111_270.0  # metres in a degree of latitude at 52 N, WGS 84


def ident(name: str) -> str:
    """Return the same record id for the same name."""
    return str(uuid5(NAMESPACE_URL, f"scout-test-{name}"))


def moved(east_m: float, north_m: float) -> Record:
    """Return a position so many metres from the site's centre, as a map would give it."""
    lat = SITE["lat"] + north_m / DEG_M
    lon = SITE["lon"] + east_m / (DEG_M * 0.6158)  # cos 52.1 on the ellipsoid, near enough
    return {"lat": round(lat, 7), "lon": round(lon, 7), "accuracy_m": 3.0}


def site(**parts: Any) -> Record:
    return {
        "id": ident("site"),
        "name": "Sallow Flat",
        "centre": dict(SITE),
        "zone": "Europe/London",
        "drive_min": 20,
        **parts,
    }


def bird(**parts: Any) -> Record:
    return {
        "id": ident("bird"),
        "name": "Wren-sized bird",
        "animal": "bird",
        "length_m": 0.2,
        "keep_distance_open_m": 10,
        **parts,
    }


def mammal(**parts: Any) -> Record:
    return {
        "id": ident("mammal"),
        "name": "Small deer",
        "animal": "mammal",
        "length_m": 0.9,
        "keep_distance_open_m": 10,
        **parts,
    }


def kit(**parts: Any) -> Record:
    return {
        "id": ident("kit"),
        "name": "Long zoom",
        "sensor_width_mm": 36,
        "sensor_height_mm": 24,
        "pixels_wide": 6000,
        "pixels_high": 4000,
        "iso_ceiling": 6400,
        "focal_mm": 500,
        "apertures": [{"focal_mm": 150, "f_number": 5}, {"focal_mm": 400, "f_number": 7.1}],
        "frame_rate_fps": 8,
        **parts,
    }


def perch(name: str = "Stump", **parts: Any) -> Record:
    return {
        "id": ident(name),
        "site": ident("site"),
        "name": name,
        "kind": "branch",
        "position": moved(0, 0),
        "ground": "grass",
        **parts,
    }


def vantage(name: str = "Bank", **parts: Any) -> Record:
    return {
        "id": ident(name),
        "site": ident("site"),
        "name": name,
        "cover": "open",
        "support": "tripod",
        "position": moved(12, 0),
        **parts,
    }


def sightline(start: str = "Bank", end: str = "Stump", **parts: Any) -> Record:
    return {
        "id": ident(f"{start} to {end}"),
        "vantage": ident(start),
        "perch": ident(end),
        "light_wanted": "front",
        "gap": {"m": 40, "how": "pacing"},
        "background": "reeds",
        "tone": "mid",
        **parts,
    }


def measurement(
    start: str = "Bank", end: str = "Stump", *, bearing_deg: float = 270.0, m: float = 12.0
) -> Record:
    return {
        "id": ident(f"measured {start} to {end}"),
        "sightline": ident(f"{start} to {end}"),
        "at": "2026-04-01T09:00:00Z",
        "bearing": {"read_deg": bearing_deg, "reference": "true", "how": "sighting compass"},
        "distance": {"m": m, "how": "rangefinder"},
        "tilt": {"deg": 0, "how": "clinometer"},
    }


def skyline(
    nodes: list[tuple[float, float]], pin: str = "Stump", what: str = "conifer", **parts: Any
) -> Record:
    return {
        "id": ident(f"skyline {pin} {what}"),
        "pin": ident(pin),
        "source": "aimed",
        "reference": "true",
        "nodes": [
            {"azimuth_deg": azimuth, "altitude_deg": altitude, "what": what}
            for azimuth, altitude in nodes
        ],
        "altitude_plus_minus_deg": 0.5,
        "heading_plus_minus_deg": 2,
        **parts,
    }


def walk_in(to: str = "Bank", **parts: Any) -> Record:
    return {"id": ident(f"way to {to}"), "vantage": ident(to), "dark_min": 18, **parts}


def permission(**parts: Any) -> Record:
    return {
        "id": ident("permission"),
        "site": ident("site"),
        "from_whom": "the farm",
        **parts,
    }


def watch(name: str, start: str, *, at: str = "Bank", **parts: Any) -> Record:
    return {
        "id": ident(name),
        "visit": ident(f"visit {name}"),
        "vantage": ident(at),
        "start": start,
        **parts,
    }


def reaction(name: str, of: str, at: str, **parts: Any) -> Record:
    return {"id": ident(name), "watch": ident(of), "what": "looked up", "at": at, **parts}


def request(**parts: Any) -> Record:
    """Return a request for one dawn in May with one sightline; parts replace what they name."""
    whole: Record = {
        "site": site(),
        "species": bird(),
        "kit": kit(),
        "date": "2026-05-12",
        "session": "dawn",
        "perches": [perch()],
        "vantages": [vantage()],
        "sightlines": [sightline()],
        "measurements": [measurement()],
        "skylines": [skyline([(40, 4), (80, 4), (120, 4)])],
        "walk_ins": [walk_in()],
        "permissions": [permission()],
    }
    whole.update(parts)
    return copy.deepcopy(whole)


def card(**parts: Any) -> Record:
    """Return the card of a request, which must not be refused."""
    answer = call("outing_card", request(**parts))
    assert "error" not in answer, answer["error"]
    return answer


def refusal(name: str, asked: Record) -> str:
    """Return the sentences with which a request is refused, which it must be."""
    answer = call(name, asked)
    assert "error" in answer, "answered instead of refused"
    return " ".join(answer["error"]["sentences"])


def only(found: Record) -> Record:
    """Return the one sightline of a card, open or barred."""
    (line,) = found["sightlines"] + found["barred"]
    assert isinstance(line, dict)
    return line
