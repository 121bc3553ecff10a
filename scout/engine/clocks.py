"""Clocks: local dates and the time of day in an IANA zone.

Not for the sun: what it does on a local date is `sessions`. Which zone data is used, the tzdata
package or the machine's own, is settled where the process starts.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

# Written out, for what a system calls them hangs on its language.
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def zone_of(zone: str) -> ZoneInfo:
    """Return the IANA zone of a name, or raise ValueError with a sentence."""
    if not isinstance(zone, str) or not zone:
        raise ValueError(f"zone must be an IANA name such as Europe/London, not {zone!r}.")
    try:
        return ZoneInfo(zone)
    except (KeyError, ValueError, OSError):
        raise ValueError(
            f"zone {zone!r} is not a known IANA time zone: use a name such as Europe/London."
        ) from None


def clock_words(at_utc: datetime, zone: ZoneInfo) -> str:
    """Return the local clock time of a moment, rounded to the minute, as HH:MM."""
    local = (at_utc + timedelta(seconds=30)).astimezone(zone)
    return f"{local.hour:02}:{local.minute:02}"


def day_words(day: date) -> str:
    """Return a date as people say it, without its year, as "Tue 12 May"; always in English."""
    return f"{_WEEKDAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}"


def day_exists(zone: str, local_date: date) -> bool:
    """Return whether a local date exists in a zone (zones that crossed the date line skip one)."""
    return existing_noon(zone_of(zone), local_date) is not None


def existing_noon(tz: ZoneInfo, day: date) -> datetime | None:
    """Return twelve o'clock of a local date in UTC, or None where the zone skipped the date."""
    noon = datetime.combine(day, time(12), tz).astimezone(UTC)
    return noon if noon.astimezone(tz).date() == day else None
