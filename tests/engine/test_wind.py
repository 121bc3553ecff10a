"""Wind and scent. The rule is common practice, no source; its sense is checked by moving air."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.engine.angles import apart_deg, between
from scout.engine.beaufort import BEAUFORT, LEAST_SPEEDS, force_words, take_forces
from scout.engine.wind import (
    Leg,
    Wind,
    bad_winds,
    legs_to,
    read_wind,
    scent,
    walk_in_scent,
    wind_words,
)

bearings = st.integers(0, 359).map(float)


def scent_off_line_deg(sightline_deg: float, wind_from_deg: float) -> float:
    """Let a puff of air go from the photographer: how far off the perch does it drift [deg]?"""
    puff = -math.sin(math.radians(wind_from_deg)), -math.cos(math.radians(wind_from_deg))
    perch = math.sin(math.radians(sightline_deg)), math.cos(math.radians(sightline_deg))
    along = puff[0] * perch[0] + puff[1] * perch[1]
    return math.degrees(math.acos(max(-1.0, min(1.0, along))))


@given(bearings, bearings, st.integers(0, 12))
def test_the_verdict_follows_the_air(sightline: float, wind_from: float, force: int) -> None:
    found = scent(sightline, Wind(wind_from, 0.0, force))
    drift = scent_off_line_deg(sightline, wind_from)
    if force == 0:
        assert found.verdict == "unknown"
    elif drift <= (60.0 if force <= 2 else 45.0) + 1e-6:
        assert found.verdict == "bad"
    else:
        assert found.verdict == "good"
    assert found.veto is (found.verdict == "bad")


def test_wind_from_behind_is_bad_and_in_the_face_is_good() -> None:
    # The perch stands west of the vantage: an east wind blows from behind towards it.
    assert scent(270.0, Wind(90.0, force=4)).veto
    assert scent(270.0, Wind(270.0, force=4)).verdict == "good"
    assert scent(270.0, Wind(0.0, force=4)).verdict == "good"


def test_bad_winds_in_words() -> None:
    found = bad_winds(270.0)
    assert (found.from_deg, found.to_deg, found.words) == (45.0, 135.0, "NE to SE")
    across = bad_winds(180.0)
    assert (across.from_deg, across.to_deg, across.words) == (315.0, 45.0, "NW to NE")
    assert bad_winds(180.0, 60.0).from_deg == 300.0


@given(bearings, bearings, st.integers(1, 179).map(float))
def test_the_range_is_the_rule(sightline: float, wind_from: float, half: float) -> None:
    found = bad_winds(sightline, half)
    inside = scent_off_line_deg(sightline, wind_from) <= half + 1e-4
    assert between(wind_from, found.from_deg, found.to_deg) is inside


def test_a_wind_in_words_may_be_near_without_barring() -> None:
    # SE is 22 degrees rough; 60 degrees off the line from behind it may still be bad.
    found = scent(255.0, Wind(135.0, 22.0, 3))
    assert (found.verdict, found.veto) == ("near", False)
    assert scent(255.0, Wind(135.0, 10.0, 3)).verdict == "good"


def test_calm_shifting_and_birds() -> None:
    assert scent(10.0, Wind(None, 0.0, 0)).verdict == "unknown"
    assert scent(10.0, Wind(None, 180.0, 2)).verdict == "unknown"
    bird = scent(270.0, Wind(90.0, force=4), "bird")
    assert (bird.verdict, bird.veto) == ("not tested", False)
    # Force not known: the ordinary half width.
    assert scent(270.0, Wind(140.0)).verdict == "good"
    assert scent(270.0, Wind(140.0, force=2)).verdict == "bad"


def test_the_walk_in_is_judged_leg_by_leg() -> None:
    # The perch lies 30 m east of the vantage. First leg: 200 m south-east, then 100 m north.
    legs = legs_to([(135.0, 200.0), (0.0, 100.0)], 90.0, 30.0)
    assert [leg.bearing_deg for leg in legs] == [135.0, 0.0]
    # End of the last leg is the vantage; 100 m back the perch stands at atan2(30, 100).
    assert legs[1].perch_bearings_deg[-1] == pytest.approx(90.0)
    assert legs[1].perch_bearings_deg[0] == pytest.approx(math.degrees(math.atan2(30, 100)))
    start_east = 30 + 200 * math.sin(math.radians(135))
    start_north = 100 + 200 * math.cos(math.radians(135))
    assert legs[0].perch_bearings_deg[0] == pytest.approx(
        math.degrees(math.atan2(start_east, start_north))
    )
    # Air going 140: within 45 degrees of the perch at the start of the first leg (104), but of
    # no look on the second (17 to 90).
    assert [leg.veto for leg in walk_in_scent(legs, Wind(320.0, 0.0, 4))] == [True, False]
    assert not any(leg.veto for leg in walk_in_scent(legs, Wind(45.0, 0.0, 4)))
    # West wind: bad on both, though on the last leg only near its end.
    assert [leg.veto for leg in walk_in_scent(legs, Wind(270.0, 0.0, 4))] == [True, True]
    assert walk_in_scent(legs, Wind(270.0, 0.0, 4))[1].reason.startswith("Walk-in leg 2, heading N")
    with pytest.raises(ValueError, match="Leg 1 of the walk-in needs"):
        walk_in_scent([Leg(0.0, ())], Wind(270.0))


@given(bearings, st.floats(1.0, 300.0), bearings, st.floats(5.0, 300.0))
def test_legs_start_where_they_should(heading: float, length: float, line: float, d: float) -> None:
    (leg,) = legs_to([(heading, length)], line, d)
    # Walk the leg and then look along the line: that is where the perch stands from the start.
    east = length * math.sin(math.radians(heading)) + d * math.sin(math.radians(line))
    north = length * math.cos(math.radians(heading)) + d * math.cos(math.radians(line))
    if math.hypot(east, north) > 0.01:
        seen = math.degrees(math.atan2(east, north))
        assert apart_deg(leg.perch_bearings_deg[0], seen) < 0.01


def test_beaufort_speeds() -> None:
    # v = 0.836 B^1.5 m/s, the relation behind the scale (WMO, 1946), at B - 1/2 for its lower ends.
    for force, (_, least) in enumerate(BEAUFORT):
        if force:
            assert least == pytest.approx(0.836 * (force - 0.5) ** 1.5, abs=0.15)
            assert take_forces(f"{least} m/s")[0] == [force]
            assert take_forces(f"{least - 0.1:.1f} m/s")[0] == [force - 1]
    assert take_forces("0 m/s")[0] == [0]
    assert take_forces("90 m/s")[0] == [12]
    assert force_words(3) == "gentle breeze"


def test_columns_of_the_scale_agree() -> None:
    # The knot is 1852 m an hour and the mile 1609.344 m, by definition. In whole units a limit lies
    # between the figure and the one before it, give or take what the code itself rounds.
    for unit, m_s in (("kn", 1852 / 3600), ("km/h", 1 / 3.6), ("mph", 1609.344 / 3600)):
        for force, least in enumerate(LEAST_SPEEDS[unit]):
            if force:
                assert (least - 1) * m_s - 0.3 <= BEAUFORT[force][1] <= least * m_s + 0.1


@pytest.mark.parametrize(
    ("text", "from_deg", "force"),
    [
        ("SW", 225.0, None),
        ("sw", 225.0, None),
        ("from the SW", 225.0, None),
        ("wind from south-west 3", 225.0, 3),
        ("Wind SW 3", 225.0, 3),
        ("south-westerly", 225.0, None),
        ("fresh north-westerly", 315.0, 5),
        ("north easterly, force 5", 45.0, 5),
        ("light breeze from NE", 45.0, 2),
        ("light NE", 45.0, 2),
        ("gale from W", 270.0, 8),
        ("strong gale from W", 270.0, 9),
        ("SW F4", 225.0, 4),
        ("SW 3 bft", 225.0, 3),
        ("225°", 225.0, None),
        ("225° 3", 225.0, 3),
        ("225 force 3", 225.0, 3),
        ("calm", None, 0),
        ("variable 2", None, 2),
        ("var 2", None, 2),
        ("VRB 3 kn", None, 1),
        ("shifting", None, None),
        # As forecasts write them; of a span the higher counts.
        ("SW 3-4", 225.0, 4),
        ("SW 3 \u2013 4", 225.0, 4),
        ("SW 3 to 4", 225.0, 4),
        ("force 4 SW", 225.0, 4),
        ("F4-5 from the SW", 225.0, 5),
        ("225 3", 225.0, 3),
        ("045 3-4", 45.0, 4),
        ("SW3", 225.0, 3),
        ("SW, 4 Bft", 225.0, 4),
        # WMO code 1100: force 4 is 13 to 18 mph, 20 to 28 km/h, 11 to 16 kn, 5.5 to 7.9 m/s.
        ("W 15 mph", 270.0, 4),
        ("W 12 mph", 270.0, 3),
        ("W 13 mph", 270.0, 4),
        ("25 km/h W", 270.0, 4),
        ("W 28.4 kmh", 270.0, 4),
        ("W 29 km/h", 270.0, 5),
        ("W16kn", 270.0, 4),
        ("W 17 knots", 270.0, 5),
        ("8 m/s from W", 270.0, 5),
        ("270 7.9 m/s", 270.0, 4),
        ("W 10-15 mph", 270.0, 4),
    ],
)
def test_winds_as_people_say_them(text: str, from_deg: float | None, force: int | None) -> None:
    wind = read_wind(text)
    assert (wind.from_deg, wind.force) == (from_deg, force)


@pytest.mark.parametrize(
    "text",
    [
        *("", "3", "SW 13", "22 3", "light SW 3", "light", "to SW", "SW 0", "SW 3 4", "breeze"),
        *("SWW", "400°", "SW 3 then W", "-5", "SW,W", "nan", "force 3"),
        *("SW 4-3", "SW 3-13", "SW 3 15 mph", "15 mph", "W 900 mph", "W 15 miles", "SW 3-", "12 3"),
        *("W 0 mph", "W -3 kn", "W 3.5", "W 15 mphx", "225 3 4", "1225 3", "SW force", "3-4 5 SW"),
    ],
)
def test_winds_that_are_unsure_are_refused(text: str) -> None:
    with pytest.raises(ValueError, match=r"(wind|calm)"):
        read_wind(text)


@given(st.sampled_from([n * 22.5 for n in range(16)]), st.one_of(st.none(), st.integers(1, 12)))
def test_words_and_back(from_deg: float, force: int | None) -> None:
    words = wind_words(Wind(from_deg, 0.0, force))
    back = read_wind(words.partition(" (")[0])
    assert (back.from_deg, back.force) == (from_deg, force)


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (lambda: bad_winds(400.0), "bearing of the sightline must lie"),
        (lambda: bad_winds(90.0, 180.0), "half width"),
        (lambda: force_words(13), "whole number from 0 to 12"),
        (lambda: scent(90.0, Wind(math.nan, force=3)), "wind must be a finite number"),
        (lambda: scent(90.0, Wind(10.0), "fish"), "mammal or a bird"),  # type: ignore[arg-type]
        (lambda: legs_to([(90.0, 0.0)], 1.0, 2.0), "length of a walk-in leg"),
    ],
)
def test_what_cannot_be_is_refused(act, message: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(ValueError, match=message):
        act()
