"""A skyline from the land held against one that was measured on the spot.

Not for: finding either (`skylines`, the engine's `survey`).
"""

from __future__ import annotations

import attrs
import numpy as np

from scout.engine.skyline import Skyline


@attrs.frozen(kw_only=True)
class Compared:
    """How a skyline from the land differs from one that was measured, land less measured [deg].

    `span_deg` is how much of the circle both tell of; `most_at_deg` the azimuth of the largest.
    """

    span_deg: float
    middle_deg: float
    most_deg: float
    most_at_deg: float

    @property
    def words(self) -> str:
        """The difference in a sentence."""
        if self.span_deg == 0.0:
            return "They tell of different parts of the circle."
        way = "above" if self.middle_deg > 0 else "below"
        return (
            f"Over {self.span_deg:.0f}° known to both, the land stands {abs(self.middle_deg):.1f}° "
            f"{way} what was measured in the middle, {abs(self.most_deg):.1f}° "
            f"{'above' if self.most_deg > 0 else 'below'} it at {self.most_at_deg:.0f}°; what was "
            "measured counts."
        )


def compared(land: Skyline, measured: Skyline) -> Compared:
    """Hold a skyline from the land against a measured one, at every degree known to both."""
    rows = []
    for azimuth in range(360):
        one, other = land.altitude_at(float(azimuth)), measured.altitude_at(float(azimuth))
        if one is not None and other is not None:
            rows.append((azimuth, one - other))
    if not rows:
        return Compared(span_deg=0.0, middle_deg=0.0, most_deg=0.0, most_at_deg=0.0)
    gaps = [gap for _, gap in rows]
    at, most = max(rows, key=lambda row: abs(row[1]))
    return Compared(
        span_deg=float(len(rows)),
        middle_deg=float(np.median(gaps)),
        most_deg=most,
        most_at_deg=float(at),
    )
