"""When the sun clears a skyline: closed cases, shadows by vectors, brute force, and the ±."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from scout.engine.clearing import Edge, sun_on
from scout.engine.instants import seconds_of
from scout.engine.sessions import dawn_of
from scout.engine.skyline import Node, Skyline
from scout.engine.sun import SunPath


def _level(altitude_deg: float, plus_minus_deg: float = 0.0, heading: float = 0.0) -> Skyline:
    return Skyline(
        [Node(a, altitude_deg, plus_minus_deg, "wood", heading) for a in range(0, 360, 10)]
    )


def _dawn(lat: float, day: date) -> tuple[datetime, datetime]:
    dawn = dawn_of(lat, 0.0, "UTC", day)
    assert dawn.start_utc is not None
    assert dawn.end_utc is not None
    return dawn.start_utc, dawn.end_utc


def _first(skyline: Skyline | None, lat: float, day: date) -> Edge:
    edge = sun_on(skyline, lat, 0.0, *_dawn(lat, day)).first_on
    assert edge is not None
    return edge


def _root(height: Callable[[float], float], around: datetime) -> float:
    middle = seconds_of(around)
    return float(brentq(height, middle - 900, middle + 900, xtol=0.01))


def test_a_flat_skyline_is_cleared_at_its_altitude() -> None:
    edge = _first(_level(5), 52, date(2025, 5, 14))
    path = SunPath(52, 0)
    at = _root(lambda t: path.apparent(t)[0] - 5, edge.at_utc)
    limb = _root(lambda t: path.apparent(t)[0] + 0.267 - 5, edge.at_utc)
    assert seconds_of(edge.at_utc) == pytest.approx(at, abs=1)
    assert edge.limb_utc is not None
    assert seconds_of(edge.limb_utc) == pytest.approx(limb, abs=1)
    assert edge.altitude_deg == pytest.approx(5, abs=0.001)
    assert edge.plus_minus_min == 0
    assert edge.sure
    assert not edge.assumed_level
    assert edge.what == "wood"


def test_no_skyline_is_a_level_horizon_and_says_so() -> None:
    start, end = _dawn(52, date(2025, 5, 14))
    found = sun_on(None, 52, 0.0, start, end)
    edge = found.first_on
    assert edge is not None
    assert found.assumed_level
    assert edge.assumed_level
    assert edge.plus_minus_min is None
    assert edge.altitude_deg == pytest.approx(0, abs=0.001)
    # The first limb is then the sunrise of the almanacs but for 34' against Saemundsson's 37'.
    rise = dawn_of(52, 0.0, "UTC", date(2025, 5, 14)).sun_level_utc
    assert edge.limb_utc is not None
    assert rise is not None
    assert abs(edge.limb_utc - rise) < timedelta(seconds=45)


def test_beyond_the_recorded_sector_a_level_horizon_is_assumed() -> None:
    partly = Skyline([Node(90, 4), Node(120, 4)])
    start, end = _dawn(52, date(2025, 5, 14))
    found = sun_on(partly, 52, 0.0, start, end)
    assert found.assumed_level
    assert found.first_on is not None
    assert found.first_on.assumed_level
    high = Skyline([Node(80, 30), Node(120, 30)])  # and it goes behind what was recorded
    found = sun_on(high, 52, 0.0, start, end)
    assert len(found.times) == 1
    off = found.last_off
    assert off is not None
    assert off.azimuth_deg == pytest.approx(77, abs=0.05)


def test_the_shadow_of_a_wall_by_vectors() -> None:
    # A straight wall to the east, its top 9 m above the perch, 40 m away, running along bearing
    # 10: the perch is lit when the ray from it to the sun passes over the top.
    top_m, away_m, along = 9.0, 40.0, math.radians(10)
    normal = (math.cos(along), -math.sin(along))  # east, north

    def height(azimuth_deg: float) -> float:
        a = math.radians(azimuth_deg)
        towards = math.sin(a) * normal[0] + math.cos(a) * normal[1]
        return math.degrees(math.atan2(top_m * towards, away_m)) if towards > 0 else 0.0

    wall = Skyline([Node(a / 2, height(a / 2)) for a in range(720)])
    path = SunPath(52, 0)

    def clearance_m(t: float) -> float:
        altitude, azimuth = (math.radians(v) for v in path.apparent(t))
        ray = (
            math.cos(altitude) * math.sin(azimuth),
            math.cos(altitude) * math.cos(azimuth),
            math.sin(altitude),
        )
        towards = ray[0] * normal[0] + ray[1] * normal[1]
        return ray[2] * away_m / towards - top_m

    for day in (date(2025, 3, 1), date(2025, 5, 14), date(2025, 10, 20)):
        edge = _first(wall, 52, day)
        assert seconds_of(edge.at_utc) == pytest.approx(_root(clearance_m, edge.at_utc), abs=2)


def test_windows_cut_a_time_in_the_sun() -> None:
    noon = datetime(2025, 5, 14, 12, tzinfo=UTC)
    found = sun_on(_level(5), 52, 0.0, noon, noon + timedelta(hours=1))
    assert found.always_on
    assert found.times[0].start.cut
    assert found.times[0].end.cut
    assert found.first_on is None
    assert found.last_off is None
    night = sun_on(_level(5), 52, 0.0, noon - timedelta(hours=12), noon - timedelta(hours=11))
    assert night.never_on
    assert not night.perhaps
    whole = sun_on(_level(5), 52, 0.0, noon - timedelta(hours=12), noon + timedelta(hours=12))
    assert len(whole.times) == 1
    assert whole.first_on is not None
    assert whole.last_off is not None
    assert whole.last_off.limb_utc is not None
    assert whole.last_off.limb_utc > whole.last_off.at_utc


@pytest.mark.parametrize(
    ("lat", "day", "least", "most"),
    # What a degree of skyline is worth in minutes, on one of 4 degrees: plausibility, by geometry.
    [
        (40, date(2025, 4, 15), 5, 10),
        (52, date(2025, 5, 14), 5, 10),
        (60, date(2025, 5, 14), 8, 13),
        (60, date(2025, 12, 21), 18, 26),
    ],
)
def test_a_degree_of_skyline_in_minutes(lat: float, day: date, least: float, most: float) -> None:
    edge = _first(_level(4, 1.0), lat, day)
    assert edge.plus_minus_min is not None
    assert least <= edge.plus_minus_min <= most


@pytest.mark.parametrize("slope", [-0.2, 0.2])
def test_a_heading_error_on_a_sloping_tree_line(slope: float) -> None:
    # Ten degrees of compass on a line that falls 0.2 degrees a degree are 2 degrees of altitude,
    # to be divided by how fast the sun gains on the line.
    line = Skyline([Node(a, 8 + slope * (a - 85), 0.0, "", 10.0) for a in range(20, 141, 10)])
    edge = _first(line, 52, date(2025, 5, 14))
    path, at = SunPath(52, 0), seconds_of(edge.at_utc)
    (low, before), (high, after) = path.apparent(at - 60), path.apparent(at + 60)
    gain = (high - low - slope * (after - before)) / 2  # degrees a minute
    assert edge.plus_minus_min == pytest.approx(2 / gain, rel=0.05)
    assert 8 < (edge.plus_minus_min or 0) < 25


def test_altitude_and_heading_add_in_quadrature() -> None:
    def line(plus_minus: float, heading: float) -> Skyline:
        return Skyline(
            [Node(a, 8 + 0.1 * (a - 85), plus_minus, "", heading) for a in range(20, 141, 10)]
        )

    day = date(2025, 5, 14)
    both, one, other = (
        _first(line(*pm), 52, day).plus_minus_min for pm in ((1, 8), (1, 0), (0, 8))
    )
    assert one is not None
    assert other is not None
    assert both == pytest.approx(math.hypot(one, other), rel=1e-3)


def test_a_line_just_above_the_noon_sun_is_a_perhaps() -> None:
    # On 21 December at 60 N the sun stands 6.6 degrees high at noon.
    noon = datetime(2025, 12, 21, 12, tzinfo=UTC)
    window = noon - timedelta(hours=3), noon + timedelta(hours=3)
    above = sun_on(_level(7.2, 1.0), 60, 0.0, *window)
    assert above.never_on
    assert above.perhaps
    assert not sun_on(_level(9, 1.0), 60, 0.0, *window).perhaps
    below = sun_on(_level(6.4, 1.0), 60, 0.0, *window)
    assert below.first_on is not None
    assert not below.first_on.sure


def test_a_gap_between_trunks_narrower_than_the_scan_is_found() -> None:
    nodes = [Node(a, 30) for a in range(40, 121, 2)] + [Node(73.0, 2), Node(72.9, 30)]
    nodes.append(Node(73.1, 30))
    found = sun_on(Skyline(nodes), 52, 0.0, *_dawn(52, date(2025, 5, 14)))
    gaps = [time for time in found.times if not time.start.assumed_level]
    assert len(gaps) == 1
    assert gaps[0].end.at_utc - gaps[0].start.at_utc < timedelta(minutes=2)
    assert gaps[0].start.azimuth_deg == pytest.approx(73, abs=0.1)


@given(
    heights=st.lists(st.floats(0, 25), min_size=36, max_size=36),
    lat=st.floats(-66, 66),
    day=st.integers(0, 364),
)
def test_all_times_agree_with_looking_every_ten_seconds(
    heights: list[float], lat: float, day: int
) -> None:
    line = Skyline([Node(10.0 * i, height) for i, height in enumerate(heights)])
    start = datetime(2025, 1, 1, 4, tzinfo=UTC) + timedelta(days=day)
    end = start + timedelta(hours=16)
    path = SunPath(lat, 0)
    found = sun_on(line, lat, 0.0, start, end, path=path, with_plus_minus=False)
    moments = [seconds_of(start) + 10 * i for i in range(16 * 360 + 1)]
    for t in moments:
        altitude, azimuth = path.apparent(t)
        clear = altitude - (line.altitude_at(azimuth) or 0)
        lit = any(
            seconds_of(time.start.at_utc) <= t <= seconds_of(time.end.at_utc)
            for time in found.times
        )
        assert lit is (clear >= 0) or abs(clear) < 0.012


def test_one_path_may_be_shared() -> None:
    window = _dawn(52, date(2025, 5, 14))
    path = SunPath(52, 0)
    line = _level(5, 1, 3)
    assert sun_on(line, 52, 0.0, *window, path=path) == sun_on(line, 52, 0.0, *window)


def test_bad_input_is_a_sentence() -> None:
    start = datetime(2025, 5, 14, tzinfo=UTC)
    with pytest.raises(ValueError, match="must lie before"):
        sun_on(None, 52, 0, start, start)
    with pytest.raises(ValueError, match="end_utc has no time zone"):
        sun_on(None, 52, 0, start, datetime(2025, 5, 15))
    with pytest.raises(ValueError, match="lat_deg is 91"):
        sun_on(None, 91, 0, start, start + timedelta(hours=1))
