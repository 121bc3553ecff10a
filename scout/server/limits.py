"""How often something may be tried: in the database for codes, so that a restart forgives nothing;
in memory for what only costs work.

Behind a proxy or one router many people share an address, so a limit per address is never the only
one. Not for: what is tried (`pairing`), or sizes (`bodies`).
"""

from __future__ import annotations

import datetime as dt
import threading
import time
from collections.abc import Callable, Sequence
from typing import Final

import attrs
from sqlite_utils import Database

from scout.notebook.clock import written
from scout.notebook.store import door as rows
from scout.server.errors import Problem


@attrs.frozen(kw_only=True)
class Limit:
    """At most so many tries in a span, of one address or of all; `pause`: nobody may then."""

    most: int
    span: dt.timedelta
    of_all: bool = False
    pause: dt.timedelta | None = None


_MINUTE = dt.timedelta(minutes=1)
_HOUR = dt.timedelta(hours=1)

STARTS: Final = "start"
# Wrong codes: with 5 per code besides, 34 bits hold (RFC 8628, 5.1).
_WRONG = (
    Limit(most=10, span=_MINUTE),
    Limit(most=30, span=_HOUR),
    Limit(most=100, span=_HOUR, of_all=True, pause=dt.timedelta(minutes=15)),
)
LIMITS: Final[dict[str, tuple[Limit, ...]]] = {
    # Apart, so that a stranger who tries printed codes does not keep the owner from granting.
    "shown": _WRONG,
    "printed": _WRONG,
    # Phones that ask to be paired.
    STARTS: (Limit(most=6, span=_HOUR), Limit(most=60, span=_HOUR, of_all=True)),
}


def refuse_beyond(db: Database, what: str, who: str, now: dt.datetime) -> None:
    """Raise Problem where no further try is due.

    What lies in the future was written before the clock was put back, and counts for nothing.
    """
    paused = rows.paused_until(db, what)
    longest = max(limit.pause or dt.timedelta(0) for limit in LIMITS[what])
    if paused is not None and written(now) < paused <= written(now + longest):
        raise _later(dt.datetime.fromisoformat(paused) - now)
    for limit in LIMITS[what]:
        made = rows.attempts(
            db, what, written(now - limit.span), written(now), None if limit.of_all else who
        )
        if len(made) >= limit.most:
            oldest = dt.datetime.fromisoformat(made[-limit.most])
            raise _later(oldest + limit.span - now)


def count(db: Database, what: str, who: str, now: dt.datetime) -> None:
    """Count one try; where all together reach a limit with a pause, the pause begins."""
    rows.add_attempt(db, what, who, written(now))
    longest = max(limit.span for limit in LIMITS[what])
    rows.drop_attempts(db, what, written(now - longest))
    for limit in LIMITS[what]:
        if limit.pause is None:
            continue
        if len(rows.attempts(db, what, written(now - limit.span), written(now))) >= limit.most:
            rows.store_pause(db, what, written(now + limit.pause))


def _later(wait: dt.timedelta) -> Problem:
    seconds = max(1, int(wait.total_seconds()) + 1)
    return Problem(
        429,
        "too_many_tries",
        f"Too many tries; the next one is answered in {_span(seconds)}.",
        Retry_After=str(seconds),
    )


def _span(seconds: int) -> str:
    return f"{seconds} s" if seconds < 90 else f"{-(-seconds // 60)} min"


class Pace:
    """A bucket per device that fills with time: what it holds may be spent at once.

    Forgets whom it has not seen for as long as it takes to fill up.
    """

    def __init__(
        self, holds: float, per_s: float, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._holds, self._per_s, self._clock = holds, per_s, clock
        self._level: dict[str, tuple[float, float]] = {}
        self._lock = threading.Lock()

    def spend(self, who: str, cost: float = 1.0) -> None:
        """Take from somebody's bucket; raises Problem where it is empty."""
        now = self._clock()
        with self._lock:
            if len(self._level) > 1000:
                self._forget(now)
            held, then = self._level.get(who, (self._holds, now))
            held = min(self._holds, held + (now - then) * self._per_s)
            if held < cost:
                wait = int((cost - held) / self._per_s) + 1
                self._level[who] = (held, now)
                raise Problem(
                    429, "too_fast", "Slower, please: try again soon.", Retry_After=str(wait)
                )
            self._level[who] = (held - cost, now)

    def _forget(self, now: float) -> None:
        full_s = self._holds / self._per_s
        self._level = {
            who: (held, then) for who, (held, then) in self._level.items() if now - then < full_s
        }


def paces() -> Sequence[tuple[str, Pace]]:
    """Make the buckets of one server, by the beginning of an endpoint's name."""
    return (
        ("engine.", Pace(holds=60, per_s=1.0)),
        ("blobs.", Pace(holds=1200, per_s=20.0)),
        ("photos.", Pace(holds=1200, per_s=20.0)),
        # A phone fetches the whole program, or an area of the map, in one go.
        ("web.", Pace(holds=4000, per_s=50.0)),
        ("packs.", Pace(holds=4000, per_s=50.0)),
        ("maps.", Pace(holds=4000, per_s=50.0)),
        ("sync.", Pace(holds=600, per_s=5.0)),
        ("", Pace(holds=600, per_s=5.0)),
    )
