"""The outing card of one site, session, animal and kit: which sightline, which minutes, and why.

A card is made of prospects, ranked by one rule and put into words. Barred sightlines come last,
with the reason.
Not for: the figures of one sightline (`prospect`), several sessions (`choice`).
"""

from __future__ import annotations

from datetime import UTC, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

import attrs

from scout.engine import reasons
from scout.engine.approach import first_arrival_utc
from scout.engine.asked import Asked, read_asked
from scout.engine.bars import permission_words
from scout.engine.carried import optic_of, shutters_of
from scout.engine.cautions import cautions_of
from scout.engine.clocks import clock_words, zone_of
from scout.engine.exposure import shutter_word
from scout.engine.minutes import CASES, GOOD
from scout.engine.printed import Printed
from scout.engine.prospect import BEHAVIOUR_PLACE, Prospect, Scene, prospect_of, scene_of
from scout.engine.routine import Step, best_step, routine_of
from scout.engine.sessions import Session, dawn_of, dusk_of
from scout.engine.timeline import timeline_of
from scout.engine.veil import is_sensitive, veiled
from scout.engine.wear import Wear, wear_of
from scout.engine.wind import wind_words

UNTYPED_SKY = "in and out"  # what the order goes by while nobody has typed a sky
_NEXT_SKIES = ("in and out", "clear", "overcast")


@attrs.frozen(kw_only=True)
class Ranked:
    """A prospect with what ranks it: a routine's step in good light, wear, and the rest."""

    prospect: Prospect
    step: Step | None
    wear: Wear
    barred: bool


@attrs.frozen(kw_only=True)
class Card:
    """A computed card, before it is written as JSON: the choice table is made of these."""

    asked: Asked
    session: Session
    ranked: tuple[Ranked, ...]
    scene: Scene
    sensitive: bool

    @property
    def best(self) -> Ranked | None:
        """The first sightline that nothing bars, None where there is none."""
        return next((one for one in self.ranked if not one.barred), None)

    @property
    def sky(self) -> str:
        """The sky the order goes by."""
        return self.asked.sky or UNTYPED_SKY


def outing_card(request: dict[str, Any]) -> dict[str, Any]:
    """Answer the outing card for one site, session, animal and kit.

    The request is what `scout.engine.asked.read_asked` reads; the answer is the card as JSON:
    title, asked, session, timeline, arrivals, verdict, sightlines in order with their reasons and
    strips, barred ones, walk-in, permission, cautions, what is not known. Times are UTC beside
    local clock words. Raises ValueError with a sentence a line.
    """
    return written(card_of(read_asked(request)))


def card_of(asked: Asked) -> Card:
    """Compute a card from a request that was read."""
    where, zone = asked.site.centre, asked.site.zone
    of = dawn_of if asked.session == "dawn" else dusk_of
    session = of(where.lat, where.lon, zone, asked.date)
    sensitive = is_sensitive(asked)
    if asked.discreet and sensitive:
        asked = veiled(asked)
    # Noon of the day dates what has no time of its own, such as the declination.
    at = session.sun_level_utc or datetime.combine(asked.date, time(12), UTC)
    arrival = first_arrival_utc(asked.sightings, asked.species, asked.site, session)
    scene = scene_of(asked, session.start_utc, session.end_utc, at, arrival)
    ranked = [
        _ranked(scene, session, prospect_of(scene, session, line)) for line in asked.sightlines
    ]
    sky = asked.sky or UNTYPED_SKY
    ranked.sort(key=lambda one: _order(one, sky))
    return Card(
        asked=asked, session=session, ranked=tuple(ranked), scene=scene, sensitive=sensitive
    )


def _ranked(scene: Scene, session: Session, prospect: Prospect) -> Ranked:
    asked = scene.asked
    states = prospect.lit.states[0 if asked.sky == "clear" else 3 if asked.sky == "overcast" else 1]
    step = best_step(
        routine_of(asked.presence, prospect.perch.id),
        scene.minutes,
        states,
        session.sun_level_utc,
    )
    return Ranked(
        prospect=prospect,
        step=step,
        wear=wear_of(asked, prospect.vantage),
        barred=bool(prospect.bars.barred),
    )


def _order(one: Ranked, sky: str) -> tuple[Any, ...]:
    """Barred last; then the routine in good light; then good minutes by sky; then name and id."""
    good = one.prospect.good_min
    skies = (sky, *(other for other in _NEXT_SKIES if other != sky))
    mean = 0.0 if one.step is None else round(one.step.mean, 2)
    return (
        one.barred,
        -mean,
        *(-good[name] for name in skies),
        reasons.name_of(one.prospect),
        one.prospect.line.id,
    )


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
    return {
        "title": {
            "site": asked.site.name,
            "session": session.kind,
            "date": asked.date.isoformat(),
            "day": f"{asked.date:%a} {asked.date.day} {asked.date:%b} {asked.date.year}",
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
        "verdict": verdict(card),
        "routine": _routine_words(card),
        "arrivals": _arrivals(card, printed),
        "sightlines": [
            _sightline(card, one, place, printed, zone) for place, one in enumerate(open_ones, 1)
        ],
        "barred": [_sightline(card, one, None, printed, zone) for one in barred],
        "permission": permission,
        "access": asked.site.access,
        "cautions": cautions_of(asked, [one.prospect for one in open_ones], session),
        "not_known": _not_known(card),
    }


def _sightline(
    card: Card, one: Ranked, place: int | None, printed: Printed, zone: ZoneInfo
) -> dict[str, Any]:
    asked, prospect, dawn = card.asked, one.prospect, card.session.kind == "dawn"
    sight = prospect.sight
    edge = reasons.edge_of(prospect, dawn)
    case = _case(card.sky)
    best = prospect.best[case]
    sun_out, sun_in = (prospect.lit.states[place].count(GOOD) for place in (1, 2))
    return {
        "id": prospect.line.id,
        "name": reasons.name_of(prospect),
        "vantage": prospect.vantage.name,
        "perch": prospect.perch.name,
        "cover": prospect.vantage.cover,
        "rank": place,
        "barred": list(prospect.bars.barred),
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
        },
        "clears_words": reasons.clears_words(prospect, zone, dawn),
        "line": {
            "bearing_deg": round(sight.bearing_deg.value) % 360,
            "bearing_plus_minus_deg": round(sight.bearing_deg.plus_minus),
            "distance_m": round(sight.distance_m.value, 1),
            "distance_plus_minus_m": round(sight.distance_m.plus_minus, 1),
            "tilt_deg": None if sight.tilt_deg is None else round(sight.tilt_deg.value, 1),
            "gap_m": _finite(reasons.gap_m(asked, prospect)),
            "sky_behind": sight.gap_m is not None and sight.gap_m.value == float("inf"),
        },
        "line_words": reasons.line_words(prospect),
        "level": reasons.level_words(prospect),
        "background": reasons.background_words(asked, prospect),
        "size": reasons.size_words(asked, prospect),
        "bad_winds": prospect.bars.bad_winds,
        "presence": None
        if one.step is None
        else f"{asked.species.name}: there on {one.step.k} of {one.step.n} watches in a quarter "
        "hour of good light",
        "for": reasons.for_it(asked, prospect),
        "against": reasons.against_it(asked, prospect) + list(one.wear.against),
        "notes": list(prospect.bars.notes) + list(one.wear.notes),
        "details": reasons.details(asked, prospect),
    }


def _finite(value: float | None) -> float | None:
    return None if value is None or value == float("inf") else round(value, 1)


def _case(sky: str) -> str:
    return "sun out" if sky == "in and out" else sky


def best_words(prospect: Prospect, sky: str, zone: ZoneInfo) -> str:
    """Say how many good minutes a sightline has under a sky, and which stretch is the best."""
    good = prospect.good_min[sky]
    best = prospect.best[_case(sky)]
    when = f" under {sky} sky" if sky != "in and out" else ", sun in and out"
    if best is None or good == 0:
        return f"no good minute{when}"
    span = f"{clock_words(best.start_utc, zone)}–{clock_words(best.end_utc, zone)}"
    light = f", {best.light}" if best.light else ""
    return f"{good} good min{when}; best {span}{light}"


def _arrivals_of(prospect: Prospect, card: Card, printed: Printed) -> list[dict[str, Any]]:
    return [
        {
            "behaviour": shutter.behaviour,
            "shutter": shutter_word(shutter.wanted_s),
            **{case: printed.moment(times[case]) for case in CASES},
        }
        for shutter, times in zip(shutters_of(card.asked.species), prospect.arrivals, strict=True)
    ]


def _arrivals(card: Card, printed: Printed) -> list[dict[str, Any]]:
    return [] if card.best is None else _arrivals_of(card.best.prospect, card, printed)


def verdict(card: Card) -> str:
    """Say in one sentence whether to get up, sky by sky where none was typed."""
    zone = zone_of(card.asked.site.zone)
    best = card.best
    if not card.ranked:
        return "No sightline here yet: connect a vantage to a perch first."
    if best is None:
        return "Not this time: every sightline is barred."
    if card.session.start_utc is None:
        return "No such session on this day."
    good = best.prospect.good_min
    name = reasons.name_of(best.prospect)
    if card.asked.sky is not None:
        minutes = good[card.asked.sky]
        verdict = "Worth it" if minutes else "Not for the light"
        return f"{verdict}: {name}, {best_words(best.prospect, card.asked.sky, zone)}."
    worth = [sky for sky in ("clear", "in and out", "overcast") if good[sky] > 0]
    if not worth:
        return f"Not for the light: under no sky does {name} reach a good minute."
    names = {"clear": "clear", "in and out": "in and out", "overcast": "overcast"}
    rest = [sky for sky in names if sky not in worth]
    yes = " or ".join(f"{names[sky]} ({good[sky]} good min)" for sky in worth)
    no = f"; not if {' or '.join(rest)}" if rest else ""
    return f"Worth it if {yes}{no}."


def _routine_words(card: Card) -> str:
    if card.asked.presence is None or all(one.step is None for one in card.ranked):
        return "No routine is known here: ranked by light alone."
    return "Ranked by the routine in good light, then by light."


def _not_known(card: Card) -> list[str]:
    asked, dawn = card.asked, card.session.kind == "dawn"
    said = list(asked.waiting)
    if asked.sky is None:
        said.append("Sky not typed: three shown, ranked as sun in and out.")
    if asked.wind is None and asked.species.animal != "bird":
        said.append("Wind not typed: bad winds are not tested.")
    if not asked.permissions:
        said.append(permission_words((), asked.date)[0])
    seen = [watch.start.at for watch in asked.watches if watch.vantage in asked.vantages]
    past = [at for at in seen if at.date() <= asked.date]
    if past:
        last = max(past).astimezone(zone_of(asked.site.zone)).date()
        said.append(f"Last watched on {last.isoformat()}.")
    else:
        said.append("Nothing watched here yet.")
    best = card.best
    if best is not None and best.prospect.approach is not None:
        said.extend(best.prospect.approach.remarks)
    for one in card.ranked:
        if not one.barred:
            said.extend(reasons.not_known(one.prospect, dawn))
    return list(dict.fromkeys(said))
