"""Pictures of the land made from a notebook's records and kept as layers, which the phones fetch.

Not for: what is on them (`scout.terrain.pictures`), or the search for places (`land_search`).
"""

from __future__ import annotations

import datetime as dt
import hashlib
import math
from collections.abc import Mapping, Sequence
from typing import Any, Final
from zoneinfo import ZoneInfo

import attrs
from PIL import Image

from scout.engine.geodesy import LocalPlane
from scout.engine.sessions import dawn_of, dusk_of
from scout.notebook.clock import written
from scout.notebook.notebook import Notebook
from scout.notebook.saving import Edit, Saved
from scout.notebook.store import ledger
from scout.records.trouble import Refused
from scout.server.land_records import named, records_of, shelf_of
from scout.terrain.first_light import first_light, margin_m
from scout.terrain.frame import Frame, frame_round
from scout.terrain.legend import Row, height_legend, light_legend
from scout.terrain.model import BARE, Model, near
from scout.terrain.patch import Patch, patch_of
from scout.terrain.pictures import first_light_picture, png
from scout.terrain.relief import relief_picture
from scout.terrain.skylines import skyline_of
from scout.terrain.taking_in import Progress, quiet

Records = Mapping[str, Mapping[str, Any]]
_LEAST_HALF_M: Final = 200.0
_MOST_HALF_M: Final = 2_000.0
_ROUND_M: Final = 100.0
_MOST_CELLS_ACROSS: Final = 1_000
_LIGHT_OVER_M: Final = 0.5  # the ground's own wrinkles would drown the rest
_LONGEST_MADE_FROM: Final = 2_000
_LONGEST_TITLE: Final = 200


@attrs.frozen(kw_only=True)
class LayerKept:
    """A picture that was kept: its record, its frame, sentences worth reading, and its legend."""

    record: str
    title: str
    frame: Frame
    sentences: tuple[str, ...]
    saved: Saved
    legend: tuple[Row, ...] = ()


def site_of(records: Records, site_id: str) -> Any:
    """Answer a site; raises Refused where it is not here."""
    site = records.get("site", {}).get(site_id)
    if site is None:
        raise Refused.one("there is no such site here (yet)", "site")
    return site


def relief(
    notebook: Notebook, site_id: str, *, via: str = "cli", progress: Progress = quiet
) -> LayerKept:
    """Draw the relief of a site and keep it."""
    records = records_of(notebook)
    site = site_of(records, site_id)
    stretch = Stretch.of_site(records, site, shelf_of(notebook).models())
    progress(0.2, "reading the land")
    patch = stretch.patch()
    progress(0.6, "drawing it")
    picture = relief_picture(stretch.frame, patch)
    return keep(
        notebook,
        site_id,
        kind="relief",
        title="Relief",
        picture=picture,
        frame=stretch.frame,
        made_from=_words(patch),
        via=via,
        legend=height_legend(stretch.frame, patch),
    )


def light(
    notebook: Notebook,
    site_id: str,
    on: dt.date,
    session: str = "dawn",
    *,
    via: str = "cli",
    progress: Progress = quiet,
) -> LayerKept:
    """Draw when direct light reaches every spot of a site on a day, and keep it."""
    records = records_of(notebook)
    site = site_of(records, site_id)
    models = shelf_of(notebook).models()
    stretch = Stretch.of_site(records, site, models)
    dawn = session == "dawn"
    around = (dawn_of if dawn else dusk_of)(stretch.lat_deg, stretch.lon_deg, site.zone, on)
    if around.sun_level_utc is None:
        raise Refused.one(
            "the sun neither rises nor sets there on that day: " + " ".join(around.remarks), "on"
        )
    patch = stretch.patch(margin_m(stretch.half_m))
    far = skyline_of(
        models,
        stretch.lat_deg,
        stretch.lon_deg,
        height_m=0.0,
        start_m=patch.half_m,
        progress=lambda share, words: progress(0.3 * share, words),
    )
    found = first_light(
        patch,
        around.sun_level_utc,
        dawn=dawn,
        far=far.line(),
        height_m=_LIGHT_OVER_M,
        progress=lambda share, words: progress(0.3 + 0.6 * share, words),
    )
    picture = first_light_picture(relief_picture(stretch.frame, patch), stretch.frame, found)
    local = around.sun_level_utc.astimezone(ZoneInfo(site.zone))
    what = "First light" if dawn else "Last light"
    when = f"{on.day} {on:%B} {on.year}"
    event = "after the level sunrise" if dawn else "before the level sunset"
    return keep(
        notebook,
        site_id,
        kind="first light",
        title=f"{what}, {when}: minutes {event} at {local:%H:%M}",
        picture=picture,
        frame=stretch.frame,
        made_from=f"{_words(patch)}; the light half a metre over the ground",
        via=via,
        replaces=f"{what}, {when}:",
        legend=light_legend(stretch.frame, found),
    )


@attrs.frozen(kw_only=True)
class Stretch:
    """The square of land that a site's pictures show."""

    lat_deg: float
    lon_deg: float
    half_m: float
    cell_m: float
    models: tuple[Model, ...]

    @classmethod
    def of_site(cls, records: Records, site: Any, models: Sequence[Model]) -> Stretch:
        """Take in all of a site's pins, with some land round them. Raises Refused."""
        pins = [site.centre] + [
            one.position
            for kind in ("perch", "vantage", "landmark")
            for one in records.get(kind, {}).values()
            if one.site == site.id
        ]
        plane = LocalPlane(site.centre.lat, site.centre.lon)
        spots = [plane.to_plane(pin.lat, pin.lon) for pin in pins]
        near_ones = [spot for spot in spots if math.hypot(*spot) < _MOST_HALF_M]
        low, high = (
            tuple(pick(axis) for axis in zip(*near_ones, strict=True)) for pick in (min, max)
        )
        lat, lon = plane.to_globe((low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0)
        half = max(high[0] - low[0], high[1] - low[1]) / 2.0 + _ROUND_M
        return cls.round(lat, lon, min(_MOST_HALF_M, max(_LEAST_HALF_M, half)), models)

    @classmethod
    def round(cls, lat: float, lon: float, half_m: float, models: Sequence[Model]) -> Stretch:
        """Make the stretch round a place; raises Refused where no model tells of it."""
        here = near(models, lat, lon, half_m)
        if not here:
            raise Refused.one(
                "no elevation model covers this site; take in the tile in which it lies"
                if models
                else "there is no elevation model here yet; take one in first"
            )
        finest = min(one.cell_m for one in here)
        cell = max(finest, 2.0 * half_m / _MOST_CELLS_ACROSS)
        return cls(lat_deg=lat, lon_deg=lon, half_m=half_m, cell_m=cell, models=tuple(models))

    def patch(self, margin_m: float = 0.0) -> Patch:
        """Read its bare earth, with a margin round it."""
        reach = self.half_m + margin_m
        cell = max(self.cell_m, 2.0 * reach / (2 * _MOST_CELLS_ACROSS))
        return patch_of(self.models, self.lat_deg, self.lon_deg, reach, cell, BARE)

    @property
    def frame(self) -> Frame:
        """The frame of its pictures."""
        return frame_round(self.lat_deg, self.lon_deg, self.half_m, self.cell_m)


def keep(
    notebook: Notebook,
    site_id: str,
    *,
    kind: str,
    title: str,
    picture: Image.Image,
    frame: Frame,
    made_from: str,
    via: str,
    replaces: str | None = None,
    more: Mapping[str, object] | None = None,
    sentences: tuple[str, ...] = (),
    legend: tuple[Row, ...] = (),
) -> LayerKept:
    """Keep a picture's bytes and its layer, in the place of older ones of the same thing.

    Those are the layers of the site and kind whose title begins with `replaces`, its own title
    where that is left out: another day, session or question stands beside it.
    """
    held = png(picture)
    sha256 = hashlib.sha256(held).hexdigest()
    now = notebook.clock()
    notebook.blobs.keep([held], sha256)
    with notebook.store.writing() as db:
        ledger.store_blob(db, sha256, len(held), "image/png", written(now))
    same = replaces or title[:_LONGEST_TITLE]
    older = [
        one.id
        for one in records_of(notebook).get("layer", {}).values()
        if one.site == site_id and one.kind == kind and (one.title or "").startswith(same)
    ]
    fresh = Edit(
        kind="layer",
        set={
            "site": site_id,
            "kind": kind,
            "title": title[:_LONGEST_TITLE],
            "bounds": frame.bounds,
            "blob": sha256,
            "made_from": made_from[:_LONGEST_MADE_FROM],
            "made_at": written(now),
            **(more or {}),
        },
    )
    gone = [Edit(kind="layer", record=one, delete=True) for one in older]
    saved = notebook.save([fresh, *gone], via)
    return LayerKept(
        record=saved.records[0],
        title=title,
        frame=frame,
        sentences=sentences,
        saved=saved,
        legend=legend,
    )


def forget(notebook: Notebook, layer: str, via: str = "app") -> Saved:
    """Remove a layer. Raises Refused where it is not here."""
    named(records_of(notebook), "layer", layer)
    return notebook.save([Edit(kind="layer", record=layer, delete=True)], via)


def _words(patch: Patch) -> str:
    return "; ".join(one.words for one in patch.used)
