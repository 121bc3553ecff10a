"""The invented land as elevation models: fine ones round both sites, a coarse one about them.

The fine ones pass through the ground of every pin (`ground`), for it is the same truth; hedges,
reeds and trees stand in the surface and not in the bare earth. Heights are rounded, so that they
come out the same on every machine. Not for: records.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import rasterio
from making.ground import CENTRES, PERCHES, VANTAGES, at_centre
from rasterio.transform import Affine
from rasterio.warp import transform, transform_bounds

CRS = "EPSG:32630"
HOLE = -32768.0
FINE_CELL_M, NEAR_CELL_M, COARSE_CELL_M = 1.0, 10.0, 60.0
# West, south, east, north of each fine model on its site's plane [m].
FINE = {"pellwick": (-80, -120, 240, 180), "hobthorn": (-120, -120, 240, 160)}
COARSE_HALF_M = 11_000.0
NEAR_HALF_M = 1_500.0
# Hedges, reeds and trees: from and to [m on the site's plane], how wide and high [m].
GREEN = {
    "pellwick": [
        ((-60, -40), (-60, 120), 3.0, 2.6),
        ((165, -80), (120, 140), 4.0, 6.5),
        ((-40, 95), (110, 120), 3.0, 3.0),
        ((2, -45), (30, -52), 6.0, 2.0),
    ],
    "hobthorn": [
        ((-90, -60), (-70, 130), 25.0, 14.0),
        ((-60, 90), (160, 120), 20.0, 16.0),
        ((100, -110), (220, -60), 18.0, 12.0),
    ],
}
# Far hills: east, north of the sample's middle [m], how wide [m], how high [m].
HILLS = [
    (6200, 900, 1500, 48.0),
    (7400, -2600, 1900, 62.0),
    (-5200, 3100, 2100, 41.0),
    (900, -7600, 2600, 55.0),
    (-7800, -4200, 1800, 37.0),
    (2400, 6900, 2200, 66.0),
    (1800, 2600, 700, 12.0),
]

Grid = Any


def write(folder: Path) -> None:
    """Write the models into the folder `land` of a folder of records."""
    home = folder / "land"
    home.mkdir(parents=True, exist_ok=True)
    for site in FINE:
        east, north, turn, shape = _fine_grid(site)
        bare = _ground(site, east, north)
        _keep(home, f"{site}-bare", f"{site.title()} ground", "bare earth", bare, turn, shape)
        tall = bare + _green(site, east, north)
        _keep(home, f"{site}-surface", f"{site.title()} surface", "surface", tall, turn, shape)
        heights, turn, shape = _country(CENTRES[site], NEAR_HALF_M, NEAR_CELL_M)
        _keep(home, f"{site}-near", f"{site.title()} near", "bare earth", heights, turn, shape)
    heights, turn, shape = _country(_middle(), COARSE_HALF_M, COARSE_CELL_M)
    _keep(home, "country", "Country around", "bare earth", heights, turn, shape)


def _fine_grid(site: str) -> tuple[Grid, Grid, Affine, tuple[int, int]]:
    west, south, east, north = FINE[site]
    (x0,), (y0,) = _to_grid([at_centre(site, west, south)])
    x0, y0 = math.floor(x0), math.floor(y0)
    shape = (int((north - south) / FINE_CELL_M), int((east - west) / FINE_CELL_M))
    turn = Affine(FINE_CELL_M, 0.0, x0, 0.0, -FINE_CELL_M, y0 + shape[0] * FINE_CELL_M)
    east, north = _on_plane(site, *_places(turn, shape))
    return east, north, turn, shape


def _on_plane(site: str, lat: Grid, lon: Grid) -> tuple[Grid, Grid]:
    """Metres east and north on a site's plane, straight enough over some hundred metres."""
    lat0, lon0 = CENTRES[site]
    up_lat, _ = at_centre(site, 0.0, 1000.0)
    _, over_lon = at_centre(site, 1000.0, 0.0)
    return (lon - lon0) / (over_lon - lon0) * 1000.0, (lat - lat0) / (up_lat - lat0) * 1000.0


def _ground(site: str, east: Grid, north: Grid) -> Grid:
    """A gently rising ground that passes through every pin's own height."""
    pins = [
        (found[1], found[2], found[3])
        for found in [*PERCHES.values(), *VANTAGES.values()]
        if found[0] == site
    ]
    base = _base(site, east, north)
    spots = np.array([(e, n) for e, n, _ in pins], dtype=float)
    off = np.array([h - float(_base(site, np.array(e), np.array(n))) for e, n, h in pins])
    # Radial functions 40 m wide, solved so that the land goes through the pins.
    apart = np.hypot(spots[:, None, 0] - spots[None, :, 0], spots[:, None, 1] - spots[None, :, 1])
    weights = np.linalg.solve(np.exp(-((apart / 40.0) ** 2)) + 0.002 * np.eye(len(off)), off)
    land = base.copy()
    for (e, n), weight in zip(spots, weights, strict=True):
        land = land + weight * np.exp(-(((east - e) ** 2 + (north - n) ** 2) / 1600.0))
    if site == "hobthorn":  # the brook in its dean
        bed = np.abs(north - 44.0 - 0.25 * (east + 38.0))
        land = land - 0.7 * np.exp(-((bed / 3.0) ** 2)) * (east < 60)
    return land


def _base(site: str, east: Grid, north: Grid) -> Grid:
    if site == "pellwick":
        rise = 3.0 / (1.0 + np.exp(-(north - 95.0) / 18.0))
        return 31.2 + 0.004 * east + 0.012 * north + rise
    return 60.0 + 0.022 * east - 0.008 * north + 0.9 * np.sin(east / 47.0) * np.cos(north / 53.0)


def _green(site: str, east: Grid, north: Grid) -> Grid:
    tall = np.zeros_like(east)
    for (e1, n1), (e2, n2), wide, high in GREEN[site]:
        length = (e2 - e1) ** 2 + (n2 - n1) ** 2
        along = np.clip(((east - e1) * (e2 - e1) + (north - n1) * (n2 - n1)) / length, 0.0, 1.0)
        off = np.hypot(east - e1 - along * (e2 - e1), north - n1 - along * (n2 - n1))
        ragged = 1.0 + 0.15 * np.sin(east * 1.7) * np.cos(north * 1.3)
        tall = np.maximum(tall, np.where(off < wide / 2.0, high * ragged, 0.0))
    return tall


def _middle() -> tuple[float, float]:
    lats, lons = zip(*CENTRES.values(), strict=True)
    return sum(lats) / len(lats), sum(lons) / len(lons)


def _country(
    centre: tuple[float, float], half_m: float, cell_m: float
) -> tuple[Grid, Affine, tuple[int, int]]:
    """The rolling country in a square round a place; near the sites it meets the fine models."""
    (x0,), (y0,) = _to_grid([_middle()])
    (cx,), (cy,) = _to_grid([centre])
    cx, cy = math.floor(cx), math.floor(cy)
    count = int(2 * half_m / cell_m)
    turn = Affine(cell_m, 0.0, cx - half_m, 0.0, -cell_m, cy + half_m)
    columns, rows = np.meshgrid(np.arange(count) + 0.5, np.arange(count) + 0.5)
    x, y = turn.c + turn.a * columns - x0, turn.f + turn.e * rows - y0
    land = _rolling(x, y)
    lat, lon = _places(turn, (count, count))
    for site in CENTRES:
        east, north = _on_plane(site, lat, lon)
        near = np.exp(-((np.hypot(east, north) / 1400.0) ** 4))
        calm = _base(site, np.clip(east, -400.0, 500.0), np.clip(north, -400.0, 400.0))
        land = land + (calm - land) * near
    return land, turn, (count, count)


def _rolling(x: Grid, y: Grid) -> Grid:
    land = 38.0 + 0.0007 * x + 0.0011 * y + 4.0 * np.sin(x / 1900.0) * np.cos(y / 2300.0)
    for east, north, wide, high in HILLS:
        land = land + high * np.exp(-(((x - east) ** 2 + (y - north) ** 2) / wide**2))
    return land


def _to_grid(places: list[tuple[float, float]]) -> tuple[list[float], list[float]]:
    lats, lons = zip(*places, strict=True)
    found = transform("EPSG:4326", CRS, list(lons), list(lats))
    return found[0], found[1]


def _places(turn: Affine, shape: tuple[int, int]) -> tuple[Grid, Grid]:
    columns, rows = np.meshgrid(np.arange(shape[1]) + 0.5, np.arange(shape[0]) + 0.5)
    xs, ys = turn.c + turn.a * columns, turn.f + turn.e * rows
    lons, lats = transform(CRS, "EPSG:4326", xs.ravel().tolist(), ys.ravel().tolist())
    return np.array(lats).reshape(shape), np.array(lons).reshape(shape)


def _keep(
    home: Path, word: str, name: str, kind: str, land: Grid, turn: Affine, shape: tuple[int, int]
) -> None:
    heights = (np.round(land * 50.0) / 50.0).astype("float32")
    profile = {
        "driver": "GTiff",
        "width": shape[1],
        "height": shape[0],
        "count": 1,
        "dtype": "float32",
        "crs": CRS,
        "transform": turn,
        "nodata": HOLE,
        "tiled": True,
        "blockxsize": 256,
        "blockysize": 256,
        "compress": "deflate",
        "zlevel": 9,
        "predictor": 3,
    }
    path = home / f"{word}.tif"
    with rasterio.open(path, "w", **profile) as file:
        file.write(heights, 1)
    edge = (turn.c, turn.f + turn.e * shape[0], turn.c + turn.a * shape[1], turn.f)
    west, south, east, north = transform_bounds(CRS, "EPSG:4326", *edge, densify_pts=21)
    said = {
        "format": 1,
        "id": word,
        "name": name,
        "kind": kind,
        "cell_m": turn.a,
        "south_deg": round(south, 6),
        "west_deg": round(west, 6),
        "north_deg": round(north, 6),
        "east_deg": round(east, 6),
        "low_m": round(float(heights.min()), 1),
        "high_m": round(float(heights.max()), 1),
        "unknown_share": 0.0,
        "was_feet": False,
        "size_bytes": 0,
    }
    (home / f"{word}.json").write_text(json.dumps(said, indent=1) + "\n", "utf-8", newline="\n")
