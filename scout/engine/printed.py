"""Moments as a card prints them: the instant in UTC beside the local clock.

Not for: words about them.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import attrs

from scout.engine.clocks import clock_words


@attrs.frozen
class Printed:
    """Print moments for one zone."""

    zone: ZoneInfo

    def moment(self, at_utc: datetime | None) -> dict[str, str] | None:
        """Write a moment as {"utc", "clock"}, on the whole minute; None stays None."""
        if at_utc is None:
            return None
        # Rounded before it is compared with anything a person reads.
        minute = (at_utc.astimezone(UTC) + timedelta(seconds=30)).replace(second=0, microsecond=0)
        return {
            "utc": f"{minute.replace(tzinfo=None).isoformat(timespec='minutes')}Z",
            "clock": clock_words(at_utc, self.zone),
        }

    def clock(self, at_utc: datetime) -> str:
        """Write a moment as its local clock time alone."""
        return clock_words(at_utc, self.zone)

    def span(self, start_utc: datetime, end_utc: datetime) -> dict[str, object]:
        """Write a span as {"from", "to", "minutes"}."""
        return {
            "from": self.moment(start_utc),
            "to": self.moment(end_utc),
            "minutes": round((end_utc - start_utc).total_seconds() / 60),
        }
