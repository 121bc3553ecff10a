"""Positions as people type them: read whole and right, or refused in words."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.records.coordinates import LONGEST_TEXT, parse, written

# Worked by hand: 57 degrees 12 minutes 30 seconds = 57 + 12/60 + 30/3600.
NORTH, WEST = 57.0 + 12.5 / 60, -(3.0 + 49.0 / 60)

READ = [
    ("57 12 30 N, 3 49 0 W", NORTH, WEST),
    ("57 12 30 N 3 49 0 W", NORTH, WEST),
    ("N57 12.5 W3 49.0", NORTH, WEST),
    ("N 57 12.5, W 3 49.0", NORTH, WEST),
    ("57°12'30\"N 3°49'0\"W", NORTH, WEST),
    ("57\u00b012\u203230\u2033N, 003\u00b049\u203200\u2033W", NORTH, WEST),
    ("57 \u00ba 12 \u2019 30 \u201d N ; 3 \u00ba 49 \u2019 W", NORTH, WEST),
    ("57°12'30''N 3°49'00''W", NORTH, WEST),
    ("57:12:30 N 3:49:00 W", NORTH, WEST),
    ("57 deg 12.5 min N, 3 deg 49 min W", NORTH, WEST),
    ("57 12 30 -3 49 0", NORTH, WEST),
    ("+57 12.5, -3 49.0", NORTH, WEST),
    ("57°12'30\" -3°49'0\"", NORTH, WEST),
    ("W 3 49 0, N 57 12 30", NORTH, WEST),
    ("3°49'W 57°12.5'N", NORTH, WEST),
    ("57.2083, -3.8167", 57.2083, -3.8167),
    ("57.2083,-3.8167", 57.2083, -3.8167),
    ("57.2083 -3.8167", 57.2083, -3.8167),
    ("  57.2083\u00a0 \u22123.8167 ", 57.2083, -3.8167),
    ("57.2083; -3.8167", 57.2083, -3.8167),
    ("57.2083° N, 3.8167° W", 57.2083, -3.8167),
    ("57.2083n 3.8167w", 57.2083, -3.8167),
    ("57.2083 north 3.8167 west", 57.2083, -3.8167),
    ("52.1234 1.2345", 52.1234, 1.2345),
    ("52.5 S, 0.5 E", -52.5, 0.5),
    ("-0 30 0, 0 30 0 ", -0.5, 0.5),
    ("52, 1", 52.0, 1.0),
    ("90, -180", 90.0, -180.0),
    ("geo:57.2083,-3.8167", 57.2083, -3.8167),
    ("GEO:57.2083,-3.8167,212;crs=wgs84;u=12", 57.2083, -3.8167),
    ("geo:57,-3", 57.0, -3.0),
]

REFUSED = [
    ("", "empty"),
    ("   ", "empty"),
    ("57,2083 -3,8167", "decimal comma"),
    ("52,1234 N, 1,2345 W", "decimal comma"),
    ("57,2083, -3,8167", "decimal comma"),
    ("57 12,5 N 3 49,0 W", "decimal comma"),
    ("52,1", "decimal comma"),
    ("57 12 30 3 49 0", "hemispheres|where latitude ends"),
    ("57 12 30, 3 49 0", "no hemispheres"),
    ("57°12'30\" 3°49'0\"", "no hemispheres"),
    ("52 1", "where latitude ends"),
    ("52 1.5", "where latitude ends"),
    ("52.1234", "cannot be split"),
    ("52.1234 N", "cannot be split"),
    ("57 12 30 N", "cannot be split"),
    ("52.1234 N, 1.2345", "one value only"),
    ("52.1234 N, 1.2345 S", "N and S"),
    ("52.1234 W, 1.2345 E", "W and E"),
    ("-52.1234 S, 1.2345 E", "sign and a letter"),
    ("N 52.1234 N, 1.2345 E", "two hemisphere letters"),
    ("57 12, -3.8167", "one value in degrees"),
    ("57, 12 30", "no hemispheres|one value in degrees"),
    ("52.1234, -1.2345, 12", "more than one comma"),
    ("91 N, 0 E", "latitude must lie between -90 and 90 degrees, not 91"),
    ("-122.4194, 37.7749", "latitude must lie between"),
    ("52 N, 181 E", "longitude must lie between -180 and 180"),
    ("57 60 N, 3 49 W", "minutes of the first value"),
    ("57 12 N, 3 49 60 W", "seconds of the second value"),
    ("57.5 12 N, 3 49 W", "decimals in its degrees"),
    ("57 12.5 30 N, 3 49 W", "decimals in its minutes"),
    ("57°30\"N 3°49'W", "first value .* not understood"),
    ("571230N 0034900W", "not understood"),
    ("NH 123 456", "map grid"),
    ("NH123456", "map grid"),
    ("30U 512345 5712345", "map grid"),
    ("30U WV 12345 67890", "map grid"),
    ("512345 5712345", "where latitude ends|not understood"),
    ("52.1 O, 1.2 N", "holds O"),
    ("lat 52.1 lon 1.2", "holds"),
    ("the old oak", "holds"),
    ("\u0665\u0662.1 N, 1.2 W", "holds"),
    ("1e1, 2", "not understood"),
    ("nan, nan", "N.* not understood|holds"),
    ("52.1234 N, 1.2345 W (roughly)", "holds"),
    ("52. N, 1.2 W", "not understood"),
    ("--52.1, 1.2", "not understood"),
    ("geo:52,1,-1,2", "geo: address was not understood"),
    ("geo:52.1;-1.2", "geo: address was not understood"),
    ("geo:52.1,-1.2?z=16", "geo: address was not understood"),
    ("geo:52.1,-1.2;crs=osgb", "must be in WGS84"),
    ("geo:52.1,-1.2;u=near", "uncertainty u"),
    ("geo:95.1,-1.2", "latitude must lie"),
    ("5" * (LONGEST_TEXT + 1), "longer than"),
]


@pytest.mark.parametrize(("text", "lat", "lon"), READ)
def test_what_is_read(text: str, lat: float, lon: float) -> None:
    found = parse(text)
    assert found.lat_deg == pytest.approx(lat, abs=1e-12)
    assert found.lon_deg == pytest.approx(lon, abs=1e-12)


@pytest.mark.parametrize(("text", "message"), REFUSED)
def test_what_is_refused(text: str, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        parse(text)


def test_what_is_no_text_is_refused() -> None:
    with pytest.raises(ValueError, match="must be a text"):
        parse(52.1)  # type: ignore[arg-type]


# A degree is about 111 km, a minute 1.85 km (a nautical mile), a second 31 m; half of the last
# digit counts.
@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("52.1234, 1.2345", 5.6),
        ("52.12345, 1.2345", 3.4),  # longitude is the coarser; its degree is shorter up here
        ("0.0000, 0.0000", 5.6),
        ("52 12.5 N, 1 14.5 W", 93.0),
        ("52 12 30 N, 1 14 0 W", 15.5),
        ("52 12 30.0 N, 1 14 0.0 W", 1.55),
        ("52 N, 1 W", 55_660.0),
        ("geo:52.12345,1.23451;u=40", 40.0),
    ],
)
def test_how_finely_it_was_stated(text: str, metres: float) -> None:
    assert parse(text).precision_m == pytest.approx(metres, rel=0.02)


@given(st.floats(-90.0, 90.0), st.floats(-180.0, 180.0), st.integers(0, 9))
def test_what_is_shown_reads_back(lat: float, lon: float, decimals: int) -> None:
    found = parse(written(lat, lon, decimals))
    half = 0.5 * 10.0**-decimals + 1e-12
    assert abs(found.lat_deg - lat) <= half
    assert abs(found.lon_deg - lon) <= half


def test_what_is_shown() -> None:
    assert written(NORTH, WEST) == "57.20833° N, 3.81667° W"
    assert written(-0.000001, -0.000001) == "0.00000° N, 0.00000° E"
    with pytest.raises(ValueError, match="latitude must lie"):
        written(91.0, 0.0)
    with pytest.raises(ValueError, match="longitude must lie"):
        written(0.0, math.nan)


def _minutes(value: float, decimals: int) -> tuple[int, float]:
    size = round(abs(value) * 60, decimals)
    return int(size // 60), size % 60


@st.composite
def typed(draw: st.DrawFn) -> tuple[str, float, float, float]:
    """Write a position in one of many ways, with what it means and how finely."""
    lat, lon = draw(st.floats(-89.9, 89.9)), draw(st.floats(-179.9, 179.9))
    north, east = ("S" if lat < 0 else "N"), ("W" if lon < 0 else "E")
    shape = draw(st.integers(0, 6))
    (lat_d, lat_m), (lon_d, lon_m) = _minutes(lat, 3), _minutes(lon, 3)
    texts = [
        f"{lat:.5f}, {lon:.5f}",
        f"{lat:.5f} {lon:.5f}",
        f"{abs(lat):.5f} {north}, {abs(lon):.5f} {east}",
        f"{north}{lat_d} {lat_m:.3f} {east}{lon_d} {lon_m:.3f}",
        f"{lat_d}°{lat_m:.3f}'{north} {lon_d}°{lon_m:.3f}'{east}",
        f"{east} {lon_d} {lon_m:.3f}, {north} {lat_d} {lat_m:.3f}",
        f"{lat_d}° {int(lat_m)}' {lat_m % 1 * 60:.0f}.0\" {north}, "
        f"{lon_d}° {int(lon_m)}' {lon_m % 1 * 60:.0f}.0\" {east}",
    ]
    near = 1e-5 if shape < 3 else (2e-5 if shape < 6 else 3e-4)
    return texts[shape], lat, lon, near


@given(typed())
def test_every_way_of_writing_means_the_same(case: tuple[str, float, float, float]) -> None:
    text, lat, lon, near = case
    # Rounding may print 60 seconds or minutes, which is rightly refused.
    if case[3] > 1e-5 and re.search(r"[ °]60\.0(00)?['\" ]", text):
        with pytest.raises(ValueError, match="below 60"):
            parse(text)
        return
    found = parse(text)
    assert abs(found.lat_deg - lat) <= near
    assert abs(found.lon_deg - lon) <= near


@given(typed(), st.data())
def test_a_slip_is_refused_or_harmless(
    case: tuple[str, float, float, float], data: st.DataObject
) -> None:
    """Change one sign that is no digit: the answer is the same place, or there is none."""
    text, lat, lon, near = case
    spots = [n for n, sign in enumerate(text) if not sign.isdigit() and sign != "-"]
    spot = data.draw(st.sampled_from(spots))
    was = text[spot]
    if was == ".":
        slips = [","]
    elif was == " ":
        slips = [",", ";", "  ", "\t", "°", "'", '"', ":", "/", "\u2014"]
    elif was in "NSEW":
        # N for S is another place, well written; no reader can know.
        slips = ["", "O", "X", was.lower(), was + was, *({"N": "EW", "S": "EW"}.get(was, "NS"))]
    else:
        slips = ["", " ", ",", ";", "°", "'", '"', was + was, was + " ", "_"]
    slip = data.draw(st.sampled_from(slips))
    try:
        found = parse(text[:spot] + slip + text[spot + 1 :])
    except ValueError:
        return
    assert abs(found.lat_deg - lat) <= near
    assert abs(found.lon_deg - lon) <= near


@given(st.text(alphabet="0123456789.,;-+ NSEW°'\":", max_size=40))
def test_any_text_is_answered_within_bounds_or_refused(text: str) -> None:
    try:
        found = parse(text)
    except ValueError:
        return
    assert -90.0 <= found.lat_deg <= 90.0
    assert -180.0 <= found.lon_deg <= 180.0
    assert found.precision_m > 0.0
