"""A site laid flat: pins in metres from its centre, and the figures that stand on its sightlines.

What a small map is drawn from, on paper or on a screen. A sensitive place asked for discreetly has
no map at all.
Not for: drawing, the order of the sightlines (`outing`), or moving pins.
"""

from __future__ import annotations

import math
from datetime import UTC, datetime, time
from typing import Any

from scout.engine.asked import Asked, read_asked
from scout.engine.geodesy import LocalPlane
from scout.engine.level import ON_GROUND, gap_behind_m
from scout.engine.presence import in_season
from scout.engine.reasons import EYE_HEIGHT_SHARE
from scout.engine.sessions import dawn_of, dusk_of
from scout.engine.sightline import Sight, resolve
from scout.engine.veil import is_sensitive
from scout.records.measured import Position
from scout.records.places import Perch, WalkIn

_LEAST_SPAN_M = 20.0  # a map narrower than this would show little but the errors of its pins
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def site_map(request: dict[str, Any]) -> dict[str, Any]:
    """Answer where the pins of a site stand to each other.

    The request is that of the outing card. The answer has `withheld`; where it is true nothing else
    follows. Else: `perches`, `vantages`, `landmarks` (each with its `letter`) and `hazards`, each
    with `east_m`, `north_m` of the site's centre and `radius_m`, within which the pin is believed
    to lie [m] or null; of a perch also `came` {"k", "n"}, on k of n watched dawns (or dusks, as
    asked; of its season where that is known) it came there, null where nobody watched;
    `sightlines` with bearing [deg true], distance and gap [m] and `figures`, the same as words;
    `ways`, the quickest walk-in of each vantage; `bounds` [m] of perches and vantages;
    `scale_bar_m`. Raises ValueError with a sentence a line.
    """
    asked = read_asked(request)
    if asked.discreet and is_sensitive(asked):
        return {"withheld": True}
    centre = asked.site.centre
    plane = LocalPlane(centre.lat, centre.lon)
    perches = [
        {
            "id": perch.id,
            "name": perch.name,
            "kind": perch.kind,
            **_spot(plane, perch.position),
            "came": _came(asked, perch.id),
        }
        for _, perch in sorted(asked.perches.items())
    ]
    vantages = [
        {
            "id": vantage.id,
            "name": vantage.name,
            "cover": vantage.cover,
            **_spot(plane, vantage.position),
            "usable": None
            if vantage.usable is None
            else {"from_deg": vantage.usable.from_deg, "to_deg": vantage.usable.to_deg},
        }
        for _, vantage in sorted(asked.vantages.items())
    ]
    marks = sorted(asked.landmarks, key=lambda mark: mark.id)
    plain = [mark for mark in marks if mark.kind != "hazard"]
    letters = {mark.id: _letter(place) for place, mark in enumerate(plain)}
    bounds = _bounds([*perches, *vantages])
    return {
        "withheld": False,
        "perches": perches,
        "vantages": vantages,
        "landmarks": [
            {
                "id": mark.id,
                "letter": letters[mark.id],
                "name": mark.name,
                "kind": mark.kind,
                **_spot(plane, mark.position),
            }
            for mark in plain
        ],
        "hazards": [
            {"id": mark.id, "name": mark.name, **_spot(plane, mark.position)}
            for mark in marks
            if mark.kind == "hazard"
        ],
        "sightlines": _sightlines(asked),
        "ways": _ways(asked, letters),
        "bounds": bounds,
        "scale_bar_m": scale_bar_m(bounds["east_m"] - bounds["west_m"]),
    }


def _came(asked: Asked, perch: str) -> dict[str, int] | None:
    if asked.together is None:
        return None
    known = in_season(
        asked.together.mornings[asked.session].get(perch, ()), asked.date, asked.settings
    )
    return {"k": len([one for one in known if one.stays]), "n": len(known)} if known else None


def scale_bar_m(width_m: float) -> float:
    """Answer a round length for the scale bar of a map [m].

    It is the largest of 1, 2, 5, 10, 20 and so on within a quarter of the map's width.
    """
    wanted = width_m / 4.0
    if not 0.0 < wanted < math.inf:
        raise ValueError(f"The width of a map must be above 0 m, not {width_m:g}.")
    power = 10.0 ** math.floor(math.log10(wanted))
    step = max(step for step in (1.0, 2.0, 5.0) if step * power <= wanted * (1.0 + 1e-9))
    return round(step * power, 3)


def _sightlines(asked: Asked) -> list[dict[str, Any]]:
    # Declination is taken for the same moment as on the card, so that both print one bearing.
    of = dawn_of if asked.session == "dawn" else dusk_of
    centre = asked.site.centre
    session = of(centre.lat, centre.lon, asked.site.zone, asked.date)
    at = session.sun_level_utc or datetime.combine(asked.date, time(12), UTC)
    found = []
    for line in asked.sightlines:
        vantage, perch = asked.vantages[line.vantage], asked.perches[line.perch]
        sight = resolve(line, vantage, perch, asked.measurements.get(line.id, ()), at)
        # Worded from what is printed, so that every figure of one line agrees.
        distance = round(sight.distance_m.value, 1)
        gap = _gap_m(asked, perch, sight)
        gap = None if gap is None else round(gap, 1)
        found.append(
            {
                "id": line.id,
                "vantage": line.vantage,
                "perch": line.perch,
                "bearing_deg": round(sight.bearing_deg.value) % 360,
                "distance_m": distance,
                "gap_m": None if gap == math.inf else gap,
                "sky_behind": gap == math.inf,
                "figures": {
                    "bearing": f"{round(sight.bearing_deg.value) % 360}°",
                    "distance": f"{distance:.0f} m",
                    "gap": _gap_words(gap),
                },
            }
        )
    return found


def _gap_m(asked: Asked, perch: Perch, sight: Sight) -> float | None:
    """The gap that counts, as on the card: to the background, or to the ground that comes first."""
    tilt, gap = sight.tilt_deg, sight.gap_m
    if perch.kind in ON_GROUND and tilt is not None and round(tilt.value) < 0:
        eye = asked.species.length_m * EYE_HEIGHT_SHARE
        return gap_behind_m(tilt.value, eye, math.inf if gap is None else gap.value)
    return None if gap is None else gap.value


def _gap_words(gap_m: float | None) -> str:
    if gap_m is None:
        return "gap ?"
    if gap_m == math.inf:
        return "sky behind"
    return f"gap {gap_m:.1f} m" if gap_m < 10 else f"gap {gap_m:.0f} m"


def _ways(asked: Asked, letters: dict[str, str]) -> list[dict[str, Any]]:
    """The walk-in of each vantage that is quickest in the dark, else by day."""
    named = {mark.id: mark.name for mark in asked.landmarks}
    found = []
    for vantage, ways in sorted(asked.walk_ins.items()):
        if vantage in asked.vantages:
            way = min(ways, key=_how_long)
            start = way.start or ""
            found.append(
                {
                    "vantage": vantage,
                    "start": named.get(start),
                    "letter": letters.get(start),
                    "dark_min": way.dark_min,
                    "day_min": way.day_min,
                    "legs": [
                        {
                            "bearing_deg": round(leg.bearing_deg) % 360,
                            "distance_m": round(leg.distance_m),
                            "seen_from": [
                                asked.perches[one].name
                                for one in leg.seen_from
                                if one in asked.perches
                            ],
                            "note": leg.note,
                        }
                        for leg in way.legs
                    ],
                }
            )
    return found


def _how_long(way: WalkIn) -> tuple[bool, float, bool, float, str]:
    dark, day = way.dark_min, way.day_min
    return (dark is None, dark or 0.0, day is None, day or 0.0, way.id)


def _spot(plane: LocalPlane, position: Position) -> dict[str, Any]:
    east, north = plane.to_plane(position.lat, position.lon)
    radius = position.accuracy_m
    return {
        # Adding 0.0 keeps a minus from standing before a zero.
        "east_m": round(east, 1) + 0.0,
        "north_m": round(north, 1) + 0.0,
        "radius_m": None if radius is None else round(radius, 1),
    }


def _bounds(spots: list[dict[str, Any]]) -> dict[str, float]:
    """The edges of all perches and vantages, never narrower than a small map can show."""
    sides = []
    for axis in ("east_m", "north_m"):
        values = [float(spot[axis]) for spot in spots] or [0.0]
        low, high = min(values), max(values)
        more = max(0.0, (_LEAST_SPAN_M - (high - low)) / 2.0)
        sides.append((round(low - more, 1) + 0.0, round(high + more, 1) + 0.0))
    (west, east), (south, north) = sides
    return {"west_m": west, "east_m": east, "south_m": south, "north_m": north}


def _letter(place: int) -> str:
    """A to Z, then AA, AB and so on."""
    more, last = divmod(place, len(_LETTERS))
    return (_letter(more - 1) if more else "") + _LETTERS[last]
