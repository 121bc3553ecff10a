"""The outing card of one site, session, animal and kit: which sightline, which minutes, and why.

A card is made of prospects, ranked by one rule and put into words. Barred sightlines come last,
with the reason.
Not for: the figures of one sightline (`prospect`), several sessions (`choice`).
"""

from __future__ import annotations

from typing import Any
from zoneinfo import ZoneInfo

from scout.engine import reasons
from scout.engine.angles import compass_letters
from scout.engine.asked import read_asked
from scout.engine.awaited import sayings
from scout.engine.bars import permission_words
from scout.engine.carried import optic_of, shutters_of
from scout.engine.cautions import cautions_of
from scout.engine.clocks import day_words, zone_of
from scout.engine.exposure import ev_of_lux, shutter_word
from scout.engine.first_sun import clears_words, edge_of
from scout.engine.minutes import CASES
from scout.engine.printed import Printed
from scout.engine.prospect import BEHAVIOUR_PLACE, Prospect
from scout.engine.ranking import Card, Ranked, card_of, case_of
from scout.engine.timeline import timeline_of
from scout.engine.verdict import best_words, not_known, routine_words, verdict
from scout.engine.wind import wind_words


def outing_card(request: dict[str, Any]) -> dict[str, Any]:
    """Answer the outing card for one site, session, animal and kit.

    The request is what `scout.engine.asked.read_asked` reads; the answer is the card as JSON:
    title, asked, session, timeline, arrivals, verdict, the skies under which it is worth going,
    whether anything on it is sensitive, sightlines in order with their reasons and strips, barred
    ones, walk-in, permission, cautions, what is not known. Times are UTC beside local clock words.
    Raises ValueError with a sentence a line.
    """
    return written(card_of(read_asked(request)))


def written(card: Card) -> dict[str, Any]:
    """Write a card as JSON: every time as UTC and as the local clock, every figure as printed."""
    asked, session = card.asked, card.session
    zone = zone_of(asked.site.zone)
    printed = Printed(zone)
    optic = optic_of(asked.kit)
    shutters = shutters_of(asked.species)
    open_ones = [one for one in card.ranked if not one.barred]
    barred = [one for one in card.ranked if one.barred]
    permission, _ = permission_words(asked.permissions, asked.date)
    withheld = asked.discreet and card.sensitive
    said = verdict(card)
    return {
        "title": {
            "site": asked.site.name,
            "session": session.kind,
            "date": asked.date.isoformat(),
            "day": f"{day_words(asked.date)} {asked.date.year}",
            "zone": asked.site.zone,
            "species": asked.species.name,
            "animal": asked.species.animal,
            "kit": asked.kit.name,
            "optic": f"{optic.focal_mm:.0f} mm f/{optic.f_number:.1f}, "
            f"ISO to {asked.kit.iso_ceiling:.0f}",
            "code_name_only": withheld,
        },
        "asked": {
            "behaviour": shutters[BEHAVIOUR_PLACE[asked.behaviour]].behaviour,
            "shutter": shutter_word(shutters[BEHAVIOUR_PLACE[asked.behaviour]].wanted_s),
            "sky": asked.sky,
            "ranked_by_sky": card.sky,
            "sun_share": asked.settings.sun_share,
            "also": [other.species.name for other in asked.also],
            "wind": None if asked.wind is None else wind_words(asked.wind),
        },
        "session": {
            "course": session.course,
            "start": printed.moment(session.start_utc),
            "sun_level": printed.moment(session.sun_level_utc),
            "civil": printed.moment(session.civil_utc),
            "nautical": printed.moment(session.nautical_utc),
            "end": printed.moment(session.end_utc),
            "remarks": list(session.remarks),
        },
        "timeline": timeline_of(
            asked, session, None if card.best is None else card.best.prospect, card.sky, printed
        ),
        "verdict": said.words,
        "worth": list(said.worth),
        "routine": routine_words(card),
        "arrivals": _arrivals(card, printed),
        "sensitive": card.sensitive,
        "sightlines": [
            _sightline(card, one, place, printed, zone) for place, one in enumerate(open_ones, 1)
        ],
        "barred": [_sightline(card, one, None, printed, zone) for one in barred],
        "walk_in": None if withheld else _walk_in(card),
        "permission": permission,
        "access": asked.site.access,
        "cautions": cautions_of(asked, [one.prospect for one in open_ones], session),
        "not_known": not_known(card),
    }


def _walk_in(card: Card) -> dict[str, Any] | None:
    """The way to the first sightline's vantage; its legs are positions of a sort."""
    way = None if card.best is None else card.best.prospect.approach
    walk = None if way is None else way.walk_in
    if card.best is None or walk is None:
        return None
    start = next((mark.name for mark in card.asked.landmarks if mark.id == walk.start), None)
    legs: list[dict[str, Any]] = []
    parts: list[str] = []
    for leg in walk.legs:
        bearing = round(leg.bearing_deg) % 360
        seen = [perch.name for perch in card.asked.perches.values() if perch.id in leg.seen_from]
        legs.append(
            {
                "bearing_deg": bearing,
                "distance_m": round(leg.distance_m),
                "seen_from": seen,
                "note": leg.note,
            }
        )
        words = f"{leg.distance_m:.0f} m {bearing}° ({compass_letters(bearing)})"
        parts.append(f"{words}, seen from {' and '.join(seen)}" if seen else words)
    words = f"to {card.best.prospect.vantage.name}" + ("" if start is None else f" from {start}")
    return {
        "to": card.best.prospect.vantage.name,
        "from": start,
        "minutes": None if way is None or way.walk_min is None else round(way.walk_min),
        "legs": legs,
        "words": f"{words}: {', then '.join(parts)}" if parts else words,
    }


def _sightline(
    card: Card, one: Ranked, place: int | None, printed: Printed, zone: ZoneInfo
) -> dict[str, Any]:
    asked, prospect, dawn = card.asked, one.prospect, card.session.kind == "dawn"
    sight = prospect.sight
    edge = edge_of(prospect, dawn)
    case = case_of(card.sky)
    best = prospect.best[case]
    _, sun_out, sun_in, _ = prospect.lit.good_counts(prospect.first_minute)
    return {
        "id": prospect.line.id,
        "name": reasons.name_of(prospect),
        "vantage": prospect.vantage.name,
        "perch": prospect.perch.name,
        "cover": prospect.vantage.cover,
        "rank": place,
        "barred": [*prospect.bars.barred, *one.unmet],
        "good_min": {**prospect.good_min, "sun out": sun_out, "sun in": sun_in},
        "light_wanted": prospect.line.light_wanted or "any",
        "best": None if best is None else printed.span(best.start_utc, best.end_utc),
        "best_words": best_words(prospect, card.sky, zone),
        "stretches": {
            name: [
                {
                    **printed.span(stretch.start_utc, stretch.end_utc),
                    "state": stretch.state,
                    "words": stretch.words,
                }
                for stretch in prospect.stretches[name]
            ]
            for name in CASES
        },
        "arrivals": _arrivals_of(prospect, card, printed),
        "clears": None
        if edge is None
        else {
            "at": printed.moment(edge.at_utc),
            "plus_minus_min": None
            if edge.plus_minus_min is None
            else max(1, round(edge.plus_minus_min)),
            "limb": printed.moment(edge.limb_utc),
            "assumed_level": edge.assumed_level,
            "azimuth_deg": round(edge.azimuth_deg, 1),
            "altitude_deg": round(edge.altitude_deg, 1),
            "sure": edge.sure,
        },
        "light": _light_of(prospect),
        "clears_words": clears_words(prospect, zone, dawn),
        "line": {
            "bearing_deg": round(sight.bearing_deg.value) % 360,
            "bearing_plus_minus_deg": max(1, round(sight.bearing_deg.plus_minus)),
            "distance_m": round(sight.distance_m.value, 1),
            "distance_plus_minus_m": round(sight.distance_m.plus_minus, 1),
            "tilt_deg": None if sight.tilt_deg is None else round(sight.tilt_deg.value, 1),
            "gap_m": _finite(reasons.gap_m(asked, prospect)),
            "sky_behind": sight.gap_m is not None and sight.gap_m.value == float("inf"),
        },
        "line_words": reasons.line_words(prospect),
        "level": reasons.level_words(asked, prospect),
        "background": reasons.background_words(asked, prospect),
        "size": reasons.size_words(asked, prospect),
        "bad_winds": prospect.bars.bad_winds,
        **sayings(asked, one.known, zone),
        "for": reasons.for_it(asked, prospect),
        "against": reasons.against_it(asked, prospect) + list(one.wear.against),
        "notes": list(prospect.bars.notes) + list(one.wear.notes),
        "details": reasons.details(asked, prospect),
    }


def _finite(value: float | None) -> float | None:
    return None if value is None or value == float("inf") else round(value, 1)


def _light_of(prospect: Prospect) -> dict[str, Any]:
    """What the light on this sightline is worked out from, so that anybody can work it out again.

    The light that each shutter needs at the ISO ceiling [EV at ISO 100], glass and coat included;
    what is left of the sky and of the ground's light; what leaves take [stops], and the site's
    correction of each sky [stops].
    """
    needs = prospect.needs
    by_sky = prospect.corrected.by_sky
    return {
        "shutters": [shutter_word(seconds) for seconds in needs.wanted_s],
        "needs_ev100": [round(ev_of_lux(lux), 2) for lux in needs.lux],
        "chosen": needs.chosen,
        "by_hand": needs.by_hand,
        "sky_factor": round(prospect.face.sky_factor, 3),
        "ground_reflectance": prospect.face.ground_reflectance,
        "canopy_loss_ev": round(prospect.face.canopy_loss_ev, 2),
        "correction_ev": {sky: round(by_sky[sky].correction_ev or 0.0, 2) for sky in by_sky},
    }


def _arrivals_of(prospect: Prospect, card: Card, printed: Printed) -> list[dict[str, Any]]:
    return [
        {
            "behaviour": shutter.behaviour,
            "shutter": shutter_word(seconds),
            **{case: printed.moment(times[case]) for case in CASES},
        }
        for shutter, seconds, times in zip(
            shutters_of(card.asked.species),
            prospect.needs.wanted_s,
            prospect.arrivals,
            strict=True,
        )
    ]


def _arrivals(card: Card, printed: Printed) -> list[dict[str, Any]]:
    return [] if card.best is None else _arrivals_of(card.best.prospect, card, printed)
