"""Whether the animal is large enough in the picture, after cropping, and from how far it still is.

Pixels and print only. It is *not* for blur (`scout.engine.background`), and it knows no
keep-distance: a reach shorter than that is no invitation.
"""

from __future__ import annotations

from attrs import frozen

from scout.engine.exposure import grain_factor, require_positive
from scout.engine.optics import Optic, frame_share, subject_px

WANTED_SHARE = (
    1.0 / 3.0
)  # of the finished picture's width that the animal's length takes; a setting


@frozen
class Framing:
    """Say what is left after cropping until the animal takes its wanted share of the width.

    `subject_px` long in the picture; `kept_width` of the frame, 1 with nothing to crop;
    `picture_px` across the finished picture; `grain` the factor on the ISO that cropping costs.
    """

    subject_px: float
    kept_width: float
    picture_px: float
    grain: float

    def enough(self, output_px: int) -> bool:
        """Say whether the finished picture has the pixels wanted across."""
        return round(self.picture_px) >= output_px

    def sentence(self, output: str, output_px: int) -> str:
        """Return it as it stands on a card."""
        verdict = "enough" if self.enough(output_px) else "not enough"
        crop = (
            "uncropped"
            if self.kept_width == 1.0
            else f"cropped to {100.0 * self.kept_width:.0f} % of the width, grain as at "
            f"{self.grain:.1f} × the ISO"
        )
        return (
            f"{self.subject_px:.0f} px long; {crop}: {self.picture_px:.0f} px across, {verdict} "
            f"for {output} ({output_px} px)"
        )


def framing(
    optic: Optic, size_m: float, distance_m: float, wanted_share: float = WANTED_SHARE
) -> Framing:
    """Return the picture that is left when the animal is to take a share of its width.

    `size_m` the animal's length, `distance_m` beyond the focal length, `wanted_share` above 0 to 1.
    Where it takes more already, nothing is cropped.
    """
    if not 0.0 < wanted_share <= 1.0:
        raise ValueError(f"wanted_share: {wanted_share!r} must be a share of the width, up to 1.")
    long_px = subject_px(size_m, optic.focal_mm, distance_m, optic.pixel_um)
    kept = min(1.0, frame_share(optic, size_m, distance_m) / wanted_share)
    return Framing(long_px, kept, kept * optic.pixels_wide, grain_factor(kept))


def reach_m(
    optic: Optic, size_m: float, output_px: int, wanted_share: float = WANTED_SHARE
) -> float | None:
    """Return the farthest distance at which the finished picture still has its pixels [m].

    None where the sensor has fewer pixels across than that at any distance. Undoes `framing`.
    """
    require_positive("size_m", size_m, "m")
    require_positive("output_px", output_px, "pixels")
    if not 0.0 < wanted_share <= 1.0:
        raise ValueError(f"wanted_share: {wanted_share!r} must be a share of the width, up to 1.")
    if output_px > optic.pixels_wide:
        return None
    scale = output_px * wanted_share * optic.pixel_um / 1000.0 / (size_m * 1000.0)
    return optic.focal_mm * (1.0 + 1.0 / scale) / 1000.0
