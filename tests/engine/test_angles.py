"""Angles round the horizon, checked by unit vectors and by a published circular sample."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.engine.angles import (
    apart_deg,
    arc_deg,
    bearing,
    between,
    compass_letters,
    finite,
    mean_bearing,
    opposite_deg,
    range_words,
    turn_deg,
    wrap_deg,
)

any_angle = st.floats(-1e6, 1e6)
bearings = st.floats(0.0, 359.999)


def on_circle(angle_deg: float) -> complex:
    return complex(math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg)))


@given(any_angle)
def test_a_wrapped_angle_points_the_same_way(angle_deg: float) -> None:
    wrapped = wrap_deg(angle_deg)
    assert 0.0 <= wrapped < 360.0
    assert abs(on_circle(wrapped) - on_circle(angle_deg)) < 1e-9


@pytest.mark.parametrize("angle", [-1e-20, 360.0, -360.0, 720.0, -0.0, 0.0])
def test_a_full_turn_is_plain_zero(angle: float) -> None:
    assert math.copysign(1.0, wrap_deg(angle)) == 1.0
    assert wrap_deg(angle) == 0.0


@given(bearings, bearings)
def test_a_turn_leads_from_one_bearing_to_the_other(one: float, other: float) -> None:
    turn = turn_deg(one, other)
    assert -180.0 < turn <= 180.0
    assert abs(on_circle(one + turn) - on_circle(other)) < 1e-9
    # The angle between two unit vectors, by their chord.
    chord = 2 * math.degrees(math.asin(min(1.0, abs(on_circle(one) - on_circle(other)) / 2)))
    assert apart_deg(one, other) == pytest.approx(chord, abs=1e-5)


def test_turns_across_north_have_their_sense() -> None:
    assert turn_deg(350.0, 10.0) == 20.0
    assert turn_deg(10.0, 350.0) == -20.0
    assert turn_deg(90.0, 270.0) == turn_deg(270.0, 90.0) == 180.0


def test_the_mean_of_a_published_sample() -> None:
    # Zar, Biostatistical Analysis, example 26.4: directions of eight trees; mean 99 degrees,
    # r 0.82522 (mean 98.988 to three decimals by R circular).
    mean = mean_bearing([45.0, 55.0, 81.0, 96.0, 110.0, 117.0, 132.0, 154.0])
    assert mean.bearing_deg == pytest.approx(98.988, abs=5e-4)
    assert mean.resultant == pytest.approx(0.82522, abs=5e-6)
    # scipy.stats.circstd is the same definition.
    from scipy.stats import circstd

    sample = [45, 55, 81, 96, 110, 117, 132, 154]
    assert mean.spread_deg == pytest.approx(float(circstd(sample, high=360, low=0)), rel=1e-9)


@given(st.lists(st.floats(0.0, 80.0), min_size=1, max_size=8), st.floats(0.0, 359.0))
def test_the_mean_turns_with_its_bearings(sample: list[float], turn: float) -> None:
    still = mean_bearing(sample)
    turned = mean_bearing([wrap_deg(one + turn) for one in sample])
    assert apart_deg(turned.bearing_deg, still.bearing_deg + turn) < 1e-6
    assert turned.resultant == pytest.approx(still.resultant, abs=1e-9)


def test_the_mean_across_north_and_with_weights() -> None:
    assert apart_deg(mean_bearing([350.0, 10.0]).bearing_deg, 0.0) < 1e-9
    # Three readings of one and one of another are the same as weights three and one.
    heavy = mean_bearing([80.0, 120.0], [3.0, 1.0])
    assert heavy.bearing_deg == pytest.approx(mean_bearing([80.0] * 3 + [120.0]).bearing_deg)


def test_bearings_that_cancel_have_no_mean() -> None:
    with pytest.raises(ValueError, match="cancel out"):
        mean_bearing([0.0, 180.0])
    with pytest.raises(ValueError, match="at least one"):
        mean_bearing([])
    with pytest.raises(ValueError, match="one weight for each"):
        mean_bearing([1.0], [1.0, 2.0])


@pytest.mark.parametrize(
    ("bearing_deg", "from_deg", "to_deg", "inside"),
    [
        (0.0, 340.0, 20.0, True),
        (360.0, 340.0, 20.0, True),
        (360.0, 0.0, 90.0, True),
        (340.0, 340.0, 20.0, True),
        (20.0, 340.0, 20.0, True),
        (339.9, 340.0, 20.0, False),
        (180.0, 340.0, 20.0, False),
        (180.0, 20.0, 340.0, True),
        (123.0, 0.0, 360.0, True),
        (90.0, 90.0, 90.0, True),
        (91.0, 90.0, 90.0, False),
        (0.1 + 0.2, 0.0, 0.3, True),
    ],
)
def test_ranges_across_north(
    bearing_deg: float, from_deg: float, to_deg: float, inside: bool
) -> None:
    assert between(bearing_deg, from_deg, to_deg) is inside


@given(st.integers(0, 359), st.integers(0, 359), st.integers(0, 359))
def test_a_range_is_what_is_swept_degree_by_degree(one: int, start: int, end: int) -> None:
    swept, at = [start], start
    while at != end:
        at = (at + 1) % 360
        swept.append(at)
    assert between(one, start, end) is (one in swept)
    assert arc_deg(start, end) == len(swept) - 1


# The points of the compass are 22.5 degrees apart: standard.
@pytest.mark.parametrize(
    ("bearing_deg", "letters8", "letters16"),
    [
        (0.0, "N", "N"),
        (359.9, "N", "N"),
        (11.2, "N", "N"),
        (11.25, "N", "NNE"),
        (22.4, "N", "NNE"),
        (22.5, "NE", "NNE"),
        (45.0, "NE", "NE"),
        (202.5, "SW", "SSW"),
        (225.0, "SW", "SW"),
        (270.0, "W", "W"),
        (348.75, "N", "N"),
    ],
)
def test_compass_letters(bearing_deg: float, letters8: str, letters16: str) -> None:
    assert compass_letters(bearing_deg, 8) == letters8
    assert compass_letters(bearing_deg) == letters16


@given(bearings)
def test_no_other_point_is_nearer(bearing_deg: float) -> None:
    index = [compass_letters(n * 22.5) for n in range(16)].index(compass_letters(bearing_deg))
    distances = [apart_deg(bearing_deg, n * 22.5) for n in range(16)]
    assert distances[index] <= min(distances) + 1e-5


def test_range_words() -> None:
    assert range_words(45.0, 135.0) == "NE to SE"
    assert range_words(0.0, 360.0) == "any direction"
    assert range_words(44.0, 46.0) == "NE"
    assert range_words(46.0, 44.0) == "all but NE"


@given(bearings)
def test_the_opposite_of_the_opposite(bearing_deg: float) -> None:
    assert apart_deg(opposite_deg(opposite_deg(bearing_deg)), bearing_deg) < 1e-9
    assert apart_deg(opposite_deg(bearing_deg), bearing_deg) == pytest.approx(180.0)


@pytest.mark.parametrize("bad", [math.nan, math.inf, "12", None, True])
def test_what_is_no_number_is_refused(bad: object) -> None:
    with pytest.raises(ValueError, match="The slope must be a finite number"):
        finite(bad, "slope")  # type: ignore[arg-type]


@pytest.mark.parametrize("bad", [400.0, -0.1, math.nan])
def test_a_bearing_out_of_range_is_refused(bad: float) -> None:
    with pytest.raises(ValueError, match="The bearing of the leg must"):
        bearing(bad, "bearing of the leg")
    assert bearing(360.0) == 0.0
