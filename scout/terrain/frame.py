"""The frame of a picture of the land: which pixel lies where, as the map on the phone lays it out.

Web Mercator, edges in degrees, so that the map shows it without bending. Not for: what is drawn.
"""

from __future__ import annotations

import math
from typing import Any, Final

import attrs
import numpy as np
import numpy.typing as npt
from rasterio.enums import Resampling
from rasterio.transform import Affine
from rasterio.warp import reproject, transform

from scout.terrain.patch import Doubles, Patch

LEAST_PX: Final = 800
MOST_PX: Final = 1_400
_EARTH_M: Final = 6_378_137.0
_CRS: Final = "EPSG:3857"


@attrs.frozen
class Frame:
    """A picture's edges [Mercator m] and its size [px]."""

    west: float
    south: float
    east: float
    north: float
    wide: int
    high: int

    @property
    def bounds(self) -> dict[str, float]:
        """The edges as a layer record carries them [deg]."""
        return {
            "south_deg": round(_lat(self.south), 7),
            "west_deg": round(_lon(self.west), 7),
            "north_deg": round(_lat(self.north), 7),
            "east_deg": round(_lon(self.east), 7),
        }

    @property
    def transform(self) -> Affine:
        """From column and row (corners of pixels) to Mercator metres."""
        across, down = (self.east - self.west) / self.wide, (self.north - self.south) / self.high
        return Affine(across, 0.0, self.west, 0.0, -down, self.north)

    @property
    def metre_px(self) -> float:
        """How many pixels a metre on the ground takes, at the middle."""
        lat = math.radians(_lat((self.south + self.north) / 2.0))
        return self.wide / ((self.east - self.west) * math.cos(lat))

    def spots(self, lats_deg: Any, lons_deg: Any) -> tuple[Doubles, Doubles]:
        """Give column and row, with fractions, of places [deg]."""
        x = np.radians(np.asarray(lons_deg, dtype=np.float64)) * _EARTH_M
        lat = np.radians(np.asarray(lats_deg, dtype=np.float64))
        y = np.log(np.tan(np.pi / 4.0 + lat / 2.0)) * _EARTH_M
        columns: Doubles = (x - self.west) / (self.east - self.west) * self.wide
        rows: Doubles = (self.north - y) / (self.north - self.south) * self.high
        return columns, rows

    def of_patch(self, patch: Patch, east_m: Any, north_m: Any) -> tuple[Doubles, Doubles]:
        """Give column and row of points on a patch's plane [m]."""
        xs, ys = transform(patch.crs, _CRS, np.ravel(east_m).tolist(), np.ravel(north_m).tolist())
        x, y = np.asarray(xs), np.asarray(ys)
        columns: Doubles = (x - self.west) / (self.east - self.west) * self.wide
        rows: Doubles = (self.north - y) / (self.north - self.south) * self.high
        return columns, rows

    def laid(self, patch: Patch, values: npt.NDArray[Any], *, smooth: bool) -> npt.NDArray[Any]:
        """Lay values of a patch's cells out on the frame, NaN outside; smooth or as they are."""
        out = np.full((self.high, self.wide), np.nan, dtype=np.float32)
        reproject(
            np.ascontiguousarray(values, dtype=np.float32),
            out,
            src_transform=patch.transform,
            src_crs=patch.crs,
            src_nodata=np.nan,
            dst_transform=self.transform,
            dst_crs=_CRS,
            dst_nodata=np.nan,
            resampling=Resampling.bilinear if smooth else Resampling.nearest,
        )
        return out


def frame_round(lat_deg: float, lon_deg: float, half_m: float, cell_m: float) -> Frame:
    """Make a square frame round a place: one pixel a cell, within bounds."""
    stretch = 1.0 / math.cos(math.radians(lat_deg))
    x = math.radians(lon_deg) * _EARTH_M
    y = math.log(math.tan(math.pi / 4.0 + math.radians(lat_deg) / 2.0)) * _EARTH_M
    reach = half_m * stretch
    pixels = min(MOST_PX, max(LEAST_PX, round(2.0 * half_m / cell_m)))
    return Frame(x - reach, y - reach, x + reach, y + reach, pixels, pixels)


def _lat(y: float) -> float:
    return math.degrees(2.0 * math.atan(math.exp(y / _EARTH_M)) - math.pi / 2.0)


def _lon(x: float) -> float:
    return math.degrees(x / _EARTH_M)
