"""A file offered as an elevation model: is it one, where does it lie, in which unit is it?

GeoTIFF in any coordinate system, SRTM HGT, ESRI ASCII grid; nothing else is even opened, because a
file may come from anywhere. Not for: keeping it (`taking_in`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

import attrs
import numpy as np
import rasterio
from rasterio.crs import CRS
from rasterio.errors import CRSError, RasterioError
from rasterio.warp import transform_bounds

from scout.records.trouble import Refused, shown
from scout.terrain.model import cell_of

DRIVERS: Final = {
    ".tif": "GTiff",
    ".tiff": "GTiff",
    ".hgt": "SRTMHGT",
    ".asc": "AAIGrid",
}
CACHE_MB: Final = 128
LOWEST_M, HIGHEST_M = -500.0, 9000.0
FOOT_M: Final = 0.3048
_HGT_NAME = re.compile(r"[NS]\d{2}[EW]\d{3}\.hgt", re.IGNORECASE)
_HGT_BYTES = (2 * 1201**2, 2 * 3601**2)
_VERTICAL = re.compile(r"VERT(?:_CS|CRS|ICALCRS)\[.*", re.DOTALL)
_FOOT = re.compile(r"\b(?:foot|feet|ft)\b", re.IGNORECASE)
_SAMPLE = 512


@attrs.frozen(kw_only=True)
class Offered:
    """What a file says of itself, and what was found by looking into it.

    `feet` is True where the file itself says so; `advice` are sentences that need an answer of a
    person but bar nothing. Edges are degrees of WGS 84.
    """

    crs: CRS
    width: int
    height: int
    cell_m: float
    south_deg: float
    west_deg: float
    north_deg: float
    east_deg: float
    low: float
    high: float
    feet: bool
    advice: tuple[str, ...]


@contextmanager
def opened(path: Path) -> Iterator[Any]:
    """Open a file as one of the formats taken; raises Refused with the remedy."""
    driver = DRIVERS.get(path.suffix.lower())
    if driver is None:
        raise Refused.one(
            f"{shown(path.name)} is no elevation model that is read here; give a GeoTIFF (.tif), "
            "an SRTM tile (.hgt) or an ESRI ASCII grid (.asc)"
        )
    if not path.is_file():
        raise Refused.one(f"{shown(path.name)}: there is no such file; check its name")
    if driver == "SRTMHGT":
        _check_hgt(path)
    try:
        with (
            rasterio.Env(GDAL_CACHEMAX=CACHE_MB, GDAL_PAM_ENABLED="NO"),
            rasterio.open(path, driver=driver) as source,
        ):
            yield source
    except RasterioError:
        raise Refused.one(
            f"{shown(path.name)} cannot be read; it may be cut short or of another format than "
            "its name says. Get it again"
        ) from None


def look(path: Path, crs: str | None = None, *, feet: bool | None = None) -> Offered:
    """Look at a file without reading all of it.

    `crs` is what a person names where the file does not ("EPSG:25830"); `feet` what a person says
    of its heights, None to go by the file. Raises Refused.
    """
    with opened(path) as source:
        if source.count >= 3 and source.dtypes[0] == "uint8":
            raise Refused.one(
                f"{shown(path.name)} is a picture with {source.count} colours, not heights; give "
                "the elevation model itself"
            )
        if np.dtype(source.dtypes[0]).kind not in "iuf":
            raise Refused.one(f"{shown(path.name)} holds no plain numbers; export it as Float32")
        named = _crs_of(source, crs, path.name)
        edges = _edges(source, named, path.name)
        low, high = _range(source, path.name)
        says_feet = _says_feet(source, named)
        in_feet = says_feet if feet is None else feet
        _check_range(low, high, in_feet, path.name)
        advice = []
        if feet is None and not says_feet and _plane_in_feet(named):
            advice.append(
                "Its coordinates are in feet; if its heights are too, take it in again as feet."
            )
        west, south, east, north = edges
        return Offered(
            crs=named,
            width=source.width,
            height=source.height,
            cell_m=_cell_m(source, named, (south + north) / 2.0),
            south_deg=south,
            west_deg=west,
            north_deg=north,
            east_deg=east,
            low=low,
            high=high,
            feet=in_feet,
            advice=tuple(advice),
        )


def _check_hgt(path: Path) -> None:
    if not _HGT_NAME.fullmatch(path.name):
        raise Refused.one(
            f"{shown(path.name)}: an HGT tile says where it lies by its name alone; give it the "
            "name of its south-west corner again, like N36W085.hgt"
        )
    if path.stat().st_size not in _HGT_BYTES:
        raise Refused.one(
            f"{shown(path.name)} has {path.stat().st_size} bytes; a whole HGT tile has "
            f"{_HGT_BYTES[0]} or {_HGT_BYTES[1]}. Get it again"
        )


def _crs_of(source: Any, typed: str | None, name: str) -> CRS:
    own: CRS | None = source.crs
    if typed:
        try:
            return CRS.from_user_input(typed)
        except CRSError:
            raise Refused.one(
                f"{shown(typed)} is no coordinate system known here; give its number, like "
                "EPSG:25830 or EPSG:4326",
                "crs",
            ) from None
    if own is None or not (own.is_geographic or own.is_projected):
        raise Refused.one(
            f"{shown(name)} does not say in which coordinate system it lies; look it up where you "
            "got the file and name it, like EPSG:25830 (for latitude and longitude, EPSG:4326)",
            "crs",
        )
    return own


def _edges(source: Any, crs: CRS, name: str) -> tuple[float, float, float, float]:
    if source.transform.is_identity:
        raise Refused.one(f"{shown(name)} does not say where it lies; export it with its place")
    west, south, east, north = source.bounds
    if crs.is_geographic and not (
        -360.1 <= min(west, east) <= max(west, east) <= 360.1
        and -90.1 <= min(south, north) <= max(south, north) <= 90.1
    ):
        raise Refused.one(
            f"{shown(name)}: its edges are no degrees ({west:g} to {east:g}); its coordinate "
            "system is another one than it says. Name the right one",
            "crs",
        )
    try:
        left, bottom, right, top = transform_bounds(
            crs, "EPSG:4326", west, min(south, north), east, max(south, north), densify_pts=21
        )
    except (RasterioError, ValueError):
        left = bottom = right = top = float("nan")
    if not (np.isfinite([left, bottom, right, top]).all() and -90.1 <= bottom <= top <= 90.1):
        raise Refused.one(
            f"{shown(name)} lies nowhere on the Earth in this coordinate system; name the right "
            "one",
            "crs",
        )
    left, right = (
        lon if -180.0 <= lon <= 180.0 else (lon + 180.0) % 360.0 - 180.0 for lon in (left, right)
    )
    return left, max(-90.0, bottom), right, min(90.0, top)


def _cell_m(source: Any, crs: CRS, lat_deg: float) -> float:
    turn = source.transform
    wide, high = (turn.a**2 + turn.d**2) ** 0.5, (turn.b**2 + turn.e**2) ** 0.5
    if crs.is_geographic:
        return cell_of(wide, high, lat_deg)
    factor = crs.linear_units_factor[1] if crs.linear_units_factor else 1.0
    return float((wide * high) ** 0.5 * factor)


def _range(source: Any, name: str) -> tuple[float, float]:
    """Look at a thinned-out copy: enough to tell feet from metres and heights from nonsense."""
    shape = (min(_SAMPLE, source.height), min(_SAMPLE, source.width))
    thin = source.read(1, out_shape=shape, masked=True)
    known = np.asarray(thin.compressed(), dtype=np.float64)
    known = known[np.isfinite(known)]
    if known.size == 0:
        raise Refused.one(f"{shown(name)} holds no heights, only holes; get it again")
    return float(known.min()), float(known.max())


def _check_range(low: float, high: float, feet: bool, name: str) -> None:
    factor = FOOT_M if feet else 1.0
    if low * factor >= LOWEST_M and high * factor <= HIGHEST_M:
        return
    if not feet and low * FOOT_M >= LOWEST_M and high * FOOT_M <= HIGHEST_M:
        raise Refused.one(
            f"{shown(name)} goes up to {high:.0f}, which no land does in metres; take it in as "
            "feet if its heights are feet",
            "feet",
        )
    raise Refused.one(
        f"{shown(name)} holds heights from {low:.0f} to {high:.0f}, which no land has; its holes "
        "may be marked with a number that it does not name. Export it with its NODATA value"
    )


def _says_feet(source: Any, crs: CRS) -> bool:
    unit = source.units[0] if source.units else None
    if unit and _FOOT.search(unit):
        return True
    vertical = _VERTICAL.search(crs.to_wkt())
    return bool(vertical and _FOOT.search(vertical[0]))


def _plane_in_feet(crs: CRS) -> bool:
    return bool(crs.is_projected and _FOOT.search(crs.linear_units or ""))
