"""Points of other hands: read from files that another library wrote, hostile ones refused.

The GPX is written by gpxpy, so what is read here is not what was written here.
"""

from __future__ import annotations

import json

import gpxpy.gpx
import pytest

from scout.notebook.bringing.points import points_of
from scout.records.trouble import Refused


def gpx_file() -> bytes:
    made = gpxpy.gpx.GPX()
    made.waypoints.append(
        gpxpy.gpx.GPXWaypoint(51.5, -2.25, elevation=12.5, name=" Old  oak ", description="dead")
    )
    made.waypoints.append(gpxpy.gpx.GPXWaypoint(-33.9, 179.9))
    return made.to_xml().encode()


def test_waypoints_of_another_writer() -> None:
    first, second = points_of(gpx_file(), "Pins.GPX").points
    assert (first.name, first.lat, first.lon) == ("Old oak", 51.5, -2.25)
    assert (first.elevation_m, first.text) == (12.5, "dead")
    assert (second.name, second.elevation_m) == (None, None)


def test_geojson_points_and_what_is_none() -> None:
    told = {
        "type": "FeatureCollection",
        "features": [
            {
                "type": "Feature",
                "geometry": {"type": "Point", "coordinates": [-2.25, 51.5, 3]},
                "properties": {"name": "Post"},
            },
            {"type": "Feature", "geometry": {"type": "LineString", "coordinates": []}},
            {"type": "Feature", "geometry": {"type": "Point", "coordinates": [51.5, 181]}},
            {"type": "Feature", "geometry": None, "properties": None},
            7,
        ],
    }
    read = points_of(json.dumps(told).encode(), "p.geojson")
    assert [(one.name, one.lat, one.lon) for one in read.points] == [("Post", 51.5, -2.25)]
    assert len(read.passed_over) == 4


LAUGHS = b"""<?xml version="1.0"?><!DOCTYPE lolz [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;">]>
<gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1" creator="x"><wpt lat="1" lon="1">
<name>&b;</name></wpt></gpx>"""
OUTSIDE = LAUGHS.replace(b'<!ENTITY a "aaaaaaaaaa">', b'<!ENTITY a SYSTEM "file:///etc/hostname">')


@pytest.mark.parametrize(
    ("raw", "name", "says"),
    [
        (LAUGHS, "a.gpx", "entities"),
        (OUTSIDE, "a.gpx", "entities"),
        (b"<gpx", "a.gpx", "no XML"),
        (b"<html/>", "a.gpx", "no GPX"),
        (b"\xff\xfe\x00", "a.gpx", "no XML"),
        (b"{", "a.geojson", "line 1"),
        (b'{"type": "Point"}', "a.geojson", "feature collection"),
        (b"[" * 100_000, "a.geojson", "nested deeper"),
        (b"x", "a.kmz", ".gpx or .geojson"),
    ],
)
def test_what_cannot_be_read_says_why(raw: bytes, name: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        points_of(raw, name)


def test_a_point_off_the_earth_spoils_no_other() -> None:
    raw = gpx_file().replace(b'lat="51.5"', b'lat="95"')
    read = points_of(raw, "a.gpx")
    assert len(read.points) == 1
    assert read.passed_over == ("waypoint 1 has no position on the Earth.",)
