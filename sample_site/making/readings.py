"""Light readings on level ground in the open; the meadow is half a stop darker than the books say.

Not for: exposure of photos (`pictures`).
"""

from __future__ import annotations

import datetime as dt
import random

from making.ground import Record
from making.sunlight import geometric_deg, reaches, written


def readings(rng: random.Random) -> list[Record]:
    """Answer the light readings."""
    made = []
    rows = (
        ("pellwick", "2025-05-10", 12.0, "clear", "in leaf"),
        ("pellwick", "2025-06-07", 10.5, "clear", "in leaf"),
        ("pellwick", "2025-08-30", 13.5, "clear", "in leaf"),
        ("pellwick", "2026-05-09", 12.5, "clear", "in leaf"),
        ("pellwick", "2026-09-26", 11.0, "clear", "in leaf"),
        ("pellwick", "2026-03-14", 9.0, "clear", "bare"),
        ("pellwick", "2026-03-28", 11.0, "clear", "bare"),
        ("pellwick", "2026-11-07", 8.0, "clear", "bare"),
        ("pellwick", "2026-11-14", 9.5, "clear", "bare"),
        ("pellwick", "2025-04-26", 11.0, "overcast", "bare"),
        ("pellwick", "2026-04-11", 9.0, "overcast", "bare"),
        ("hobthorn", "2026-07-25", 12.0, "in and out", "in leaf"),
    )
    for count, (site, day, altitude, sky, leaf) in enumerate(rows, 1):
        at = reaches(site, dt.date.fromisoformat(day), altitude, rising=True)
        at = at.replace(second=0)
        off = -0.75 + 0.4 * rng.random() - {"overcast": 1.6, "in and out": 0.7}.get(sky, 0.0)
        made.append(
            {
                "id": f"light-{count:02d}",
                "site": site,
                "at": written(at),
                "ev100": round(_level_clear_ev(geometric_deg(site, at)) + off, 1),
                "source": "meter",
                "sky": sky,
                "leaf": leaf,
            }
        )
    return made


def _level_clear_ev(altitude_deg: float) -> float:
    """Answer the clear-sky light on level ground [EV100], sun at 5 to 20 degrees.

    Janiczek and DeYoung (1987), USNO Circular 171, the piece for 5 to 20 degrees;
    2.5 lux stand for EV 0.
    """
    x = altitude_deg / 90.0
    log_lux = 3.05 + 13.28 * x - 45.98 * x * x + 64.33 * x**3
    return (log_lux - 0.39794) / 0.30103
