"""A skyline out of many measurings and taps of the sun."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from scout.engine.skyline import Node, Skyline
from scout.engine.sun import sun_position
from scout.engine.survey import Measuring, Tap, skyline_from

LAT, LON = 52.0, 0.0
MORNING = datetime(2025, 4, 10, 6, 0, tzinfo=UTC)


def _built(*args: object) -> Skyline:
    line = skyline_from(*args)  # type: ignore[arg-type]
    assert line is not None
    return line


def test_nothing_known_is_none() -> None:
    assert skyline_from([]) is None
    assert skyline_from([Measuring([])]) is None


def test_the_heading_of_a_measuring_reaches_its_nodes() -> None:
    line = _built([Measuring([Node(60, 4), Node(80, 8)], "aimed", 10.0)])
    assert [node.heading_plus_minus_deg for node in line.nodes] == [10, 10]


def test_a_tap_is_a_node_at_the_apparent_sun() -> None:
    line = _built([], [Tap(MORNING)], LAT, LON)
    sun = sun_position(LAT, LON, MORNING)
    reading = line.at(sun.azimuth_deg)
    assert reading is not None
    assert reading.altitude_deg == pytest.approx(sun.apparent_altitude_deg, abs=0.001)
    assert reading.plus_minus_deg == 0.2
    assert reading.heading_plus_minus_deg == 0
    assert reading.what == "tapped"


def test_a_tap_draws_its_neighbourhood_along_and_leaves_the_rest() -> None:
    sun = sun_position(LAT, LON, MORNING)
    centre = sun.azimuth_deg
    aimed = Measuring(
        [Node(centre + off, 10, 1, "wood") for off in (-20, -2.5, 0.1, 2.5, 20)], "aimed", 10.0
    )
    line = _built([aimed], [Tap(MORNING)], LAT, LON)
    residual = sun.apparent_altitude_deg - 10
    by_offset = {round(node.azimuth_deg - centre, 1): node for node in line.nodes}
    assert list(by_offset) == [-20.0, -2.5, 0.0, 2.5, 20.0]  # the tap replaced the node beside it
    assert by_offset[2.5].altitude_deg == pytest.approx(10 + residual / 2, abs=0.02)
    assert by_offset[2.5].plus_minus_deg == pytest.approx(0.6, abs=0.01)
    assert by_offset[2.5].heading_plus_minus_deg == pytest.approx(5, abs=0.05)
    assert by_offset[20.0] == Node(centre + 20, 10, 1, "wood", 10.0)


def test_taps_a_minute_apart_are_one_node() -> None:
    taps = [Tap(MORNING), Tap(MORNING + timedelta(minutes=1), sun_on=False)]
    line = _built([], taps, LAT, LON)
    assert len(line.nodes) == 1
    far = [Tap(MORNING), Tap(MORNING + timedelta(minutes=30))]
    assert len(_built([], far, LAT, LON).nodes) == 2


def test_what_was_seen_counts_before_bare_terrain() -> None:
    terrain = Measuring([Node(a, 2, 0.1, "hill") for a in range(40, 121, 10)], "terrain")
    aimed = Measuring([Node(70, 8, 1, "wood"), Node(90, 8, 1, "wood")], "aimed", 5)
    line = _built([terrain, aimed])
    assert line.altitude_at(80) == pytest.approx(8)
    assert line.altitude_at(50) == pytest.approx(2)
    assert line.altitude_at(110) == pytest.approx(2)


@pytest.mark.parametrize("apart_deg", [3.0, 5.9, 6.05, 6.5, 20.0, 40.0])
def test_where_two_leaves_meet_each_keeps_what_it_tells_of(apart_deg: float) -> None:
    # A node tells of 3° to either side, whatever begins beyond.
    today = Measuring([Node(80, 5, 1, "hill"), Node(100, 5, 1, "hill")])
    nodes = [Node(100 + apart_deg, 15, 1, "tree"), Node(140 + apart_deg, 15, 1, "tree")]
    line = skyline_from([today, Measuring(nodes, other_leaf=True)])
    assert line is not None
    assert [line.altitude_at(azimuth) for azimuth in (100.0, 102.9)] == [5, 5]
    begins = max(103.15, 97.1 + apart_deg)
    assert [line.altitude_at(azimuth) for azimuth in (begins, 140.0)] == pytest.approx([15, 15])


def test_equal_measurings_are_averaged_with_their_spread() -> None:
    one = Measuring([Node(70, 6, 0.5), Node(90, 6, 0.5)])
    other = Measuring([Node(70, 9, 0.5), Node(90, 9, 0.5)])
    reading = _built([one, other]).at(80)
    assert reading is not None
    assert reading.altitude_deg == pytest.approx(7.5)
    assert reading.plus_minus_deg == pytest.approx(1.5)


def test_the_better_instrument_counts() -> None:
    phone = Measuring([Node(70, 6, 2.0), Node(90, 6, 2.0)])
    sharp = Measuring([Node(70, 9, 0.5), Node(90, 9, 0.5)])
    assert _built([phone, sharp]).altitude_at(80) == pytest.approx(9)


def test_the_order_of_measurings_does_not_matter() -> None:
    one = Measuring([Node(70, 6, 0.5), Node(90, 7, 0.5)])
    other = Measuring([Node(75, 9, 0.6), Node(95, 9, 0.6)], "photo", 2)
    assert _built([one, other]).nodes == _built([other, one]).nodes


def test_bad_surveys_are_sentences() -> None:
    with pytest.raises(ValueError, match="Two skyline nodes lie at azimuth 70"):
        skyline_from([Measuring([Node(70, 4), Node(70, 5)])])
    with pytest.raises(ValueError, match="need the latitude and longitude"):
        skyline_from([], [Tap(MORNING)])
    with pytest.raises(ValueError, match="degrees below the horizon at the tap"):
        skyline_from([], [Tap(MORNING - timedelta(hours=4))], LAT, LON)
    with pytest.raises(ValueError, match="at_utc of a tap has no time zone"):
        skyline_from([], [Tap(datetime(2025, 4, 10, 6, 0))], LAT, LON)
    with pytest.raises(ValueError, match="source of a skyline is 'dreamt'"):
        skyline_from([Measuring([Node(70, 4)], "dreamt")])  # type: ignore[arg-type]
