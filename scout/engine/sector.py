"""The sector in which a skyline matters: where the sun rises or sets over a season.

Nobody measures a whole horizon by hand; this says which part of it is worth the cold fingers.
Not for when the sun comes over it: that is `clearing`.
"""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, time

from scout.engine.instants import checked_seconds
from scout.engine.sun import SunPath


def rise_azimuths(
    lat_deg: float,
    lon_deg: float,
    first_date: date,
    days: int,
    *,
    rising: bool = True,
    altitude_deg: float = -0.833,
) -> tuple[float, float] | None:
    """Return the least and greatest azimuth [deg] at which the sun passes an altitude in a season.

    first_date and days [1..366]: the season. altitude_deg: geometric [deg], for example -0.833 for
    sunrise. rising False for the evening. None where it never passes it. To 0.2 degrees.
    """
    if not 1 <= days <= 366:
        raise ValueError(f"days is {days}: a season has 1 to 366 days.")
    path = SunPath(lat_deg, lon_deg)
    # Only the first day is checked: a season that begins in the last year runs on past its end.
    start = checked_seconds(datetime.combine(first_date, time(), UTC), "first_date")
    phi, h = math.radians(lat_deg), math.radians(altitude_deg)
    found = []
    for day in range(days):
        hour = (6.0 if rising else 18.0) - lon_deg / 15.0
        dec = path.declination_deg(start + day * 86400.0 + hour * 3600.0)
        reach = math.cos(phi) * math.cos(h)
        if reach < 1e-9:
            continue
        cosine = (math.sin(math.radians(dec)) - math.sin(phi) * math.sin(h)) / reach
        if abs(cosine) <= 1.0:
            east = math.degrees(math.acos(cosine))
            found.append(east if rising else 360.0 - east)
    return (min(found), max(found)) if found else None


def sector_sentence(lat_deg: float, lon_deg: float, on: date, *, rising: bool = True) -> str:
    """Say over which sector the skyline matters: the year's, and that of the next six weeks."""
    verb = "rises" if rising else "sets"
    year = rise_azimuths(lat_deg, lon_deg, on, 366, rising=rising)
    soon = rise_azimuths(lat_deg, lon_deg, on, 42, rising=rising)
    if year is None:
        return f"The sun never {verb} here within the year."
    words = f"The sun {verb} between {year[0]:.0f}° and {year[1]:.0f}° over the year here"
    if soon is None:
        return f"{words}, and not at all in the next six weeks."
    return f"{words}, {soon[0]:.0f}–{soon[1]:.0f}° in the next six weeks."
