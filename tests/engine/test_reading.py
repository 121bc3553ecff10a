"""Test shots that qualify, and site corrections."""

from __future__ import annotations

import attrs
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.engine.exposure import lux_of_ev, shutter_s
from scout.engine.reading import (
    ComparedReading,
    TestShot,
    settings_ev,
    shot_reading,
    site_correction,
)

GOOD = TestShot(
    f_number=7.1,
    exposure_s=1 / 250,
    iso=1600,
    compensation_ev=0.0,
    tone="mid",
    looks_right=True,
    iso_ceiling=6400,
    iso_base=100,
    slowest_s=1 / 60,
    fastest_s=1 / 8000,
)


# ISO 2720: 1/125 at f/16 and ISO 100 is EV 15.
def test_settings_as_exposure_value():
    assert settings_ev(16, 1 / 128, 100) == pytest.approx(15.0)
    assert settings_ev(16, 1 / 128, 400) == pytest.approx(13.0)


@given(st.floats(-2, 16), st.floats(2.8, 16), st.floats(100, 6000))
def test_a_shot_taken_by_our_own_shutter_measures_the_light_again(light_ev, f_number, iso):
    time = shutter_s(lux_of_ev(light_ev), f_number, iso, loss_ev=1 / 3)
    shot = attrs.evolve(
        GOOD, f_number=f_number, exposure_s=time, iso=iso, slowest_s=None, fastest_s=None
    )
    assert shot_reading(shot).light_ev == pytest.approx(light_ev, abs=1e-9)


def test_compensation_and_tone_are_taken_out():
    plain = shot_reading(GOOD).light_ev
    # A stop more by the dial: the camera exposed a stop longer than it measured.
    lifted = attrs.evolve(GOOD, exposure_s=1 / 125, compensation_ev=1.0)
    assert shot_reading(lifted).light_ev == pytest.approx(plain)
    # Filled with something bright, the meter read more than the light.
    assert shot_reading(attrs.evolve(GOOD, tone="bright")).light_ev < plain
    assert shot_reading(attrs.evolve(GOOD, tone="dark")).light_ev > plain


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"iso": 6400, "exposure_s": 1 / 60}, "limits"),
        ({"iso": 6400, "shutter_fixed": True}, "limits"),
        ({"iso": 100, "exposure_s": 1 / 8000}, "limits"),
        ({"looks_right": False}, "does not look right"),
        ({"looks_right": None}, "Nobody has said"),
        ({"compensation_ev": None}, "compensation"),
        ({"tone": None}, "dark, mid or bright"),
        ({"tone": "sky holes"}, "fools the meter"),
        ({"flash": True}, "flash"),
    ],
)
def test_a_shot_that_does_not_qualify_says_why(changes, says):
    answer = shot_reading(attrs.evolve(GOOD, **changes))
    assert answer.light_ev is None
    assert says in answer.refusal


@pytest.mark.parametrize(
    "changes", [{"iso": 6400}, {"exposure_s": 1 / 60}, {"iso": 100}, {"shutter_fixed": True}]
)
def test_one_limit_alone_does_no_harm(changes):
    assert shot_reading(attrs.evolve(GOOD, **changes)).refusal is None


def test_settings_that_are_none_are_refused():
    with pytest.raises(ValueError, match="f_number"):
        shot_reading(attrs.evolve(GOOD, f_number=0.0))


def compared(number, difference, sky="clear", altitude=8.0, leaf="in leaf"):
    return ComparedReading(
        id=f"r{number}",
        measured_ev=10.0 + difference,
        model_ev=10.0,
        sky=sky,
        sun_altitude_deg=altitude,
        leaf=leaf,
    )


def correction(readings, altitude=8.0):
    return site_correction(readings, sky="clear", sun_altitude_deg=altitude, leaf="in leaf")


def test_the_median_of_like_readings():
    readings = [compared(1, -0.4), compared(2, -1.0), compared(3, 2.0)]
    answer = correction(readings)
    assert answer.correction_ev == pytest.approx(-0.4)
    assert (answer.low_ev, answer.high_ev, answer.count) == pytest.approx((-1.0, 2.0, 3))
    assert answer.sentence() == "site correction -0.4 stops, from 3 readings (-1.0 to +2.0)"
    assert correction([*readings, compared(4, -0.6)]).correction_ev == pytest.approx(-0.5)


@pytest.mark.parametrize(
    "odd", [{"sky": "overcast"}, {"leaf": "bare"}, {"altitude": 13.5}, {"altitude": 1.0}]
)
def test_unlike_readings_are_left_out_and_two_are_too_few(odd):
    answer = correction([compared(1, -0.4), compared(2, -1.0), compared(3, -0.7, **odd)])
    assert answer.correction_ev is None
    assert answer.count == 2
    assert "2 of 3" in answer.sentence()


def test_in_twilight_like_means_nearer():
    readings = [compared(number, -0.4, altitude=-2.0) for number in range(3)]
    assert correction(readings, -3.0).count == 3
    assert correction(readings, -4.0).count == 0


def test_an_unknown_sky_is_named():
    with pytest.raises(ValueError, match="sky"):
        site_correction([], sky="foggy", sun_altitude_deg=1.0, leaf="bare")
