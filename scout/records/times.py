"""Dates, days of the year and instants as they are written: one form each, read alike everywhere.

Not for: time zones and local days (the engine's), or reckoning with times.
"""

from __future__ import annotations

import datetime as dt
import re

from scout.records.trouble import Refused, shown

_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_SEASON_DAY = re.compile(r"([0-9]{2})-([0-9]{2})")
# RFC 3339, which every language reads alike; Python alone would take weeks and ordinals too.
_TIME = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}[T ][0-9]{2}:[0-9]{2}(?::[0-9]{2}(?:\.[0-9]{1,6})?)?"
    r"(?P<offset>Z|[+-][0-9]{2}:[0-9]{2})?"
)
FIRST_YEAR, LAST_YEAR = 1950, 2100  # the years over which the sun's place is checked


def read_date(raw: object) -> dt.date:
    """Read a calendar date written 2026-05-12."""
    if isinstance(raw, str) and _DATE.fullmatch(raw):
        try:
            day = dt.date.fromisoformat(raw)
        except ValueError:
            raise Refused.one(
                f"{shown(raw)} is no date in the calendar; check day and month"
            ) from None
        _refuse_far_year(day.year, raw)
        return day
    raise Refused.one(f"{shown(raw)} is not a date; write it like 2026-05-12")


def read_season_day(raw: object) -> str:
    """Read a day of every year, written 02-29 (month-day)."""
    found = _SEASON_DAY.fullmatch(raw) if isinstance(raw, str) else None
    if found is not None:
        try:
            dt.date(2024, int(found[1]), int(found[2]))  # a leap year, so that 02-29 is a day
        except ValueError:
            found = None
    if found is None:
        raise Refused.one(f"{shown(raw)} is no day of the year; write month-day like 03-01")
    return found[0]


def read_time(raw: object) -> dt.datetime:
    """Read an instant written with its offset, like 2026-05-12T04:35:00+01:00 or …Z."""
    found = _TIME.fullmatch(raw) if isinstance(raw, str) else None
    if found is None:
        raise Refused.one(f"{shown(raw)} is not a time; write it like 2026-05-12T04:35:00+01:00")
    if found["offset"] is None:
        raise Refused.one(f"{shown(raw)} lacks its offset from UTC; add it, like +01:00 or Z")
    try:
        moment = dt.datetime.fromisoformat(found[0])
    except ValueError:
        raise Refused.one(
            f"{shown(raw)} is no time of the calendar and the clock; check its figures"
        ) from None
    _refuse_far_year(moment.year, raw)
    return moment


def write_time(moment: dt.datetime) -> str:
    """Write an instant with its offset, Z for UTC, fractions of a second only where there are."""
    return moment.isoformat().replace("+00:00", "Z")


def _refuse_far_year(year: int, raw: object) -> None:
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise Refused.one(
            f"{shown(raw)} is outside the years {FIRST_YEAR} to {LAST_YEAR}; check the year"
        )
