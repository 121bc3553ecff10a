"""The skyline that the land makes round a place, with what it leaves unsure at every azimuth.

As seen: the Earth's curve and the usual bending of light are in it. Trees are in it only where a
surface model tells of them. Not for: putting several skylines of a pin together (the engine's
`survey`, where what somebody saw on the spot wins over this).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import attrs
import numpy as np

from scout.engine.geodesy import MEAN_RADIUS_M, REFRACTION_K, REFRACTION_PLUS_MINUS
from scout.engine.skyline import Node, Skyline
from scout.records.trouble import Refused
from scout.terrain.ground import Pin, ground_under
from scout.terrain.model import BARE, Model
from scout.terrain.patch import Doubles
from scout.terrain.rays import distances_m, heights_along, slopes
from scout.terrain.rings import Ring, made_from, rings
from scout.terrain.skyline_words import nowhere_words, remarks_of, unsure_words
from scout.terrain.taking_in import Progress, quiet

STEP_DEG: Final = 0.5
REACH_M: Final = 20_000.0
_BETWEEN = 2  # rays for one node: one on it, one half way to the next
_LEAST_PLUS_MINUS_DEG = 0.05
_MOST_PLUS_MINUS_DEG = 30.0


@attrs.frozen(kw_only=True, eq=False)
class LandSkyline:
    """A skyline from the land: azimuths, altitudes, their ± and how far off the line stands.

    Azimuths [deg true], altitudes and ± [deg], distances [m]; `eye_m` is the eye's height above sea
    level; an azimuth at which no model knows the land is not there.
    """

    azimuths_deg: Doubles
    altitudes_deg: Doubles
    plus_minus_deg: Doubles
    distances_m: Doubles
    eye_m: float
    made_from: str
    remarks: tuple[str, ...]

    @property
    def unsure(self) -> str | None:
        """A warning where the line is too unsure to go by, None where it is not."""
        return unsure_words(self.azimuths_deg, self.plus_minus_deg)

    def line(self) -> Skyline:
        """Answer it as the engine's line."""
        rows = zip(self.azimuths_deg, self.altitudes_deg, self.plus_minus_deg, strict=True)
        return Skyline([Node(float(a), float(h), float(p), "hill") for a, h, p in rows])

    def nodes(self) -> list[dict[str, Any]]:
        """Answer its nodes as a skyline record carries them, rounded to a hundredth of a degree."""
        rows = zip(self.azimuths_deg, self.altitudes_deg, self.plus_minus_deg, strict=True)
        return [
            {
                "azimuth_deg": round(float(azimuth), 2),
                "altitude_deg": round(min(90.0, max(-10.0, float(altitude))), 2),
                "plus_minus_deg": round(float(plus_minus), 2),
                "what": "hill",
            }
            for azimuth, altitude, plus_minus in rows
        ]


def skyline_of(
    models: Sequence[Model],
    lat_deg: float,
    lon_deg: float,
    *,
    height_m: float,
    kind: str = BARE,
    ground_m: float | None = None,
    ground_plus_minus_m: float = 0.0,
    accuracy_m: float = 10.0,
    reach_m: float = REACH_M,
    start_m: float | None = None,
    step_deg: float = STEP_DEG,
    k: float = REFRACTION_K,
    progress: Progress = quiet,
) -> LandSkyline:
    """Find the skyline round a place.

    `height_m` of the eye over the ground; `ground_m` the ground's height above sea level where it
    was measured, else the model's own counts, which fits the land around it better. `accuracy_m` of
    the pin. `start_m`: land nearer than that is left out. `kind`: surface takes the trees in where
    a surface model reaches. Raises Refused where no model knows the place.
    """
    pin = Pin(id="", name="", lat_deg=lat_deg, lon_deg=lon_deg, accuracy_m=accuracy_m)
    under = ground_under([pin], models)[0]
    if under.elevation_m is None or under.model is None:
        raise Refused.one(nowhere_words(models, lat_deg, lon_deg))
    eye = under.elevation_m + height_m
    count = round(360.0 / step_deg) * _BETWEEN
    azimuths: Doubles = np.arange(count, dtype=np.float64) * (360.0 / count)
    best = np.full(count, -np.inf)
    away = np.full(count, np.nan)
    sigma = np.full(count, np.nan)
    known_to = np.zeros(count)
    holes = np.zeros(count)
    found: list[Ring] = []
    for ring in rings(models, lat_deg, lon_deg, reach_m, kind, start_m):
        progress(min(0.95, ring.start_m / reach_m), f"looking out to {ring.end_m:.0f} m")
        found.append(ring)
        _look(ring, azimuths, eye, k, best, away, sigma, known_to, holes)
    told = np.isfinite(best)
    if not told.any():
        if start_m is None:
            raise Refused.one(nowhere_words(models, lat_deg, lon_deg))
        # Nothing is known of what lies further off: as if the land were level there.
        best, away = np.full(count, -0.02), np.full(count, reach_m)
        told, sigma = np.isfinite(best), np.full(count, under.model.plus_minus_m)
    altitudes = np.degrees(np.arctan(np.where(told, best, np.nan)))
    wobble = _plus_minus(
        altitudes, away, sigma, under.model.plus_minus_m, accuracy_m, 360.0 / count
    )
    nodes = np.arange(0, count, _BETWEEN)
    nodes = nodes[told[nodes]]
    progress(1.0, "done")
    return LandSkyline(
        azimuths_deg=azimuths[nodes],
        altitudes_deg=altitudes[nodes],
        plus_minus_deg=np.clip(wobble[nodes], _LEAST_PLUS_MINUS_DEG, _MOST_PLUS_MINUS_DEG),
        distances_m=away[nodes],
        eye_m=eye,
        made_from=made_from(found),
        remarks=tuple(
            remarks_of(
                found,
                kind,
                told,
                known_to,
                holes,
                reach_m,
                ground_m,
                ground_plus_minus_m,
                under.elevation_m,
                under.plus_minus_m,
            )
        ),
    )


def _look(
    ring: Ring,
    azimuths: Doubles,
    eye: float,
    k: float,
    best: Doubles,
    away: Doubles,
    sigma: Doubles,
    known_to: Doubles,
    holes: Doubles,
) -> None:
    """Raise the line by what stands in one ring."""
    patch = ring.patch
    along = distances_m(ring.start_m, ring.end_m, patch.cell_m)
    heights = heights_along(patch, azimuths, along)
    rises = slopes(heights, along, eye, k)
    known = np.isfinite(rises)
    any_known = known.any(axis=1)
    rises = np.where(known, rises, -np.inf)
    where = rises.argmax(axis=1)
    top = rises[np.arange(len(azimuths)), where]
    higher = any_known & (top > best)
    best[higher] = top[higher]
    away[higher] = along[where][higher]
    turn = np.radians(azimuths[higher])
    rows, columns = patch.spots(np.sin(turn) * away[higher], np.cos(turn) * away[higher])
    last = patch.size - 1
    whose = patch.model[
        np.clip(np.round(rows), 0, last).astype(int),
        np.clip(np.round(columns), 0, last).astype(int),
    ]
    errors = np.array([*(one.plus_minus_m for one in patch.models), 10.0])
    # Between cells the land may stand higher by about what it rises within one.
    sigma[higher] = errors[whose]
    furthest = np.where(known, along, 0.0).max(axis=1)
    known_to[:] = np.maximum(known_to, furthest)
    inside = along <= furthest[:, None]
    holes += ((~known & inside) * np.gradient(along)).sum(axis=1)


def _plus_minus(
    altitudes: Doubles,
    away: Doubles,
    sigma: Doubles,
    own_sigma: float,
    accuracy_m: float,
    step_deg: float,
) -> Doubles:
    """Join what the model, the pin's place, the cells and the air leave unsure [deg].

    The pin: a shift towards the line changes its altitude by tan(altitude)/distance, one across it
    slides the line sideways. The cells: what lies half way to the next node and not on the chord.
    """
    before, after = np.roll(altitudes, 1), np.roll(altitudes, -1)
    slide = np.degrees(np.arctan2(accuracy_m, away)) * np.abs(after - before) / (2.0 * step_deg)
    slide = np.where(np.isfinite(slide), slide, 0.0)
    # A pin that may lie anywhere on a slope says nothing finer than the slope itself.
    nearer = np.degrees(np.abs(np.tan(np.radians(altitudes))) * accuracy_m / away)
    heights = np.degrees(np.hypot(sigma, own_sigma) / away)
    two_before, two_after = np.roll(altitudes, 2), np.roll(altitudes, -2)
    bend_before = np.abs(before - (altitudes + two_before) / 2.0)
    bend_after = np.abs(after - (altitudes + two_after) / 2.0)
    between = np.fmax(bend_before, bend_after)
    between = np.where(np.isfinite(between), between, 0.0)
    air = np.degrees(REFRACTION_PLUS_MINUS * away / (2.0 * MEAN_RADIUS_M))
    joined: Doubles = np.sqrt(slide**2 + nearer**2 + heights**2 + between**2 + air**2)
    return joined
