"""The hide finder: every place round a perch from which the picture could be made, cell by cell.

A place counts when every condition holds at once; each condition is kept apart, so that it can be
said which of them leaves nothing. Not for: choosing among the places (`spots`), or what is wanted
(`wanted`).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import attrs
import numpy as np
import numpy.typing as npt
from rasterio.features import rasterize
from rasterio.warp import transform

from scout.engine.angles import wrap_deg
from scout.engine.geodesy import LocalPlane
from scout.engine.light import Face
from scout.engine.minutes import Minute, Needs, lit
from scout.engine.skyline import Skyline, sky_factor
from scout.records.trouble import Refused
from scout.terrain.model import BARE, SURFACE, Model, finest
from scout.terrain.patch import MOST_CELLS, Doubles, Patch, patch_of
from scout.terrain.polar import Polar, polar_of
from scout.terrain.rays import drop_m
from scout.terrain.seen import FINE_ENOUGH, hidden_m, too_coarse
from scout.terrain.wanted import HEAD_OVER_LENS_M, Wanted

LIGHT_STEP_DEG: Final = 5
CONDITIONS: Final = (
    "distance",
    "ground",
    "slope",
    "level",
    "sight",
    "gap",
    "skyline",
    "light",
    "spared",
)
"""In the order in which they are asked: the cheap ones first, and last what bars a good place."""

Mask = npt.NDArray[np.bool_]


@attrs.frozen(kw_only=True)
class Target:
    """A perch for which places are looked for.

    `height_m` of the animal over the ground; `plus_minus_m` of the pin [m]; `line` its skyline,
    None for a level one; `face` what the light on it meets, whose sky is worked out for each
    direction anew; `sun_on` whether the sun stands on it, minute by minute.
    """

    id: str
    name: str
    lat_deg: float
    lon_deg: float
    height_m: float
    kind: str | None
    plus_minus_m: float
    line: Skyline | None
    face: Face
    sun_on: tuple[bool, ...]


@attrs.frozen(kw_only=True, eq=False)
class Found:
    """What the search made of the land round one perch, cell by cell of `patch`.

    `good_min` are good minutes under the wanted sky, 0 where a condition fails; `spared_min` those
    of the cells that only a spared perch bars; `left` how many cells each condition left, in the
    order of CONDITIONS. `tilt_deg` lens to perch; `gap_m` behind
    the perch, inf for sky, at least that where `gap_open`, NaN where not worked out; `slope_deg` of
    the ground. `counts` are good minutes by light step: clear, sun out, sun in, overcast.
    """

    target: Target
    wanted: Wanted
    patch: Patch
    ground: Patch
    eye_m: float
    polar: Polar
    good_min: npt.NDArray[np.int16]
    spared_min: npt.NDArray[np.int16]
    tilt_deg: npt.NDArray[np.float32]
    gap_m: npt.NDArray[np.float32]
    gap_open: Mask
    slope_deg: npt.NDArray[np.float32]
    counts: dict[int, tuple[int, ...]]
    left: tuple[int, ...]

    @property
    def why_nothing(self) -> str | None:
        """Which condition left no place, in a sentence; None where there are places."""
        if self.left[-1] > 0:
            return None
        place = next(i for i, count in enumerate(self.left) if count == 0)
        target, wanted = self.target, self.wanted
        if place == 0 and wanted.nearest_m + target.plus_minus_m > wanted.farthest_m:
            return (
                f"{target.name}: the animal fills the frame up to {wanted.farthest_m:.1f} m, and "
                f"{wanted.nearest_m:g} m are to be kept from a pin known to "
                f"±{target.plus_minus_m:g} m: measure the pin first."
            )
        return f"{self.target.name}: {_WHY[CONDITIONS[place]]}"

    @property
    def not_searched(self) -> str | None:
        """Which ground beyond the keep-distance the cells are too coarse for; None: none."""
        cell, nearest = self.patch.cell_m, self.wanted.nearest_m + self.target.plus_minus_m
        if FINE_ENOUGH * cell <= nearest:
            return None
        return (
            f"{self.target.name}: nearer than {FINE_ENOUGH * cell:g} m was not searched (cells of "
            f"{cell:g} m); from {nearest:g} m on a model of {nearest / FINE_ENOUGH:g} m is needed."
        )


_WHY: Final = {
    "distance": "no cell of the model lies between the keep-distance, with the pin's ±, and where "
    "it fills the frame.",
    "ground": "within range there is only water, ground not to be entered, or the "
    "keep-distance of what was seen at another perch.",
    "slope": "within range the ground is too steep to sit on.",
    "level": "from nowhere in range is the line level in this posture; try another one.",
    "sight": "from nowhere in range is the line of sight free in this posture; try another one.",
    "gap": "the land behind the perch stands too near on every line that is free.",
    "skyline": "everywhere in range the sitter would stand out against the sky.",
    "light": "on no line that is free is the light as wanted while the shutter is reached.",
    "spared": "every place found lies near a spared perch.",
}


def places_round(
    models: Sequence[Model],
    target: Target,
    wanted: Wanted,
    needs: Needs,
    minutes: Sequence[Minute],
    *,
    kind: str = BARE,
    kept_off: Sequence[tuple[float, float, float]] = (),
    spared: Sequence[tuple[float, float, float]] = (),
    outlines: Sequence[Sequence[tuple[float, float]]] = (),
) -> Found:
    """Look at every cell round a perch.

    `kept_off` are other perches (latitude, longitude [deg], keep-distance [m]), `spared` those
    near which every place is counted as left out; `outlines` are areas of water or not to be
    entered, as rings of latitude and longitude. Raises Refused where no model is fine enough.
    """
    best = finest([one for one in models if one.covers(target.lat_deg, target.lon_deg)], kind)
    best = best or finest([one for one in models if one.covers(target.lat_deg, target.lon_deg)])
    if best is None:
        raise Refused.one(f"no elevation model covers {target.name}; take in the tile it lies in")
    coarse = too_coarse(best.cell_m, wanted.farthest_m)
    if coarse is not None:
        raise Refused.one(f"{target.name}: {coarse}")
    cell = max(best.cell_m, 2.02 * wanted.farthest_m / MOST_CELLS**0.5)
    half = wanted.farthest_m + 2.0 * cell
    patch = patch_of(models, target.lat_deg, target.lon_deg, half, cell, kind)
    ground = (
        patch
        if kind == BARE
        else patch_of(models, target.lat_deg, target.lon_deg, half, cell, BARE)
    )
    perch_ground = float(ground.at(0.0, 0.0))
    if not np.isfinite(perch_ground):
        raise Refused.one(f"the models have a hole at {target.name}; get one without")
    eye = perch_ground + target.height_m
    east, north = np.meshgrid(*patch.axes_m())
    away = np.hypot(east, north)
    kept, left = _Kept(patch.size), []

    inner = max(wanted.nearest_m + target.plus_minus_m, FINE_ENOUGH * cell)
    kept.only((away >= inner) & (away <= wanted.farthest_m) & np.isfinite(ground.heights_m))
    left.append(kept.count)
    kept.only(~(_within(patch, target, kept_off) | _drawn(patch, outlines)))
    left.append(kept.count)
    slope = _slope_deg(ground)
    kept.only(slope <= wanted.most_slope_deg)
    left.append(kept.count)

    lens = ground.heights_m + np.float32(wanted.lens_height_m)
    rise = (eye - lens - drop_m(away)) / np.maximum(away, cell)
    tilt = np.degrees(np.arctan(rise)).astype(np.float32)
    # Rounded as it is printed before it is judged, as everywhere.
    kept.only(np.round(np.abs(tilt)) <= wanted.level_deg(target.kind))
    left.append(kept.count)
    kept.only(lens >= hidden_m(patch, eye) + patch.heights_m)
    left.append(kept.count)

    polar = polar_of(models, target.lat_deg, target.lon_deg, eye, patch, kind)
    toward = np.degrees(np.arctan2(east, north)) % 360.0
    gaps = np.full(patch.heights_m.shape, np.nan, dtype=np.float32)
    open_ended = np.zeros(gaps.shape, dtype=bool)
    gaps[kept.cells], open_ended[kept.cells] = polar.gaps_m(
        (toward[kept.cells] + 180.0) % 360.0, rise[kept.cells]
    )
    kept.only(gaps >= wanted.least_gap_m)
    left.append(kept.count)
    head = (lens + HEAD_OVER_LENS_M - eye - drop_m(away)) / np.maximum(away, cell)
    backed = np.zeros(patch.heights_m.shape, dtype=bool)
    backed[kept.cells] = (
        polar.behind(toward[kept.cells], away[kept.cells] + 2.0 * cell) >= head[kept.cells]
    )
    kept.only(backed)
    left.append(kept.count)

    good, counts = _good_minutes(target, wanted, needs, minutes, toward, kept.cells)
    kept.only(good > 0)
    left.append(kept.count)
    near = kept.cells & _within(patch, target, spared)
    kept.only(~near)
    left.append(kept.count)
    return Found(
        target=target,
        wanted=wanted,
        patch=patch,
        ground=ground,
        eye_m=eye,
        polar=polar,
        good_min=np.where(kept.cells, good, 0).astype(np.int16),
        spared_min=np.where(near, good, 0).astype(np.int16),
        tilt_deg=tilt,
        gap_m=gaps,
        gap_open=open_ended,
        slope_deg=slope,
        counts=counts,
        left=tuple(left),
    )


def ground_words(found: Sequence[Found]) -> str:
    """Say which ground was searched: "bare earth, trees not in it: heath (bare earth, 0.5 m)".

    Each model with the side of its cells.
    """
    used = list(dict.fromkeys(model for one in found for model in one.patch.used))
    kinds = {one.kind for one in used}
    trees = {
        frozenset((BARE,)): "bare earth, trees not in it",
        frozenset((SURFACE,)): "surface, trees in it",
    }.get(frozenset(kinds), "surface where its model reaches, else bare earth without trees")
    return f"{trees}: {'; '.join(one.words for one in used)}"


class _Kept:
    """The cells that passed every condition so far."""

    def __init__(self, size: int) -> None:
        self.cells: Mask = np.ones((size, size), dtype=bool)
        self.cells[(size - 1) // 2, (size - 1) // 2] = False

    def only(self, passed: Any) -> None:
        """Keep those that pass one more."""
        self.cells &= passed

    @property
    def count(self) -> int:
        """How many are left."""
        return int(self.cells.sum())


def _drawn(patch: Patch, outlines: Sequence[Sequence[tuple[float, float]]]) -> Mask:
    """Cells in water, or on ground not to be entered."""
    rings = []
    for outline in outlines:
        lats, lons = zip(*outline, strict=True)
        xs, ys = transform("EPSG:4326", patch.crs, list(lons), list(lats))
        if len(xs) >= 3:
            ring = [*zip(xs, ys, strict=True)]
            rings.append({"type": "Polygon", "coordinates": [[*ring, ring[0]]]})
    if not rings:
        return np.zeros(patch.heights_m.shape, dtype=bool)
    drawn: Mask = rasterize(
        rings, out_shape=patch.heights_m.shape, transform=patch.transform, all_touched=True
    ).astype(bool)
    return drawn


def _within(patch: Patch, target: Target, pins: Sequence[tuple[float, float, float]]) -> Mask:
    """Cells nearer to one of some pins than its distance."""
    near = np.zeros(patch.heights_m.shape, dtype=bool)
    plane = LocalPlane(target.lat_deg, target.lon_deg)
    east, north = patch.axes_m()
    for lat, lon, keep in pins:
        x, y = plane.to_plane(lat, lon)
        if np.hypot(x, y) < keep + 1.5 * patch.half_m:
            near |= np.hypot(east[None, :] - x, north[:, None] - y) < keep
    return near


def _slope_deg(ground: Patch) -> npt.NDArray[np.float32]:
    down, over = np.gradient(ground.heights_m, ground.cell_m)
    found: npt.NDArray[np.float32] = np.degrees(np.arctan(np.hypot(down, over))).astype(np.float32)
    return found


def _good_minutes(
    target: Target,
    wanted: Wanted,
    needs: Needs,
    minutes: Sequence[Minute],
    toward: Doubles,
    cells: Mask,
) -> tuple[npt.NDArray[np.int16], dict[int, tuple[int, ...]]]:
    """Good minutes by the direction in which a cell lies, in steps: the light asks no finer."""
    steps = np.round(toward / LIGHT_STEP_DEG).astype(np.int16) % (360 // LIGHT_STEP_DEG)
    good = np.zeros(toward.shape, dtype=np.int16)
    counts: dict[int, tuple[int, ...]] = {}
    table = np.zeros(360 // LIGHT_STEP_DEG, dtype=np.int16)
    for step in np.unique(steps[cells]):
        facing = float(step) * LIGHT_STEP_DEG
        face = attrs.evolve(target.face, sky_factor=sky_factor(target.line, facing))
        seen = lit(
            minutes, wrap_deg(facing + 180.0), face, target.sun_on, wanted.light_wanted, needs
        )
        counts[int(step)] = seen.good_counts()
        table[step] = seen.good_minutes(wanted.sun_share)[wanted.sky]
    if counts:
        good = np.where(cells, table[steps], 0).astype(np.int16)
    return good, counts
