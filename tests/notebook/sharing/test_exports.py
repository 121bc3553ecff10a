"""What each format lets out, searched byte by byte for what must stay inside.

Independent readers: gpxpy (GPX 1.1), icalendar (RFC 5545), Python's own json and csv.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import itertools
import json
import re
import zipfile
from collections.abc import Callable
from pathlib import Path

import attrs
import gpxpy
import pytest
from icalendar import Calendar
from PIL import Image

from scout.notebook.sharing import bundles
from scout.notebook.sharing.calendar import Entry, calendar_of
from scout.notebook.sharing.geojson import geojson_of
from scout.notebook.sharing.gpx import NAMESPACE, gpx_of
from scout.notebook.sharing.let_out import Outgoing
from scout.notebook.sharing.outgoing import outgoing
from scout.notebook.sharing.ranger import rangers_page
from scout.notebook.sharing.sheets import sheets_of
from scout.records.kinds import KINDS
from scout.records.reading import fields_of
from scout.server.printed import filled

from .places import (
    EXACT,
    NAMES,
    OTTER,
    SITE,
    note_otter,
    notebook_records,
    perch_id,
    record,
)

FORMATS: dict[str, Callable[[Outgoing], str]] = {
    "geojson": geojson_of,
    "gpx": lambda leaving: gpx_of(leaving).decode(),
    "csv": lambda leaving: "\n".join(sheets_of(leaving).values()),
}


@pytest.fixture(params=FORMATS)
def written(request: pytest.FixtureRequest) -> Callable[[Outgoing], str]:
    return FORMATS[request.param]


def _begun(degrees: float, decimals: int) -> str:
    """Answer how a number of degrees begins, as it would stand in a file."""
    return str(abs(degrees))[: str(abs(degrees)).index(".") + 1 + decimals]


@pytest.mark.parametrize("mark", EXACT)
def test_no_byte_of_a_sensitive_position_leaves(
    written: Callable[[Outgoing], str], mark: str
) -> None:
    text = written(outgoing(notebook_records()))
    digits = [_begun(degrees, 4 if mark == "low" else 3) for degrees in EXACT[mark]]
    found = [one for one in digits if one in text]
    assert found == (digits if mark == "open" else [])


def test_nothing_beside_a_withheld_animal_leaves(written: Callable[[Outgoing], str]) -> None:
    """Noted by position alone, with no pin of its own: what stands beside it would tell."""
    records = notebook_records()
    lat, lon = OTTER
    note_otter(records, position={"lat": lat, "lon": lon})
    text = written(outgoing(records))
    for within in (_begun(lat, 3), _begun(lon, 3), "otter", "Sedge"):
        assert within not in text
    assert NAMES["open"] in text  # what lies far from it leaves as before


@pytest.mark.parametrize("mark", [mark for mark in EXACT if mark != "open"])
def test_nothing_derived_from_a_sensitive_position_leaves(
    written: Callable[[Outgoing], str], mark: str
) -> None:
    text = written(outgoing(notebook_records()))
    place = list(EXACT).index(mark)
    assert NAMES[mark] not in text
    assert f"Secret hide {mark}" not in text
    assert f"{77.7 + place}" not in text
    if mark in ("medium", "high", "withheld"):
        assert f"2026-05-1{place}T" not in text


def test_no_free_text_and_no_id_leaves(written: Callable[[Outgoing], str]) -> None:
    text = written(outgoing(notebook_records()))
    assert "Secret lane" not in text
    assert "holt" not in text
    assert re.search(r"[0-9a-f]{8}-[0-9a-f]{4}", text) is None


def test_withheld_ones_are_counted_and_nothing_more() -> None:
    leaving = outgoing(notebook_records())
    assert leaving.withheld["pin"] == 2  # perch and vantage
    assert leaving.withheld["sighting"] == 1
    assert {one.sensitivity for one in leaving.places} == {"open", "low", "medium", "high"}
    assert "Withheld: 2 pins" in leaving.statement
    assert leaving.statement.endswith("; notes and ids stay behind.")


def test_full_precision_is_another_word_and_lets_all_out(
    written: Callable[[Outgoing], str],
) -> None:
    leaving = outgoing(notebook_records(), is_exact=True)
    text = written(leaving)
    assert all(_begun(lat, 6) in text for lat, _ in EXACT.values())
    assert "ALL at full precision" in leaving.statement


def test_a_new_field_stays_inside_until_it_is_listed() -> None:
    """Every fact that leaves is one of these; whoever adds one adds it here on purpose."""
    leaving = outgoing(notebook_records(), is_exact=True)
    facts = {(one.kind, name) for one in leaving.places for name in one.facts}
    assert facts == {
        ("site", "zone"),
        ("perch", "kind"),
        ("perch", "height_m"),
        ("perch", "spread_m"),
        ("perch", "ground"),
        ("vantage", "cover"),
        ("vantage", "lens_height_m"),
        ("vantage", "support"),
        ("vantage", "slope_deg"),
    }
    assert all(name in fields_of(KINDS[kind]) for kind, name in facts)


def test_a_site_takes_its_own_pins_only() -> None:
    other = "00000000-0000-4000-8000-0000000000f2"
    assert outgoing(notebook_records(), site=other).places == ()


# -- GeoJSON (RFC 7946)


def test_geojson_has_longitude_first_and_no_crs() -> None:
    told = json.loads(geojson_of(outgoing(notebook_records())))
    assert told["type"] == "FeatureCollection"
    assert "crs" not in told
    perch = next(one for one in told["features"] if one["properties"].get("name") == NAMES["open"])
    lat, lon = EXACT["open"]
    assert perch["geometry"]["coordinates"] == [lon, lat, 77.7]
    assert perch["properties"]["coordinateUncertaintyInMeters"] == 6.5
    coarse = [one for one in told["features"] if "dataGeneralizations" in one["properties"]]
    assert len(coarse) == 9  # three classes: perch, vantage, sighting
    assert told["informationWithheld"].startswith("2 pins")


@pytest.mark.parametrize("turned", [False, True])
def test_rings_run_anticlockwise_and_are_cut_at_the_180th_meridian(turned: bool) -> None:
    corners = [(-10.0, 179.0), (-10.0, -179.0), (-11.0, -179.0), (-11.0, 179.0)]
    if turned:
        corners.reverse()
    records = notebook_records()
    area = record(
        "area",
        id="00000000-0000-4000-8000-0000000000f3",
        site=SITE,
        kind="water",
        outline=[{"lat": lat, "lon": lon} for lat, lon in corners],
    )
    records["area"] = {area.id: area}
    told = json.loads(geojson_of(outgoing(records)))
    (geometry,) = [
        one["geometry"] for one in told["features"] if one["properties"]["what"] == "area"
    ]
    assert geometry["type"] == "MultiPolygon"  # RFC 7946, 3.1.9
    rings = [part[0] for part in geometry["coordinates"]]
    assert sorted(sorted({corner[0] for corner in ring}) for ring in rings) == [
        [-180.0, -179.0],
        [179.0, 180.0],
    ]
    for ring in rings:
        assert ring[0] == ring[-1]
        pairs = itertools.pairwise(ring)
        assert sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs) > 0  # RFC 7946, 3.1.6


# -- GPX 1.1

# The order that the schema of GPX 1.1 demands within a waypoint, shortened to what is written here.
_ORDER = ("ele", "name", "desc", "type")


def test_gpx_is_read_by_another_reader() -> None:
    read = gpxpy.parse(gpx_of(outgoing(notebook_records())).decode())
    assert read.version == "1.1"
    named = {one.name: one for one in read.waypoints}
    perch = named[NAMES["open"]]
    assert (perch.latitude, perch.longitude) == EXACT["open"]
    assert perch.elevation == 77.7
    assert len(read.waypoints) == 9


def test_gpx_keeps_the_order_and_bounds_of_its_schema() -> None:
    records = notebook_records()
    site = records["site"][SITE]
    edge = attrs.evolve(site.centre, lon=180.0)
    records["site"][SITE] = attrs.evolve(site, centre=edge, name="A \x01 & <b>")
    from xml.etree import ElementTree as Tree

    root = Tree.fromstring(gpx_of(outgoing(records)))
    for point in root.iter(f"{{{NAMESPACE}}}wpt"):
        names = [child.tag.removeprefix(f"{{{NAMESPACE}}}") for child in point]
        assert names == [name for name in _ORDER if name in names]
        assert -180 <= float(point.attrib["lon"]) < 180  # maxExclusive in the schema
        assert -90 <= float(point.attrib["lat"]) <= 90


# -- CSV


def test_a_cell_never_runs_as_a_formula() -> None:
    records = notebook_records()
    perch = records["perch"][perch_id("open")]
    records["perch"][perch.id] = attrs.evolve(perch, name='=HYPERLINK("x")')
    rows = list(csv.DictReader(io.StringIO(sheets_of(outgoing(records))["pins.csv"])))
    assert '\'=HYPERLINK("x")' in {row["name"] for row in rows}
    assert all(float(row["lon"]) for row in rows)


def test_blank_visits_leave_like_others() -> None:
    records = notebook_records()
    records["sighting"] = {}
    rows = list(csv.DictReader(io.StringIO(sheets_of(outgoing(records))["visits.csv"])))
    assert [row["sightings"] for row in rows] == ["0"] * 4  # the withheld one stays


# -- calendar


def test_a_calendar_entry_holds_a_name_and_a_time_alone() -> None:
    start = dt.datetime(2026, 5, 12, 2, 30, tzinfo=dt.UTC)
    entry = Entry(name="Slate; dawn, é" + "ö" * 60, start=start, end=start + dt.timedelta(hours=3))
    raw = calendar_of([entry], start)
    assert all(len(line) <= 75 for line in raw.split(b"\r\n"))  # RFC 5545, 3.1
    assert b"\n" not in raw.replace(b"\r\n", b"")
    (event,) = Calendar.from_ical(raw).walk("VEVENT")
    assert set(event.required) <= set(event)  # UID, DTSTAMP
    assert str(event["SUMMARY"]) == entry.name
    assert event["DTSTART"].dt == start
    assert set(event) == {"UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "CLASS"}
    assert raw == calendar_of([entry], start)


# -- pictures


def test_pictures_leave_small_and_say_nothing(tmp_path: Path) -> None:
    told = Image.Exif()
    told[0x010E] = "Secret holt"
    told.get_ifd(0x8825).update({1: "N", 2: (51.0, 17.0, 29.0)})
    Image.new("RGB", (900, 600), "grey").save(tmp_path / "a.jpg", exif=told)
    assert b"Secret" in (tmp_path / "a.jpg").read_bytes()
    (tmp_path / "b.jpg").write_bytes(b"no picture")
    stream = io.BytesIO()
    assert bundles.pictures_into(stream, [tmp_path / "a.jpg", tmp_path / "b.jpg"]) == (1, 1)
    with zipfile.ZipFile(stream) as bundle:
        assert bundle.namelist() == ["001.jpg"]
        raw = bundle.read("001.jpg")
    assert b"Secret" not in raw
    assert not dict(Image.open(io.BytesIO(raw)).getexif())


def test_only_pictures_of_open_places_may_go() -> None:
    records = notebook_records()
    leaving = outgoing(records)
    assert leaving.photos == ("0" * 64,)
    assert leaving.withheld["photo"] == 4


# -- the ranger's page


def test_the_rangers_page_tells_visits_and_no_position() -> None:
    records = notebook_records()
    site = records["site"][SITE]
    days = dt.date(2026, 5, 1), dt.date(2026, 5, 12)
    page = rangers_page(records, site, *days)
    assert [row.date for row in page.rows] == ["2026-05-10", "2026-05-11", "2026-05-12"]
    assert page.rows[0].came == "04:35"
    assert page.rows[0].who == "Ada"
    assert page.rows[0].vantages == ("Secret hide open",)
    assert page.rows[1].vantages == ("a vantage (hide)",)
    assert page.rows[0].distance == "12 m"
    text = filled("ranger.html", page=page)
    assert not [lat for lat, _ in EXACT.values() if _begun(lat, 3) in text]


def test_a_sensitive_sites_permission_keeps_its_words() -> None:
    records = notebook_records()
    site = attrs.evolve(records["site"][SITE], sensitivity="high", code_name="Slate")
    records["site"][SITE] = site
    one = record(
        "permission",
        id="00000000-0000-4000-8000-0000000000f4",
        site=SITE,
        from_whom="The keeper of Secret dean",
        conditions="The Secret log only",
    )
    records["permission"] = {one.id: one}
    page = rangers_page(records, site, dt.date(2026, 5, 1), dt.date(2026, 5, 31))
    text = filled("ranger.html", page=page)
    assert "Visits to Slate" in text
    assert "Held, and kept in the notebook" in text
    assert "Secret" not in text
