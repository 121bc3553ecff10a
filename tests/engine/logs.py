"""Small logs of visits, watches and sightings, built part by part; nothing in them is real.

The site, perches and animals are those of `cards`: Sallow Flat at 52.1 N, on British time.
"""

from __future__ import annotations

import random
from datetime import UTC, date, datetime, timedelta
from typing import Any

from scout.engine.anchoring import Day, Days

from .cards import SITE, bird, ident, perch, sightline, site, vantage

Record = dict[str, Any]


def text(seconds: float) -> str:
    """Write a moment [s since 1970-01-01 UTC] as a record holds it."""
    return f"{datetime.fromtimestamp(round(seconds), UTC):%Y-%m-%dT%H:%M:%SZ}"


def solar_day(on: date) -> Day:
    """Return the solar day of a date at the site."""
    day = Days(SITE["lat"], SITE["lon"]).on(on, "Europe/London")
    assert day is not None
    return day


def sunrise_s(on: date) -> float:
    day = solar_day(on)
    assert day.rise_min is not None
    return day.noon_s + 60.0 * day.rise_min


def sunset_s(on: date) -> float:
    day = solar_day(on)
    assert day.set_min is not None
    return day.noon_s + 60.0 * day.set_min


class LogBook:
    """A log being written; moments are minutes from the sunrise of a date."""

    def __init__(self, *perches: str) -> None:
        self.perches = perches or ("Stump",)
        self.visits: list[Record] = []
        self.watches: list[Record] = []
        self.sightings: list[Record] = []
        self.reactions: list[Record] = []
        self.tags: list[Record] = []

    def watch(self, on: date, start: float, end: float | None, **parts: Any) -> str:
        """Add a visit with one watch from minute to minute; return the watch's id."""
        number = len(self.watches)
        zero = sunrise_s(on)
        visit = ident(f"visit {number}")
        ends = {} if end is None else {"end": text(zero + 60 * end)}
        weather = {name: parts.pop(name) for name in list(parts) if name in WEATHER}
        self.visits.append(
            {
                "id": visit,
                "site": ident("site"),
                "start": text(zero + 60 * start - 600),
                **ends,
                **weather,
            }
        )
        watch = {
            "id": ident(f"watch {number}"),
            "visit": visit,
            "vantage": ident("Bank"),
            "perches": [ident(name) for name in self.perches],
            "start": text(zero + 60 * start),
            **ends,
            **parts,
        }
        self.watches.append({name: part for name, part in watch.items() if part is not None})
        return str(watch["id"])

    def seen(
        self, watch: str, on: date, start: float, end: float | None = None, **parts: Any
    ) -> None:
        """Add a sighting from minute to minute, on the first perch unless it says another."""
        zero = sunrise_s(on)
        self.sightings.append(
            {
                "id": ident(f"sighting {len(self.sightings)}"),
                "watch": watch,
                "species": ident("bird"),
                "how": "seen",
                "time_in": text(zero + 60 * start),
                **({} if end is None else {"time_out": text(zero + 60 * end)}),
                "perch": ident(parts.pop("perch", self.perches[0])),
                **parts,
            }
        )

    def request(self, **parts: Any) -> Record:
        """Return what the calls on this log are asked with."""
        return {
            "site": site(),
            "species": bird(),
            "perches": [perch(name) for name in self.perches],
            "vantages": [vantage()],
            "sightlines": [sightline(end=name) for name in self.perches],
            "visits": self.visits,
            "watches": self.watches,
            "sightings": self.sightings,
            "reactions": self.reactions,
            **parts,
        }


WEATHER = ("sky", "wind_from_deg", "wind_force", "frames", "keepers", "failed_by", "end_unsure")


def mornings(count: int, first: date = date(2026, 4, 1)) -> list[date]:
    """Return so many days on end."""
    return [first + timedelta(days=ahead) for ahead in range(count)]


def uniform_log(chance: random.Random, count: int) -> LogBook:
    """Return a log of an animal that comes at any time alike, a few minutes at a time."""
    log = LogBook()
    for on in mornings(count):
        watch = log.watch(on, -40, 200)
        at = -20.0 + chance.expovariate(1 / 60)
        while at < 195:
            stay = chance.uniform(1, 6)
            log.seen(watch, on, at, at + stay)
            at += stay + chance.expovariate(1 / 60)
    return log
