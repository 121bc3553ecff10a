"""What a lens makes of a distance: size in the picture, depth of field, blur behind and before.

The thin lens, with every distance from its front principal plane (distances engraved on a lens are
from the sensor; far off the difference is nothing). Focal lengths and sensors in mm and pixels in
µm, as the trade says; all other lengths in m. It is *not* a judgement: whether a background is
plain, and where to stand for it, is `scout.engine.background`. Formulas: S. Ray, Applied
Photographic Optics (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import hypot, inf, isfinite

from attrs import frozen

from scout.engine.exposure import require_positive

CIRCLE_PER_DIAGONAL = 1.0 / 1500.0  # of confusion; common practice, a setting
WAVELENGTH_UM = 0.55  # green, to which the eye is keenest


@frozen(kw_only=True)
class Optic:
    """Hold lens and sensor as they are used: extender on, zoom set, aperture set.

    `focal_mm` and `f_number` behind any extender; `sensor_width_mm`, `sensor_height_mm`;
    `pixels_wide` across the width; `nearest_focus_m` 0 where unknown. Raises ValueError on numbers
    not above 0.
    """

    focal_mm: float
    f_number: float
    sensor_width_mm: float
    sensor_height_mm: float
    pixels_wide: int
    nearest_focus_m: float = 0.0

    def __attrs_post_init__(self) -> None:
        for name in ("focal_mm", "f_number", "sensor_width_mm", "sensor_height_mm", "pixels_wide"):
            require_positive(name, getattr(self, name))
        if not 0.0 <= self.nearest_focus_m < inf:
            raise ValueError(
                f"nearest_focus_m: {self.nearest_focus_m!r} must be metres, 0 or more."
            )

    @property
    def pixel_um(self) -> float:
        """Return the pixel pitch [µm]."""
        return 1000.0 * self.sensor_width_mm / self.pixels_wide

    @property
    def circle_mm(self) -> float:
        """Return the circle of confusion taken as sharp [mm]: the diagonal / 1500."""
        return hypot(self.sensor_width_mm, self.sensor_height_mm) * CIRCLE_PER_DIAGONAL


def require_distance(distance_m: float, focal_mm: float) -> float:
    """Return a distance that a lens can focus on, or raise ValueError naming the field.

    It has to be finite and longer than the focal length.
    """
    require_positive("focal_mm", focal_mm, "mm")
    if not (isfinite(distance_m) and distance_m * 1000.0 > focal_mm):
        raise ValueError(
            f"distance_m: {distance_m!r} m must be longer than the focal length ({focal_mm:g} mm); "
            "give the metres from the lens to the animal."
        )
    return distance_m


def nearest_focus_sentence(optic: Optic, distance_m: float) -> str | None:
    """Say that an animal is nearer than the lens can focus, or None when it is not."""
    if round(distance_m, 1) >= round(optic.nearest_focus_m, 1):
        return None
    return (
        f"the lens focuses from {optic.nearest_focus_m:.1f} m on; at {distance_m:.1f} m nothing "
        "will be sharp"
    )


def magnification(focal_mm: float, distance_m: float) -> float:
    """Return image size over subject size [unitless]: f / (s - f)."""
    require_distance(distance_m, focal_mm)
    return focal_mm / (distance_m * 1000.0 - focal_mm)


def field_m(sensor_mm: float, focal_mm: float, distance_m: float) -> float:
    """Return what the frame takes in at a distance, along the sensor side given [m]."""
    return require_positive("sensor_mm", sensor_mm, "mm") / (
        1000.0 * magnification(focal_mm, distance_m)
    )


def hyperfocal_m(focal_mm: float, f_number: float, circle_mm: float) -> float:
    """Return the nearest focus whose depth of field reaches to infinity [m]: f² / (N c) + f."""
    require_positive("focal_mm", focal_mm, "mm")
    require_positive("f_number", f_number)
    require_positive("circle_mm", circle_mm, "mm")
    return (focal_mm * focal_mm / (f_number * circle_mm) + focal_mm) / 1000.0


def sharp_range_m(
    focal_mm: float, f_number: float, circle_mm: float, distance_m: float
) -> tuple[float, float]:
    """Return the nearest and the farthest distance that look sharp [m].

    The far one is infinite from the hyperfocal distance on. Raises ValueError within the focal
    length.
    """
    require_distance(distance_m, focal_mm)
    h_m = hyperfocal_m(focal_mm, f_number, circle_mm)
    f_m = focal_mm / 1000.0
    near = distance_m * (h_m - f_m) / (h_m + distance_m - 2.0 * f_m)
    far = inf if distance_m >= h_m else distance_m * (h_m - f_m) / (h_m - distance_m)
    return near, far


def sharp_sentence(optic: Optic, distance_m: float, length_m: float) -> str:
    """Say what of an animal is sharp: "sharp from 11.88 to 12.12 m: eye yes, tail no".

    The eye is focused on; `length_m` is the animal's length, taken as pointing straight away, the
    worst case. Printed to a centimetre.
    """
    require_positive("length_m", length_m, "m")
    near, far = sharp_range_m(optic.focal_mm, optic.f_number, optic.circle_mm, distance_m)
    tail = "yes" if round(far, 2) >= round(distance_m + length_m, 2) else "no"
    until = "as far as can be seen" if far == inf else f"{far:.2f} m"
    return f"sharp from {near:.2f} to {until}: eye yes, tail {tail}"


def blur_mm(focal_mm: float, f_number: float, distance_m: float, behind_m: float) -> float:
    """Return the disc into which a point behind or before the animal spreads on the sensor [mm].

    `behind_m` is the gap, measured from the animal: positive behind it, infinite for the sky,
    negative before it (foreground; it must still lie before the lens). 0 gives 0. b = f² / N x |D -
    s| / (D (s - f)).
    """
    require_distance(distance_m, focal_mm)
    require_positive("f_number", f_number)
    full = focal_mm * magnification(focal_mm, distance_m) / f_number
    if behind_m == inf:
        return full
    if not (isfinite(behind_m) and distance_m + behind_m > 0.0):
        raise ValueError(
            f"behind_m: {behind_m!r} m is not before the lens; give the metres behind the animal, "
            "negative for what stands before it."
        )
    return full * abs(behind_m) / (distance_m + behind_m)


def diffraction_mm(f_number: float, wavelength_um: float = WAVELENGTH_UM) -> float:
    """Return the disc into which even a perfect lens spreads a point [mm]: 2.44 λ N."""
    require_positive("wavelength_um", wavelength_um, "µm")
    return 2.44 * wavelength_um * require_positive("f_number", f_number) / 1000.0


def image_mm(size_m: float, focal_mm: float, distance_m: float) -> float:
    """Return how long an animal is on the sensor [mm]."""
    return require_positive("size_m", size_m, "m") * 1000.0 * magnification(focal_mm, distance_m)


def subject_px(size_m: float, focal_mm: float, distance_m: float, pixel_um: float) -> float:
    """Return how long an animal is in the picture [pixels]."""
    return 1000.0 * image_mm(size_m, focal_mm, distance_m) / require_positive("pixel_um", pixel_um)


def frame_share(optic: Optic, size_m: float, distance_m: float) -> float:
    """Return the animal's length over the frame's width, uncropped [unitless]."""
    return image_mm(size_m, optic.focal_mm, distance_m) / optic.sensor_width_mm


def seen_focal_mm(frame_width_m: float, distance_m: float, sensor_width_mm: float) -> float:
    """Return the focal length that a zoom really has close up, from what its frame takes in [mm].

    `frame_width_m` seen at `distance_m`. A zoom may be much shorter near than far. Undoes
    `field_m`.
    """
    require_positive("frame_width_m", frame_width_m, "m")
    require_positive("distance_m", distance_m, "m")
    require_positive("sensor_width_mm", sensor_width_mm, "mm")
    return 1000.0 * distance_m * sensor_width_mm / (frame_width_m * 1000.0 + sensor_width_mm)


def aperture_at(steps: Sequence[tuple[float, float]], focal_mm: float) -> float:
    """Return the widest aperture that a zoom has at a focal length, as an f-number.

    `steps` are (focal length [mm], f-number): each holds from its focal length on, and the first
    from the short end. Raises ValueError for no steps, two at one focal length, or a focal length
    before the first.
    """
    require_positive("focal_mm", focal_mm, "mm")
    ordered = sorted(steps)
    if not ordered:
        raise ValueError(
            "apertures: there is none; give at least one focal length with its f-number."
        )
    for (one, _), (other, _) in pairwise(ordered):
        if one == other:
            raise ValueError(f"apertures: {one:g} mm is given twice; keep one of the two.")
    if focal_mm < ordered[0][0]:
        raise ValueError(
            f"focal_mm: {focal_mm:g} mm is shorter than the first step ({ordered[0][0]:g} mm)."
        )
    found = ordered[0][1]
    for start_mm, f_number in ordered:
        if start_mm <= focal_mm:
            found = f_number
    return require_positive("f_number", found)
