"""Instants: aware datetimes on the outside, seconds since 1970-01-01 UTC on the inside.

Searches evaluate a function of time tens of thousands of times, and a plain number is the
cheapest moment there is. Not for calendars, zones or local days: those are `sessions`.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

FIRST_YEAR = 1950
LAST_YEAR = 2100
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_SECOND = timedelta(seconds=1)


def seconds_of(at: datetime, field: str = "at_utc") -> float:
    """Turn an aware datetime into seconds since 1970-01-01 UTC [s].

    Raises ValueError for anything naive: guessing the zone of a bare time moves a sunrise by hours.
    """
    if not isinstance(at, datetime):
        raise ValueError(f"{field} must be a date and time, not {at!r}.")
    if at.utcoffset() is None:
        raise ValueError(
            f"{field} has no time zone ({at.isoformat()}): add one, for example +00:00 for UTC."
        )
    return (at - _EPOCH) / _SECOND


def instant_of(seconds: float) -> datetime:
    """Turn seconds since 1970-01-01 UTC [s] into an aware UTC datetime on the whole second.

    The sun itself is known to some 5 s here, so fractions would only be noise.
    """
    return _EPOCH + timedelta(seconds=math.floor(seconds + 0.5))


def checked_seconds(at: datetime, field: str = "at_utc") -> float:
    """Turn an aware datetime within the years 1950 to 2100 into seconds since 1970-01-01 UTC [s].

    Two days before and after are let through, for local days overlap them. Raises
    ValueError for naive times and for years in which the positions are not vouched for.
    """
    seconds = seconds_of(at, field)
    if not _FIRST_S <= seconds < _END_S:
        raise ValueError(
            f"{field} is {at.isoformat()}: the sun and moon are computed for the years "
            f"{FIRST_YEAR} to {LAST_YEAR} only."
        )
    return seconds


def checked_place(lat_deg: float, lon_deg: float) -> None:
    """Refuse a latitude outside -90..90 or a longitude outside -180..180 [deg] with a sentence."""
    for name, value, bound in (("lat_deg", lat_deg, 90.0), ("lon_deg", lon_deg, 180.0)):
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValueError(f"{name} must be a number of degrees, not {value!r}.")
        if not math.isfinite(value) or abs(value) > bound:
            raise ValueError(f"{name} is {value}: it must lie between -{bound:g} and {bound:g}.")


# Two days more on either side: a local day and the way to its dawn reach that far outside UTC.
_FIRST_S = (datetime(FIRST_YEAR - 1, 12, 30, tzinfo=UTC) - _EPOCH) / _SECOND
_END_S = (datetime(LAST_YEAR + 1, 1, 3, tzinfo=UTC) - _EPOCH) / _SECOND
