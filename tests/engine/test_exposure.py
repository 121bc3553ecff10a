"""Shutter, light and ISO after ISO 2720, and what the trade says."""

from __future__ import annotations

import json
from math import log2
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scout.engine import exposure
from scout.engine.exposure import (
    WANTED_SHUTTERS,
    crop_factor,
    ev_of_lux,
    grain_factor,
    hand_held_s,
    loss_ev,
    lux_needed,
    lux_of_ev,
    shutter_s,
    shutter_word,
    with_extender,
)

REFERENCE = Path(__file__).parents[1] / "reference" / "light_and_lens.json"
PUBLISHED = json.loads(REFERENCE.read_text(encoding="utf-8"))
positive = st.floats(0.01, 1e5)


# ISO 2720:1974, incident, C = 250.
@pytest.mark.parametrize(("ev", "lux"), PUBLISHED["exposure"]["lux_at_EV100"].items())
def test_ev_and_lux(ev, lux):
    assert lux_of_ev(float(ev)) == pytest.approx(lux, rel=0.001)
    assert ev_of_lux(lux) == pytest.approx(float(ev), abs=0.001)


@pytest.mark.parametrize(
    ("lux", "f_number", "iso", "part"),
    [
        (81_920, 16, 100, 128),  # sunny sixteen
        (400, 6.3, 3200, PUBLISHED["exposure"]["one_over"]),
        (40, 5.6, 6400, PUBLISHED["exposure"]["lux40_f5.6_ISO6400_1/t"]),
        (1000, 6.3, 1600, PUBLISHED["exposure"]["overcast_1000lux_f6.3_ISO1600_1/t"]),
        (3.4, 4, 12_800, PUBLISHED["exposure"]["civil_end_3.4lux_f4_ISO12800_1/t"]),
    ],
)
def test_worked_shutters(lux, f_number, iso, part):
    assert 1 / shutter_s(lux, f_number, iso) == pytest.approx(part, rel=0.001)


@pytest.mark.parametrize(("ev", "lux"), PUBLISHED["exposure"]["lux_at_EV100"].items())
def test_shutter_is_the_law_of_exposure_values(ev, lux):
    # t = N² / (2^EV100 x ISO / 100)
    assert shutter_s(lux, 7.1, 6400) == pytest.approx(7.1**2 / (2 ** float(ev) * 64), rel=1e-9)


@given(positive, st.floats(0.7, 64), st.floats(25, 409_600), st.floats(-2, 4))
def test_needed_light_undoes_the_shutter(lux, f_number, iso, loss):
    time = shutter_s(lux, f_number, iso, loss)
    assert lux_needed(time, f_number, iso, loss) == pytest.approx(lux, rel=1e-9)
    assert shutter_s(lux, f_number, iso, loss + 1) == pytest.approx(2 * time, rel=1e-9)
    assert shutter_s(2 * lux, f_number, iso, loss) == pytest.approx(time / 2, rel=1e-9)


def test_extender():
    focal, f_number = with_extender(500.0, 6.3, 1.4)
    assert focal == pytest.approx(700.0)
    assert f_number == pytest.approx(PUBLISHED["exposure"]["extender1.4_f6.3->"], rel=0.001)
    slower = shutter_s(100, f_number, 800) / shutter_s(100, 6.3, 800)
    assert log2(slower) == pytest.approx(PUBLISHED["exposure"]["ext_stops_1.4"], abs=1e-6)


def test_losses_are_glass_and_coat():
    assert loss_ev() == pytest.approx(1 / 3)
    assert loss_ev(0.5, -0.25) == 0.25


def test_cropping_to_half_the_width_is_grain_at_four_times_the_iso():
    assert grain_factor(0.5) == 4.0


# Common practice, no source.
def test_wanted_shutters():
    for row in WANTED_SHUTTERS.values():
        assert row.slowest_s >= row.default_s >= row.fastest_s
    defaults = {name: shutter_word(row.default_s) for name, row in WANTED_SHUTTERS.items()}
    assert defaults["perched"] == "1/250"
    assert defaults["fidgeting"] == "1/1000"
    assert defaults["large bird in flight"] == "1/2000"
    assert defaults["small bird in flight"] == "1/3200"


# Common practice: 1 / (focal length x crop), less the stabiliser's stops.
def test_hand_held_floor():
    assert hand_held_s(400) == pytest.approx(1 / 400)
    assert hand_held_s(400, 1.5) == pytest.approx(1 / 600)
    assert hand_held_s(400, 1.5, 3) == pytest.approx(1 / 75)


# Crop by the diagonals.
@pytest.mark.parametrize(
    ("size", "crop"), [((23.5, 15.6), 1.534), ((22.3, 14.9), 1.613), ((17.3, 13.0), 1.999)]
)
def test_crop_factor(size, crop):
    assert crop_factor(*size) == pytest.approx(crop, rel=0.001)


# The third-stop dial, common practice.
def test_the_dial_has_a_word_for_every_third_of_a_stop():
    words = [shutter_word(2 ** (third / 3)) for third in range(-39, 16)]
    assert len(set(words)) == len(words)
    assert words[0] == "1/8000"
    assert words[-1] == "30 s"


@pytest.mark.parametrize(
    ("seconds", "word"),
    [
        (1 / 250, "1/250"), (1 / 256, "1/250"), (1 / 2000, "1/2000"), (1 / 1000, "1/1000"),
        (1 / 129, "1/125"), (1 / 33, "1/30"), (1 / 60, "1/60"), (1 / 3200, "1/3200"),
        (0.5, "0.5 s"), (1, "1 s"), (1 / 3, "0.3 s"), (2.1, "2 s"), (30, "30 s"),
        (200, "longer than 30 s"), (1 / 20_000, "shorter than 1/8000"),
    ],
)  # fmt: skip
def test_shutter_words(seconds, word):
    assert shutter_word(seconds) == word


@pytest.mark.parametrize("word", [word for word in exposure._DIAL if "/" in word])
def test_a_named_shutter_is_called_by_its_name(word):
    assert shutter_word(1 / int(word[2:])) == word


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: shutter_s(0, 6.3, 100), "light_lux"),
        (lambda: shutter_s(float("nan"), 6.3, 100), "light_lux"),
        (lambda: shutter_s(100, 0, 100), "f_number"),
        (lambda: shutter_s(100, 6.3, -100), "iso"),
        (lambda: shutter_s(100, 6.3, 100, float("inf")), "loss_ev"),
        (lambda: lux_needed(0, 6.3, 100), "wanted_s"),
        (lambda: ev_of_lux(-1), "light_lux"),
        (lambda: with_extender(500, 6.3, 0.7), "extender"),
        (lambda: grain_factor(0), "kept_width"),
        (lambda: hand_held_s(400, 1, -1), "stabiliser_ev"),
        (lambda: shutter_word(0), "exposure_s"),
    ],
)
def test_bad_input_names_its_field(call, field):
    with pytest.raises(ValueError, match=field):
        call()
