"""Level, lens height, and the ground behind an animal that is looked down on."""

from __future__ import annotations

from math import asin, degrees, hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.engine.level import (
    ON_GROUND,
    gap_behind_m,
    ground_gap_m,
    highest_lens_m,
    level_word,
    shooting_down_sentence,
)
from scout.records.places import PERCH_KINDS


# Common practice, no source.
@pytest.mark.parametrize(
    ("tilt", "kind", "word"),
    [
        (2, "branch", "level"),
        (5.4, "post", "level"),
        (-5.6, "post", "slightly above"),
        (9, "branch", "slightly below"),
        (-15, "branch", "slightly above"),
        (-16, "branch", "well above"),
        (-2, "water edge", "eye level"),
        (-3, "water edge", "slightly above"),
        (-7, "ground", "well above"),
        (4, "ground", "slightly below"),
        (4, None, "level"),
    ],
)
def test_words(tilt, kind, word):
    assert level_word(tilt, kind) == word


def test_kinds_on_the_ground_are_kinds_of_perch():
    assert set(ON_GROUND) < set(PERCH_KINDS)


# A worked case of the trade: 5 degrees down at 12 m puts the water 1.7 m behind a duck's eye, and
# "lens at most 0.57 m above the water". Both hold for an eye 0.15 m above flat water.
def test_a_ducks_eye():
    assert ground_gap_m(-5.0, 0.15) == pytest.approx(1.72, abs=0.005)
    assert shooting_down_sentence(-5.0, 0.15, "water", "duck") == (
        "lens 5° above: water 1.7 m behind the duck's eye"
    )
    assert highest_lens_m(12.0, 0.15, "water edge") == pytest.approx(0.57, abs=0.005)


@given(st.floats(1, 200), st.floats(0.02, 2), st.floats(0.05, 20))
def test_the_gap_is_where_the_line_meets_the_ground(run, eye, above):
    lens = eye + above
    distance = hypot(run, above)
    tilt = -degrees(asin(above / distance))
    # Similar triangles from the lens, over flat ground.
    whole = distance * lens / above
    assert tilt < 0
    assert ground_gap_m(tilt, eye) == pytest.approx(whole - distance, rel=1e-6)


def test_looking_up_or_level_there_is_no_ground_behind():
    assert ground_gap_m(0.0, 0.2) is None
    assert shooting_down_sentence(-0.3, 0.2, "ground") is None
    assert gap_behind_m(3.0, 0.2, 40.0) == 40.0
    assert gap_behind_m(-5.0, 0.15, 40.0) == pytest.approx(1.72, abs=0.005)
    assert gap_behind_m(-5.0, 0.15, 1.0) == 1.0


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: level_word(100, "branch"), "tilt_deg"),
        (lambda: ground_gap_m(float("nan"), 0.2), "tilt_deg"),
        (lambda: ground_gap_m(-3, 0), "eye_height_m"),
        (lambda: highest_lens_m(0, 0.2, None), "distance_m"),
    ],
)
def test_bad_input_names_its_field(call, field):
    with pytest.raises(ValueError, match=field):
        call()
