"""The skyline as a line: between nodes, across north, where nobody looked, and its sky."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import dblquad

from scout.engine.skyline import Habits, Node, Skyline, recorded_share, sky_factor


def _level(altitude_deg: float, plus_minus_deg: float = 0.0) -> Skyline:
    return Skyline([Node(azimuth, altitude_deg, plus_minus_deg) for azimuth in range(0, 360, 10)])


def test_linear_between_nodes_and_what_stands_there() -> None:
    line = Skyline([Node(60, 4, 1, "hill"), Node(80, 8, 2, "conifer")])
    assert line.altitude_at(60) == 4
    assert line.altitude_at(65) == pytest.approx(5)
    assert line.altitude_at(80) == 8
    reading = line.at(75)
    assert reading is not None
    assert reading.plus_minus_deg == pytest.approx(1.75)
    assert reading.what == "conifer"
    assert line.altitude_at(425) == pytest.approx(5)


def test_linear_across_north() -> None:
    line = Skyline([Node(350, 2), Node(10, 6)])
    assert line.altitude_at(0) == pytest.approx(4)
    assert line.altitude_at(355) == pytest.approx(3)
    assert line.altitude_at(360) == pytest.approx(4)
    assert line.altitude_at(5) == pytest.approx(5)
    assert line.altitude_at(180) is None


def test_outside_what_was_recorded_there_is_no_guess() -> None:
    line = Skyline([Node(60, 4), Node(80, 8)])
    assert line.altitude_at(57.5) == 4  # within the reach of the last node
    assert line.altitude_at(82.9) == 8
    assert line.altitude_at(56.9) is None
    assert line.altitude_at(83.1) is None
    assert line.plus_minus_at(83.1) is None
    assert sorted(end.azimuth_deg for end in line.ends()) == [57, 83]
    assert Skyline([Node(60, 4)], Habits(reach_deg=10)).altitude_at(69) == 4


def test_nodes_too_far_apart_are_not_joined() -> None:
    line = Skyline([Node(60, 4), Node(110, 8)])
    assert line.altitude_at(85) is None
    assert Skyline([Node(60, 4), Node(110, 8)], Habits(widest_gap_deg=60)).altitude_at(85) == 6


def test_a_heading_error_counts_as_slope_times_heading() -> None:
    sloping = Skyline([Node(60, 4, 0.3, "", 10), Node(100, 12, 0.3, "", 10)])
    assert sloping.plus_minus_at(80) == pytest.approx(math.hypot(0.3, 0.2 * 10))
    assert _level(5, 0.3).plus_minus_at(80) == pytest.approx(0.3)


@pytest.mark.parametrize(("g", "share"), [(20, 0.57), (30, 0.39), (45, 0.18)])
def test_sky_of_an_upright_face_over_an_even_skyline(g: float, share: float) -> None:
    radians = math.radians(g)
    closed = 1 - 2 / math.pi * (radians + math.sin(radians) * math.cos(radians))
    assert sky_factor(_level(g), 123.0) == pytest.approx(closed, abs=1e-9)
    assert closed == pytest.approx(share, abs=0.005)


def test_sky_over_an_uneven_skyline_is_the_integral() -> None:
    # The defining integral, cosine at an upright face over an even sky, by scipy.
    line = Skyline([Node(a, 20 + 15 * math.sin(math.radians(a))) for a in range(0, 360, 5)])

    def height(off: float) -> float:
        altitude = line.altitude_at(70 + math.degrees(off))
        assert altitude is not None
        return math.radians(altitude)

    seen, _ = dblquad(
        lambda h, off: math.cos(off) * math.cos(h) ** 2,
        -math.pi / 2,
        math.pi / 2,
        height,
        math.pi / 2,
        epsabs=1e-4,
    )
    assert sky_factor(line, 70.0) == pytest.approx(seen / (math.pi / 2), abs=0.002)


def test_sky_counts_only_the_half_before_the_face() -> None:
    wall = Skyline([Node(a, 60 if 100 <= a <= 260 else 0) for a in range(0, 360, 5)])
    assert sky_factor(wall, 0.0) > 0.99
    assert sky_factor(wall, 180.0) < 0.1
    assert sky_factor(None, 10.0) == 1.0
    assert sky_factor(_level(90), 10.0) == pytest.approx(0.0, abs=1e-12)
    assert sky_factor(_level(-5), 10.0) == 1.0
    assert recorded_share(None, 10.0) == 0.0
    assert recorded_share(_level(3), 10.0) == 1.0
    assert recorded_share(Skyline([Node(45, 4), Node(90, 4)]), 67.5) == pytest.approx(52 / 180)


@given(
    st.lists(st.integers(0, 359), min_size=1, max_size=40, unique=True),
    st.floats(0, 360),
    st.integers(0, 1000),
)
def test_the_line_stays_between_its_nodes(azimuths: list[int], asked: float, seed: int) -> None:
    nodes = [Node(a, (a * 7 + seed) % 30) for a in azimuths]
    line = Skyline(nodes)
    found = line.altitude_at(asked)
    heights = [node.altitude_deg for node in nodes]
    assert found is None or min(heights) - 1e-9 <= found <= max(heights) + 1e-9
    for node in nodes:
        assert line.altitude_at(node.azimuth_deg) == pytest.approx(node.altitude_deg)


def test_bad_skylines_are_sentences() -> None:
    with pytest.raises(ValueError, match="Two skyline nodes lie at azimuth 70"):
        Skyline([Node(70, 4), Node(90, 5), Node(70, 6)])
    with pytest.raises(ValueError, match="Two skyline nodes lie at azimuth 0"):
        Skyline([Node(0, 4), Node(360, 5)])
    with pytest.raises(ValueError, match="at least one node"):
        Skyline([])
    with pytest.raises(ValueError, match="azimuth of a skyline node must lie between 0 and 360"):
        Node(400, 4)
    with pytest.raises(ValueError, match="altitude of a skyline node must be a finite number"):
        Node(40, math.nan)
    with pytest.raises(ValueError, match="between -30 and 90"):
        Node(40, 91)
    with pytest.raises(ValueError, match="give 0 or more"):
        Node(40, 4, -1)
