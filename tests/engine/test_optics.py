"""Size, depth of field and blur of a thin lens, and reach."""

from __future__ import annotations

import json
from math import inf
from pathlib import Path

import attrs
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from scout.engine.exposure import crop_factor
from scout.engine.optics import (
    Optic,
    aperture_at,
    blur_mm,
    diffraction_mm,
    field_m,
    frame_share,
    hyperfocal_m,
    image_mm,
    magnification,
    nearest_focus_sentence,
    seen_focal_mm,
    sharp_range_m,
    sharp_sentence,
    subject_px,
)
from scout.engine.reach import framing, reach_m

REFERENCE = Path(__file__).parents[1] / "reference" / "light_and_lens.json"
PUBLISHED = json.loads(REFERENCE.read_text(encoding="utf-8"))
ROWS = PUBLISHED["optics"]

LONG_ZOOM = Optic(
    focal_mm=500.0,
    f_number=7.1,
    sensor_width_mm=35.9,
    sensor_height_mm=23.9,
    pixels_wide=6000,
    nearest_focus_m=4.0,
)

focals = st.floats(20, 1200)
stops = st.floats(1.4, 22)
distances = st.floats(1.5, 300)


def rounding(value):
    """Half a unit in the last place that the reference row prints."""
    text = str(value)
    return 0.51 * 10.0 ** -(len(text.split(".")[1]) if "." in text else 0)


def close(ours, printed):
    return ours == pytest.approx(printed, rel=0.001, abs=rounding(printed))


# Thin lens; Ray, Applied Photographic Optics.
@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['f_mm']}mm-{row['s_m']}m")
def test_published_rows(row):
    f, n, c, s = row["f_mm"], row["N"], row["coc_mm"], row["s_m"]
    assert close(hyperfocal_m(f, n, c), row["hyperfocal_m"])
    near, far = sharp_range_m(f, n, c, s)
    assert close(near, row["near_m"])
    assert far == inf if row["far_m"] == "inf" else close(far, row["far_m"])
    assert close(magnification(f, s), row["magnification"])
    assert close(blur_mm(f, n, s, inf), row["blur_inf_mm"])
    if "background_m" in row:
        assert close(blur_mm(f, n, s, row["background_m"] - s), row["blur_disc_mm"])
    if "subject_m" in row:
        assert close(image_mm(row["subject_m"], f, s), row["image_mm"])
        if "pixels" in row:
            pixels = subject_px(row["subject_m"], f, s, row["pixel_pitch_um"])
            assert close(pixels, row["pixels"])


@pytest.mark.parametrize(("f_number", "disc_um"), PUBLISHED["airy_um_550nm"].items())
def test_diffraction(f_number, disc_um):
    assert 1000 * diffraction_mm(float(f_number)) == pytest.approx(disc_um, rel=0.001)


@pytest.mark.parametrize(
    ("width", "height", "circle"), [(36, 24, 0.0288), (23.5, 15.6, 0.0188), (17.3, 13, 0.0144)]
)
def test_circle_of_confusion(width, height, circle):
    optic = Optic(
        focal_mm=100,
        f_number=4,
        sensor_width_mm=width,
        sensor_height_mm=height,
        pixels_wide=6000,
    )
    assert optic.circle_mm == pytest.approx(circle, abs=0.00005)


# The blur disc by similar triangles: where rays to the background's image cross the sensor.
@given(focals, stops, distances, st.floats(0.01, 500))
def test_blur_is_similar_triangles(focal, f_number, distance, gap):
    s, d = 1000 * distance, 1000 * (distance + gap)
    sensor, image = focal * s / (s - focal), focal * d / (d - focal)
    disc = focal / f_number * (sensor - image) / image
    assert blur_mm(focal, f_number, distance, gap) == pytest.approx(disc, rel=1e-6)


@given(focals, stops, distances, st.floats(0.01, 0.9))
def test_foreground_blurs_by_the_same_law(focal, f_number, distance, part):
    assume(distance * 1000 > 2 * focal)
    gap = -part * distance
    s, d = 1000 * distance, 1000 * (distance + gap)
    expected = focal**2 / f_number * abs(d - s) / (d * (s - focal))
    assert blur_mm(focal, f_number, distance, gap) == pytest.approx(expected, rel=1e-9)
    assert blur_mm(focal, f_number, distance, gap) > blur_mm(focal, f_number, distance, -gap)


@given(focals, stops, distances)
def test_edges_of_the_sharp_range_blur_by_the_circle(focal, f_number, distance):
    assume(distance * 1000 > 2 * focal)
    circle = 0.03
    near, far = sharp_range_m(focal, f_number, circle, distance)
    assert near < distance < far
    assert blur_mm(focal, f_number, distance, near - distance) == pytest.approx(circle, rel=1e-3)
    if far == inf:
        assert blur_mm(focal, f_number, distance, inf) <= circle * 1.001
    elif far < 1e5:
        assert blur_mm(focal, f_number, distance, far - distance) == pytest.approx(circle, rel=1e-3)


def test_in_focus_nothing_blurs():
    assert blur_mm(500, 7.1, 12, 0) == 0.0


# Equivalence: (f, N) on a crop k frames and blurs like (k f, k N) on a 36 x 24 mm frame.
def test_equivalence_over_sensors():
    k = crop_factor(18, 12)
    assert k == pytest.approx(2.0)
    small, large = blur_mm(200, 4, 50, 20), blur_mm(400, 8, 50, 20)
    assert small / 18 == pytest.approx(large / 36, rel=0.01)
    assert field_m(18, 200, 50) == pytest.approx(field_m(36, 400, 50), rel=0.01)


@given(focals, distances, st.floats(5, 60))
def test_a_focal_length_is_found_again_from_the_frame(focal, distance, width):
    assume(distance * 1000 > 1.01 * focal)
    seen = field_m(width, focal, distance)
    assert seen_focal_mm(seen, distance, width) == pytest.approx(focal, rel=1e-6)


def test_sharp_sentence():
    sentence = sharp_sentence(LONG_ZOOM, 12.0, 0.17)
    assert sentence == "sharp from 11.89 to 12.11 m: eye yes, tail no"
    assert sharp_sentence(LONG_ZOOM, 12.0, 0.05).endswith("tail yes")
    assert "as far as can be seen" in sharp_sentence(LONG_ZOOM, 2000.0, 0.05)


def test_nearest_focus():
    assert nearest_focus_sentence(LONG_ZOOM, 4.0) is None
    assert "from 4.0 m on" in nearest_focus_sentence(LONG_ZOOM, 3.5)


def test_aperture_along_the_zoom():
    steps = [(300.0, 6.3), (150.0, 5.0), (420.0, 7.1)]
    found = [aperture_at(steps, focal) for focal in (150, 299.9, 300, 419, 420, 600)]
    assert found == [5.0, 5.0, 6.3, 6.3, 7.1, 7.1]


def test_framing_and_reach():
    large = framing(LONG_ZOOM, 0.17, 6.0, wanted_share=0.2)
    assert large.kept_width == 1.0
    assert large.picture_px == 6000
    assert large.grain == 1.0
    small = framing(LONG_ZOOM, 0.17, 25.0)
    assert small.kept_width == pytest.approx(3 * frame_share(LONG_ZOOM, 0.17, 25.0))
    assert small.grain == pytest.approx(1 / small.kept_width**2)
    assert not small.enough(2048)
    assert "not enough for web (2048 px)" in small.sentence("web", 2048)


@given(st.floats(0.05, 2), st.integers(500, 6000), st.floats(0.1, 1))
def test_at_its_reach_the_picture_has_just_its_pixels(size, output, share):
    reach = reach_m(LONG_ZOOM, size, output, share)
    assert reach is not None
    assert framing(LONG_ZOOM, size, reach, share).picture_px == pytest.approx(output, rel=1e-6)
    assert framing(LONG_ZOOM, size, reach * 1.1, share).picture_px < output


def test_no_reach_beyond_the_sensor():
    assert reach_m(LONG_ZOOM, 0.2, 7000) is None


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: magnification(500, 0.5), "distance_m"),
        (lambda: magnification(500, float("nan")), "distance_m"),
        (lambda: magnification(500, inf), "distance_m"),
        (lambda: magnification(0, 5), "focal_mm"),
        (lambda: magnification("500", 5), "focal_mm"),
        (lambda: attrs.evolve(LONG_ZOOM, pixels_wide=0), "pixels_wide"),
        (lambda: attrs.evolve(LONG_ZOOM, f_number=0.0), "f_number"),
        (lambda: attrs.evolve(LONG_ZOOM, nearest_focus_m=-1.0), "nearest_focus_m"),
        (lambda: sharp_range_m(500, 0, 0.03, 5), "f_number"),
        (lambda: sharp_range_m(500, 8, 0, 5), "circle_mm"),
        (lambda: blur_mm(500, 8, 5, -5), "behind_m"),
        (lambda: blur_mm(500, 8, 5, float("nan")), "behind_m"),
        (lambda: image_mm(0, 500, 5), "size_m"),
        (lambda: aperture_at([], 400), "apertures"),
        (lambda: aperture_at([(400.0, 5.6), (400.0, 6.3)], 400), "apertures"),
        (lambda: aperture_at([(400.0, 5.6)], 300), "focal_mm"),
        (lambda: framing(LONG_ZOOM, 0.2, 10, 0), "wanted_share"),
        (lambda: seen_focal_mm(0, 10, 36), "frame_width_m"),
    ],
)
def test_bad_input_names_its_field(call, field):
    with pytest.raises(ValueError, match=field):
        call()
