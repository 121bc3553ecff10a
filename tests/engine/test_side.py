"""From which side the light comes, against vectors."""

from __future__ import annotations

from math import cos, degrees, radians, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.engine.side import (
    cos_phase,
    horizontal_angle_deg,
    side,
    sun_from_sightline_deg,
    sun_in_lens,
)

bearings = st.floats(0, 360)
tilts = st.floats(-60, 60)
altitudes = st.floats(-20, 89)


def direction(azimuth_deg, altitude_deg):
    """East, north, up."""
    a, h = radians(azimuth_deg), radians(altitude_deg)
    return np.array([sin(a) * cos(h), cos(a) * cos(h), sin(h)])


@given(bearings, tilts, bearings, altitudes)
def test_the_angle_in_space_is_that_between_vectors(bearing, tilt, azimuth, altitude):
    to_perch, to_sun = direction(bearing, tilt), direction(azimuth, altitude)
    assert cos_phase(bearing, tilt, azimuth, altitude) == pytest.approx(
        float(to_sun @ -to_perch), abs=1e-9
    )
    apart = degrees(np.arctan2(np.linalg.norm(np.cross(to_perch, to_sun)), to_perch @ to_sun))
    assert sun_from_sightline_deg(bearing, tilt, azimuth, altitude) == pytest.approx(
        apart, abs=1e-5
    )
    lit = side(bearing, tilt, azimuth, altitude).lit_fraction
    assert lit == pytest.approx((1.0 - float(to_sun @ to_perch)) / 2.0, abs=1e-9)


@given(bearings, bearings)
def test_left_and_right_are_as_the_lens_sees_them(bearing, azimuth):
    to_sun, ahead = direction(azimuth, 0.0), direction(bearing, 0.0)
    rightwards = float(np.cross(to_sun, ahead)[2])  # up where the sun is to the right
    seen = side(bearing, 0.0, azimuth, 5.0)
    if seen.hand and abs(rightwards) > 1e-6:
        assert seen.hand == ("right" if rightwards > 0 else "left")


@given(bearings, st.floats(0.6, 179.4))
def test_mirrored_suns_give_mirrored_sides(bearing, off):
    one, other = side(bearing, 0.0, bearing + off, 5.0), side(bearing, 0.0, bearing - off, 5.0)
    assert one.word == other.word
    assert one.angle_deg == other.angle_deg
    assert {one.hand, other.hand} == {"left", "right"}


@pytest.mark.parametrize(
    ("bearing", "azimuth", "sentence"),
    [
        (270, 90, "front light, straight on"),
        (270, 121, "front light from the left, 31° off"),
        (270, 59, "front light from the right, 31° off"),
        (0, 135, "side light from the right, 45° off"),
        (0, 136, "front light from the right, 44° off"),
        (0, 45, "side light from the right, 135° off"),
        (0, 44, "back light from the right, 44° off"),
        (350, 340, "back light from the left, 10° off"),
        (10, 190.3, "front light, straight on"),
    ],
)
def test_words(bearing, azimuth, sentence):
    assert side(bearing, 0.0, azimuth, 10.0).sentence() == sentence


def test_high_sun_is_said():
    assert side(0, 0, 180, 35.4).high is False
    assert side(0, 0, 170, 36).sentence() == "high front light from the right, 10° off"


def test_the_horizontal_angle_is_signed():
    assert horizontal_angle_deg(0.0, 180.0) == 0.0
    assert horizontal_angle_deg(0.0, 90.0) == 90.0
    assert horizontal_angle_deg(0.0, 270.0) == -90.0


@pytest.mark.parametrize(
    ("azimuth", "altitude", "warned"),
    [
        (90, 5, True),
        (108, 5, True),
        (111, 0, False),
        (90, -0.9, True),
        (90, -1, False),
        (90, 20.1, False),
    ],
)
def test_sun_in_the_lens_is_a_caution(azimuth, altitude, warned):
    caution = sun_in_lens(90.0, 0.0, azimuth, altitude)
    assert (caution is not None) is warned
    if caution:
        assert "optical finder" in caution


def test_bad_angles_are_named():
    with pytest.raises(ValueError, match="sun_azimuth_deg"):
        side(0.0, 0.0, float("nan"), 5.0)
    with pytest.raises(ValueError, match="sun_altitude_deg"):
        sun_in_lens(0.0, 0.0, 0.0, 99.0)
