"""Light on level ground and on the lens's side: published sources and properties."""

from __future__ import annotations

import json
from itertools import pairwise
from math import cos, log2, pi, radians, sin
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pvlib.atmosphere import get_relative_airmass
from scipy.integrate import dblquad

from scout.engine import daylight
from scout.engine.daylight import air_mass, beam_lux, circular_171_lux
from scout.engine.light import (
    GROUND_REFLECTANCE,
    Daylight,
    Face,
    UprightLight,
    level_sky_factor,
    uniform_sky_factor,
)

REFERENCE = Path(__file__).parents[1] / "reference"
CIRCULAR = json.loads((REFERENCE / "light_and_lens.json").read_text(encoding="utf-8"))
IES = json.loads((REFERENCE / "ies_vertical_klx.json").read_text(encoding="utf-8"))["rows"]

BARE = Face(ground_reflectance=0.0)
GRASS = Face(ground_reflectance=GROUND_REFLECTANCE["grass"])
ANSWERS = ("clear_lux", "with_beam_lux", "without_beam_lux", "overcast_lux")
ALTITUDES = [number * 0.02 for number in range(-900, 4501)]  # -18 to 90 degrees

altitudes = st.floats(-90, 90)
angles = st.floats(-180, 180)


# Janiczek & DeYoung, U.S. Naval Observatory Circular 171 (1987).
@pytest.mark.parametrize(("altitude", "lux"), CIRCULAR["circular_171_lux"].items())
def test_level_ground_is_circular_171(altitude, lux):
    tolerance = 0.01 if altitude == "-12" else 0.005  # a joint: ours lies in the middle
    assert circular_171_lux(float(altitude)) == pytest.approx(max(lux, 0.002), rel=tolerance)


@pytest.mark.parametrize("joint", [-12.0, -5.0, -0.8, 5.0, 20.0])
def test_joints_of_circular_171_lie_between_the_printed_pieces(joint):
    starts = [piece[0] for piece in daylight._CIRCULAR_171]
    place = starts.index(joint)
    below, above = (daylight._piece_log_lux(joint, number) for number in (place - 1, place))
    ours = circular_171_lux(joint)
    assert min(10**below, 10**above) <= ours <= max(10**below, 10**above)
    assert abs(log2(10**below / 10**above)) < 0.015


# Photometry tables: the end of civil twilight 3.4 lux, sunrise 400 lux, both clear.
def test_spot_values_from_photometry_tables():
    assert circular_171_lux(-6.0) == pytest.approx(3.4, rel=0.05)
    assert circular_171_lux(-0.8333) == pytest.approx(400.0, rel=0.15)


def test_night_has_a_floor():
    assert circular_171_lux(-18.0) == circular_171_lux(-60.0) == 0.002


@pytest.mark.parametrize("altitude", [-17.0, -12.0, -9.0, -6.0, -3.0, -0.9])
def test_open_level_ground_in_twilight_is_circular_171(altitude):
    assert Daylight(altitude, 180).level_clear_lux == pytest.approx(
        circular_171_lux(altitude), rel=0.05
    )


# Kasten & Young 1989, as pvlib has it.
@pytest.mark.parametrize("altitude", [0.0, 1.0, 3.0, 10.0, 45.0, 90.0])
def test_air_mass_agrees_with_pvlib(altitude):
    expected = get_relative_airmass(90.0 - altitude, model="kastenyoung1989")
    assert air_mass(altitude) == pytest.approx(expected, rel=1e-4)


def test_low_beam_keeps_the_light_that_the_plain_air_mass_loses():
    plain = daylight.SOLAR_LUX * 2.718281828 ** (-0.21 / sin(radians(3.0)))
    assert log2(beam_lux(3.0) / plain) == pytest.approx(1.2, abs=0.1)


# IES 1984, printed formulas. The beam is printed with 1 / sin h, so it is compared from 10 degrees.
@pytest.mark.parametrize("row", [row for row in IES if int(row.split()[0][1:]) >= 10])
def test_upright_face_agrees_with_the_ies_table(row):
    altitude, angle, sky = row.split()
    h, az = float(altitude[1:]), float(angle[2:])
    lux = Daylight(h).upright(BARE, az, sun_on_it=True)
    table = IES[row]["subject_vertical_total"] * 1000.0
    if sky == "clear":
        assert abs(log2(lux.clear_lux / table)) < 0.5
    elif sky == "cloudy":
        assert abs(log2(lux.overcast_lux / table)) < 0.5
    elif table > 0.0:
        # The printed mean of partly cloudy lies within what the sun in and out spans.
        assert log2(lux.without_beam_lux / table) < 0.5
        assert log2(table / lux.with_beam_lux) < 0.5


@pytest.mark.parametrize("row", IES)
def test_ies_formulas_are_as_printed(row):
    altitude, angle, sky = row.split()
    h, cos_az = float(altitude[1:]), cos(radians(float(angle[2:])))
    model = {"clear": "clear", "partly": "partly", "cloudy": "overcast"}[sky]
    ours = daylight.upright_sky_lux(h, model) * daylight.sky_direction(cos_az, model)
    assert ours == pytest.approx(IES[row]["Ekv_half"] * 1000.0, abs=0.51)


def test_partly_cloudy_is_never_black_away_from_the_sun():
    assert IES["h30 az180 partly"]["subject_vertical_total"] == 0.0
    lux = Daylight(30.0).upright(BARE, 180.0, sun_on_it=True)
    assert lux.without_beam_lux == pytest.approx(lux.clear_lux, rel=1e-6)


# Differences of the IES table's own rows at 10 degrees, with its level-ground light thrown back.
@pytest.mark.parametrize(
    ("reflectance", "stops"), [(0.0, 4.7), (GROUND_REFLECTANCE["grass"], 3.9), (0.8, 2.9)]
)
def test_front_against_back_light_at_ten_degrees(reflectance, stops):
    face = Face(ground_reflectance=reflectance)
    moment = Daylight(10.0)
    front = moment.upright(face, 0.0, sun_on_it=True).clear_lux
    back = moment.upright(face, 180.0, sun_on_it=True).clear_lux
    assert log2(front / back) == pytest.approx(stops, abs=0.1)


@pytest.mark.parametrize("angle", [0, 30, 60, 89, 90, 91, 120, 150, 180])
@pytest.mark.parametrize("face", [BARE, GRASS], ids=["bare", "grass"])
def test_no_step_and_monotone_to_25_degrees(angle, face):
    cosine = cos(radians(angle))
    rows = [Daylight(h, 120).upright_lux(face, cosine, True) for h in ALTITUDES]
    for (low, here), (_, there) in pairwise(zip(ALTITUDES, rows, strict=True)):
        for before, after in zip(here, there, strict=True):
            assert abs(log2(after / before)) <= 0.05
            assert low >= 25.0 or after >= before * (1.0 - 1e-12)


def test_level_ground_is_monotone_and_without_steps():
    for day in (None, 2, 185):
        lights = [Daylight(h, day).level_clear_lux for h in ALTITUDES]
        for before, after in pairwise(lights):
            assert before <= after <= before * 2**0.05
    for name in ("level_partly_sky_lux", "level_overcast_lux"):
        lights = [getattr(Daylight(h), name) for h in ALTITUDES]
        for before, after in pairwise(lights):
            assert before <= after <= before * 2**0.05


def test_a_front_face_peaks_with_a_middling_sun():
    lights = {h: Daylight(h).upright(BARE, 0.0, sun_on_it=True).clear_lux for h in range(10, 90)}
    assert 30 <= max(lights, key=lights.__getitem__) <= 37


@given(altitudes, angles, st.booleans())
def test_left_and_right_are_alike(altitude, angle, lit):
    moment = Daylight(altitude)
    one = moment.upright(GRASS, angle, sun_on_it=lit)
    assert one == moment.upright(GRASS, -angle, sun_on_it=lit)


@given(altitudes, angles)
def test_clouds_order_the_light(altitude, angle):
    moment = Daylight(altitude)
    lux = moment.upright(GRASS, angle, sun_on_it=True)
    assert lux.with_beam_lux >= lux.without_beam_lux > 0.0
    shade = moment.upright(GRASS, angle, sun_on_it=False)
    assert shade.with_beam_lux == shade.without_beam_lux
    assert shade.clear_lux <= lux.clear_lux


@given(altitudes, st.floats(0, 180), st.floats(0, 180))
def test_turning_away_from_the_sun_never_brightens_a_clear_day(altitude, one, other):
    nearer, farther = sorted((one, other))
    moment = Daylight(altitude)
    near = moment.upright(GRASS, nearer, sun_on_it=True).clear_lux
    assert moment.upright(GRASS, farther, sun_on_it=True).clear_lux <= near * (1 + 1e-9)


def test_the_side_turned_to_the_sun_is_far_brighter_than_the_shaded_one():
    moment = Daylight(6.0)
    assert moment.upright(GRASS, 0.0, sun_on_it=True).clear_lux > 5 * (
        moment.upright(GRASS, 180.0, sun_on_it=True).clear_lux
    )


@given(altitudes, angles, st.floats(0, 7), st.floats(-3, 3))
def test_canopy_and_correction_are_stops(altitude, angle, canopy, correction):
    face = Face(canopy_loss_ev=canopy, correction_ev=correction)
    moment = Daylight(altitude)
    ours = moment.upright(face, angle, sun_on_it=True)
    bare = moment.upright(GRASS, angle, sun_on_it=True)
    for name in ANSWERS:
        stops = log2(getattr(ours, name) / getattr(bare, name))
        assert stops == pytest.approx(correction - canopy, abs=1e-9)


# Geometry: an even sky over a skyline of one height, integrated numerically.
@pytest.mark.parametrize(("skyline", "rounded"), [(0, 1.0), (20, 0.57), (30, 0.39), (45, 0.18)])
def test_sky_factor_is_the_integral(skyline, rounded):
    integral, _ = dblquad(
        lambda aside, height: cos(aside) * cos(height) ** 2,
        radians(skyline),
        pi / 2,
        -pi / 2,
        pi / 2,
    )
    assert uniform_sky_factor(skyline) == pytest.approx(integral / (pi / 2), abs=1e-6)
    assert uniform_sky_factor(skyline) == pytest.approx(rounded, abs=0.005)
    assert level_sky_factor(uniform_sky_factor(skyline)) == pytest.approx(
        cos(radians(skyline)) ** 2, abs=1e-9
    )


def test_a_hidden_sky_shines_back_like_leaf():
    moment = Daylight(20.0)
    lights = [
        moment.upright(Face(sky_factor=part), 90.0, sun_on_it=False).clear_lux
        for part in (0.0, 0.2, 0.5, 0.8, 1.0)
    ]
    assert lights == sorted(lights)
    assert 0.0 < lights[0] < 1e-3  # no sky at all leaves level ground in the dark too


def test_below_the_skyline_the_face_loses_by_its_own_factor_not_by_that_of_the_ground():
    moment = Daylight(10.0)
    open_lux = moment.upright(BARE, 90.0, sun_on_it=False).clear_lux
    half = Face(ground_reflectance=0.0, sky_factor=uniform_sky_factor(30.0))
    loss = log2(open_lux / moment.upright(half, 90.0, sun_on_it=False).clear_lux)
    assert 1.1 < loss < 1.4  # cos² of 30 degrees would say 0.4


def test_sun_in_and_out_is_the_middle_in_stops():
    lux = UprightLight(8000.0, 8000.0, 2000.0, 1000.0)
    assert lux.in_and_out_lux() == pytest.approx(4000.0)
    assert lux.in_and_out_lux(1.0) == pytest.approx(8000.0)


# Common practice and ANSI PH2.7: sun with distinct shadows EV 15, heavy overcast EV 12.
def test_the_daylight_guide_agrees_within_a_stop():
    front = Daylight(45.0).upright(GRASS, 0.0, sun_on_it=True)
    assert log2(front.clear_lux / 2.5) == pytest.approx(15.0, abs=1.0)
    assert log2(Daylight(30.0).level_overcast_lux / 2.5) == pytest.approx(12.0, abs=1.0)


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: Daylight(91.0), "altitude_deg"),
        (lambda: Daylight("12"), "altitude_deg"),
        (lambda: Daylight(float("nan")), "altitude_deg"),
        (lambda: Daylight(10.0, 0), "day_of_year"),
        (lambda: Face(sky_factor=1.5), "sky_factor"),
        (lambda: Face(sky_factor=float("nan")), "sky_factor"),
        (lambda: Face(ground_reflectance=-0.1), "ground_reflectance"),
        (lambda: Face(canopy_loss_ev=-1.0), "canopy_loss_ev"),
        (lambda: Face(correction_ev=float("inf")), "correction_ev"),
        (lambda: Daylight(5.0).upright(BARE, float("nan"), sun_on_it=True), "angle_deg"),
        (lambda: uniform_sky_factor(-1.0), "skyline_deg"),
        (lambda: UprightLight(1.0, 1.0, 1.0, 1.0).in_and_out_lux(2.0), "sun_share"),
    ],
)
def test_bad_input_names_its_field(call, field):
    with pytest.raises(ValueError, match=field):
        call()
