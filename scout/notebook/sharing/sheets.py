"""What leaves as CSV (RFC 4180): one sheet each of pins, sightings and visits.

A cell that a spreadsheet would run as a formula is written with a mark of text before it. Not for:
what may leave (`outgoing`).
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence

from scout.notebook.sharing.grid import Spot
from scout.notebook.sharing.let_out import Outgoing

MEDIA_TYPE = "text/csv"
_AS_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_SPOT = ("lat", "lon", "coordinateUncertaintyInMeters", "dataGeneralizations")
_PLACES = ("what", "name", "site", *_SPOT, "elevation_m")
_SEEN = ("species", "how", "from", "until", "count", "perch", "site", *_SPOT)
_STAYS = ("site", "from", "until", "sightings")

Row = Mapping[str, object]


def sheets_of(leaving: Outgoing) -> dict[str, str]:
    """Write the sheets by the names of their files."""
    places = [
        {**one.told, **_spot(one.spot), "elevation_m": one.elevation_m} for one in leaving.places
    ]
    seen = [{**one.told, **_spot(one.spot)} for one in leaving.sightings]
    stays = [
        {
            "site": one.site,
            "from": one.begun,
            "until": one.ended,
            "sightings": one.sightings,
            **one.facts,
        }
        for one in leaving.stays
    ]
    return {
        "pins.csv": _sheet(_PLACES, places),
        "sightings.csv": _sheet(_SEEN, seen),
        "visits.csv": _sheet(_STAYS, stays),
    }


def _sheet(names: Iterable[str], rows: Sequence[Row]) -> str:
    columns = list(dict.fromkeys([*names, *(name for row in rows for name in row)]))
    sheet = io.StringIO()
    writer = csv.writer(sheet, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_cell(row.get(name)) for name in columns])
    return sheet.getvalue()


def _spot(at: Spot | None) -> Row:
    return {} if at is None else {"lat": at.lat, "lon": at.lon, **at.goodness}


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return str(value)
    text = str(value)
    return f"'{text}" if text.startswith(_AS_FORMULA) else text
