"""The records of places: sites, permissions, perches, vantages, landmarks, areas.

Not for: where they truly stand (`ground`), or what happened there (`log`).
"""

from __future__ import annotations

import math
import random

from making.ground import (
    PERCHES,
    VANTAGES,
    ZONE,
    Record,
    at_centre,
    place_of,
)


def _pin(rng: random.Random, name: str, accuracy_m: float, source: str) -> Record:
    site, east, north = place_of(name)
    # Within half of what the receiver claims, so that two pins keep to their own plus-minus.
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
            "access": "Park in the dray yard, well clear of the barn doors. On foot by the field "
            "gate; shut it. The meadow is cut in late July: keep to the ditch until then.",
            "cautions": "The ditch plank is slippery after rain. Soft ground west of the pool: "
            "knee deep. Cattle from June to October. Tell somebody where you are and when you will "
            "be back.",
            "drive_min": 25,
            "sensitivity": "open",
        },
        {
            "id": "hobthorn",
            "name": "Hobthorn Dean",
            "code_name": "Slate",
            "centre": {"lat": 52.95, "lon": -0.36, "accuracy_m": 20, "source": "map"},
            "zone": ZONE,
            "access": "Lay-by on the wood side, room for one car; keep the gate free. No dogs.",
            "cautions": "Old ash with dead limbs along the ride: not in a wind above force 6. No "
            "signal below the hollow oak. Deer are managed here from November to February: ring "
            "the "
            "keeper the evening before.",
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
