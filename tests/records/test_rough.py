"""Rough values: what was said, and how good it is. Every figure is common practice, no source."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.records.measured import BEARING_HOW, DISTANCE_HOW, HEIGHT_HOW, TILT_HOW
from scout.records.rough import CHIPS, ROSE, bearing, chip, distance
from scout.records.ways import HOW, caution, plus_minus


@pytest.mark.parametrize(
    ("text", "value", "spread"),
    [
        ("touching", 0.0, 0.4),
        ("12 m", 12.0, 3.0),
        ("12m", 12.0, 3.0),
        ("12", 12.0, 3.0),
        ("about 12 m", 12.0, 3.0),
        ("~12 metres", 12.0, 3.0),
        ("12.5 m ± 0.5 m", 12.5, 0.5),
        ("12 +/- 1 m", 12.0, 1.0),
        ("30 to 40 m", 35.0, 5.0),
        ("between 30 and 40 metres", 35.0, 5.0),
        ("30-40 m", 35.0, 5.0),
        ("thirty-odd metres", 34.0, 8.5),
        ("30-odd m", 34.0, 8.5),
        ("Twenty metres", 20.0, 5.0),
        ("about ten metres", 10.0, 5.0),
        ("100 m +", 100.0, 25.0),
        ("100+ m", 100.0, 25.0),
        ("1.2 km", 1200.0, 300.0),
        ("1 m", 1.0, 0.5),
    ],
)
def test_distances_as_people_say_them(text: str, value: float, spread: float) -> None:
    found = distance(text)
    assert (found.value, found.plus_minus) == pytest.approx((value, spread))


def test_sky_is_endless() -> None:
    assert distance("sky").value == math.inf
    assert chip("sky").value == math.inf


@pytest.mark.parametrize(
    "text",
    [
        *("", "far", "1,5 m", "12 ft", "-3 m", "40 to 30 m", "12 m 30", "nan", "inf", "1e3 m"),
        *("12 mm", "about", "thirty-odd", "12 m or so maybe", "1 200 m", "x" * 61),
    ],
)
def test_distances_that_are_unsure_are_refused(text: str) -> None:
    with pytest.raises(ValueError, match="distance"):
        distance(text)


def test_about_never_betters_a_guess() -> None:
    assert distance("40 m", how="rangefinder").plus_minus == 1.0
    assert distance("about 40 m", how="rangefinder").plus_minus == 10.0
    assert distance("40 m", how="pacing").plus_minus == 4.0
    assert distance("40 m ± 3 m", how="rangefinder").plus_minus == 3.0


@given(st.integers(0, 15))
def test_letters_and_words_of_the_rose(index: int) -> None:
    letters, words = ROSE[index]
    for text in (letters, letters.lower(), words, words.title(), words.replace("-", " "))[:5]:
        found = bearing(text)
        assert found.value == index * 22.5
        # Sixteen words lie 22.5 degrees apart and eight lie 45: half of that, in whole degrees.
        assert found.plus_minus == (11.0 if index % 2 else 22.0)
        assert bearing(text, rose=16).plus_minus == 11.0


def test_words_of_the_rose_turn_clockwise() -> None:
    # Each letter is a pull to its quarter: the mean pull of "SSW" is nearer S than SW is.
    quarter = {"N": (0, 1), "E": (1, 0), "S": (0, -1), "W": (-1, 0)}
    for index, (letters, words) in enumerate(ROSE):
        main = letters[-2:] if len(letters) > 1 else letters
        east, north = (sum(quarter[one][axis] for one in main) for axis in (0, 1))
        centre = math.degrees(math.atan2(east, north)) % 360
        if len(letters) == 3:
            lead = quarter[letters[0]]
            ahead = math.degrees(math.atan2(*lead)) % 360
            centre += ((ahead - centre + 180) % 360 - 180) / 2
        assert centre % 360 == pytest.approx(index * 22.5)
        assert "".join(word[0] for word in words.split("-")).upper() == letters


@pytest.mark.parametrize(
    ("text", "how", "value", "spread"),
    [
        ("225", "sighting compass", 225.0, 2.0),
        ("225°", "phone compass", 225.0, 10.0),
        ("225.5 deg", "phone compass", 225.5, 10.0),
        ("about 225", "sighting compass", 225.0, 11.0),
        ("360", "map", 0.0, 3.0),
        ("about NE", "guess", 45.0, 22.0),
    ],
)
def test_bearings_in_degrees(text: str, how: str, value: float, spread: float) -> None:
    found = bearing(text, how)
    assert (found.value, found.plus_minus) == (value, spread)


@pytest.mark.parametrize(
    "text", ["", "400", "-5", "NE by N", "up", "225 magnetic", "225 true", "NNN", "N45E", "nan"]
)
def test_bearings_that_are_unsure_are_refused(text: str) -> None:
    with pytest.raises(ValueError, match="bearing"):
        bearing(text)


def test_a_fine_word_where_eight_were_offered() -> None:
    with pytest.raises(ValueError, match="not one of the eight"):
        bearing("NNE", rose=8)


@pytest.mark.parametrize(
    ("how", "quantity", "value", "spread"),
    [
        ("sighting compass", "bearing", 0.0, 2.0),
        ("phone compass", "bearing", 0.0, 10.0),
        ("compass word", "bearing", 0.0, 22.0),
        ("phone edge", "tilt", 0.0, 1.5),
        ("rangefinder", "distance", 200.0, 1.0),
        ("tape", "distance", 4.0, 0.05),
        ("pacing", "distance", 60.0, 6.0),
        ("guess", "distance", 60.0, 15.0),
        ("satellite fix", "position", 0.0, 10.0),
    ],
)
def test_how_measured_fills_the_plus_minus(
    how: str, quantity: str, value: float, spread: float
) -> None:
    assert plus_minus(how, quantity, value) == pytest.approx(spread)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("words", "quantity"),
    [
        (BEARING_HOW, "bearing"),
        (DISTANCE_HOW, "distance"),
        (TILT_HOW, "tilt"),
        (HEIGHT_HOW, "elevation"),
    ],
)
def test_every_word_a_record_may_hold_has_its_plus_minus(
    words: tuple[str, ...], quantity: str
) -> None:
    for how in words:
        assert plus_minus(how, quantity, 20.0) > 0.0  # type: ignore[arg-type]


def test_a_rangefinder_is_useless_close_up() -> None:
    assert "useless under 5 m" in (caution("rangefinder", 4.0) or "")
    assert caution("rangefinder", 5.0) is None
    assert caution("tape", 0.5) is None


def test_ways_that_do_not_measure_are_refused() -> None:
    with pytest.raises(
        ValueError, match=r"A tilt is not measured by pacing\. Choose one of: phone"
    ):
        plus_minus("pacing", "tilt")
    with pytest.raises(ValueError, match="'sextant' is no way of measuring"):
        plus_minus("sextant", "bearing")
    with pytest.raises(ValueError, match="'colour' is not measured"):
        plus_minus("tape", "colour")  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="distance must be a number"):
        plus_minus("tape", "distance", math.nan)
    with pytest.raises(ValueError, match="no distance chip '7'"):
        chip("7")


def test_chips_leave_no_distance_out() -> None:
    for near, far in pairwise(CHIPS[:-1]):
        assert near.value_m + near.plus_minus_m >= far.value_m - far.plus_minus_m - 1e-9
    assert " ".join(one.key for one in CHIPS) == "touching 1 3 6 12 25 50 100 sky"
    assert all(how.key == key for key, how in HOW.items())
