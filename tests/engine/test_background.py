"""Backgrounds in words, and where to stand."""

from __future__ import annotations

from math import inf

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from scout.engine.background import (
    background_look,
    blur_over_animal,
    blur_sentence,
    blur_share,
    largest_distance_for_ratio_m,
    largest_distance_m,
    same_blur_mm,
    smallest_gap_for_ratio_m,
    smallest_gap_m,
    stand_for_blur,
)
from scout.engine.optics import Optic, blur_mm
from scout.records.places import BACKGROUNDS, TONES


def optic(focal=500.0, f_number=7.1, width=36.0, nearest=3.0):
    return Optic(
        focal_mm=focal,
        f_number=f_number,
        sensor_width_mm=width,
        sensor_height_mm=width / 1.5,
        pixels_wide=6000,
        nearest_focus_m=nearest,
    )


ZOOM = optic()
focals = st.floats(50, 1200)
stops = st.floats(2, 16)
distances = st.floats(2, 200)
gaps = st.floats(0.05, 2000)


@given(focals, stops, distances, gaps)
def test_stand_where_undoes_blur(focal, f_number, distance, gap):
    lens = optic(focal, f_number)
    blur = blur_mm(focal, f_number, distance, gap)
    assert largest_distance_m(lens, gap, blur) == pytest.approx(distance, rel=1e-6)
    found = smallest_gap_m(lens, distance, blur)
    assert found is not None
    assert found == pytest.approx(gap, rel=1e-6)


@given(focals, stops, distances)
def test_stand_where_undoes_the_blur_of_the_sky(focal, f_number, distance):
    lens = optic(focal, f_number)
    blur = blur_mm(focal, f_number, distance, inf)
    assert largest_distance_m(lens, inf, blur) == pytest.approx(distance, rel=1e-9)
    assert smallest_gap_m(lens, distance, blur * 1.0001) is None


@given(focals, stops, distances, gaps, st.floats(0.03, 2))
def test_stand_where_undoes_the_blur_against_the_animal(focal, f_number, distance, gap, length):
    lens = optic(focal, f_number)
    ratio = blur_over_animal(lens, distance, gap, length)
    assume(ratio > 1e-6)
    # b / image = (f / N) gap / (length (s + gap))
    assert ratio == pytest.approx(
        focal / 1000 / f_number * gap / (length * (distance + gap)), rel=1e-9
    )
    assert largest_distance_for_ratio_m(lens, gap, ratio, length) == pytest.approx(
        distance, rel=1e-6
    )
    assert smallest_gap_for_ratio_m(lens, distance, ratio, length) == pytest.approx(gap, rel=1e-6)


def test_a_blur_no_lens_of_this_aperture_gives():
    assert largest_distance_for_ratio_m(ZOOM, 10.0, 5.0, 0.2) is None
    assert largest_distance_for_ratio_m(ZOOM, inf, 5.0, 0.2) is None
    assert largest_distance_for_ratio_m(ZOOM, inf, 0.1, 0.2) == inf


@given(focals, stops, distances, gaps, st.floats(0, 60), st.floats(0.01, 1.2))
def test_never_inside_the_keep_distance(focal, f_number, distance, gap, keep, length):
    lens = optic(focal, f_number)
    wanted = blur_mm(focal, f_number, distance, gap)
    answer = stand_for_blur(
        lens, gap_m=gap, wanted_mm=wanted, keep_distance_m=keep, length_m=length
    )
    if answer.distance_m is None:
        assert answer.sentence.startswith("not with this kit: ")
        assert ("make it a picture of the place" in answer.sentence) != (
            "it blurs less" in answer.sentence
        )
        assert distance < max(keep, lens.nearest_focus_m) + 0.2
    else:
        assert answer.distance_m >= round(keep, 1)
        assert answer.distance_m >= lens.nearest_focus_m
        # Rounded towards the animal, so that the printed distance still gives the blur.
        assert blur_mm(focal, f_number, answer.distance_m, gap) >= wanted * (1 - 1e-6)


def test_not_with_this_kit_is_a_sentence():
    answer = stand_for_blur(ZOOM, gap_m=2.0, wanted_mm=2.5, keep_distance_m=20.0, length_m=0.17)
    assert answer.distance_m is None
    assert answer.sentence == (
        "not with this kit: bird 12 % of the frame at 20 m, make it a picture of the place"
    )


def test_without_a_keep_distance_there_is_no_answer():
    answer = stand_for_blur(ZOOM, gap_m=20, wanted_mm=0.1, keep_distance_m=None, length_m=0.2)
    assert answer.distance_m is None
    assert "no keep-distance" in answer.sentence


def test_the_blur_another_kit_gives():
    prime = optic(600.0, 4.0)
    wanted = same_blur_mm(ZOOM, prime, 15.0, 20.0)
    assert wanted == pytest.approx(blur_mm(600, 4, 15, 20))
    answer = stand_for_blur(ZOOM, gap_m=20, wanted_mm=wanted, keep_distance_m=5, length_m=0.2)
    assert answer.distance_m is not None
    assert answer.distance_m < 15
    crop = optic(333.0, 4.8, width=24.0)
    assert same_blur_mm(crop, ZOOM, 15.0, 20.0) == pytest.approx(24 * blur_share(ZOOM, 15.0, 20.0))


# Common practice, no source: reeds are plain at 4 %, branches with sky holes busy at 8 %.
@pytest.mark.parametrize(
    ("percent", "kind", "tone", "word"),
    [
        (4.0, "reeds", "mid", "plain"),
        (3.9, "reeds", "mid", "soft"),
        (1.9, "reeds", "mid", "busy"),
        (8.0, "branches", "sky holes", "busy"),
        (8.0, "branches", "mid", "soft"),
        (0.0, "sky", "bright", "plain"),
        (3.96, "reeds", "mid", "plain"),  # printed as 4.0
        (8.0, None, None, "plain"),
    ],
)
def test_busy_soft_plain(percent, kind, tone, word):
    assert background_look(percent, kind, tone).word == word


def test_a_background_in_shade_dissolves_sooner():
    assert background_look(3.2, "reeds", "mid").word == "soft"
    assert background_look(3.2, "reeds", "mid", in_shade=True).word == "plain"


def test_thresholds_are_printed():
    look = background_look(7.13, "reeds", "mid")
    assert look.sentence("reeds") == (
        "plain: reeds blurred to 7.1 % of the width (soft from 2 %, plain from 4 %)"
    )


@pytest.mark.parametrize("kind", BACKGROUNDS)
@pytest.mark.parametrize("tone", TONES)
def test_every_recorded_background_has_a_judgement_and_more_blur_never_looks_busier(kind, tone):
    order = ("busy", "soft", "plain")
    looks = [background_look(p / 4, kind, tone) for p in range(100)]
    places = [order.index(look.word) for look in looks]
    assert places == sorted(places)
    assert looks[-1].word == "plain"


@pytest.mark.parametrize(
    ("ratio", "sentence"),
    [
        (0.34, "blur a third as long as the bird"),
        (0.5, "blur half as long as the bird"),
        (1.02, "blur as long as the bird"),
        (4.2, "blur 4 times as long as the bird"),
        (0.05, "hardly any blur: 0.05 of the bird's length"),
        (0.24, "blur a quarter as long as the bird"),
    ],
)
def test_blur_against_the_animal_in_words(ratio, sentence):
    assert blur_sentence(ratio) == sentence


def test_a_third_as_long_hardly_depends_on_the_distance():
    ratios = [blur_over_animal(ZOOM, s, 60.0, 0.17) for s in (8, 12, 16)]
    assert max(ratios) / min(ratios) < 1.15
    assert blur_sentence(ratios[1]) == "blur a third as long as the bird"


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: background_look(-1, "reeds", None), "blur_percent"),
        (lambda: background_look(1, "hedge", None), "background"),
        (lambda: background_look(1, "reeds", "pink"), "tone"),
        (lambda: blur_share(ZOOM, 10, 5, 0), "kept_width"),
        (lambda: smallest_gap_m(ZOOM, 10, 0), "wanted_mm"),
        (lambda: largest_distance_m(ZOOM, 0, 1), "gap_m"),
        (lambda: blur_over_animal(ZOOM, 10, 5, 0), "length_m"),
        (
            lambda: stand_for_blur(ZOOM, gap_m=5, wanted_mm=1, keep_distance_m=-1, length_m=0.2),
            "keep_distance_m",
        ),
    ],
)
def test_bad_input_names_its_field(call, field):
    with pytest.raises(ValueError, match=field):
        call()
