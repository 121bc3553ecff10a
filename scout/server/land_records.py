"""From a notebook's records to the land and back: what is asked of the models, and what is kept.

Everything found becomes a record and so reaches the phones. Not for: computing it
(`scout.terrain`), HTTP (`land`) or the terminal.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import attrs

from scout.engine.horizon import horizon
from scout.engine.skyline import Skyline as Line
from scout.notebook.clock import written
from scout.notebook.leaving import standing
from scout.notebook.notebook import Notebook
from scout.notebook.saving import Edit, Saved
from scout.records.trouble import Refused
from scout.terrain.ground import HOW, Ground, Pin, ground_under
from scout.terrain.model import BARE
from scout.terrain.shelf import Shelf
from scout.terrain.skyline_compared import Compared, compared
from scout.terrain.skylines import LandSkyline, skyline_of
from scout.terrain.taking_in import Progress, quiet

Records = Mapping[str, Mapping[str, Any]]
PIN_KINDS = ("perch", "vantage")
_USUAL_ACCURACY_M = 10.0  # a phone's position under trees: common practice
_USUAL_LENS_M = 1.2
_USUAL_PERCH_M = 0.5
_LONGEST_MADE_FROM = 200


def shelf_of(notebook: Notebook) -> Shelf:
    """Answer the shelf of a notebook's elevation models."""
    return Shelf(notebook.folder)


def records_of(notebook: Notebook) -> Records:
    """Answer the notebook's records whose other ends are here."""
    return standing(notebook.contents().records)[0]


def site_places(records: Records) -> list[tuple[str, float, float]]:
    """Answer name, latitude and longitude [deg] of every site."""
    return [
        (site.name, site.centre.lat, site.centre.lon) for site in records.get("site", {}).values()
    ]


def named(records: Records, kind: str, record_id: str) -> Any:
    """Answer a record of a kind; raises Refused where it is not here."""
    found = records.get(kind, {}).get(record_id)
    if found is None:
        raise Refused.one(f"there is no such {kind} here (yet)", kind)
    return found


def pin_named(records: Records, record_id: str) -> tuple[str, Any]:
    """Answer kind and record of a perch or vantage; raises Refused for another id."""
    for kind in PIN_KINDS:
        if record_id in records.get(kind, {}):
            return kind, records[kind][record_id]
    raise Refused.one("there is no such perch or vantage here (yet)", "pin")


def grounds(notebook: Notebook, site: str | None = None) -> list[tuple[str, Ground]]:
    """Answer kind and ground of every perch and vantage, of one site where it is named."""
    records = records_of(notebook)
    kinds, pins = [], []
    for kind in PIN_KINDS:
        for record in records.get(kind, {}).values():
            if site is None or record.site == site:
                kinds.append(kind)
                pins.append(_pin(record))
    return list(zip(kinds, ground_under(pins, shelf_of(notebook).models()), strict=True))


def fill_in(
    notebook: Notebook, found: Sequence[tuple[str, Ground]], via: str = "cli"
) -> Saved | None:
    """Write the ground's height into every pin that has none of its own, as one Save.

    What was measured stays. None where nothing was to be written.
    """
    edits = [
        Edit(
            kind=kind,
            record=one.pin.id,
            set={
                "ground_elevation": {
                    "m": one.elevation_m,
                    "how": HOW,
                    "plus_minus_m": one.plus_minus_m,
                }
            },
        )
        for kind, one in found
        if one.fills and one.elevation_m is not None and not _same(one)
    ]
    return notebook.save(edits, via) if edits else None


@attrs.frozen(kw_only=True)
class SkylineKept:
    """A skyline from the land for one pin, and how it differs from what was measured there."""

    pin: str
    name: str
    found: LandSkyline
    against: Compared | None
    saved: Saved | None

    @property
    def sentences(self) -> tuple[str, ...]:
        """What is worth knowing of it."""
        unsure = self.found.unsure
        return (
            *([f"Careful: {unsure}."] if unsure else []),
            *self.found.remarks,
            *([self.against.words] if self.against else []),
        )


def land_skyline(
    notebook: Notebook,
    pin_id: str,
    *,
    kind: str = BARE,
    keep: bool = True,
    via: str = "cli",
    progress: Progress = quiet,
) -> SkylineKept:
    """Find the skyline of a perch or vantage from the land, and keep it as a record.

    It stands in the place of what was made from the land before; a measured one stays and counts
    before it. Raises Refused where no model knows the place.
    """
    records = records_of(notebook)
    pin_kind, record = pin_named(records, pin_id)
    pin = _pin(record)
    height = record.height_m if pin_kind == "perch" else record.lens_height_m
    usual = _USUAL_PERCH_M if pin_kind == "perch" else _USUAL_LENS_M
    own = record.ground_elevation
    measured = own is not None and own.how != HOW
    found = skyline_of(
        shelf_of(notebook).models(),
        pin.lat_deg,
        pin.lon_deg,
        height_m=usual if height is None else height,
        kind=kind,
        ground_m=own.m if measured else None,
        ground_plus_minus_m=(own.plus_minus_m or 0.0) if measured else 0.0,
        accuracy_m=pin.accuracy_m,
        progress=progress,
    )
    of_pin = [one for one in records.get("skyline", {}).values() if one.pin == pin_id]
    older = [one for one in of_pin if one.source == "terrain"]
    seen = _measured_line([one for one in of_pin if one.source != "terrain"], record, notebook)
    saved = None
    if keep:
        fresh = Edit(
            kind="skyline",
            set={
                "pin": pin_id,
                "source": "terrain",
                "reference": "true",
                "at": {"at": written(notebook.clock()), "source": "device"},
                "heading_plus_minus_deg": 0.0,
                "nodes": found.nodes(),
                # The warning first: it must not be what a long list of models cuts off.
                "made_from": "; ".join(part for part in (found.unsure, found.made_from) if part)[
                    :_LONGEST_MADE_FROM
                ],
            },
        )
        gone = [Edit(kind="skyline", record=one.id, delete=True) for one in older]
        saved = notebook.save([fresh, *gone], via)
    return SkylineKept(
        pin=pin_id,
        name=record.name,
        found=found,
        against=None if seen is None else compared(found.line(), seen),
        saved=saved,
    )


def _measured_line(skylines: Sequence[Any], record: Any, notebook: Notebook) -> Line | None:
    if not skylines:
        return None
    return horizon(skylines, record.position, notebook.clock()).line


def _pin(record: Any) -> Pin:
    accuracy = record.position.accuracy_m
    return Pin(
        id=record.id,
        name=record.name,
        lat_deg=record.position.lat,
        lon_deg=record.position.lon,
        accuracy_m=_USUAL_ACCURACY_M if accuracy is None else accuracy,
        known=record.ground_elevation,
    )


def _same(one: Ground) -> bool:
    known = one.pin.known
    return (
        known is not None
        and one.elevation_m is not None
        and abs(known.m - one.elevation_m) < 0.05
        and known.plus_minus_m == one.plus_minus_m
    )
