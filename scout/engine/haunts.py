"""The haunts of one animal: one request's places and log, read, with the efforts drawn from them.

Not for: counting or words (`steps`, `habits`).
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import attrs

from scout.engine.anchoring import Days
from scout.engine.clocks import zone_of
from scout.engine.effort import Effort, Efforts, Place
from scout.engine.instants import instant_of
from scout.engine.log import Came, Log, Watched, read_log
from scout.engine.request import Request
from scout.records.kit import Species
from scout.records.places import Area, Perch, Sightline, Site, Vantage
from scout.records.settings import Settings


@attrs.frozen(kw_only=True)
class Haunts:
    """One site, one animal, and what was watched and seen of it there."""

    site: Site
    species: Species
    settings: Settings
    zone: ZoneInfo
    perches: Mapping[str, Perch]
    vantages: Mapping[str, Vantage]
    sightlines: tuple[Sightline, ...]
    areas: Mapping[str, Area]
    log: Log
    days: Days
    efforts: Efforts

    def date_of(self, effort: Effort) -> date:
        """Answer the local date of a dawn or dusk, that of its noon."""
        return instant_of(effort.day.noon_s).astimezone(self.zone).date()

    def moment(self, seconds: float) -> datetime:
        """Answer a moment of the log as an aware time."""
        return instant_of(seconds)

    def perches_of(self, watch: Watched) -> tuple[str, ...]:
        """Answer the perches that a watch had in view."""
        if watch.perches:
            return watch.perches
        return tuple(line.perch for line in self.sightlines if line.vantage == watch.vantage)

    def area_place(self, area: Area) -> Place:
        """Answer an area as a place: the perches in it, and every position in it."""
        outline = [(corner.lat, corner.lon) for corner in area.outline]
        within = frozenset(
            perch.id
            for perch in self.perches.values()
            if inside((perch.position.lat, perch.position.lon), outline)
        )
        return Place(within, lambda where: inside(where, outline))


def read_haunts(request: Mapping[str, Any], asked: Request | None = None) -> Haunts:
    """Read `site`, `species`, `settings`, the places' lists, `areas` and the log's lists.

    Lists may be left out. `asked`: the request being read, where the caller reads more of it; then
    it is closed here all the same. Raises Refused with every fault.
    """
    asked = asked or Request(request)
    site, species = (asked.record(name, name) for name in ("site", "species"))
    settings = asked.record("settings", "settings", needed=False) or Settings()
    perches = asked.records("perches", "perch")
    vantages = asked.records("vantages", "vantage")
    sightlines = asked.records("sightlines", "sightline")
    areas = asked.records("areas", "area")
    log = read_log(asked, None if species is None else species.id)
    asked.close()
    here = {perch.id: perch for perch in perches if perch.site == site.id}
    lines = tuple(sorted((one for one in sightlines if one.perch in here), key=lambda one: one.id))
    reached: dict[str, list[str]] = {}
    for line in lines:
        reached.setdefault(line.vantage, []).append(line.perch)
    stands = {one.id: one for one in vantages if one.site == site.id}
    log = _of_site(log, site.id, here, stands)
    days = Days(site.centre.lat, site.centre.lon)
    return Haunts(
        site=site,
        species=species,
        zone=zone_of(site.zone),
        perches=here,
        vantages=stands,
        sightlines=lines,
        areas={one.id: one for one in areas if one.site == site.id},
        log=log,
        days=days,
        settings=settings,
        efforts=Efforts(log, days, reached, settings.quiet_after_min),
    )


def _of_site(
    log: Log, site: str, perches: Mapping[str, Perch], vantages: Mapping[str, Vantage]
) -> Log:
    """Leave out what belongs to another site: a request may carry a whole notebook's log."""

    def here(watch: Watched) -> bool:
        visit = log.visits.get(watch.visit or "")
        if visit is not None:
            return visit.site == site
        return watch.vantage in vantages or any(perch in perches for perch in watch.perches)

    watches = tuple(watch for watch in log.watches if here(watch))
    kept = {watch.id for watch in watches}
    came: tuple[Came, ...] = tuple(one for one in log.came if one.watch in kept)
    return attrs.evolve(log, watches=watches, came=came)


def inside(where: tuple[float, float], outline: list[tuple[float, float]]) -> bool:
    """Tell whether a point lies within an outline, both as (latitude, longitude) [deg].

    By counting the edges that a line to the east crosses; longitudes are taken the short way round
    from the point, so that an outline may lie across the date line.
    """
    within = False
    points = [(lat, (lon - where[1] + 180.0) % 360.0 - 180.0) for lat, lon in outline]
    for (lat, lon), (before_lat, before_lon) in zip(points, points[-1:] + points[:-1], strict=True):
        if (lat > where[0]) != (before_lat > where[0]):
            crossed = lon + (where[0] - lat) / (before_lat - lat) * (before_lon - lon)
            if crossed > 0.0:
                within = not within
    return within
