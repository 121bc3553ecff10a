"""Sightlines and what was measured: bearings, distances, tilts, skylines, taps and canopy.

Every reading is the truth of `ground` and `sunlight` with the error that its instrument may have,
rounded as it is read. Not for: where things stand.
"""

from __future__ import annotations

import datetime as dt
import random

from making.ground import Record, between, declination_deg, place_of, tilt_deg
from making.sunlight import SKYLINES, along, clears, written

# id: (vantage, perch, light wanted, gap m behind the perch, background, tone, in shade)
SIGHTLINES: dict[str, tuple[str, str, str, float, str, str, bool]] = {
    "pump-post": ("pump-house", "ditch-post", "front", 46, "leaves", "dark", True),
    "pump-bramble": ("pump-house", "bramble-spray", "front", 34, "grass", "mid", False),
    "pump-pool": ("pump-house", "pool-margin", "front", 19, "bank", "dark", True),
    "track-bramble": ("track-end", "bramble-spray", "side", 62, "grass", "mid", False),
    "track-gorse": ("track-end", "gorse-bank", "side", 75, "conifers", "dark", True),
    "hedge-post": ("hedge-foot", "ditch-post", "back", 110, "grass", "dark", True),
    "hedge-bramble": ("hedge-foot", "bramble-spray", "front", 95, "leaves", "mid", False),
    "bank-pool": ("bank-seat", "pool-margin", "any", 24, "water", "mid", False),
    "bank-gap": ("bank-seat", "hedge-gap", "any", 70, "conifers", "dark", True),
    "bale-gap": ("bale-row", "hedge-gap", "any", 140, "grass", "mid", False),
    "root-log": ("root-plate", "brook-log", "any", 16, "bank", "dark", True),
    "root-boulder": ("root-plate", "grey-boulder", "any", 55, "conifers", "dark", True),
    "ride-end-line": ("ride-hide", "ride-end", "any", 30, "conifers", "dark", True),
    "ride-seep": ("ride-hide", "seep", "side", 6, "branches", "sky holes", False),
}


def sightlines() -> list[Record]:
    """Answer the sightlines; three gaps were ranged from the vantage, one only guessed."""
    made = []
    for name, (vantage, perch, light, gap, background, tone, shade) in SIGHTLINES.items():
        measured: Record = {"m": gap, "ranged_from": "perch", "how": "pacing"}
        if name in ("bank-gap", "ride-end-line", "track-gorse"):
            far = round(between(vantage, perch)[1] + gap)
            measured = {"m": far, "ranged_from": "vantage", "how": "rangefinder"}
        if name == "ride-seep":
            measured = {"m": gap, "ranged_from": "perch", "how": "guess"}
        made.append(
            {
                "id": name,
                "vantage": vantage,
                "perch": perch,
                "light_wanted": light,
                "gap": measured,
                "background": background,
                "tone": tone,
                "background_in_shade": shade,
            }
        )
    return made


def _year(at: str) -> float:
    day = dt.date.fromisoformat(at[:10])
    return day.year + (day.timetuple().tm_yday - 1) / 365.0


def _wobble(rng: random.Random, most: float) -> float:
    return most * (2.0 * rng.random() - 1.0)


def _half(value: float) -> float:
    return round(value * 2.0) / 2.0


def _measured(
    rng: random.Random, name: str, sightline: str, at: str, by: str, tools: str
) -> Record:
    vantage, perch = SIGHTLINES[sightline][:2]
    bearing, distance = between(vantage, perch)
    east = declination_deg(place_of(vantage)[0], _year(at))
    how, off, reads = {
        "good": ("sighting compass", 1.2, 2.0),
        "phone": ("phone compass", 7.0, 1.0),
    }[tools]
    reading = (round((bearing - east + _wobble(rng, off)) * reads) / reads) % 360.0
    record: Record = {"id": name, "sightline": sightline, "at": at, "by": by}
    record["bearing"] = {
        "read_deg": reading,
        "reference": "magnetic",
        "how": how,
        "plus_minus_deg": 2 if tools == "good" else 10,
        "true_deg": round((reading + east) % 360.0, 1),
    }
    if tools == "good":
        record["distance"] = {
            "m": _half(distance + _wobble(rng, 0.6)),
            "how": "rangefinder",
            "plus_minus_m": 1,
        }
        record["tilt"] = {
            "deg": _half(tilt_deg(vantage, perch) + _wobble(rng, 0.8)),
            "how": "phone edge",
            "plus_minus_deg": 1.5,
        }
    else:
        paced = max(1, round(distance * (1.0 + _wobble(rng, 0.08))))
        record["distance"] = {
            "m": paced,
            "how": "pacing",
            "plus_minus_m": round(0.1 * distance, 1),
        }
    return record


# (sightline, when, who, with what); ride-seep stays unmeasured: its bearing hangs on two poor pins
_READINGS = (
    ("pump-post", "2025-04-06T10:05:00+01:00", "Marn", "good"),
    ("pump-post", "2026-05-09T09:10:00+01:00", "Ives", "phone"),
    ("pump-bramble", "2025-04-06T10:08:00+01:00", "Marn", "good"),
    ("pump-pool", "2025-04-06T10:12:00+01:00", "Marn", "good"),
    ("track-bramble", "2025-05-03T09:10:00+01:00", "Ives", "good"),
    ("track-gorse", "2025-05-03T09:15:00+01:00", "Ives", "good"),
    ("hedge-post", "2025-05-24T08:30:00+01:00", "Marn", "good"),
    ("hedge-bramble", "2025-05-24T08:34:00+01:00", "Marn", "phone"),
    ("bank-pool", "2025-04-19T18:30:00+01:00", "Marn", "good"),
    ("bank-gap", "2025-04-19T18:36:00+01:00", "Marn", "good"),
    ("bale-gap", "2025-05-11T19:30:00+01:00", "Marn", "good"),
    ("root-log", "2025-05-18T09:05:00+01:00", "Marn", "good"),
    ("root-boulder", "2025-05-18T09:12:00+01:00", "Marn", "good"),
    ("ride-end-line", "2025-06-14T19:20:00+01:00", "Marn", "good"),
)


def measurements(rng: random.Random) -> list[Record]:
    """Answer what was measured along the sightlines; one of them by two people."""
    return [
        _measured(rng, f"measured-{count:02d}", *reading)
        for count, reading in enumerate(_READINGS, 1)
    ]


# perch: (when, source, plus-minus of altitude, of heading, reference, what stands east and west)
_AIMED: dict[str, tuple[str, str, float, float, str, str, str]] = {
    "ditch-post": (
        "2025-04-12T09:40:00+01:00",
        *("aimed", 1.5, 5.0, "true", "broadleaf in leaf", "conifer"),
    ),
    "bramble-spray": (
        "2025-04-12T09:52:00+01:00",
        *("aimed", 1.5, 5.0, "true", "broadleaf in leaf", "conifer"),
    ),
    "gorse-bank": ("2025-08-23T18:10:00+01:00", "aimed", 1.5, 5.0, "magnetic", "hill", "conifer"),
    "pool-margin": ("2025-06-28T09:00:00+01:00", "photo", 1.0, 3.0, "true", "hill", "conifer"),
    "hedge-gap": ("2025-05-11T19:10:00+01:00", "aimed", 1.5, 5.0, "true", "hill", "hill"),
    "brook-log": ("2025-05-18T09:20:00+01:00", "typed", 3.0, 10.0, "true", "conifer", "conifer"),
    "grey-boulder": ("2025-05-18T09:28:00+01:00", "aimed", 1.5, 5.0, "true", "hill", "conifer"),
    "ride-end": ("2025-06-14T19:30:00+01:00", "aimed", 1.5, 5.0, "true", "conifer", "conifer"),
}

# The mornings and the evening on which somebody pressed "sun on it" or "sun off it"
TAPS: tuple[tuple[str, str, str, bool], ...] = (
    ("tap-post-1", "ditch-post", "2026-04-18", True),
    ("tap-post-2", "ditch-post", "2026-05-09", True),
    ("tap-post-3", "ditch-post", "2026-09-26", True),
    ("tap-post-4", "ditch-post", "2026-06-20", False),
    ("tap-post-5", "ditch-post", "2026-11-14", True),
)


def skylines(rng: random.Random) -> list[Record]:
    """Answer the skylines and taps; the seep has none."""
    made: list[Record] = []
    for perch, (at, source, altitude, heading, reference, east, west) in _AIMED.items():
        turn = declination_deg(place_of(perch)[0], _year(at)) if reference == "magnetic" else 0.0
        nodes = []
        for azimuth, high in SKYLINES[perch]:
            seen = high + _wobble(rng, altitude * 0.45)
            nodes.append(
                {
                    "azimuth_deg": round(azimuth - turn, 1),
                    "altitude_deg": _half(seen),
                    "what": east if azimuth < 190 else west,
                }
            )
        made.append(
            {
                "id": f"skyline-{perch}",
                "pin": perch,
                "source": source,
                "at": at,
                "reference": reference,
                "nodes": nodes,
                "altitude_plus_minus_deg": altitude,
                "heading_plus_minus_deg": heading,
            }
        )
    for name, perch, day, sun_on in TAPS:
        at_utc = clears(perch, dt.date.fromisoformat(day), rising=sun_on)
        made.append(
            {
                "id": name,
                "pin": perch,
                "source": "sun on it" if sun_on else "sun off it",
                "at": {"at": written(at_utc), "source": "device", "zone": "Europe/London"},
                "altitude_plus_minus_deg": 0.2,
            }
        )
    return made


def canopies() -> list[Record]:
    """Answer canopy measured in leaf and bare."""
    rows = (
        ("canopy-log-leaf", "brook-log", "2025-06-14T21:00:00+01:00", 2.7, "in leaf"),
        ("canopy-log-bare", "brook-log", "2026-04-04T09:10:00+01:00", 1.3, "bare"),
        ("canopy-seep-leaf", "seep", "2025-06-14T21:05:00+01:00", 3.3, "in leaf"),
        ("canopy-seep-bare", "seep", "2026-04-04T09:15:00+01:00", 1.7, "bare"),
        ("canopy-gap-leaf", "hedge-gap", "2026-06-13T20:50:00+01:00", 0.7, "in leaf"),
        ("canopy-gap-bare", "hedge-gap", "2026-03-21T17:20:00+00:00", 0.3, "bare"),
    )
    made = []
    for name, perch, at, loss, leaf in rows:
        how = "guess" if name == "canopy-seep-bare" else "two test shots"
        made.append(
            {"id": name, "perch": perch, "at": at, "loss_ev": loss, "leaf": leaf, "how": how}
        )
    return made


def skyline_error_deg(record: Record) -> float:
    """Answer how far [degrees] a recorded skyline strays from the true one, at its own nodes."""
    perch: str = record["pin"]
    turn = 0.0
    if record["reference"] == "magnetic":
        turn = declination_deg(place_of(perch)[0], _year(record["at"]))
    return max(
        abs(float(node["altitude_deg"]) - along(SKYLINES[perch], node["azimuth_deg"] + turn))
        for node in record["nodes"]
    )
