"""A file taken in as an elevation model: metres, in tiles, holes marked, thinner copies inside.

Read and written strip by strip, so that a file of gigabytes needs no more memory than a small one.
Its coordinate system stays its own. Not for: judging whether it is a model (`incoming`).
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, Final

import numpy as np
import numpy.typing as npt
import rasterio
from rasterio.enums import Resampling
from rasterio.windows import Window

from scout.records.trouble import Refused, shown
from scout.terrain.incoming import CACHE_MB, FOOT_M, HIGHEST_M, LOWEST_M, Offered, look, opened
from scout.terrain.model import BARE, KINDS, Model
from scout.terrain.patch import heights_at
from scout.terrain.shelf import Shelf

HOLE: Final = -32768.0
_TILE = 256
_STRIP_CELLS = 8_000_000  # 32 MB of heights at a time
_FAR_M: Final = 100_000.0

Progress = Callable[[float, str], None]
"""Told the share done, 0 to 1, and what is being done; raises to stop the work."""


def quiet(_share: float, _words: str) -> None:
    """Tell nobody."""


def take_in(
    shelf: Shelf,
    path: Path,
    *,
    kind: str,
    name: str | None = None,
    crs: str | None = None,
    feet: bool | None = None,
    places: Sequence[tuple[str, float, float]] = (),
    progress: Progress = quiet,
) -> tuple[Model, tuple[str, ...]]:
    """Take a file in; answer the model and sentences that are worth reading.

    `kind` bare earth or surface; `crs` and `feet` what a person says where the file does not;
    `places` (name, latitude, longitude [deg]) the sites, one of which it must reach. Raises Refused
    and leaves nothing behind.
    """
    if kind not in KINDS:
        raise Refused.one(f"{shown(kind)} is no kind; say {' or '.join(KINDS)}", "kind")
    offered = look(path, crs, feet=feet)
    _check_reach(offered, places, path.name)
    progress(0.0, "looking at the file")
    mark = _fingerprint(path, kind, offered, progress)
    called = (name or path.stem).strip()[:60] or path.stem[:60]
    for one in shelf.models():
        if one.id == mark:
            raise Refused.one(f"this file stands here already, as {one.words}")
    shelf.folder.mkdir(parents=True, exist_ok=True)
    target, fresh = shelf.folder / f"{mark}.tif", shelf.folder / f"{mark}.new.tif"
    try:
        low, high, unknown = _copy(path, fresh, offered, progress)
        _thin_out(fresh, offered, progress)
        fresh.replace(target)
        model = Model(
            id=mark,
            name=called,
            kind=kind,
            path=target,
            cell_m=round(offered.cell_m, 3),
            south_deg=round(offered.south_deg, 7),
            west_deg=round(offered.west_deg, 7),
            north_deg=round(offered.north_deg, 7),
            east_deg=round(offered.east_deg, 7),
            low_m=round(low, 1),
            high_m=round(high, 1),
            unknown_share=round(unknown, 4),
            was_feet=offered.feet,
            size_bytes=target.stat().st_size,
            came_from=path.name,
        )
        said = (*offered.advice, *_remarks(model, shelf.models()))
        shelf.keep(model)
    except BaseException:
        fresh.unlink(missing_ok=True)
        raise
    progress(1.0, "done")
    return model, said


def _check_reach(offered: Offered, places: Sequence[tuple[str, float, float]], name: str) -> None:
    if not places:
        return
    box = _box(offered)
    away = sorted((box.away_m(lat, lon), place) for place, lat, lon in places)
    nearest, place = away[0]
    # A far model that starts behind the next hill still makes a skyline.
    reach = min(_FAR_M, 20_000.0 if offered.cell_m >= 5.0 else 2_000.0)
    if nearest > reach:
        raise Refused.one(
            f"{shown(name)} misses every site: it ends {nearest / 1000.0:.0f} km from {place}; "
            "get the tile in which the site lies, or check its coordinate system"
        )


def _box(offered: Offered) -> Model:
    return Model(
        id="",
        name="",
        kind=BARE,
        path=Path(),
        cell_m=offered.cell_m,
        south_deg=offered.south_deg,
        west_deg=offered.west_deg,
        north_deg=offered.north_deg,
        east_deg=offered.east_deg,
        low_m=0.0,
        high_m=0.0,
    )


def _fingerprint(path: Path, kind: str, offered: Offered, progress: Progress) -> str:
    """Name a model by its bytes and what was said of them."""
    said = f"{kind}|{offered.crs.to_wkt()}|{offered.feet}"
    digest = hashlib.sha256(said.encode())
    size, done = max(1, path.stat().st_size), 0
    with path.open("rb") as file:
        while piece := file.read(1 << 22):
            digest.update(piece)
            done += len(piece)
            progress(0.1 * done / size, "reading the file")
    return digest.hexdigest()[:16]


def _copy(
    path: Path, target: Path, offered: Offered, progress: Progress
) -> tuple[float, float, float]:
    rows = max(_TILE, _STRIP_CELLS // max(1, offered.width) // _TILE * _TILE)
    low, high, unknown = np.inf, -np.inf, 0
    profile: dict[str, Any] = {
        "driver": "GTiff",
        "width": offered.width,
        "height": offered.height,
        "count": 1,
        "dtype": "float32",
        "crs": offered.crs,
        "nodata": HOLE,
        "tiled": True,
        "blockxsize": _TILE,
        "blockysize": _TILE,
        "compress": "deflate",
        "zlevel": 1,
        "predictor": 3,
        "bigtiff": "if_safer",
    }
    with (
        opened(path) as source,
        rasterio.open(target, "w", transform=source.transform, **profile) as copy,
    ):
        for top in range(0, offered.height, rows):
            window = Window(0, top, offered.width, min(rows, offered.height - top))
            strip = _metres(source.read(1, window=window, masked=True), offered.feet)
            known = strip[strip != HOLE]
            unknown += strip.size - known.size
            if known.size:
                low, high = min(low, float(known.min())), max(high, float(known.max()))
            copy.write(strip, 1, window=window)
            progress(0.1 + 0.7 * (top + rows) / (offered.height + rows), "writing it in tiles")
    if not np.isfinite(low):
        raise Refused.one(f"{shown(path.name)} holds no heights, only holes; get it again")
    return low, high, unknown / (offered.width * offered.height)


def _metres(read: Any, feet: bool) -> npt.NDArray[np.float32]:
    raw = np.ma.getdata(read).astype(np.float32)
    if feet:
        raw = raw * np.float32(FOOT_M)
    hole = np.ma.getmaskarray(read) | ~np.isfinite(raw) | (raw < LOWEST_M) | (raw > HIGHEST_M)
    return np.where(hole, np.float32(HOLE), raw)


def _thin_out(path: Path, offered: Offered, progress: Progress) -> None:
    """Put coarser copies inside, so that the far field is read from few cells."""
    progress(0.85, "making coarser copies")
    longest = max(offered.width, offered.height)
    steps = [2**power for power in range(1, 8) if longest / 2**power >= _TILE]
    if not steps:
        return
    with (
        rasterio.Env(GDAL_CACHEMAX=CACHE_MB, COMPRESS_OVERVIEW="DEFLATE"),
        rasterio.open(path, "r+") as copy,
    ):
        copy.build_overviews(steps, Resampling.average)


def _remarks(model: Model, others: Sequence[Model]) -> list[str]:
    said = []
    if model.unknown_share >= 0.0005:
        said.append(
            f"{max(0.1, 100 * model.unknown_share):.1f} % of it are holes without a height; what "
            "is asked there is answered from another model or said not to be known."
        )
    if model.was_feet:
        said.append("Its heights were feet and stand here in metres.")
    said += [sentence for other in others if (sentence := _beside(model, other)) is not None]
    return said


def _beside(model: Model, other: Model) -> str | None:
    """Hold a model against one that stands here: feet for metres, or another sea level."""
    lats = np.linspace(
        max(model.south_deg, other.south_deg), min(model.north_deg, other.north_deg), 12
    )[1:-1]
    lons = np.linspace(
        max(model.west_deg, other.west_deg), min(model.east_deg, other.east_deg), 12
    )[1:-1]
    if lats[0] >= lats[-1] or lons[0] >= lons[-1]:
        return None
    grid = [(float(lat), float(lon)) for lat in lats for lon in lons]
    mine, theirs = heights_at(model, grid), heights_at(other, grid)
    both = np.isfinite(mine) & np.isfinite(theirs)
    if both.sum() < 5:
        return None
    mine, theirs = mine[both], theirs[both]
    step = float(np.median(mine - theirs))
    base = float(np.median(theirs))
    if abs(base) > 30.0:
        ratio = float(np.median(mine)) / base
        if 3.0 < ratio < 3.6 or 0.28 < ratio < 0.33:
            which = "this one" if ratio > 1.0 else f"{other.name}"
            return (
                f"Its heights are {ratio:.2f} times those of {other.name}: {which} is probably in "
                "feet. Remove it and take it in as feet."
            )
    allowed = 3.0 * (model.plus_minus_m + other.plus_minus_m)
    if model.kind == other.kind and abs(step) > allowed:
        return (
            f"It lies {abs(step):.0f} m {'above' if step > 0 else 'below'} {other.name} where both "
            "are known: they may count heights from different sea levels."
        )
    return None
