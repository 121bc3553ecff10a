"""A card before it is written: the sightlines of one session in order, by one rule.

Barred ones last. With a routine: by how often the animal was there in good light, then good
minutes; without: by good minutes under the sky that was typed, else sun in and out, then clear,
then overcast; ties by name, then id. Not for: the figures of one sightline (`prospect`), words.
"""

from __future__ import annotations

from datetime import UTC, datetime, time
from typing import Any

import attrs

from scout.engine import reasons
from scout.engine.approach import first_arrival_utc
from scout.engine.asked import Asked
from scout.engine.demands import unmet
from scout.engine.prospect import Prospect, Scene, prospect_of, scene_of
from scout.engine.routine import Step, best_step
from scout.engine.sessions import Session, dawn_of, dusk_of
from scout.engine.veil import is_sensitive, veiled
from scout.engine.wear import Wear, wear_of

UNTYPED_SKY = "in and out"  # what the order goes by while nobody has typed a sky
_NEXT_SKIES = ("in and out", "clear", "overcast")


@attrs.frozen(kw_only=True)
class Ranked:
    """A prospect with what ranks it: a routine's step in good light, wear, and the rest."""

    prospect: Prospect
    step: Step | None
    wear: Wear
    unmet: tuple[str, ...]
    barred: bool


@attrs.frozen(kw_only=True)
class Card:
    """A computed card: the outing card writes one, the choice table is made of many."""

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


def case_of(sky: str) -> str:
    """Answer the case in which a sky's best light is looked for: under sun in and out, the sun."""
    return "sun out" if sky == "in and out" else sky


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
        () if asked.presence is None else asked.presence.get(prospect.perch.id, ()),
        scene.minutes[prospect.first_minute :],
        states[prospect.first_minute :],
        session.sun_level_utc,
    )
    wishes = unmet(asked, prospect)
    return Ranked(
        prospect=prospect,
        step=step,
        wear=wear_of(asked, prospect.vantage, session.start_utc or scene.at),
        unmet=wishes,
        barred=bool(prospect.bars.barred or wishes),
    )


def _order(one: Ranked, sky: str) -> tuple[Any, ...]:
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
