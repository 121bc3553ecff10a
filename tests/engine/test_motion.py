"""Smear and frames caught."""

from __future__ import annotations

import random

import pytest

from scout.engine.motion import (
    chance_of_frame,
    frames_caught,
    frames_sentence,
    residual_speed_mps,
    smear_px,
)


# Computed independently: v t f / ((s - f) pitch).
@pytest.mark.parametrize(
    ("speed", "time", "focal", "distance", "pitch", "pixels"),
    [
        (10, 1 / 2000, 600, 20, 4.35, 35.55),
        (0.05, 1 / 60, 400, 10, 3.9, 8.903),
        (5, 1 / 1000, 300, 15, 5.9, 17.295),
        (15, 1 / 3200, 400, 30, 3.2, 19.796),
    ],
)
def test_smear(speed, time, focal, distance, pitch, pixels):
    assert smear_px(speed, time, focal, distance, pitch) == pytest.approx(pixels, rel=0.001)


def test_raw_flight_speed_asks_for_an_absurd_shutter():
    assert smear_px(10, 1 / 35_549, 600, 20, 4.35) == pytest.approx(2, rel=0.001)
    panned = residual_speed_mps(10, 0.05)
    assert smear_px(panned, 20 / 35_549, 600, 20, 4.35) == pytest.approx(2, rel=0.001)


def test_a_still_animal_does_not_smear():
    assert smear_px(0, 1, 400, 10, 4) == 0.0


def test_frames():
    assert frames_caught(10, 0.3) == pytest.approx(3.0)
    assert (
        frames_sentence(10, 0.3, "leap from a perch") == "3 frames in a leap from a perch (0.3 s)"
    )
    assert frames_sentence(5, 0.1, "wing beat") == "not always one frame in a wing beat (0.1 s)"
    assert frames_sentence(12, 0.1, "wing beat") == "1 frame in a wing beat (0.1 s)"


def test_chance_of_a_frame_is_that_of_a_drawn_burst():
    # A burst in no step with the animal, drawn with a fixed seed.
    draw = random.Random(7)
    rate, instant, rounds = 8.0, 0.05, 40_000
    hits = sum(draw.random() / rate <= instant for _ in range(rounds))
    assert chance_of_frame(rate, instant) == pytest.approx(hits / rounds, abs=0.01)
    assert chance_of_frame(30, 0.05) == 1.0
    assert chance_of_frame(8, 0.05, 3) == pytest.approx(1 - 0.6**3)


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: smear_px(-1, 0.01, 400, 10, 4), "speed_mps"),
        (lambda: smear_px(1, 0, 400, 10, 4), "exposure_s"),
        (lambda: smear_px(1, 0.01, 400, 0.4, 4), "distance_m"),
        (lambda: smear_px(1, 0.01, 400, 10, 0), "pixel_um"),
        (lambda: residual_speed_mps(10, 2), "residue"),
        (lambda: chance_of_frame(0, 0.1), "frame_rate_hz"),
        (lambda: chance_of_frame(5, 0.1, 0), "moments"),
    ],
)
def test_bad_input_names_its_field(call, field):
    with pytest.raises(ValueError, match=field):
        call()
