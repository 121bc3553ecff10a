"""A search for places to sit, asked of a notebook: its conditions read, its result kept.

Places that are sensitive, closed or lately disturbed are never searched, and nothing is offered
nearer than the keep-distance. Not for: the search itself (`scout.terrain.finder`).
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any, Final

import attrs

from scout.engine.asked import leaf_of
from scout.engine.carried import needs_of
from scout.engine.clearing import sun_on
from scout.engine.horizon import horizon
from scout.engine.keep_off import KeepOff, keep_offs
from scout.engine.leaves import leaves_of
from scout.engine.light import GROUND_REFLECTANCE, Face
from scout.engine.minutes import Minute, minutes_of
from scout.engine.prospect import BEHAVIOUR_PLACE, DEFAULT_GROUND
from scout.engine.sessions import Session, dawn_of, dusk_of
from scout.engine.sightline import pin_plus_minus_m
from scout.notebook.notebook import Notebook
from scout.records.settings import Settings
from scout.records.trouble import Refused
from scout.server.land_layers import LayerKept, Stretch, keep, site_of
from scout.server.land_places import as_record
from scout.server.land_records import Records, named, records_of, shelf_of
from scout.server.land_spared import open_perches, settings_of
from scout.terrain.finder import Found, Target, ground_words, places_round
from scout.terrain.model import BARE
from scout.terrain.pictures import finder_picture
from scout.terrain.relief import relief_picture
from scout.terrain.spots import Spot, best_spots
from scout.terrain.taking_in import Progress, quiet
from scout.terrain.wanted import wanted_of
from scout.terrain.way_in import Outline, Recorded, recorded

MOST_PERCHES: Final = 6
MOST_LEFT_OUT: Final = 40
_HEIGHTS_M: Final = {"bird": 0.0, "mammal": 0.5, "other": 0.0}  # of the animal over its perch
_CAUTIONS: Final = (
    "Planning aids: look at each place by day before you sit there. Your keep-distance stands in "
    "every one; go back at the first sign of alarm. Ask the landowner; local law decides."
)


@attrs.frozen(kw_only=True)
class Search:
    """What is searched for: perches, animal, kit, the day, and the photographer's own wishes."""

    perches: tuple[str, ...]
    species: str
    kit: str
    on: dt.date
    session: str = "dawn"
    behaviour: str = "perched"
    sky: str = "in and out"
    light_wanted: str = "any"
    posture: str = "sitting"
    in_hide: bool = False
    least_gap_m: float = 5.0
    farthest_m: float | None = None
    kind: str = BARE


@attrs.frozen(kw_only=True)
class Searched:
    """What a search found: each perch's land, the best places, and why a perch has none.

    `title` says what was searched for: session, day, posture, light, animal, perches.
    """

    title: str
    found: tuple[Found, ...]
    spots: tuple[Spot, ...]
    sentences: tuple[str, ...]


def search(
    notebook: Notebook, wanted: Search, progress: Progress = quiet
) -> tuple[Searched, LayerKept | None]:
    """Search and keep the result as a layer; None where nothing was found. Raises Refused."""
    records = records_of(notebook)
    searched = places(notebook, records, wanted, progress)
    if not searched.spots:
        return searched, None
    progress(0.9, "drawing them")
    site_id = records["perch"][searched.found[0].target.id].site
    models = shelf_of(notebook).models()
    reach = max(one.patch.half_m for one in searched.found)
    lats = [one.target.lat_deg for one in searched.found]
    lons = [one.target.lon_deg for one in searched.found]
    lat, lon = (min(lats) + max(lats)) / 2.0, (min(lons) + max(lons)) / 2.0
    apart = max(abs(max(lats) - min(lats)), abs(max(lons) - min(lons))) * 55_660.0
    stretch = Stretch.round(lat, lon, reach + apart + 20.0, models)
    base = relief_picture(stretch.frame, stretch.patch())
    kept = keep(
        notebook,
        site_id,
        kind="finder result",
        title=searched.title,
        picture=finder_picture(base, stretch.frame, searched.found, searched.spots),
        frame=stretch.frame,
        made_from=ground_words(searched.found),
        via="app",
        more={
            "light_wanted": wanted.light_wanted,
            "species": wanted.species,
            **({"in_hide": True} if wanted.in_hide else {}),
            "spots": [as_record(spot) for spot in searched.spots],
        },
        sentences=searched.sentences,
    )
    return searched, kept


def places(
    notebook: Notebook, records: Records, wanted: Search, progress: Progress = quiet
) -> Searched:
    """Search round every perch that was asked for. Raises Refused."""
    perches = _perches(records, wanted)
    site = site_of(records, perches[0].site)
    species = named(records, "species", wanted.species)
    kit = named(records, "kit", wanted.kit)
    settings = settings_of(records)
    perches, left_out = open_perches(records, settings, species, perches, site, wanted.on)
    conditions = wanted_of(
        kit,
        species,
        settings,
        posture=wanted.posture,
        in_hide=wanted.in_hide,
        least_gap_m=wanted.least_gap_m,
        light_wanted=wanted.light_wanted,
        sky=wanted.sky,
        farthest_m=wanted.farthest_m,
    )
    conditions = attrs.evolve(conditions, sun_share=settings.sun_share)
    around = (dawn_of if wanted.session == "dawn" else dusk_of)(
        site.centre.lat, site.centre.lon, site.zone, wanted.on
    )
    if around.start_utc is None or around.end_utc is None:
        raise Refused.one("there is no such session on that day: " + " ".join(around.remarks), "on")
    minutes = minutes_of(site.centre.lat, site.centre.lon, around.start_utc, around.end_utc)
    needs = needs_of(kit, species, "tripod", BEHAVIOUR_PLACE[wanted.behaviour])
    models = shelf_of(notebook).models()
    outlines = [
        Outline(
            f"{area.name} ({area.kind})" if area.name else area.kind,
            tuple((corner.lat, corner.lon) for corner in area.outline),
        )
        for area in records.get("area", {}).values()
        if area.kind in ("water", "not to be entered") and area.site == site.id
    ]
    off = keep_offs(
        (one for one in records["perch"].values() if one.site == site.id),
        records["species"].values(),
        records.get("sighting", {}).values(),
        wanted.on,
        conditions.nearest_m,
    )
    found = []
    for place, perch in enumerate(perches):
        progress(0.85 * place / len(perches), f"looking round {perch.name}")
        others = [one for one in off if one.perch.id != perch.id]
        target = _target(records, perch, species, settings, around, minutes, wanted.on)
        found.append(
            places_round(
                models,
                target,
                conditions,
                needs,
                minutes,
                kind=wanted.kind,
                kept_off=[_ring(one) for one in others if not one.spared],
                spared=[_ring(one) for one in others if one.spared],
                outlines=[one.corners for one in outlines],
            )
        )
    half = settings.scent_half_width_deg
    spots = best_spots(
        found,
        start=_start(records, site),
        ways=_ways(records, site),
        outlines=outlines,
        half_width_deg=half,
    )
    said = [f"Searched: {ground_words(found)}.", *left_out]
    said += [why for one in found if (why := one.not_searched) is not None]
    said += [why for one in found if (why := one.why_nothing) is not None]
    said += _spared_words(found, off)
    names = ", ".join(one.target.name for one in found)
    return Searched(
        title=f"Places to sit at {wanted.session}, {wanted.on.day} {wanted.on:%B %Y}, "
        f"{wanted.posture}, {wanted.light_wanted} light, for {species.name}: {names}",
        found=tuple(found),
        spots=tuple(spots),
        sentences=(*said, *([_CAUTIONS] if spots else [])),
    )


def _ring(one: KeepOff) -> tuple[float, float, float]:
    return one.perch.position.lat, one.perch.position.lon, one.m


def _spared_words(found: Sequence[Found], off: Sequence[KeepOff]) -> list[str]:
    """Say how many places a spared perch cost: those that would have been offered beside it."""
    lost = best_spots(
        [attrs.evolve(one, good_min=one.spared_min) for one in found], most=MOST_LEFT_OUT
    )
    if not lost:
        return []
    near = [
        one.named
        for one in off
        if one.spared and any(one.reaches(spot.lat_deg, spot.lon_deg) for spot in lost)
    ]
    which = ", ".join(name for name in near if name is not None)
    places = "place" if len(lost) == 1 else "places"
    of = f": {which}" if which else ""
    return [f"{len(lost)} {places} left out near a spared perch{of}."]


def _perches(records: Records, wanted: Search) -> list[Any]:
    if not 1 <= len(wanted.perches) <= MOST_PERCHES:
        raise Refused.one(f"name one to {MOST_PERCHES} perches", "perches")
    perches = [named(records, "perch", one) for one in dict.fromkeys(wanted.perches)]
    if len({one.site for one in perches}) > 1:
        raise Refused.one("the perches lie at different sites; search one site at a time")
    return perches


def _target(
    records: Records,
    perch: Any,
    species: Any,
    settings: Settings,
    session: Session,
    minutes: Sequence[Minute],
    on: dt.date,
) -> Target:
    assert session.start_utc is not None
    assert session.end_utc is not None
    lat, lon = perch.position.lat, perch.position.lon
    leaf = leaf_of(settings, lat, on)
    lines = [one for one in records.get("skyline", {}).values() if one.pin == perch.id]
    line = horizon(lines, perch.position, session.start_utc, leaf).line
    canopies = [one for one in records.get("canopy", {}).values() if one.perch == perch.id]
    times = sun_on(line, lat, lon, session.start_utc, session.end_utc, with_plus_minus=False).times
    return Target(
        id=perch.id,
        name=perch.name,
        lat_deg=lat,
        lon_deg=lon,
        height_m=(perch.height_m or 0.0) + max(0.1, _HEIGHTS_M[species.animal]),
        kind=perch.kind,
        plus_minus_m=pin_plus_minus_m(perch.position),
        line=line,
        face=Face(
            ground_reflectance=GROUND_REFLECTANCE[perch.ground or DEFAULT_GROUND],
            canopy_loss_ev=leaves_of(canopies, leaf).loss_ev,
        ),
        sun_on=tuple(
            any(time.start.at_utc <= minute.at_utc < time.end.at_utc for time in times)
            for minute in minutes
        ),
    )


def _start(records: Records, site: Any) -> tuple[float, float] | None:
    """Where a walk-in to a new place would begin: the parking, else the gate."""
    marks = [one for one in records.get("landmark", {}).values() if one.site == site.id]
    for kind in ("parking", "gate"):
        for one in marks:
            if one.kind == kind:
                return one.position.lat, one.position.lon
    return None


def _ways(records: Records, site: Any) -> list[Recorded]:
    """The walk-ins whose legs were noted, to vantages of the site."""
    found = []
    for one in records.get("walk_in", {}).values():
        vantage = records["vantage"].get(one.vantage)
        if vantage is not None and vantage.site == site.id and one.legs:
            end = (vantage.position.lat, vantage.position.lon)
            legs = [(leg.bearing_deg, leg.distance_m) for leg in one.legs]
            found.append(recorded(vantage.name, end, legs))
    return found
