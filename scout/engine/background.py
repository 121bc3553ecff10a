"""How far the background dissolves, in words, and where to stand so that it does.

The blur itself is optics (`scout.engine.optics`); here it is set against the animal, against what
the background is made of, and turned round into distances and gaps. It is *not* a finder of places
on the map, and it never answers nearer than the keep-distance.
"""

from __future__ import annotations

from math import floor, inf, isfinite, sqrt

from attrs import frozen

from scout.engine.exposure import require_positive
from scout.engine.optics import Optic, blur_mm, frame_share, magnification, require_distance

# Blur, in percent of the picture's width, from which a background is soft and from which it is
# plain: the coarser its pattern, the more it takes. Common practice, no source; settings.
SOFT_PLAIN_PERCENT = {
    "sky": (0.0, 0.0),
    "water": (1.0, 2.5),
    "grass": (1.5, 3.0),
    "bank": (1.5, 3.5),
    "reeds": (2.0, 4.0),
    "conifers": (2.5, 5.0),
    "leaves": (3.0, 6.0),
    "rock": (3.0, 6.0),
    "branches": (5.0, 10.0),
    "buildings": (5.0, 10.0),
}
UNKNOWN_SOFT_PLAIN_PERCENT = (4.0, 8.0)
# Bright patches survive blur as discs; sky holes most of all.
SMALL_PERCENT = 12  # of the frame: no portrait any more; ours
TONE_FACTOR = {"dark": 1.0, "mid": 1.0, "bright": 1.25, "sky holes": 2.0}
SHADE_FACTOR = 0.75  # a background in shade behind a lit animal hides its pattern


@frozen
class BackgroundLook:
    """Say what a background looks like, with the thresholds it was judged by.

    `word` busy, soft or plain; `blur_percent` of the picture's width, rounded to a tenth; soft and
    plain from the two thresholds on [percent].
    """

    word: str
    blur_percent: float
    soft_from_percent: float
    plain_from_percent: float

    def sentence(self, kind: str | None) -> str:
        """Return it with its thresholds: "plain: reeds blurred to 7.1 % of the width (…)"."""
        return (
            f"{self.word}: {kind or 'background'} blurred to {self.blur_percent:.1f} % of the "
            f"width (soft from {self.soft_from_percent:g} %, "
            f"plain from {self.plain_from_percent:g} %)"
        )


def background_look(
    blur_percent: float, kind: str | None, tone: str | None, *, in_shade: bool = False
) -> BackgroundLook:
    """Judge a background by its blur, what it is, its tone, and whether it lies in shade.

    `blur_percent` of the finished picture's width, 0 or more; `kind` and `tone` None where unknown
    (a kind in the middle is then taken). Raises ValueError on a word that is not known. Common
    practice.
    """
    if not (isfinite(blur_percent) and blur_percent >= 0.0):
        raise ValueError(f"blur_percent: {blur_percent!r} must be 0 or more.")
    if kind is not None and kind not in SOFT_PLAIN_PERCENT:
        known = ", ".join(SOFT_PLAIN_PERCENT)
        raise ValueError(f"background: {kind!r} is not known; give one of {known}.")
    if tone is not None and tone not in TONE_FACTOR:
        raise ValueError(f"tone: {tone!r} is not known; give one of {', '.join(TONE_FACTOR)}.")
    soft, plain = UNKNOWN_SOFT_PLAIN_PERCENT if kind is None else SOFT_PLAIN_PERCENT[kind]
    factor = (1.0 if tone is None else TONE_FACTOR[tone]) * (SHADE_FACTOR if in_shade else 1.0)
    soft, plain, shown = round(soft * factor, 1), round(plain * factor, 1), round(blur_percent, 1)
    word = "plain" if shown >= plain else "soft" if shown >= soft else "busy"
    return BackgroundLook(word, shown, soft, plain)


def blur_share(optic: Optic, distance_m: float, gap_m: float, kept_width: float = 1.0) -> float:
    """Return the background's blur over the picture's width, cropped to `kept_width` [unitless]."""
    if not 0.0 < kept_width <= 1.0:
        raise ValueError(f"kept_width: {kept_width!r} must be a part of the width, up to 1.")
    blur = blur_mm(optic.focal_mm, optic.f_number, distance_m, gap_m)
    return blur / (optic.sensor_width_mm * kept_width)


def blur_over_animal(optic: Optic, distance_m: float, gap_m: float, length_m: float) -> float:
    """Return the background's blur over the animal's length in the picture [unitless].

    (f / N) gap / (length (s + gap)): it hardly depends on the distance, and not on the sensor.
    """
    require_positive("length_m", length_m, "m")
    blur = blur_mm(optic.focal_mm, optic.f_number, distance_m, gap_m)
    return blur / (1000.0 * length_m * magnification(optic.focal_mm, distance_m))


_RATIO_WORDS = (
    (0.10, "a tenth as long as"),
    (0.20, "a fifth as long as"),
    (0.25, "a quarter as long as"),
    (1.0 / 3.0, "a third as long as"),
    (0.5, "half as long as"),
    (2.0 / 3.0, "two thirds as long as"),
    (1.0, "as long as"),
    (1.5, "one and a half times as long as"),
    (2.0, "twice as long as"),
)


def blur_sentence(ratio: float, animal: str = "bird") -> str:
    """Say a blur against the animal: "blur a third as long as the bird"."""
    if not (isfinite(ratio) and ratio >= 0.0):
        raise ValueError(f"ratio: {ratio!r} must be 0 or more.")
    if round(ratio, 2) < 0.08:
        return f"hardly any blur: {ratio:.2f} of the {animal}'s length"
    if ratio > 2.25:
        return f"blur {ratio:.0f} times as long as the {animal}"
    word = min(_RATIO_WORDS, key=lambda row: (abs(row[0] / ratio - 1.0), row[0]))[1]
    return f"blur {word} the {animal}"


def smallest_gap_m(optic: Optic, distance_m: float, wanted_mm: float) -> float | None:
    """Return the smallest gap behind the animal for a wanted blur disc on the sensor [m].

    None where not even the sky would blur so much from this distance. Undoes `blur_mm`.
    """
    require_positive("wanted_mm", wanted_mm, "mm")
    full = blur_mm(optic.focal_mm, optic.f_number, distance_m, inf)
    return None if wanted_mm >= full else distance_m * wanted_mm / (full - wanted_mm)


def largest_distance_m(optic: Optic, gap_m: float, wanted_mm: float) -> float:
    """Return the largest distance from the animal for a wanted blur disc on the sensor [m].

    `gap_m` above 0, infinite for the sky. Nearer blurs more. It may be nearer than anybody should
    stand: `stand_for_blur` is the answer to act on. Undoes `blur_mm`.
    """
    require_positive("wanted_mm", wanted_mm, "mm")
    f = optic.focal_mm
    if gap_m == inf:
        return (f + f * f / (optic.f_number * wanted_mm)) / 1000.0
    gap = 1000.0 * require_positive("gap_m", gap_m, "m")
    # wanted (s + gap) (s - f) = f² gap / N, a quadratic in s with one root beyond f.
    b = gap - f
    c = -f * gap - f * f * gap / (optic.f_number * wanted_mm)
    root = sqrt(b * b - 4.0 * c)
    # The form without cancellation, for a gap far larger than the distance.
    s = (root - b) / 2.0 if b <= 0.0 else -2.0 * c / (root + b)
    return s / 1000.0


@frozen
class Stand:
    """Answer where to stand: at most `distance_m` [m] from the animal, or None and why not."""

    distance_m: float | None
    sentence: str


def stand_for_blur(
    optic: Optic,
    *,
    gap_m: float,
    wanted_mm: float,
    keep_distance_m: float | None,
    length_m: float,
    animal: str = "bird",
) -> Stand:
    """Say from how far the background dissolves as wanted, never inside the keep-distance.

    `wanted_mm` blur disc on this sensor, `length_m` the animal's length. With no keep-distance
    there is no answer. Printed to 0.1 m, rounded towards the animal.
    """
    require_positive("length_m", length_m, "m")
    if keep_distance_m is None:
        return Stand(None, f"no keep-distance is set for this {animal}: set your own first")
    if not 0.0 <= keep_distance_m < inf:
        raise ValueError(f"keep_distance_m: {keep_distance_m!r} must be metres, 0 or more.")
    farthest = largest_distance_m(optic, gap_m, wanted_mm)
    shown = floor(farthest * 10.0 + 1e-9) / 10.0
    limit = max(round(keep_distance_m, 1), round(optic.nearest_focus_m, 1))
    if shown >= limit and 1000.0 * shown > optic.focal_mm:
        return Stand(
            shown, f"stand at most {shown:.1f} m from it (keep-distance {keep_distance_m:g} m)"
        )
    nearest = max(limit, round(optic.focal_mm / 1000.0 + 0.1, 1))
    percent = 100.0 * frame_share(optic, length_m, nearest)
    gap = smallest_gap_m(optic, nearest, wanted_mm)
    further = "" if gap is None else f"find a background {gap:.0f} m behind it"
    if round(percent) <= SMALL_PERCENT:
        return Stand(
            None,
            f"not with this kit: {animal} {percent:.0f} % of the frame at {nearest:g} m, make it a "
            f"picture of the place{', or ' if further else ''}{further}",
        )
    why = "your keep-distance" if nearest == round(keep_distance_m, 1) else "the nearest focus"
    advice = f": {further}" if further else ""
    return Stand(None, f"not with this kit: from {nearest:g} m on, {why}, it blurs less{advice}")


def same_blur_mm(optic: Optic, other: Optic, other_distance_m: float, other_gap_m: float) -> float:
    """Return the blur disc on this sensor that matches another kit's picture [mm].

    Matched as a share of the picture's width, so that the two pictures look alike.
    """
    return optic.sensor_width_mm * blur_share(other, other_distance_m, other_gap_m)


def smallest_gap_for_ratio_m(
    optic: Optic, distance_m: float, ratio: float, length_m: float
) -> float | None:
    """Return the smallest gap for a blur of `ratio` times the animal's length [m].

    None where no gap gives it. Undoes `blur_over_animal`.
    """
    return smallest_gap_m(optic, distance_m, _ratio_mm(optic, distance_m, ratio, length_m))


def _ratio_mm(optic: Optic, distance_m: float, ratio: float, length_m: float) -> float:
    require_positive("ratio", ratio)
    require_positive("length_m", length_m, "m")
    return ratio * 1000.0 * length_m * magnification(optic.focal_mm, distance_m)


def largest_distance_for_ratio_m(
    optic: Optic, gap_m: float, ratio: float, length_m: float
) -> float | None:
    """Return the largest distance for a blur of `ratio` times the animal's length [m].

    None where no distance gives it (nearer hardly helps: the animal grows with its background's
    blur); infinite where the background is the sky and the ratio is reached anywhere. Undoes
    `blur_over_animal`.
    """
    require_positive("ratio", ratio)
    full = optic.focal_mm / (optic.f_number * 1000.0 * require_positive("length_m", length_m, "m"))
    if gap_m == inf:
        return inf if full >= ratio else None
    distance = require_positive("gap_m", gap_m, "m") * (full / ratio - 1.0)
    if distance * 1000.0 <= optic.focal_mm:
        return None
    return require_distance(distance, optic.focal_mm)
