"""What a card is asked for: one request's records, read and sorted by what they belong to.

A request carries all that an answer needs. A record whose partner has not come (a sightline whose
perch is not here yet) is left out and named, never a fault. Not for: computing anything from them.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import attrs

from scout.engine.presence import Presence, joined, read_presence
from scout.engine.request import Request
from scout.engine.wind import Wind, read_wind
from scout.records.kit import Kit, Species
from scout.records.places import (
    Canopy,
    Landmark,
    Measurement,
    Perch,
    Permission,
    Sightline,
    Site,
    Skyline,
    Vantage,
    WalkIn,
)
from scout.records.settings import Settings
from scout.records.trouble import Refused, at_field
from scout.records.visits import SKIES, LightReading, Reaction, Sighting, Visit, Watch

DEMANDS = ("level", "background", "size")
BEHAVIOURS = ("perched", "fidgeting", "flight")

# The lists of a request, each with the kind of record in it.
LISTS = {
    "perches": "perch",
    "vantages": "vantage",
    "sightlines": "sightline",
    "measurements": "measurement",
    "skylines": "skyline",
    "canopies": "canopy",
    "walk_ins": "walk_in",
    "landmarks": "landmark",
    "permissions": "permission",
    "visits": "visit",
    "watches": "watch",
    "sightings": "sighting",
    "reactions": "reaction",
    "light_readings": "light_reading",
}


@attrs.frozen(kw_only=True)
class Other:
    """Another animal that will do: its record, and what is known of when it comes."""

    species: Species
    presence: Presence | None


@attrs.frozen(kw_only=True)
class Asked:
    """One request, read: records by id, or in lists under what they belong to.

    together: what is known of the species and of `also` as if they were one.
    """

    site: Site
    species: Species
    kit: Kit
    settings: Settings
    date: date
    session: str
    behaviour: str
    sky: str | None
    wind: Wind | None
    presence: Presence | None
    also: tuple[Other, ...]
    together: Presence | None
    discreet: bool
    demands: tuple[str, ...]
    perches: dict[str, Perch]
    vantages: dict[str, Vantage]
    sightlines: tuple[Sightline, ...]
    measurements: dict[str, list[Measurement]]
    skylines: dict[str, list[Skyline]]
    canopies: dict[str, list[Canopy]]
    walk_ins: dict[str, list[WalkIn]]
    landmarks: tuple[Landmark, ...]
    permissions: tuple[Permission, ...]
    visits: tuple[Visit, ...]
    watches: tuple[Watch, ...]
    sightings: tuple[Sighting, ...]
    reactions: tuple[Reaction, ...]
    light_readings: tuple[LightReading, ...]
    waiting: tuple[str, ...]

    @property
    def scents(self) -> bool:
        """Whether some animal chosen goes by scent, so that the wind decides."""
        animals = (self.species, *(other.species for other in self.also))
        return any(one.animal == "mammal" for one in animals)


def read_asked(request: dict[str, Any]) -> Asked:
    """Read a request for an outing card.

    `site`, `species`, `kit` are records; the lists of `LISTS` are arrays of records, each may be
    left out; `date` is the local day; `session` dawn or dusk; `behaviour` perched, fidgeting or
    flight; `sky` one of three words or null; `wind` text such as "SW 3" or null; `presence` what
    the call presence answers of the species, or null; `also`, other animals that will do, each
    {"species", "presence"}; `discreet` true leaves names of sensitive places out;
    `demands`, words of DEMANDS, puts sightlines aside that do not meet them. Raises Refused with
    every fault.
    """
    asked = Request(request)
    site, species, kit = (asked.record(name, name) for name in ("site", "species", "kit"))
    settings = asked.record("settings", "settings", needed=False) or Settings()
    day = asked.date("date")
    session = asked.word("session", ("dawn", "dusk"))
    behaviour = asked.word("behaviour", BEHAVIOURS, "perched")
    sky = asked.word("sky", SKIES) if asked.has("sky") else asked.part("sky")
    wind = asked.plain("wind", read_wind, needed=False)
    presence = asked.plain("presence", read_presence, needed=False)
    also = _also(asked, species, presence)
    discreet = asked.flag("discreet")
    demands = _demands(asked)
    lists = {name: asked.records(name, kind) for name, kind in LISTS.items()}
    asked.close()

    perches = {perch.id: perch for perch in lists["perches"] if perch.site == site.id}
    vantages = {vantage.id: vantage for vantage in lists["vantages"] if vantage.site == site.id}
    kept, waiting = _joined(lists["sightlines"], vantages, perches)
    return Asked(
        site=site,
        species=species,
        kit=kit,
        settings=settings,
        date=day,
        session=session,
        behaviour=behaviour,
        sky=sky,
        wind=wind,
        presence=presence,
        also=also,
        together=_together(presence, also),
        discreet=discreet,
        demands=demands,
        perches=perches,
        vantages=vantages,
        sightlines=kept,
        measurements=_under(lists["measurements"], "sightline"),
        skylines=_under(lists["skylines"], "pin"),
        canopies=_under(lists["canopies"], "perch"),
        walk_ins=_under(lists["walk_ins"], "vantage"),
        landmarks=tuple(mark for mark in lists["landmarks"] if mark.site == site.id),
        permissions=tuple(one for one in lists["permissions"] if one.site == site.id),
        visits=tuple(one for one in lists["visits"] if one.site == site.id),
        watches=tuple(lists["watches"]),
        sightings=tuple(lists["sightings"]),
        reactions=tuple(lists["reactions"]),
        light_readings=tuple(one for one in lists["light_readings"] if one.site == site.id),
        waiting=waiting,
    )


def _demands(asked: Request) -> tuple[str, ...]:
    raw = asked.part("demands")
    if raw is None:
        return ()
    if not isinstance(raw, list) or any(one not in DEMANDS for one in raw):
        asked.fault(f"must be a list of these words: {', '.join(DEMANDS)}", "demands")
        return ()
    return tuple(one for one in DEMANDS if one in raw)


def _also(asked: Request, species: Species | None, presence: Presence | None) -> tuple[Other, ...]:
    raw = asked.part("also")
    if raw is None:
        return ()
    if not isinstance(raw, list):
        asked.fault("must be a list of other animals, each with its species", "also")
        return ()
    found: list[Other] = []
    known = presence
    for place, one in enumerate(raw):
        if not isinstance(one, dict):
            asked.fault("is not an object with a species", "also", place)
            continue
        inner = Request(one)
        animal = inner.record("species", "species")
        its = inner.plain("presence", read_presence, needed=False)
        try:
            inner.close()
        except Refused as refusal:
            for trouble in at_field("also", at_field(place, refusal.troubles)):
                asked.fault(trouble.says, *trouble.path)
            continue
        known = known or its
        if its is not None and known is not None and its.anchoring != known.anchoring:
            asked.fault("is drawn from another log than the others", "also", place, "presence")
        elif species is None or animal.id in (species.id, *(other.species.id for other in found)):
            asked.fault("stands among the animals already", "also", place, "species")
        else:
            found.append(Other(species=animal, presence=its))
    return tuple(found)


def _together(presence: Presence | None, also: tuple[Other, ...]) -> Presence | None:
    known = [one for one in (presence, *(other.presence for other in also)) if one is not None]
    return joined(known) if known else None


def in_leaf(settings: Settings, lat_deg: float, day: date) -> bool:
    """Tell whether broadleaf trees carry leaves on a day, by the notebook's setting.

    South of the equator half a year later.
    """
    if lat_deg < 0:
        day = day + timedelta(days=182)
    now = day.isoformat()[5:]
    return within_year(now, settings.leaf_out_day, settings.leaf_fall_day, last_too=False)


def leaf_of(settings: Settings, lat_deg: float, day: date) -> str:
    """Answer "in leaf" or "bare" for a day."""
    return "in leaf" if in_leaf(settings, lat_deg, day) else "bare"


def within_year(day: str, first: str, last: str, *, last_too: bool = True) -> bool:
    """Tell whether a day of the year (month-day) lies within a period, also one across new year."""
    after_last = day > last if last_too else day >= last
    if first <= last:
        return first <= day and not after_last
    return first <= day or not after_last


def _joined(
    sightlines: list[Sightline], vantages: dict[str, Vantage], perches: dict[str, Perch]
) -> tuple[tuple[Sightline, ...], tuple[str, ...]]:
    kept: list[Sightline] = []
    waiting: list[str] = []
    for line in sorted(sightlines, key=lambda line: line.id):
        if line.vantage in vantages and line.perch in perches:
            kept.append(line)
        elif line.vantage in vantages or line.perch in perches:
            missing = "perch" if line.vantage in vantages else "vantage"
            waiting.append(f"One sightline waits: its {missing} is not here yet.")
    return tuple(kept), tuple(waiting)


def _under(records: list[Any], name: str) -> dict[str, list[Any]]:
    """Sort records under the id of what they belong to, in the order of their own ids."""
    groups: dict[str, list[Any]] = {}
    for record in sorted(records, key=lambda record: str(record.id)):
        groups.setdefault(getattr(record, name), []).append(record)
    return groups
