"""The invented land: where everything stands, in metres, and the records of places drawn from it.

Each site has a plane of its own, metres east and north of its centre, on which the truth is laid out. Pins are that
truth with a receiver's error; what is measured (`lines`) is the same truth with an instrument's error. So pins and
measurements agree within what each of them claims. Not for: what happened there (`log`).
"""

from __future__ import annotations

import math
import random
from typing import Any

Record = dict[str, Any]
ZONE = "Europe/London"

# Open farmland, chosen for its latitude alone: nothing on this page exists there.
CENTRES = {"pellwick": (52.8700, -0.4700), "hobthorn": (52.9500, -0.3600)}

# Declination by the World Magnetic Model 2025 (pygeomag 1.1, WMM_2025.COF, height 30 m), read off by hand for
# 2025.0 and 2026.9; between them it grows evenly within 0.01 degrees.
DECLINATION_2025_DEG = {"pellwick": 0.679, "hobthorn": 0.710}
DECLINATION_A_YEAR_DEG = 0.178

# name: (site, east m, north m, ground m above sea level, what stands above it: height of perch or lens m)
PERCHES = {
    "ditch-post": ("pellwick", 28.6, 8.4, 31.4, 1.3),
    "bramble-spray": ("pellwick", 23.7, 15.0, 31.5, 1.6),
    "gorse-bank": ("pellwick", 8.0, 60.0, 33.0, 1.2),
    "pool-margin": ("pellwick", 6.9, -22.0, 30.6, 0.0),
    "hedge-gap": ("pellwick", 140.0, 20.0, 32.2, 0.0),
    "brook-log": ("hobthorn", -38.1, 42.4, 57.2, 0.4),
    "grey-boulder": ("hobthorn", -18.4, -4.9, 59.1, 0.7),
    "ride-end": ("hobthorn", 139.0, -1.3, 63.5, 0.0),
    "seep": ("hobthorn", 66.2, -6.8, 61.0, 0.0),
}
VANTAGES = {
    "pump-house": ("pellwick", 40.0, 10.0, 31.6, 1.25),
    "track-end": ("pellwick", 30.0, 41.0, 32.3, 1.15),
    "hedge-foot": ("pellwick", 6.0, 20.0, 31.6, 0.9),
    "bank-seat": ("pellwick", 75.0, -45.0, 31.3, 0.45),
    "bale-row": ("pellwick", 60.0, 75.0, 33.1, 0.9),
    "root-plate": ("hobthorn", 0.0, 0.0, 59.0, 0.5),
    "ride-hide": ("hobthorn", 60.0, -30.0, 62.0, 1.1),
}
LANDMARKS = {
    "dray-yard": ("pellwick", 372.0, -148.0),
    "field-gate": ("pellwick", 231.0, -96.0),
    "ditch-bend": ("pellwick", 88.0, -18.0),
    "soft-edge": ("pellwick", 14.0, -30.0),
    "wood-lay-by": ("hobthorn", 296.0, -214.0),
    "ride-gate": ("hobthorn", 203.0, -131.0),
    "hollow-oak": ("hobthorn", 96.0, -70.0),
    "leaning-ash": ("hobthorn", 22.0, -24.0),
}
_WGS84_A_M, _WGS84_E2 = 6378137.0, 0.00669437999014


def at_centre(site: str, east_m: float, north_m: float) -> tuple[float, float]:
    """Answer latitude and longitude [degrees] of a point on a site's plane, by the ellipsoid's radii there."""
    lat, lon = CENTRES[site]
    w = 1.0 - _WGS84_E2 * math.sin(math.radians(lat)) ** 2
    along_meridian = _WGS84_A_M * (1.0 - _WGS84_E2) / w**1.5
    along_parallel = _WGS84_A_M / math.sqrt(w) * math.cos(math.radians(lat))
    return lat + math.degrees(north_m / along_meridian), lon + math.degrees(east_m / along_parallel)


def place_of(name: str) -> tuple[str, float, float]:
    """Answer the site and the true point on its plane of a perch, vantage or landmark."""
    found = PERCHES.get(name) or VANTAGES.get(name) or LANDMARKS[name]
    return found[0], found[1], found[2]


def between(start: str, end: str) -> tuple[float, float]:
    """Answer the true bearing [degrees] and the level distance [m] from one place to another."""
    _, e1, n1 = place_of(start)
    _, e2, n2 = place_of(end)
    bearing = math.degrees(math.atan2(e2 - e1, n2 - n1)) % 360.0
    return bearing, math.hypot(e2 - e1, n2 - n1)


def tilt_deg(vantage: str, perch: str) -> float:
    """Answer the angle [degrees] at which the lens looks up (+) or down (-) at the perch."""
    _, _, _, ground_v, lens = VANTAGES[vantage]
    _, _, _, ground_p, height = PERCHES[perch]
    return math.degrees(math.atan2(ground_p + height - ground_v - lens, between(vantage, perch)[1]))


def declination_deg(site: str, year: float) -> float:
    """Answer how far magnetic north stands east of true north [degrees]."""
    return DECLINATION_2025_DEG[site] + DECLINATION_A_YEAR_DEG * (year - 2025.0)


def _pin(rng: random.Random, name: str, accuracy_m: float, source: str) -> Record:
    site, east, north = place_of(name)
    # Within half of what the receiver claims, so that two pins of a sightline keep to their own plus-minus.
    off, turn = accuracy_m * 0.5 * rng.random(), 2.0 * math.pi * rng.random()
    lat, lon = at_centre(site, east + off * math.cos(turn), north + off * math.sin(turn))
    return {
        "lat": round(lat, 6),
        "lon": round(lon, 6),
        "accuracy_m": accuracy_m,
        "source": source,
    }


def _elevation(name: str) -> Record:
    found = PERCHES.get(name) or VANTAGES[name]
    return {"m": found[3], "how": "map", "plus_minus_m": 0.5}


def sites() -> list[Record]:
    """Answer the two sites: one open, one that only its code name may stand for."""
    return [
        {
            "id": "pellwick",
            "name": "Pellwick Meadows",
            "centre": {"lat": 52.87, "lon": -0.47, "accuracy_m": 20, "source": "map"},
            "zone": ZONE,
            "access": "Park in the dray yard, well clear of the barn doors. On foot by the field gate; shut it. "
            "The meadow is cut in late July: keep to the ditch until then.",
            "cautions": "The ditch plank is slippery after rain. Soft ground west of the pool: knee deep. "
            "Cattle from June to October. Tell somebody where you are and when you will be back.",
            "drive_min": 25,
            "sensitivity": "open",
        },
        {
            "id": "hobthorn",
            "name": "Hobthorn Dean",
            "code_name": "Slate",
            "centre": {"lat": 52.95, "lon": -0.36, "accuracy_m": 20, "source": "map"},
            "zone": ZONE,
            "access": "Lay-by on the wood side, room for one car; do not block the ride gate. No dogs.",
            "cautions": "Old ash with dead limbs along the ride: not in a wind above force 6. No signal below the "
            "hollow oak. Deer are managed here from November to February: ring the keeper the evening before.",
            "drive_min": 45,
            "sensitivity": "high",
        },
    ]


def permissions() -> list[Record]:
    """Answer what the invented landowners allow; the second one lapses."""
    return [
        {
            "id": "permission-pellwick",
            "site": "pellwick",
            "from_whom": "The farm at Pellwick",
            "for_what": "Photography on foot and from the pump house",
            "starts_on": "2025-03-01",
            "conditions": "Until one of us says otherwise. Ring before a dusk. Gates shut.",
            "reference": "Letter, February 2025",
        },
        {
            "id": "permission-hobthorn",
            "site": "hobthorn",
            "from_whom": "The keeper of the dean",
            "for_what": "Ride and brook side, own blind allowed",
            "starts_on": "2025-04-01",
            "ends_on": "2027-03-31",
            "conditions": "Not on shooting days. The brook log from across the water only.",
            "reference": "Spoken, noted 2025-03-28",
        },
    ]


_PERCH_FACTS: dict[str, Record] = {
    "ditch-post": {"name": "Ditch post", "kind": "post", "spread_m": 0.2, "ground": "grass"},
    "bramble-spray": {
        "name": "Bramble spray",
        "kind": "branch",
        "spread_m": 1.5,
        "ground": "grass",
    },
    "gorse-bank": {
        "name": "Gorse bank",
        "kind": "branch",
        "spread_m": 3.0,
        "ground": "grass",
        "closed": [{"from_day": "03-15", "to_day": "07-31", "why": "Nest season"}],
    },
    "pool-margin": {
        "name": "Pool margin",
        "kind": "water edge",
        "spread_m": 6.0,
        "ground": "water",
    },
    "hedge-gap": {"name": "Hedge gap", "kind": "crossing", "spread_m": 2.0, "ground": "grass"},
    "brook-log": {
        "name": "Brook log",
        "code_name": "Slate A",
        "kind": "crossing",
        "spread_m": 3.0,
        "ground": "water",
        "sensitivity": "withheld",
    },
    "grey-boulder": {
        "name": "Grey boulder",
        "code_name": "Slate B",
        "kind": "rock",
        "spread_m": 0.8,
        "ground": "earth",
    },
    "ride-end": {
        "name": "Ride end",
        "code_name": "Slate C",
        "kind": "ground",
        "spread_m": 8.0,
        "ground": "grass",
    },
    "seep": {
        "name": "Seep",
        "code_name": "Slate D",
        "kind": "drinking place",
        "spread_m": 1.0,
        "ground": "earth",
    },
}
_TRAVEL = {"hedge-gap": 350.0, "brook-log": 65.0}
_PERCH_ACCURACY_M = {"seep": 8.0, "ride-end": 5.0, "hedge-gap": 5.0}


def perches(rng: random.Random) -> list[Record]:
    """Answer the perches with their pins."""
    made = []
    for name, facts in _PERCH_FACTS.items():
        accuracy = _PERCH_ACCURACY_M.get(name, 2.0)
        source = "from a vantage" if accuracy == 2.0 else "satellite fix"
        record = {"id": name, "site": PERCHES[name][0], **facts}
        record["position"] = _pin(rng, name, accuracy, source)
        record["ground_elevation"] = _elevation(name)
        record["height_m"] = PERCHES[name][4]
        if name in _TRAVEL:
            record["travel"] = {
                "read_deg": _TRAVEL[name],
                "reference": "true",
                "how": "map",
                "plus_minus_deg": 10,
            }
        made.append(record)
    return made


_VANTAGE_FACTS: dict[str, Record] = {
    "pump-house": {
        "name": "Pump house",
        "cover": "hide",
        "support": "beanbag",
        "usable": {"from_deg": 200, "to_deg": 310},
    },
    "track-end": {
        "name": "Track end",
        "cover": "vehicle",
        "support": "window",
        "usable": {"from_deg": 160, "to_deg": 330},
    },
    "hedge-foot": {
        "name": "Hedge foot",
        "cover": "natural cover",
        "support": "tripod",
        "usable": {"from_deg": 60, "to_deg": 150},
    },
    "bank-seat": {"name": "Bank seat", "cover": "open", "support": "monopod", "slope_deg": 6},
    "bale-row": {
        "name": "Bale row",
        "cover": "natural cover",
        "support": "tripod",
        "usable": {"from_deg": 90, "to_deg": 200},
    },
    "root-plate": {
        "name": "Root plate",
        "code_name": "Slate one",
        "cover": "natural cover",
        "support": "beanbag",
        "usable": {"from_deg": 220, "to_deg": 350},
        "sensitivity": "high",
    },
    "ride-hide": {
        "name": "Ride hide",
        "code_name": "Slate two",
        "cover": "hide",
        "support": "tripod",
        "usable": {"from_deg": 350, "to_deg": 110},
        "own_blind": True,
        "sensitivity": "high",
    },
}


def vantages(rng: random.Random) -> list[Record]:
    """Answer the vantages with their pins."""
    made = []
    for name, facts in _VANTAGE_FACTS.items():
        accuracy = 8.0 if name == "ride-hide" else 4.0 if VANTAGES[name][0] == "hobthorn" else 3.0
        record = {"id": name, "site": VANTAGES[name][0], **facts}
        record["position"] = _pin(rng, name, accuracy, "satellite fix")
        record["ground_elevation"] = _elevation(name)
        record["lens_height_m"] = VANTAGES[name][4]
        made.append(record)
    return made


_LANDMARK_FACTS: dict[str, Record] = {
    "dray-yard": {"name": "Dray yard", "kind": "parking", "note": "Clear of the barn doors."},
    "field-gate": {"name": "Field gate", "kind": "gate", "note": "The chain rattles: hold it."},
    "ditch-bend": {"name": "Ditch bend", "kind": "path point"},
    "soft-edge": {"name": "Soft edge", "kind": "hazard", "note": "Knee deep all year."},
    "wood-lay-by": {"name": "Wood lay-by", "kind": "parking", "note": "One car."},
    "ride-gate": {"name": "Ride gate", "kind": "gate"},
    "hollow-oak": {"name": "Hollow oak", "kind": "path point", "note": "Last place with signal."},
    "leaning-ash": {"name": "Leaning ash", "kind": "hazard", "note": "Dead limbs over the path."},
}


def landmarks(rng: random.Random) -> list[Record]:
    """Answer parking, gates, path points and hazards."""
    return [
        {"id": name, "site": place_of(name)[0], **facts, "position": _pin(rng, name, 5.0, "map")}
        for name, facts in _LANDMARK_FACTS.items()
    ]


# vantage: (the way there, for each leg the perches that can see it, cautions)
_WAYS: dict[str, tuple[list[str], list[list[str]], str]] = {
    "pump-house": (
        ["dray-yard", "field-gate", "ditch-bend", "pump-house"],
        [[], [], []],
        "One plank over the ditch: lamp down, hand free.",
    ),
    "track-end": (["dray-yard", "field-gate", "track-end"], [[], ["hedge-gap"]], ""),
    "hedge-foot": (
        ["dray-yard", "field-gate", "ditch-bend", "hedge-foot"],
        [[], [], ["ditch-post", "bramble-spray"]],
        "Not along the pool: soft ground.",
    ),
    "bank-seat": (["dray-yard", "field-gate", "bank-seat"], [[], ["hedge-gap"]], ""),
    "bale-row": (["dray-yard", "field-gate", "bale-row"], [[], ["hedge-gap"]], ""),
    "root-plate": (
        ["wood-lay-by", "ride-gate", "hollow-oak", "leaning-ash", "root-plate"],
        [[], ["ride-end"], [], ["grey-boulder"]],
        "Do not stop under the leaning ash.",
    ),
    "ride-hide": (
        ["wood-lay-by", "ride-gate", "hollow-oak", "ride-hide"],
        [[], ["ride-end"], []],
        "Roots across the last thirty metres.",
    ),
}


def walk_ins() -> list[Record]:
    """Answer the timed walk-ins, each with its legs."""
    made = []
    for vantage, (stops, seen, cautions) in _WAYS.items():
        legs = []
        for start, end, seen_from in zip(stops[:-1], stops[1:], seen, strict=True):
            bearing, distance = between(start, end)
            leg: Record = {"bearing_deg": round(bearing), "distance_m": round(distance)}
            if seen_from:
                leg["seen_from"] = seen_from
            legs.append(leg)
        length = sum(leg["distance_m"] for leg in legs)
        record: Record = {
            "id": f"way-{vantage}",
            "vantage": vantage,
            "start": stops[0],
            "dark_min": math.ceil(length / 30) + 1,
            "day_min": math.ceil(length / 50) + 1,
            "legs": legs,
        }
        if cautions:
            record["cautions"] = cautions
        made.append(record)
    return made


def areas() -> list[Record]:
    """Answer the outlines: the pool, the nest bank, the zone that the pump house watches."""
    outlines = (
        (
            "area-pool",
            "Cattle pool",
            "water",
            [(-16, -20), (4, -21), (8, -27), (2, -44), (-14, -40)],
        ),
        (
            "area-gorse",
            "Gorse in the nest season",
            "not to be entered",
            [(-6, 54), (14, 54), (16, 70), (-4, 72)],
        ),
        ("area-front", "Before the pump house", "watched", [(38, 10), (18, 24), (2, -20)]),
    )
    return [
        {
            "id": name,
            "site": "pellwick",
            "name": title,
            "kind": kind,
            "outline": [
                dict(
                    zip(
                        ("lat", "lon"),
                        (round(v, 6) for v in at_centre("pellwick", e, n)),
                        strict=True,
                    )
                )
                for e, n in corners
            ],
        }
        for name, title, kind, corners in outlines
    ]
