"""A small notebook of places for these tests: one perch of each class, far from each other.

Every position has digits that occur nowhere else, so that a file can be searched for them.
"""

from __future__ import annotations

from typing import Any

import attrs

from scout.records.kinds import read_record

SITE = "00000000-0000-4000-8000-000000000001"
_ID = "00000000-0000-4000-8000-0000000000{:02d}"
# Class → exact position, written as it would stand in a file; 2 km and more apart.
EXACT = {
    "open": (51.123456, -2.234567),
    "low": (51.167891, -2.278912),
    "medium": (51.213579, -2.324681),
    "high": (51.257913, -2.368024),
    "withheld": (51.291357, -2.413579),
}
OTTER = (51.346802, -2.468135)
NAMES = {mark: f"Secret {mark} stump" for mark in EXACT}


def perch_id(mark: str) -> str:
    return _ID.format(10 + list(EXACT).index(mark))


def vantage_id(mark: str) -> str:
    return _ID.format(30 + list(EXACT).index(mark))


def record(kind: str, /, **of: Any) -> Any:
    return read_record(kind, of)


def notebook_records(**marks: str | None) -> dict[str, dict[str, Any]]:
    """Answer records of an open site with a perch and a vantage per class, and what was seen."""
    found: dict[str, list[Any]] = {
        "site": [
            record(
                "site",
                id=SITE,
                name="Thornmoor",
                centre={"lat": 51.05, "lon": -2.15},
                zone="Europe/London",
                access="By the gate at Secret lane",
            )
        ],
        "species": [
            record("species", id=_ID.format(2), name="kingfisher", animal="bird", length_m=0.17)
        ],
        "note": [
            record("note", id=_ID.format(3), site=SITE, text="The Secret holt lies 40 m north")
        ],
    }
    for kind in ("perch", "vantage", "sightline", "watch", "sighting", "visit", "photo"):
        found[kind] = []
    for mark, (lat, lon) in EXACT.items():
        place = list(EXACT).index(mark)
        perch, vantage = perch_id(mark), vantage_id(mark)
        found["perch"].append(
            record(
                "perch",
                id=perch,
                site=SITE,
                name=NAMES[mark],
                position={"lat": lat, "lon": lon, "accuracy_m": 6.5},
                ground_elevation={"m": 77.7 + place},
                height_m=1.7,
                kind="post",
                sensitivity=marks.get(mark, mark),
            )
        )
        found["vantage"].append(
            record(
                "vantage",
                id=vantage,
                site=SITE,
                name=f"Secret hide {mark}",
                cover="hide",
                position={"lat": lat + 0.000111, "lon": lon},
            )
        )
        found["sightline"].append(
            record(
                "sightline",
                id=_ID.format(50 + place),
                vantage=vantage,
                perch=perch,
                gap={"m": 61.25},
            )
        )
        start = f"2026-05-1{place}T04:35:17+01:00"
        visit, watch = _ID.format(60 + place), _ID.format(70 + place)
        found["visit"].append(record("visit", id=visit, site=SITE, start={"at": start}, by="Ada"))
        found["watch"].append(
            record(
                "watch",
                id=watch,
                visit=visit,
                vantage=vantage,
                perches=[perch],
                start={"at": start},
            )
        )
        found["sighting"].append(
            record(
                "sighting",
                id=_ID.format(80 + place),
                watch=watch,
                species=_ID.format(2),
                how="seen",
                time_in={"at": start},
                perch=perch,
            )
        )
        found["photo"].append(
            record("photo", id=_ID.format(90 + place), site=SITE, pin=perch, blob=f"{place}" * 64)
        )
    empty = ("landmark", "area", "measurement", "reaction", "permission")
    return {
        **{kind: {one.id: one for one in of} for kind, of in found.items()},
        **{kind: {} for kind in empty},
    }


def note_otter(records: dict[str, dict[str, Any]], **where: Any) -> tuple[str, str]:
    """Add an otter, whose places are withheld, to the open watch of a vantage by a stile.

    `where` it was noted, as a sighting says it. Answer the ids of the vantage and the stile, which
    lie 13 m and 7 m off OTTER.
    """
    lat, lon = OTTER
    added = [
        record(
            "species",
            id=_ID.format(4),
            name="otter",
            animal="mammal",
            length_m=1.1,
            places="withheld",
        ),
        record(
            "vantage",
            id=_ID.format(40),
            site=SITE,
            name="Sedge bank",
            position={"lat": lat - 0.000117, "lon": lon},
        ),
        record(
            "landmark",
            id=_ID.format(41),
            site=SITE,
            name="Sedge stile",
            position={"lat": lat, "lon": lon + 0.0001},
        ),
        attrs.evolve(records["watch"][_ID.format(70)], id=_ID.format(79), vantage=_ID.format(40)),
        record(
            "sighting",
            id=_ID.format(89),
            watch=_ID.format(79),
            species=_ID.format(4),
            how="seen",
            time_in={"at": "2026-05-10T04:50:00+01:00"},
            **where,
        ),
    ]
    for one in added:
        records[type(one).__name__.lower()][one.id] = one
    return _ID.format(40), _ID.format(41)
