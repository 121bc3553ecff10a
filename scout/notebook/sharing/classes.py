"""How sensitive each record is, for everything that would give it away.

The strictest of its own mark, its site's and its animals' counts; and one open pin betrays the
hidden one beside it, so all that is joined by a sightline or lies within 100 m takes the strictest
class among them; where a sensitive animal was noted is such a pin, joined to the vantage it was
seen from. A nest or den that nobody marked is withheld. Not for: what a class lets out
(`outgoing`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final

import attrs

from scout.engine.geodesy import distance_m
from scout.engine.keep_off import BESIDE_M
from scout.records.places import SENSITIVITY

Records = Mapping[str, Mapping[str, Any]]

PINS: Final = ("site", "perch", "vantage", "landmark")
OPEN: Final = SENSITIVITY[0]
WITHHELD: Final = SENSITIVITY[-1]
_NEST: Final = "nest or den"
# No degree of latitude is shorter; what is further apart than this in latitude is not beside.
_LEAST_M_PER_DEG: Final = 110_500.0


def strictest(marks: Iterable[str | None]) -> str:
    """Answer the strictest of some marks; none at all is open."""
    return max((mark or OPEN for mark in marks), key=SENSITIVITY.index, default=OPEN)


@attrs.frozen
class Classes:
    """The class of every record of a notebook, by its id."""

    of: Mapping[str, str]
    _pins: tuple[tuple[float, float, str], ...]

    def at(self, position: Any) -> str:
        """Answer the class of a position of its own: the strictest of the pins beside it."""
        return strictest(
            mark
            for lat, lon, mark in self._pins
            if _beside((position.lat, position.lon), (lat, lon))
        )


def classes_of(records: Records) -> Classes:
    """Judge every pin, sightline, watch, visit, sighting and area."""
    pins = {id_: one for kind in PINS for id_, one in records.get(kind, {}).items()}
    marks = {id_: _own(one, records) for id_, one in pins.items()}
    spots = {id_: _at(one) for id_, one in pins.items()}
    ties = [(line.vantage, line.perch) for line in records.get("sightline", {}).values()]
    for id_, sighting in records.get("sighting", {}).items():
        places = _places(records, sighting.species)
        if places == OPEN:
            continue
        if sighting.position is not None:
            spots[id_] = sighting.position  # a pin without a name
        betrays = [end for end in _betrays(records, id_, sighting) if end in spots]
        marks.update({end: strictest((marks.get(end), places)) for end in betrays})
        ties += [(betrays[0], end) for end in betrays[1:]]
    for group in _groups(spots, ties):
        mark = strictest(marks[id_] for id_ in group)
        marks.update(dict.fromkeys(group, mark))
    rows = tuple((at.lat, at.lon, marks[id_]) for id_, at in spots.items())
    found = Classes(marks, rows)
    marks.update(_happened(records, found))
    marks.update(_drawn(records, found))
    return found


def _own(pin: Any, records: Records) -> str:
    mark = getattr(pin, "sensitivity", None)
    if mark is None and getattr(pin, "kind", None) == _NEST:
        mark = WITHHELD
    site = records["site"].get(getattr(pin, "site", ""))
    return strictest((mark, None if site is None else site.sensitivity))


def _places(records: Records, species: str | None) -> str:
    animal = records.get("species", {}).get(species or "")
    return OPEN if animal is None else strictest((animal.places,))


def _betrays(records: Records, id_: str, sighting: Any) -> list[str]:
    """Answer what leads to where an animal was: the place, and the vantage it was seen from.

    Noted without a place of its own, it was at one of the perches that were watched.
    """
    watch = records.get("watch", {}).get(sighting.watch)
    ends = [sighting.perch, None if sighting.position is None else id_]
    if watch is not None:
        ends += [watch.vantage, *(() if any(ends) else watch.perches)]
    return [end for end in ends if end is not None]


def _groups(spots: Mapping[str, Any], ties: Iterable[tuple[str, str]]) -> list[set[str]]:
    """Put places together that give each other away."""
    parent = {id_: id_ for id_ in spots}

    def root(id_: str) -> str:
        while parent[id_] != id_:
            parent[id_] = parent[parent[id_]]
            id_ = parent[id_]
        return id_

    def join(one: str, other: str) -> None:
        if one in parent and other in parent:
            parent[root(one)] = root(other)

    for tie in ties:
        join(*tie)
    rows = sorted((at.lat, at.lon, id_) for id_, at in spots.items())
    reach = BESIDE_M / _LEAST_M_PER_DEG
    for place, (lat, lon, id_) in enumerate(rows):
        for far_lat, far_lon, far_id in rows[place + 1 :]:
            if far_lat - lat > reach:
                break
            if root(id_) != root(far_id) and _beside((lat, lon), (far_lat, far_lon)):
                join(id_, far_id)
    groups: dict[str, set[str]] = {}
    for id_ in spots:
        groups.setdefault(root(id_), set()).add(id_)
    return list(groups.values())


def _happened(records: Records, found: Classes) -> dict[str, str]:
    """Judge watches, visits and sightings by what they were at; a visit by the strictest of all."""
    marks = dict(found.of)
    seen: dict[str, list[str]] = {}
    for id_, one in records.get("sighting", {}).items():
        own = found.at(one.position) if one.position is not None else OPEN
        marks[id_] = strictest((own, _places(records, one.species), marks.get(one.perch or "")))
        seen.setdefault(one.watch, []).append(marks[id_])
    watched: dict[str, list[str]] = {}
    for id_, one in records.get("watch", {}).items():
        pins = [marks.get(pin or "") for pin in (one.vantage, *one.perches)]
        marks[id_] = strictest((*pins, *seen.get(id_, ())))
        watched.setdefault(one.visit or "", []).append(marks[id_])
    for id_, one in records.get("sighting", {}).items():
        watch = records["watch"].get(one.watch)
        here = (watch.vantage, *watch.perches) if watch is not None else ()
        marks[id_] = strictest((marks[id_], *(marks.get(pin or "") for pin in here)))
    for id_, one in records.get("visit", {}).items():
        marks[id_] = strictest((marks.get(one.site), *watched.get(id_, ())))
    return marks


def _drawn(records: Records, found: Classes) -> dict[str, str]:
    """Judge sightlines by their vantage, outlines by their corners and their site."""
    marks: dict[str, str] = {}
    for id_, line in records.get("sightline", {}).items():
        marks[id_] = strictest((found.of.get(line.vantage), found.of.get(line.perch)))
    for id_, area in records.get("area", {}).items():
        inside = [mark for lat, lon, mark in found._pins if _within((lat, lon), area.outline)]
        corners = [found.at(corner) for corner in area.outline]
        marks[id_] = strictest((found.of.get(area.site), *corners, *inside))
    return marks


def _within(point: tuple[float, float], outline: Iterable[Any]) -> bool:
    """Tell whether a point lies in the rectangle about an outline: the safe side of inside."""
    corners = list(outline)
    lats, lons = [one.lat for one in corners], [one.lon for one in corners]
    if max(lons) - min(lons) > 180:  # over the 180th meridian
        lons = [lon % 360 for lon in lons]
        point = (point[0], point[1] % 360)
    return bool(min(lats) <= point[0] <= max(lats) and min(lons) <= point[1] <= max(lons))


def _beside(one: tuple[float, float], other: tuple[float, float]) -> bool:
    if abs(one[0] - other[0]) * _LEAST_M_PER_DEG > BESIDE_M:
        return False
    return distance_m(*one, *other) <= BESIDE_M


def _at(pin: Any) -> Any:
    return pin.centre if hasattr(pin, "centre") else pin.position
